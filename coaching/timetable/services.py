"""Everything that writes the timetable. Each command is atomic and can be repeated."""

from collections.abc import Container, Iterator, Sequence
from datetime import date, datetime, time, timedelta
from functools import partial
from uuid import UUID

from django.db import transaction
from django.db.models import Prefetch, Q, QuerySet
from django.utils import timezone

from coaching.lessons.models import Lesson
from coaching.lessons.services import cancel_lesson, move_lesson, plan_lesson
from coaching.timetable import recurrence
from coaching.timetable.models import Holiday, Occurrence, Series
from shared.jobs.sweep import hourly, sweep
from shared.kit.refused import Refused
from shared.people import access
from shared.people.access import Recordable
from shared.people.models import Studio, User
from shared.people.today import today_of

# So far ahead lessons are noted; Today's lessons looks eight days ahead.
AHEAD = timedelta(days=28)
MOST_SERIES = 6
FILLED_AT_ONCE = 500


@transaction.atomic
def add_series(
    *,
    student: Recordable,
    coach: User,
    first: date,
    at: time,
    rule: str,
    minutes: int = 60,
    last: date | None = None,
    place: str = "",
    zone: str = "",
    off: Sequence[date] = (),
) -> Series:
    """A lesson that comes back, noted ahead at once; not on the days `off`. The same again
    changes nothing. Without a zone it keeps to the studio's clock.

    Raises Refused, also for a rule that cannot be kept.
    """
    rule = recurrence.read_rule(rule).text
    there = Series.objects.filter(student=student, rule=rule, at=at, last=last, coach=coach)
    found = there.first()
    if found is not None:
        return found
    if Series.objects.filter(student=student, last=None).count() >= MOST_SERIES:
        raise Refused(f"{student.name} has {MOST_SERIES} lessons that come back already.")
    series = Series.objects.create(
        student=student, coach=coach, first=first, at=at, rule=rule, minutes=minutes, last=last,
        place=place, time_zone=zone or student.studio.time_zone,
    )  # fmt: skip
    Occurrence.objects.bulk_create(Occurrence(series=series, day=day) for day in sorted({*off}))
    fill(series=series, student=student)
    return series


@transaction.atomic
def fill(*, series: Series, student: Recordable) -> int:
    """Note the lessons of the coming weeks that are not noted yet; how many there were."""
    near = series.occurrences.filter(day__gte=_first_day())
    known = set(near.values_list("day", flat=True))
    missing = _missing(series, student.studio, known, _holidays([student.studio_id]))
    for day, at in missing:
        lesson = plan_lesson(student=student, coach=series.coach, at=at, place=series.place)
        taken = Occurrence.objects.filter(lesson=lesson).exists()
        Occurrence.objects.create(series=series, day=day, lesson=None if taken else lesson)
    return len(missing)


def fill_all() -> int:
    """Of every series that goes on, of students about whom something may be kept."""

    def one(series: Series) -> int:
        student = access.recordable_or_none(series.student)
        return fill(series=series, student=student) if student is not None else 0

    due = partial(hourly, "every lesson noted", _to_fill, timezone.now(), FILLED_AT_ONCE)
    return sum(sweep("lessons that come back", due, one, most=FILLED_AT_ONCE))


def _to_fill(now: datetime) -> Iterator[Series]:
    """Series of which a day that has come near is not noted. A few queries a thousand."""
    near = Occurrence.objects.filter(day__gte=_first_day())
    found = (
        Series.objects.filter(access.of_recordable())
        .filter(Q(last=None) | Q(last__gte=_first_day()))
        .select_related("student__studio", "coach")
        .prefetch_related(Prefetch("occurrences", near, to_attr="near"))
        .order_by("pk")
    )
    holidays = _holidays()
    for series in found.iterator(chunk_size=1000):
        known = {each.day for each in series.near}
        if _may_lack(series, known, holidays):
            yield series


def _may_lack(series: Series, known: Container[date], holidays: Sequence[Holiday]) -> bool:
    try:
        return bool(_missing(series, series.student.studio, known, holidays))
    except Exception:
        return True


def _first_day() -> date:
    """No studio's clock is on an earlier day."""
    return timezone.now().date() - timedelta(days=1)


def _missing(
    series: Series, studio: Studio, known: Container[date], holidays: Sequence[Holiday]
) -> list[tuple[date, datetime]]:
    """Days of the coming weeks that are not known, no holiday and still ahead."""
    today, now = today_of(studio), timezone.now()
    end = min(filter(None, (today + AHEAD, series.last)))
    off = [each for each in holidays if each.studio_id == studio.pk]
    found = (
        (day, recurrence.instant(day, series.at, series.time_zone))
        for day in recurrence.days(series.rule, series.first, today, end)
        if day not in known and not any(each.first <= day <= each.last for each in off)
    )
    return [(day, at) for day, at in found if at > now]


