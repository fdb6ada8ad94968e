"""That a student is to be erased, and that somebody was."""

from django.db import models
from django.db.models import Q
from django.utils import timezone

from shared.people.models import Base, Student, User

WHY_LENGTH = 200


class Erasure(Base):
    """Somebody asked that everything of a student goes. It can be taken back until `due_at`.

    The row goes with the student. Without `asked_by` the house asked, by its own rule.
    """

    student = models.ForeignKey(Student, models.CASCADE, related_name="erasures")
    asked_by = models.ForeignKey(User, models.SET_NULL, related_name="+", null=True)
    why = models.CharField("reason", max_length=WHY_LENGTH, blank=True)
    asked_at = models.DateTimeField(default=timezone.now)
    due_at = models.DateTimeField()
    taken_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["student"], condition=Q(taken_back_at=None), name="one_erasure_per_student"
            )
        ]
        indexes = [
            models.Index(fields=["due_at"], condition=Q(taken_back_at=None), name="erasure_is_due")
        ]


class Erased(models.Model):
    """One line of the ledger: somebody is gone, and who cannot be told from it.

    The digest is of a salt and the random id that the person had. Whoever brings back a
    backup that still holds the id can tell that it must go again; nobody else can.
    """

    class Kind(models.TextChoices):
        STUDENT = "student", "student"
        USER = "user", "user"

    salt = models.CharField(max_length=32)
    digest = models.CharField(max_length=64, unique=True)
    kind = models.CharField(max_length=7, choices=Kind.choices)
    on = models.DateField()
