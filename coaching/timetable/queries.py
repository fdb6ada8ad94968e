"""What the timetable's pages read. Each function's cost is in its docstring."""

from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Q
from django.http import Http404

from coaching.timetable import recurrence
from coaching.timetable.models import Holiday, Series
from shared.people import access
from shared.people.models import Studio, User
from shared.people.today import today_of

MOST_SERIES = 300
SHOWN_DAYS = timedelta(days=70)
MOST_SHOWN = 8


@dataclass(frozen=True, slots=True)
class SeriesRow:
    id: str
    name: str
    words: str
    coach: str
    next: date | None


@dataclass(frozen=True, slots=True)
class DayRow:
    """One coming day of a series: as the rule says, moved, off, or in a holiday."""

    day: date
    words: str
    is_off: bool
    is_holiday: bool
    has_begun: bool


def running(user: User, today: date) -> list[Series]:
    """The series that go on, of the students whose weeks the user sets. One query."""
    found = Series.objects.filter(student__in=access.students_planned_by(user)).filter(
        Q(last=None) | Q(last__gte=today)
    )
    return list(
        found.select_related("student", "coach").order_by("at", "student__name")[:MOST_SERIES]
    )


def by_weekday(user: User, today: date) -> list[tuple[str, list[SeriesRow]]]:
    """The week as it comes back: weekday by weekday, in order of time. One query."""
    days: dict[int, list[SeriesRow]] = {}
    for series in running(user, today):
        ahead = recurrence.days(series.rule, series.first, today, today + SHOWN_DAYS)
        row = SeriesRow(
            str(series.pk), series.student.name, recurrence.words(series.rule, series.at),
            "" if series.coach_id == user.pk else str(series.coach), ahead[0] if ahead else None,
        )  # fmt: skip
        weekday = ahead[0].weekday() if ahead else series.first.weekday()
        days.setdefault(weekday, []).append(row)
    return [(recurrence.NAMES[each], days[each]) for each in sorted(days)]


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
    known = {
        each.day: each
        for each in series.occurrences.filter(day__gte=today).select_related("lesson")
    }
    end = min(filter(None, (today + SHOWN_DAYS, series.last)))
    free = holidays_of(studio, today)
    rows = []
    for day in sorted({*recurrence.days(series.rule, series.first, today, end), *known}):
        is_holiday = any(each.first <= day <= each.last for each in free)
        rows.append(_day_row(series, day, known.get(day), is_holiday=is_holiday))
    return rows[:MOST_SHOWN]


def _day_row(series: Series, day: date, there: object, *, is_holiday: bool) -> DayRow:
    lesson = getattr(there, "lesson", None)
    due = recurrence.instant(day, series.at, series.time_zone)
    if lesson is not None:
        words = "as usual"
        if lesson.at != due:
            at = lesson.at.astimezone(ZoneInfo(series.time_zone))
            words = f"moved to {at:%a} {at.day} {at:%b}, {at:%H:%M}"
        return DayRow(day, words, False, False, lesson.state != "planned")
    if there is not None:
        return DayRow(day, "off", True, is_holiday, False)
    return DayRow(day, "holiday" if is_holiday else "as usual", False, is_holiday, False)


def holidays_of(studio: Studio, today: date) -> list[Holiday]:
    """Those that are not over. One query."""
    return list(Holiday.objects.filter(studio=studio, last__gte=today).order_by("first")[:40])
