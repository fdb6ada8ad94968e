"""What was measured ball by ball: a student's clubs, their sittings, and the shots of each.

Everything is SI: metres, metres a second, degrees; `side` is positive to the right.
"""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone

from practice.drills.models import Drill
from practice.log import shot_figures
from practice.log.models import Entry
from shared.people.models import Base, Student, Studio, User

LENGTHS = shot_figures.LENGTHS


class Club(Base):
    """One club of a student. Changing its loft makes the wedge card stale."""

    student = models.ForeignKey(Student, models.CASCADE, related_name="clubs")
    name = models.CharField(max_length=20)
    loft = models.FloatField(
        "loft in degrees",
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(80)],
    )
    changed_on = models.DateField("loft or shaft last changed", null=True, blank=True)
    retired_on = models.DateField(null=True, blank=True)
    # When its name, its loft or its place in the bag was changed: figures that name it are older.
    touched_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["student", "name"],
                name="club_name_per_student",
                violation_error_message="This student already has a club of that name.",
            )
        ]

    def __str__(self) -> str:
        return self.name


class Sitting(Base):
    """Shots made one after another, on one day, with one device, ball and place.

    Figures are never joined across device, ball, place or roof: each such set is
    a series of its own. A sitting from the phone belongs to the entry that brought
    it and counts while that entry does.
    """

    class Evidence(models.TextChoices):
        MEASURED = "measured", "measured"
        SEEN = "seen", "seen"

    student = models.ForeignKey(Student, models.CASCADE, related_name="sittings", db_index=False)
    drill = models.ForeignKey(Drill, models.PROTECT, related_name="+", null=True, blank=True)
    entry = models.ForeignKey(Entry, models.CASCADE, related_name="sittings", null=True, blank=True)
    day = models.DateField()
    at = models.DateTimeField(default=timezone.now)
    device = models.CharField(max_length=60, blank=True)
    ball = models.CharField(max_length=60, blank=True)
    place = models.CharField(max_length=60, blank=True)
    indoors = models.BooleanField(null=True, blank=True)
    evidence = models.CharField(max_length=8, choices=Evidence.choices, default=Evidence.MEASURED)
    from_memory = models.BooleanField("written more than 48 hours after", default=False)
    note = models.CharField(max_length=300, blank=True)
    written_by = models.ForeignKey(User, models.SET_NULL, related_name="+", null=True)
    counts = models.BooleanField(default=True)

    class Meta:
        indexes = [models.Index(fields=["student", "day"], name="sitting_student_day")]


def _not_negative(*names: str) -> Q:
    condition = Q()
    for name in names:
        condition &= Q(**{name: None}) | Q(**{f"{name}__gte": 0})
    return condition


class Shot(models.Model):
    """One ball. What was not measured is null, never zero."""

    class Length(models.TextChoices):
        HIP = "hip", "hip-high"
        CHEST = "chest", "chest-high"
        FULL = "full", "full"

    sitting = models.ForeignKey(Sitting, models.CASCADE, related_name="shots", db_index=False)
    student = models.ForeignKey(Student, models.CASCADE, related_name="+", db_index=False)
    number = models.PositiveIntegerField()
    club = models.ForeignKey(Club, models.PROTECT, related_name="shots", null=True, blank=True)
    length = models.CharField(max_length=5, choices=Length.choices, blank=True)
    # What was meant: a distance, a felt effort in percent.
    target = models.FloatField(null=True, blank=True)
    effort = models.PositiveSmallIntegerField(null=True, blank=True)
    carry = models.FloatField(null=True, blank=True)
    total = models.FloatField(null=True, blank=True)
    side = models.FloatField(null=True, blank=True)
    ball_speed = models.FloatField(null=True, blank=True)
    club_speed = models.FloatField(null=True, blank=True)
    launch = models.FloatField("launch angle in degrees", null=True, blank=True)
    spin = models.FloatField("spin in turns a minute", null=True, blank=True)
    is_clean = models.BooleanField(null=True, blank=True)
    # Of a row of a file: the same row again adds nothing.
    fingerprint = models.CharField(max_length=64, blank=True)

    class Meta:
        indexes = [models.Index(fields=["student", "club", "length"], name="shot_student_swing")]
        constraints = [
            models.UniqueConstraint(fields=["sitting", "number"], name="shot_number_per_sitting"),
            models.UniqueConstraint(
                fields=["student", "fingerprint"],
                condition=~Q(fingerprint=""),
                name="each_row_of_a_file_once",
            ),
            models.CheckConstraint(
                condition=_not_negative("carry", "total", "ball_speed", "club_speed", "target"),
                name="shot_figures_not_negative",
            ),
        ]


class SpeedBlock(Base):
    """The block of speed practice a student is in: what it is judged from, and its aims.

    One row per student. Days before `starts_on` are shown and feed no verdict.
    """

    student = models.OneToOneField(Student, models.CASCADE, related_name="speed_block")
    starts_on = models.DateField("block starts on", null=True, blank=True)
    ball_speed = models.FloatField("ball speed aimed at", null=True, blank=True)
    club_speed = models.FloatField("club speed aimed at", null=True, blank=True)
    set_by = models.ForeignKey(User, models.SET_NULL, related_name="+", null=True)
    set_at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=_not_negative("ball_speed", "club_speed"),
                name="speed_aims_not_negative",
            )
        ]


class StudioDays(models.Model):
    """How much days of the students of a studio differ by themselves; made weekly, never edited.

    `figures` is a practice.measures.usual.Usual.
    """

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="days_differ", db_index=False)
    made_at = models.DateTimeField()
    figures = models.JSONField()

    class Meta:
        indexes = [models.Index(fields=["studio", "-made_at"], name="newest_studio_days")]
