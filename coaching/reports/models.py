"""A report to a player or parents: figures as they stood when it went, and the coach's words."""

from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from shared.people.models import Base, Student, User

LONGEST_WORDS = 3000


class Report(Base):
    """A draft is reckoned anew each time it is opened; what went is kept as it went."""

    student = models.ForeignKey(Student, models.CASCADE, related_name="reports")
    by = models.ForeignKey(User, models.PROTECT, related_name="+")
    first = models.DateField()
    last = models.DateField()
    words = models.TextField("the coach's words", max_length=LONGEST_WORDS, blank=True)
    body = models.JSONField(default=dict, blank=True)
    made_at = models.DateTimeField(default=timezone.now)
    sent_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = [models.Index(fields=["student", "made_at"], name="report_of_student")]
        constraints = [
            models.CheckConstraint(condition=Q(last__gte=F("first")), name="report_has_a_span"),
            models.CheckConstraint(
                condition=Q(sent_at=None) | ~Q(words=""), name="a_sent_report_has_words"
            ),
        ]
