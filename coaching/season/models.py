"""The plan of a season: phases, priorities, events, weekly minutes; gym days and own days.

Days away are not kept here: they are excused days (`practice.weeks.models.Excusal`), told
by whomever, so that there is one truth about what is asked.
"""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from coaching.season.clashes import Body, GymLoad
from coaching.season.ramp import CAP_PERCENT, LIGHTER_EVERY, LIGHTER_PERCENT, MOST_MINUTES
from practice.drills.models import Area, Drill
from practice.weeks.places import PLACE_WORDS
from shared.people.models import Base, Student, Studio, User

MOST_PRIORITIES = 3


class Stage(models.TextChoices):
    """How far a move is: our four stages, each with a gate to the next."""

    SHAPE = "shape", "Shape"
    FLOW = "flow", "Flow"
    SPEED = "speed", "Speed"
    KEEP = "keep", "Keep"


class Measure(models.TextChoices):
    """What a priority's target is measured by. Speeds are kept in m/s, distances in m."""

    BALL_SPEED = "ball", "everyday ball speed"
    CLUB_SPEED = "club", "everyday club speed"
    CLEAN = "clean", "clean of 100 at an effort"
    CARRY_ERROR = "carry", "carry, metres off at most"
    OTHER = "other", "in words"


class SeasonPlan(Base):
    """One student's season: the days it spans. All else hangs on it."""

    student = models.OneToOneField(Student, models.CASCADE, related_name="season_plan")
    first = models.DateField()
    last = models.DateField()
    note = models.TextField("words about the season", max_length=600, blank=True)
    made_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    changed_at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(last__gt=F("first")), name="season_ends_after_it_starts"
            )
        ]


class SeasonTemplate(Base):
    """A season of the studio's, to start others from; days are counted from its first."""

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="season_templates")
    name = models.CharField(max_length=80)
    days = models.PositiveSmallIntegerField()
    # A list of {name, first, last}, and one of the fields of Priority, as they stood.
    phases = models.JSONField(default=list)
    priorities = models.JSONField(default=list)
    author = models.ForeignKey(User, models.PROTECT, related_name="+")
    saved_at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["studio", "name"], name="season_template_name_per_studio"
            )
        ]


class Phase(models.Model):
    """A stretch of the season under the coach's own name."""

    plan = models.ForeignKey(SeasonPlan, models.CASCADE, related_name="phases")
    name = models.CharField(max_length=40)
    first = models.DateField()
    last = models.DateField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(last__gte=F("first")), name="phase_ends_after_it_starts"
            )
        ]


class Priority(models.Model):
    """What the season is about, in order, with a target that can be measured."""

    plan = models.ForeignKey(SeasonPlan, models.CASCADE, related_name="priorities")
    place = models.PositiveSmallIntegerField(
        default=1, validators=[MinValueValidator(1), MaxValueValidator(MOST_PRIORITIES)]
    )
    name = models.CharField(max_length=80)
    stage = models.CharField(max_length=5, choices=Stage.choices, blank=True)
    # The drill whose ladder is the gate to the next stage.
    drill = models.ForeignKey(Drill, models.PROTECT, related_name="+", null=True, blank=True)
    measure = models.CharField(max_length=5, choices=Measure.choices, default=Measure.OTHER)
    # In m/s, clean of 100, or m by `measure`; `effort` in percent where it is clean reps.
    value = models.FloatField(null=True, blank=True)
    effort = models.PositiveSmallIntegerField(null=True, blank=True)
    words = models.CharField("target in words", max_length=120, blank=True)
    by = models.DateField("to be reached by", null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["plan", "place"], name="one_priority_per_place"),
            models.CheckConstraint(
                condition=Q(value=None) | Q(value__gte=0), name="target_not_negative"
            ),
        ]


class GateNow(models.Model):
    """What is said of the gate before priority 1, kept so that a page of many can read it.

    Made anew from what was counted, and never edited.
    """

    student = models.OneToOneField(Student, models.CASCADE, related_name="gate_now")
    words = models.CharField(max_length=240, blank=True)
    reckoned_at = models.DateTimeField(db_index=True)


class Event(Base):
    """A competition or a test day. `Student.next_event` follows the nearest competition."""

    class Kind(models.TextChoices):
        COMPETITION = "event", "competition"
        TEST = "test", "test day"

    student = models.ForeignKey(Student, models.CASCADE, related_name="events", db_index=False)
    kind = models.CharField(max_length=5, choices=Kind.choices)
    name = models.CharField(max_length=80)
    first = models.DateField()
    last = models.DateField()

    class Meta:
        indexes = [models.Index(fields=["student", "last"], name="event_of_student")]
        constraints = [
            models.CheckConstraint(
                condition=Q(last__gte=F("first")), name="event_ends_after_it_starts"
            )
        ]


class AreaRamp(models.Model):
    """Weekly minutes of one area from a week on. A new row begins where a re-ramp does;
    the rows before it stay, so that past weeks keep the line they were asked by."""

    plan = models.ForeignKey(SeasonPlan, models.CASCADE, related_name="ramps", db_index=False)
    area = models.CharField(max_length=8, choices=Area.choices)
    opens = models.DateField("first week")
    start_minutes = models.PositiveSmallIntegerField(validators=[MaxValueValidator(MOST_MINUTES)])
    target_minutes = models.PositiveSmallIntegerField(validators=[MaxValueValidator(MOST_MINUTES)])
    due = models.DateField("week of the target")
    cap_percent = models.PositiveSmallIntegerField(default=CAP_PERCENT)
    lighter_every = models.PositiveSmallIntegerField(default=LIGHTER_EVERY)
    lighter_percent = models.PositiveSmallIntegerField(default=LIGHTER_PERCENT)
    is_from_reality = models.BooleanField(default=False)
    made_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    made_at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["plan", "area", "opens"], name="one_ramp_per_area_and_week"
            ),
            models.CheckConstraint(condition=Q(due__gte=F("opens")), name="ramp_ends_after_start"),
            models.CheckConstraint(
                condition=Q(cap_percent__range=(1, 100), lighter_percent__range=(1, 100)),
                name="ramp_percents_1_to_100",
            ),
        ]


class GymDay(models.Model):
    """One day of the gym strip. How heavy, for which half of the body; never what is lifted."""

    student = models.ForeignKey(Student, models.CASCADE, related_name="gym_days", db_index=False)
    day = models.DateField()
    load = models.CharField(max_length=6, choices=[(load.value, load.value) for load in GymLoad])
    body = models.CharField(
        max_length=5, choices=[(body.value, body.value) for body in Body], default=Body.BOTH.value
    )
    jumps = models.BooleanField(default=False)
    marked_by = models.ForeignKey(User, models.SET_NULL, related_name="+", null=True)
    marked_at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["student", "day"], name="one_gym_day_per_day")
        ]


class PracticeDay(models.Model):
    """When and where a student has time, in an ordinary week, by their own word."""

    student = models.ForeignKey(
        Student, models.CASCADE, related_name="practice_days", db_index=False
    )
    weekday = models.PositiveSmallIntegerField()  # 0 is Monday.
    place = models.CharField(
        max_length=6, choices=[(place.value, words) for place, words in PLACE_WORDS.items()]
    )
    minutes = models.PositiveSmallIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["student", "weekday", "place"], name="one_time_per_weekday_and_place"
            ),
            models.CheckConstraint(
                condition=Q(weekday__range=(0, 6), minutes__range=(1, 600)),
                name="practice_day_of_a_week",
            ),
        ]
