"""Lessons that come back: their rule, each day, holidays, and calendars that are linked."""

from urllib.parse import urlsplit

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


class Followed(Base):
    """A coach's own calendar at an address that is read again and again.

    Nothing of it changes the timetable before the coach has taken it.
    """

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="followed")
    by = models.ForeignKey(User, models.CASCADE, related_name="followed")
    # Whoever knows it reads the calendar.
    address = models.CharField(max_length=1000)
    # What the address said of what was read last, to ask for news alone (RFC 9110, 8.8).
    etag = models.CharField(max_length=300, blank=True)
    modified = models.CharField(max_length=60, blank=True)
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    next_at = models.DateTimeField(default=timezone.now, db_index=True)
    read_at = models.DateTimeField(null=True, blank=True)
    tried_at = models.DateTimeField(null=True, blank=True)
    # How often in a row it could not be read, and why the last time.
    failed = models.PositiveIntegerField(default=0)
    fault = models.CharField(max_length=200, blank=True)
    # How many changes wait for the coach, as it was read last.
    waits = models.PositiveIntegerField(default=0)
    stopped_at = models.DateTimeField(null=True, blank=True)

    @property
    def host(self) -> str:
        """What may be said of the address: the rest of it is a secret."""
        return urlsplit(self.address).hostname or ""


class FollowedEvent(models.Model):
    """One event of a followed calendar that comes back: as it was read, and as it was taken.

    `said` and `taken` are a CalendarEvent's plain values (calendar_in.plain). `said` is none
    once the calendar lacks it. `taken` counts as long as there is its series.
    """

    followed = models.ForeignKey(Followed, models.CASCADE, related_name="events")
    uid = models.CharField(max_length=255)
    student = models.ForeignKey(
        Student, models.CASCADE, related_name="followed_events", null=True, blank=True
    )
    is_out = models.BooleanField(default=False)
    said = models.JSONField(null=True, blank=True)
    taken = models.JSONField(null=True, blank=True)
    series = models.OneToOneField(
        Series, models.SET_NULL, related_name="followed_event", null=True, blank=True
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["followed", "uid"], name="an_event_is_followed_once")
        ]
