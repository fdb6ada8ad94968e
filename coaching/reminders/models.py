"""Reminders: who wants which and when, and every notice with what became of it."""

from datetime import time

from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone

from coaching.reminders.due import ONE_A_DAY, QUIET_FROM, QUIET_UNTIL, WORDS, ReminderKind
from coaching.reminders.if_then import LONGEST, IfThen
from shared.outbox.models import Outgoing, still_open
from shared.people.models import Student, User

EVERY_DAY = 0b1111111
KIND_FIELDS = (
    "practice_call",
    "midweek_offer",
    "new_week",
    "lesson_tomorrow",
    "test_tomorrow",
    "written",
)


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
    written = models.BooleanField(default=True)
    # The student's own plan: after what, where, and what instead if something is in the way.
    moment = models.CharField(max_length=LONGEST, blank=True)
    place = models.CharField(max_length=LONGEST, blank=True)
    hindrance = models.CharField(max_length=LONGEST, blank=True)
    instead = models.CharField(max_length=LONGEST, blank=True)
    # The hour is taken from when practice really starts.
    follows_practice = models.BooleanField(default=False)
    # An adult's word that some calls are left out by chance.
    by_chance = models.BooleanField(default=False)
    # From when on calls are counted that nobody followed: their last choice.
    calls_since = models.DateTimeField(null=True, blank=True)
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
    def plan(self) -> IfThen:
        return IfThen(self.moment, self.place, self.hindrance, self.instead)

    @property
    def wants(self) -> frozenset[ReminderKind]:
        return frozenset(ReminderKind(name) for name in KIND_FIELDS if getattr(self, name))

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


class Heard(models.Model):
    """That something was written of a student, or of somebody who teaches: the next tick looks.

    The database itself adds it (`coaching.reminders.watch`): no writer can forget to.
    """

    who = models.UUIDField()


class Silence(models.Model):
    """A reader's word that they want no reminders about this student."""

    user = models.ForeignKey(User, models.CASCADE, related_name="silences")
    student = models.ForeignKey(Student, models.CASCADE, related_name="silences")
    since = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["user", "student"], name="one_silence_per_reader")
        ]


class Notice(Outgoing):
    """One mail of a reminder, planned once."""

    # A slot of the day is taken by whatever is, or may have been, sent.
    TAKEN = ("due", "claimed", "sending", "sent", "failed", "unknown")

    key = models.CharField(max_length=180, unique=True)
    recipient = models.ForeignKey(User, models.CASCADE, related_name="notices")
    student = models.ForeignKey(Student, models.CASCADE, related_name="notices", null=True)
    kind = models.CharField(
        max_length=16, choices=[(kind.value, WORDS[kind]) for kind in ReminderKind]
    )
    local_day = models.DateField()
    about = models.CharField(max_length=36, blank=True)
    # Whether chance had it sent; None where chance had no say.
    drawn = models.BooleanField(null=True)
    # When its reader next looked at a page of what was written.
    opened_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = [
            still_open("notice_open"),
            models.Index(fields=["student", "local_day"], name="notice_of_student"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["recipient", "student", "local_day"],
                condition=Q(
                    kind__in=[kind.value for kind in ONE_A_DAY],
                    state__in=("due", "claimed", "sending", "sent", "failed", "unknown"),
                ),
                name="one_reminder_a_day",
            ),
            models.CheckConstraint(condition=Q(copies__lte=2), name="at_most_two_copies"),
        ]

    @property
    def sent_to(self) -> str:
        return self.recipient.email


class Told(models.Model):
    """That a mail speaks of one thing which a coach wrote, so that no other mail does."""

    notice = models.ForeignKey(Notice, models.CASCADE, related_name="told")
    what = models.CharField(max_length=6)
    item = models.UUIDField(db_index=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["notice", "item"], name="told_once_a_mail"),
        ]
