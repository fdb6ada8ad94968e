"""Reminders: who wants which and when, and every notice with what became of it."""

from datetime import time

from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone

from coaching.reminders.due import ABOUT_PRACTICE, QUIET_FROM, QUIET_UNTIL, WORDS, Kind
from shared.people.models import Base, Student, User

EVERY_DAY = 0b1111111
KIND_FIELDS = ("practice_call", "midweek_offer", "new_week", "lesson_tomorrow", "test_tomorrow")


class ReminderRule(models.Model):
    """One student's choice. `next_due_utc` is made anew from it, never by adding 24 hours."""

    student = models.OneToOneField(Student, models.CASCADE, related_name="reminder_rule")
    at = models.TimeField("time of day", default=time(17))
    # One bit a weekday, Monday the lowest.
    weekdays = models.PositiveSmallIntegerField(
        default=EVERY_DAY, validators=[MaxValueValidator(EVERY_DAY)]
    )
    practice_call = models.BooleanField(default=True)
    midweek_offer = models.BooleanField(default=True)
    new_week = models.BooleanField(default=True)
    lesson_tomorrow = models.BooleanField(default=True)
    test_tomorrow = models.BooleanField(default=True)
    next_due_utc = models.DateTimeField(null=True, blank=True, db_index=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(at__gte=QUIET_UNTIL, at__lt=QUIET_FROM),
                name="reminder_outside_quiet_hours",
                violation_error_message="Choose a time from 07:00 to 20:59.",
            )
        ]

    @property
    def wants(self) -> frozenset[Kind]:
        return frozenset(Kind(name) for name in KIND_FIELDS if getattr(self, name))

    @property
    def chosen_weekdays(self) -> frozenset[int]:
        return frozenset(n for n in range(7) if self.weekdays >> n & 1)


class SummaryRule(models.Model):
    """Whether a coach wants the summary on the first morning of the studio's week."""

    user = models.OneToOneField(User, models.CASCADE, related_name="summary_rule")
    on = models.BooleanField(default=True)
    at = models.TimeField("time of day", default=time(7))
    next_due_utc = models.DateTimeField(null=True, blank=True, db_index=True)


class EveningRule(models.Model):
    """A coach who wants tomorrow's lessons by mail the evening before; off without a due time."""

    user = models.OneToOneField(User, models.CASCADE, related_name="evening_rule")
    at = models.TimeField("time of day", default=time(19))
    next_due_utc = models.DateTimeField(null=True, blank=True, db_index=True)


class Silence(models.Model):
    """A reader's word that they want no reminders about this student."""

    user = models.ForeignKey(User, models.CASCADE, related_name="silences")
    student = models.ForeignKey(Student, models.CASCADE, related_name="silences")
    since = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["user", "student"], name="one_silence_per_reader")
        ]


class Notice(Base):
    """One mail to one person: planned once, then followed until it is known what became of it.

    `claimed` was never offered to the mail server and is always safe to repeat; only
    `sending` is ambiguous after a crash. `copies` counts the times it was offered
    without a clear refusal: at most two.
    """

    class State(models.TextChoices):
        DUE = "due", "waits"
        CLAIMED = "claimed", "taken by a worker"
        SENDING = "sending", "being sent"
        SENT = "sent", "sent"
        FAILED = "failed", "refused"
        UNKNOWN = "unknown", "perhaps sent"
        CANCELLED = "cancelled", "no longer wanted"
        EXPIRED = "expired", "too late"

    # A slot of the day is taken by whatever is, or may have been, sent.
    TAKEN = ("due", "claimed", "sending", "sent", "failed", "unknown")
    OPEN = ("due", "claimed", "sending")

    key = models.CharField(max_length=180, unique=True)
    recipient = models.ForeignKey(User, models.CASCADE, related_name="notices")
    student = models.ForeignKey(Student, models.CASCADE, related_name="notices", null=True)
    kind = models.CharField(max_length=16, choices=[(kind.value, WORDS[kind]) for kind in Kind])
    local_day = models.DateField()
    about = models.CharField(max_length=36, blank=True)
    state = models.CharField(max_length=9, choices=State.choices, default=State.DUE)
    why = models.CharField(max_length=300, blank=True)
    claim = models.UUIDField(null=True, blank=True)
    lease_until = models.DateTimeField(null=True, blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    copies = models.PositiveSmallIntegerField(default=0)
    next_try_at = models.DateTimeField(default=timezone.now)
    expires_at = models.DateTimeField()
    message_id = models.CharField(max_length=200)
    planned_at = models.DateTimeField(default=timezone.now)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = [
            models.Index(
                fields=["next_try_at"],
                condition=Q(state__in=("due", "claimed", "sending")),
                name="notice_open",
            ),
            models.Index(fields=["student", "local_day"], name="notice_of_student"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["recipient", "student", "local_day"],
                condition=Q(
                    kind__in=[kind.value for kind in ABOUT_PRACTICE],
                    state__in=("due", "claimed", "sending", "sent", "failed", "unknown"),
                ),
                name="one_reminder_a_day",
            ),
            models.CheckConstraint(condition=Q(copies__lte=2), name="at_most_two_copies"),
        ]


class Heartbeat(models.Model):
    """When a sweep last ran."""

    name = models.CharField(max_length=20, primary_key=True)
    at = models.DateTimeField()

    @classmethod
    def beat(cls, name: str) -> None:
        cls.objects.update_or_create(name=name, defaults={"at": timezone.now()})
