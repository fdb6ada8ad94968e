"""Students who are taught together, their sessions, and who was there."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone

from practice.log.document import MOST_BALLS, MOST_MINUTES
from shared.people.models import Base, Student, Studio, User

MOST_STUDENTS = 60
MOST_ADULTS = 20


class Group(Base):
    """A group of one studio. Ended, never deleted: what was done in it stays."""

    studio = models.ForeignKey(Studio, models.PROTECT, related_name="groups")
    name = models.CharField(max_length=60)
    students = models.ManyToManyField(Student, related_name="groups", blank=True)
    made_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    made_at = models.DateTimeField(default=timezone.now)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["studio", "name"],
                condition=Q(ended_at=None),
                name="one_group_of_a_name_per_studio",
            )
        ]

    def __str__(self) -> str:
        return self.name


class GroupSession(Base):
    """One meeting of a group. What each student did in it is an entry of their own log."""

    group = models.ForeignKey(Group, models.CASCADE, related_name="sessions", db_index=False)
    day = models.DateField()
    minutes = models.PositiveSmallIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(MOST_MINUTES)]
    )
    balls = models.PositiveSmallIntegerField(
        "balls each", null=True, blank=True, validators=[MaxValueValidator(MOST_BALLS)]
    )
    hard = models.PositiveSmallIntegerField(
        "hard swings each", null=True, blank=True, validators=[MaxValueValidator(MOST_BALLS)]
    )
    adults = models.PositiveSmallIntegerField(
        "adults with the group",
        default=1,
        validators=[MinValueValidator(1), MaxValueValidator(MOST_ADULTS)],
    )
    by = models.ForeignKey(User, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    taken_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = [models.Index(fields=["group", "day"], name="session_of_group")]


class Attended(models.Model):
    """One student at one session. `entry` is the id of what was logged for it; empty if the
    student had logged the session already."""

    session = models.ForeignKey(GroupSession, models.CASCADE, related_name="attended")
    student = models.ForeignKey(Student, models.CASCADE, related_name="+")
    entry = models.UUIDField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["session", "student"], name="attended_a_session_once")
        ]
