"""Practice weeks: what was asked of a student, and the days that were excused."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from practice.drills.models import Drill, DrillRevision
from shared.people.models import Base, Student, Studio, User


class Week(Base):
    """One student's practice week. Draft, then sent; a sent week can be amended."""

    class State(models.TextChoices):
        DRAFT = "draft", "draft"
        SENT = "sent", "sent"

    # The composite constraint below is the index that pages use.
    student = models.ForeignKey(Student, models.CASCADE, related_name="weeks", db_index=False)
    opens = models.DateField()
    state = models.CharField(max_length=5, choices=State.choices, default=State.DRAFT)
    note = models.TextField("words to the student", max_length=600, blank=True)
    author = models.ForeignKey(User, models.PROTECT, related_name="weeks_set")
    # Grows with every change, so that a phone sees that its copy is old.
    revision = models.PositiveIntegerField(default=1)
    sent_at = models.DateTimeField(null=True, blank=True)
    # The practice day, on the student's clock, on which it was first sent.
    published_on = models.DateField(null=True, blank=True)
    amended_at = models.DateTimeField(null=True, blank=True)
    # The latest revision that was handed to a phone or a page of the student's side.
    given_revision = models.PositiveIntegerField(null=True, blank=True, editable=False)
    # What a coach has typed and neither kept nor sent: {"rows": [{…}], "note": ""}.
    # It need not make sense yet, and of a sent week the student sees none of it.
    typed = models.JSONField(null=True, blank=True, editable=False)

    live: "list[Part]"  # The parts that stand, where `queries.with_parts` read them.

    class Meta:
        indexes = [
            # The weeks of now, of every student.
            models.Index(fields=["opens"], condition=Q(state="sent"), name="week_sent_opens")
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["student", "opens"], name="one_week_per_student_and_opening"
            ),
            models.CheckConstraint(
                condition=Q(state="draft") | Q(sent_at__isnull=False, published_on__isnull=False),
                name="a_sent_week_says_when",
            ),
        ]


class Part(Base):
    """One line of a week: a drill with its dose, this often. A snapshot once sent.

    `sessions` and `dose` are what the student sees. The `…_asked` pair is the
    smallest that was asked since the week was sent: a cut counts at once and a
    raise is a gift, not a debt.
    """

    week = models.ForeignKey(Week, models.CASCADE, related_name="parts")
    priority = models.PositiveSmallIntegerField(default=1)
    drill = models.ForeignKey(Drill, models.PROTECT, related_name="parts")
    revision = models.ForeignKey(DrillRevision, models.PROTECT, related_name="+")
    dose = models.CharField(max_length=200)
    sessions = models.PositiveSmallIntegerField(
        default=1, validators=[MinValueValidator(1), MaxValueValidator(14)]
    )
    dose_asked = models.CharField(max_length=200, blank=True)
    sessions_asked = models.PositiveSmallIntegerField(null=True, blank=True)
    by_total = models.BooleanField(default=False)
    # Days of the week it is fixed to, as offsets from `opens`; the rest are free.
    days = models.JSONField(default=list, blank=True)
    # Where the session of a fixed day is meant to be, if that was said: {"0": "net"}.
    places = models.JSONField(default=dict, blank=True)
    minutes = models.FloatField(
        "minutes a session", validators=[MinValueValidator(0.5), MaxValueValidator(600)]
    )
    cue = models.CharField(max_length=160, blank=True)
    note = models.CharField(max_length=300, blank=True)
    # Drills that count in full instead of this one, as it stood when sent.
    swaps = models.JSONField(default=list, blank=True)
    added_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    added_at = models.DateTimeField(default=timezone.now)
    # The practice day it was put on a week already sent; null: with the week.
    added_on = models.DateField(null=True, blank=True)
    removed_at = models.DateTimeField(null=True, blank=True)
    # How it stood before each change since it was sent, oldest first:
    # [{"until": "2031-02-27T18:00:00+00:00", "sessions": 3, …}]
    before = models.JSONField(default=list, blank=True, editable=False)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(sessions__range=(1, 14)),
                name="part_sessions_1_to_14",
                violation_error_message="Set between 1 and 14 sessions a week.",
            ),
            models.CheckConstraint(
                condition=Q(minutes__gt=0, minutes__lte=600), name="part_minutes_up_to_600"
            ),
        ]


class WeekTemplate(Base):
    """Parts kept under a name, to start a week from."""

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="week_templates")
    name = models.CharField(max_length=80)
    # A list of {drill, dose, sessions, by_total, days, minutes, note}.
    parts = models.JSONField(default=list)
    author = models.ForeignKey(User, models.PROTECT, related_name="+")
    saved_at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["studio", "name"], name="template_name_per_studio")
        ]


class Excusal(Base):
    """Days on which nothing is asked. The student says so; no reason is demanded."""

    class Kind(models.TextChoices):
        AWAY = "away", "away"
        UNWELL = "unwell", "unwell"
        OTHER = "other", "other"

    student = models.ForeignKey(Student, models.CASCADE, related_name="excusals")
    first = models.DateField()
    last = models.DateField()
    kind = models.CharField(max_length=6, choices=Kind.choices, default=Kind.OTHER)
    told_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True)
    told_at = models.DateTimeField(default=timezone.now)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = [models.Index(fields=["student", "last"], name="excusal_of_student")]
        constraints = [
            models.CheckConstraint(
                condition=Q(last__gte=F("first")),
                name="excusal_ends_after_it_starts",
                violation_error_message="The last day cannot be before the first.",
            )
        ]
