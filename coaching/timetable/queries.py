"""What the timetable's pages read. Each function's cost is in its docstring."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Q
from django.http import Http404

from coaching.timetable import recurrence
from coaching.timetable.models import Holiday, Occurrence, Series
from shared.kit.text import date_words
from shared.people import access
from shared.people.models import Studio, User
from shared.people.today import today_of

MOST_SERIES = 300
SHOWN_DAYS = timedelta(days=70)
MOST_SHOWN = 8
MOST_NOT = 3


@dataclass(frozen=True, slots=True)
class SeriesRow:
    id: str
    name: str
    words: str
    coach: str
    # The next day on which it takes place, '' where none is in sight; and the days before it
    # on which it does not, with why: 'not Wed 2 Dec (off)'.
    next: str
    missing: str


@dataclass(frozen=True, slots=True)
class DayRow:
    """One coming day of a series: as the rule says, moved, off, or in a holiday."""

    day: date
    words: str
    is_off: bool
    is_holiday: bool
    has_begun: bool
    # When it takes place, None where it does not.
    held_on: date | None


def running(user: User, today: date) -> list[Series]:
    """The series that go on, of the students whose weeks the user sets. One query."""
    found = Series.objects.filter(student__in=access.students_planned_by(user)).filter(
        Q(last=None) | Q(last__gte=today)
    )
    return list(
        found.select_related("student", "coach").order_by("at", "student__name")[:MOST_SERIES]
    )


def by_weekday(user: User, today: date) -> list[tuple[str, list[SeriesRow]]]:
    """The week as it comes back: weekday by weekday, in order of time. Three queries."""
    days: dict[int, list[SeriesRow]] = {}
    found = running(user, today)
    known, free = _known(found, today), _free(found, today)
    for series in found:
        rows = _rows(series, today, known[series.pk], free[series.student.studio_id])
        coming = next((row.held_on for row in rows if row.held_on), None)
        before = [row for row in rows if not row.held_on and (not coming or row.day < coming)]
        row = SeriesRow(
            id=str(series.pk),
            name=series.student.name,
            words=recurrence.words(series.rule, series.at),
            coach="" if series.coach_id == user.pk else str(series.coach),
            next=date_words(coming) if coming else "",
            missing=", ".join(
                f"not {date_words(row.day)} ({row.words})" for row in before[:MOST_NOT]
            ),
        )
        weekday = rows[0].day.weekday() if rows else series.first.weekday()
        days.setdefault(weekday, []).append(row)
    return [(recurrence.NAMES[each], days[each]) for each in sorted(days)]


def _known(found: Iterable[Series], today: date) -> Mapping[UUID, dict[date, Occurrence]]:
    """By series what became of its coming days. One query."""
    known: dict[UUID, dict[date, Occurrence]] = defaultdict(dict)
    there = Occurrence.objects.filter(series__in=found, day__gte=today).select_related("lesson")
    for each in there:
        known[each.series_id][each.day] = each
    return known


def _free(found: Iterable[Series], today: date) -> Mapping[UUID, list[Holiday]]:
    """By studio the holidays that are not over. One query."""
    free: dict[UUID, list[Holiday]] = defaultdict(list)
    studios = {series.student.studio_id for series in found}
    for holiday in Holiday.objects.filter(studio__in=studios, last__gte=today):
        free[holiday.studio_id].append(holiday)
    return free


def series_or_404(user: User, series_id: UUID) -> Series:
    found = Series.objects.filter(pk=series_id, student__in=access.students_planned_by(user))
    series = found.select_related("student__studio", "coach").first()
    if series is None:
        raise Http404
    return series


def coming_days(series: Series) -> list[DayRow]:
    """Its next days with what became of each. Two queries."""
    studio = series.student.studio
    today = today_of(studio)
    return _rows(series, today, _known([series], today)[series.pk], holidays_of(studio, today))


def _rows(
    series: Series, today: date, known: Mapping[date, Occurrence], free: Iterable[Holiday]
) -> list[DayRow]:
    end = min(filter(None, (today + SHOWN_DAYS, series.last)))
    coming = {*recurrence.days(series.rule, series.first, today, end), *known}
    return [
        _day_row(
            series,
            day,
            known.get(day),
            is_holiday=any(each.first <= day <= each.last for each in free),
        )
        for day in sorted(coming)[:MOST_SHOWN]
    ]


def _day_row(series: Series, day: date, there: Occurrence | None, *, is_holiday: bool) -> DayRow:
    lesson = there.lesson if there else None
    due = recurrence.instant(day, series.at, series.time_zone)
    if lesson is not None:
        words, at = "as usual", lesson.at.astimezone(ZoneInfo(series.time_zone))
        if lesson.at != due:
            words = f"moved to {at:%a} {at.day} {at:%b}, {at:%H:%M}"
        return DayRow(day, words, False, False, lesson.state != "planned", at.date())
    if there is not None:
        return DayRow(day, "off", True, is_holiday, False, None)
    words, held = ("holiday", None) if is_holiday else ("as usual", day)
    return DayRow(day, words, False, is_holiday, False, held)


def holidays_of(studio: Studio, today: date) -> list[Holiday]:
    """Those that are not over. One query."""
    return list(Holiday.objects.filter(studio=studio, last__gte=today).order_by("first")[:40])