def _holidays(studios: Sequence[UUID] | None = None) -> list[Holiday]:
    ahead = Holiday.objects.filter(last__gte=_first_day())
    return list(ahead if studios is None else ahead.filter(studio__in=studios))


@transaction.atomic
def end_series(*, series: Series, last: date) -> None:
    """The last day on which it takes place; what was noted after it is taken off."""
    series.last, series.changed_at = last, timezone.now()
    series.save(update_fields=["last", "changed_at"])
    _take_back(Occurrence.objects.filter(series=series, day__gt=last))


@transaction.atomic
def change_series(
    *,
    series: Series,
    first: date,
    at: time,
    rule: str,
    minutes: int,
    last: date | None,
    place: str,
    zone: str,
) -> None:
    """Another rule, hour, length or place from now on. Days that are off stay off.

    What was noted ahead is noted anew, so that single days that were moved are as the rule
    says again. Raises Refused.
    """
    student = access.recordable(series.student)
    series.rule = recurrence.read_rule(rule).text
    series.first, series.at, series.minutes, series.last = first, at, minutes, last
    series.place, series.time_zone, series.changed_at = place, zone, timezone.now()
    series.save()
    coming = Occurrence.objects.filter(series=series, day__gte=today_of(student.studio))
    _take_back(coming.filter(lesson__at__gt=timezone.now()))
    fill(series=series, student=student)


@transaction.atomic
def take_off(*, series: Series, day: date) -> None:
    """The lesson of that day does not take place."""
    access.recordable(series.student)
    found, _ = Occurrence.objects.select_related("lesson__student").get_or_create(
        series=series, day=day
    )
    if found.lesson is not None:
        if found.lesson.state != Lesson.State.PLANNED:
            raise Refused("That lesson has begun already.")
        cancel_lesson(lesson=found.lesson)
    _touch(Series.objects.filter(pk=series.pk))


@transaction.atomic
def put_back(*, series: Series, day: date) -> None:
    """As the rule says it again."""
    Occurrence.objects.filter(series=series, day=day, lesson=None).delete()
    fill(series=series, student=access.recordable(series.student))
    _touch(Series.objects.filter(pk=series.pk))


@transaction.atomic
def move(*, series: Series, day: date, at: datetime) -> None:
    """Only this time at another moment. Raises Refused."""
    found, _ = Occurrence.objects.select_related("lesson__student").get_or_create(
        series=series, day=day
    )
    if found.lesson is None:
        student = access.recordable(series.student)
        found.lesson = plan_lesson(student=student, coach=series.coach, at=at, place=series.place)
        found.save(update_fields=["lesson"])
    else:
        move_lesson(lesson=found.lesson, at=at)
    _touch(Series.objects.filter(pk=series.pk))


def day_of(lesson: Lesson) -> str:
    """The day of a timetable that a lesson was noted for, to note it again; '' for none."""
    pk = Occurrence.objects.filter(lesson=lesson).values_list("pk", flat=True).first()
    return str(pk or "")


def is_off(day: str) -> None:
    """A lesson was taken off on its own page: its day is off; `day` as day_of() said it."""
    if day:
        _touch(Series.objects.filter(occurrences__pk=day))


def is_on_again(day: str, lesson: Lesson) -> None:
    """A lesson that was taken off is that day's again; `day` as day_of() said it."""
    if day:
        free = Occurrence.objects.filter(pk=day, series__student=lesson.student_id, lesson=None)
        if not Occurrence.objects.filter(lesson=lesson).exists():
            free.update(lesson=lesson)
            _touch(Series.objects.filter(occurrences__pk=day))


@transaction.atomic
def add_holiday(*, studio: Studio, first: date, last: date, name: str) -> Holiday:
    """No lesson that comes back takes place then; what was noted for these days is taken off."""
    holiday = Holiday.objects.create(studio=studio, first=first, last=last, name=name)
    inside = Occurrence.objects.filter(
        series__student__studio=studio, day__range=(first, last), lesson__isnull=False
    )
    _take_back(inside)
    _touch(Series.objects.filter(student__studio=studio))
    return holiday


@transaction.atomic
def remove_holiday(*, holiday: Holiday) -> None:
    studio = holiday.studio
    holiday.delete()
    _touch(Series.objects.filter(student__studio=studio))
    for series in Series.objects.filter(student__studio=studio).select_related("student__studio"):
        student = access.recordable_or_none(series.student)
        if student is not None:
            fill(series=series, student=student)


def _take_back(occurrences: QuerySet[Occurrence]) -> None:
    """Days that are again as the rule and the holidays say. A lesson that was begun stays."""
    for each in occurrences.select_related("lesson__student"):
        if each.lesson is None or each.lesson.state == Lesson.State.PLANNED:
            if each.lesson is not None:
                cancel_lesson(lesson=each.lesson)
            each.delete()


def _touch(found: QuerySet[Series]) -> None:
    """Calendars that read them are told that something is new."""
    present = found.filter(student__in=access.recordable_students())
    present.update(changed_at=timezone.now())
