"""The drill shelf: a studio's drills, each with its numbered revisions and cautions."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils import timezone

from shared.people.models import Base, Studio, User


class Area(models.TextChoices):
    """Area of practice."""

    SWING = "swing", "full swing"
    WEDGES = "wedges", "wedges"
    SHORT_GAME = "short", "short game"
    PUTTING = "putting", "putting"
    SPEED = "speed", "speed"
    BODY = "body", "body, no ball"


class Measures(models.TextChoices):
    """What is measured of each ball, if anything; logged ball by ball then."""

    NOTHING = "", "nothing, it is counted"
    CARRY = "carry", "carry"
    BALL_SPEED = "ball_speed", "ball speed"
    CLUB_SPEED = "club_speed", "club speed"


class Drill(Base):
    """A drill or a test of one studio. What it says is in its revisions."""

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="drills")
    # Which of the drills that ship with the app this was copied from, if any.
    shipped_as = models.SlugField(max_length=40, blank=True)
    is_test = models.BooleanField(default=False)
    current = models.OneToOneField(
        "DrillRevision", models.PROTECT, related_name="+", null=True, blank=True
    )
    # The test that tells whether this drill works; without one, a coach's own counts of it do.
    tested_by = models.ForeignKey(
        "self", models.SET_NULL, related_name="tests_of", null=True, blank=True
    )
    swaps = models.ManyToManyField("self", symmetrical=False, related_name="swap_of", blank=True)
    archived_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["studio", "shipped_as"],
                condition=~models.Q(shipped_as=""),
                name="each_shipped_drill_once_per_studio",
            )
        ]

    def __str__(self) -> str:
        return self.current.name if self.current else "drill"


class DrillRevision(Base):
    """One wording of a drill. Never changed once written; editing adds the next number."""

    drill = models.ForeignKey(Drill, models.CASCADE, related_name="revisions")
    number = models.PositiveIntegerField(default=1)
    name = models.CharField(max_length=80)
    area = models.CharField(max_length=8, choices=Area.choices)
    purpose = models.CharField(max_length=200)
    setup = models.TextField("set-up", max_length=600, blank=True)
    setup_seated = models.TextField("set-up when seated", max_length=600, blank=True)
    cue = models.CharField(max_length=120, blank=True)
    clean_means = models.CharField("what counts as clean", max_length=200, blank=True)
    to_log = models.CharField("what to log", max_length=120, blank=True)
    equipment = models.CharField(max_length=120, blank=True)
    places = models.CharField("where it can be done", max_length=120, blank=True)
    space = models.CharField("space and height", max_length=120, blank=True)
    dose = models.CharField("default dose", max_length=200)
    short_form = models.CharField("dose when time is short", max_length=200, blank=True)
    clean_line = models.PositiveSmallIntegerField(
        "clean share needed to go up, percent",
        default=80,
        validators=[MinValueValidator(1), MaxValueValidator(100)],
    )
    go_up = models.CharField("raise when", max_length=160, blank=True)
    go_down = models.CharField("lower or stop when", max_length=160, blank=True)
    has_stop_rule = models.BooleanField(default=False)
    needs_ball = models.BooleanField(default=True)
    seconds_per_rep = models.PositiveSmallIntegerField(
        default=30, validators=[MinValueValidator(1), MaxValueValidator(600)]
    )
    measures = models.CharField(
        "measured of each ball", max_length=10, choices=Measures.choices, blank=True, default=""
    )
    targets = models.CharField("targets in their order", max_length=200, blank=True)
    target_order = models.CharField(
        "order of the targets",
        max_length=7,
        blank=True,
        choices=[("blocked", "all at one, then the next"), ("mixed", "mixed, a new one each time")],
    )
    target_tries = models.PositiveSmallIntegerField(
        "tries at each target", default=1, validators=[MinValueValidator(1), MaxValueValidator(30)]
    )
    # The same number gives the same mixed order, for every student and at every test.
    target_seed = models.PositiveSmallIntegerField(
        "number of the mixed order", default=1, validators=[MaxValueValidator(9999)]
    )
    rest_seconds = models.PositiveSmallIntegerField(
        "seconds of rest between balls", null=True, blank=True, validators=[MaxValueValidator(600)]
    )
    min_age = models.PositiveSmallIntegerField("not under this age", null=True, blank=True)
    written_by = models.ForeignKey(User, models.PROTECT, null=True, related_name="+")
    written_at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["drill", "number"], name="drill_revision_number")
        ]

    def __str__(self) -> str:
        return self.name


class Caution(Base):
    """When, stop, who: at most 25 words, read before the drill, tapped once per version."""

    drill = models.ForeignKey(Drill, models.CASCADE, related_name="cautions")
    version = models.PositiveIntegerField(default=1)
    when = models.CharField(max_length=120)
    stop = models.CharField(max_length=120)
    who = models.CharField(max_length=120, blank=True)
    written_by = models.ForeignKey(User, models.PROTECT, null=True, related_name="+")
    written_at = models.DateTimeField(default=timezone.now)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["drill", "version"], name="caution_version")]

    def __str__(self) -> str:
        return " ".join(part for part in (self.when, self.stop, self.who) if part)
