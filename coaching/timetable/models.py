"""Lessons that come back: their rule, what became of each day, holidays, and calendar links."""

from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from coaching.lessons.models import OF_LESSON, Lesson
from shared.people.fields import TimeZoneField
from shared.people.models import Base, Student, Studio, User

MOST_MINUTES = 480


class ReadIn(Base):
    """A calendar that was read in, so that it can be taken back as one."""

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="read_in")
    by = models.ForeignKey(User, models.PROTECT, related_name="+")
    made_at = models.DateTimeField(default=timezone.now, editable=False)


class Series(Base):
    """A student's lesson that comes back by a rule (RFC 5545, RRULE), at one time of one zone."""

    student = models.ForeignKey(Student, models.CASCADE, related_name="series")
    coach = models.ForeignKey(User, models.PROTECT, related_name="series_given")
    # The first day on which it may take place; the rule counts from it.
    first = models.DateField()
    at = models.TimeField()
    time_zone = TimeZoneField()
    minutes = models.PositiveSmallIntegerField(default=60)
    rule = models.CharField(max_length=120)
    last = models.DateField(null=True, blank=True)
    place = models.CharField(max_length=OF_LESSON["place"], blank=True)
    read_in = models.ForeignKey(
        ReadIn, models.SET_NULL, related_name="series", null=True, blank=True
    )
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    changed_at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(minutes__range=(5, MOST_MINUTES)), name="a_lesson_lasts_a_while"
            ),
        ]


class Occurrence(models.Model):
    """One day of a series: the lesson that was noted for it. Without one it is off.

    A lesson whose time is not the rule's was moved. A day without a row is as the rule says.
    """

    series = models.ForeignKey(Series, models.CASCADE, related_name="occurrences")
    day = models.DateField()
    lesson = models.OneToOneField(
        Lesson, models.SET_NULL, related_name="occurrence", null=True, blank=True
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["series", "day"], name="a_day_of_a_series_once")
        ]


class Holiday(Base):
    """Days on which no lesson of a timetable takes place in the studio."""

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="holidays")
    first = models.DateField()
    last = models.DateField()
    name = models.CharField(max_length=60, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(last__gte=F("first")), name="a_holiday_ends_after_its_first_day"
            )
        ]


class Feed(Base):
    """A secret link by which a calendar reads somebody's lessons: a coach's or a student's.

    Only a digest of its token is kept. A student's belongs to whoever made it, so that it
    ends with what that user may read.
    """

    user = models.ForeignKey(User, models.CASCADE, related_name="feeds")
    student = models.ForeignKey(
        Student, models.CASCADE, related_name="feeds", null=True, blank=True
    )
    digest = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    ended_at = models.DateTimeField(null=True, blank=True)
