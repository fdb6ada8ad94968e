"""The gym strip as rows: seven days, what is marked, and what clashes with golf."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from coaching.season.clashes import Body, GymLine, GymLoad, HardGolf, clashes_of
from coaching.season.limits_pages import LimitsShown, limits_passed_on
from coaching.season.line import WEEK
from coaching.season.models import GymDay
from coaching.season.near import BEFORE
from coaching.season.read import golf_of, gym_line, read_golf, read_gym
from shared.kit.text import WEEKDAYS, date_words
from shared.kit.weeks import week_days
from shared.people.models import Student

BODY_WORDS = {Body.LOWER: "legs", Body.UPPER: "upper body", Body.BOTH: "whole body"}
MOST_STUDENTS = 200


@dataclass(frozen=True, slots=True)
class GymCell:
    """One day of a strip: its name, what is marked, and hard golf on it."""

    day: date
    weekday: str
    date: str
    load: str
    body: str
    jumps: bool
    words: str
    golf: str
    is_today: bool


@dataclass(frozen=True, slots=True)
class GymStrip:
    """A week of one student's strip, with its clashes and limits."""

    opens: date
    cells: list[GymCell]
    clashes: list[str]
    limits: LimitsShown
    is_empty: bool
    from_last_week: bool


def words_of(line: GymLine | None) -> str:
    """'heavy, legs, jumps'; 'rest'; '' where nothing is marked."""
    if line is None:
        return ""
    if line.load is GymLoad.REST:
        return "rest"
    words = f"{line.load}, {BODY_WORDS[line.body]}"
    return f"{words}, jumps" if line.jumps else words


def cells_of(
    opens: date, gym: Mapping[date, GymLine], today: date, golf: Mapping[date, str] | None = None
) -> list[GymCell]:
    cells = []
    for day in week_days(opens):
        line = gym.get(day)
        cells.append(
            GymCell(
                day=day,
                weekday=WEEKDAYS[day.weekday()],
                date=date_words(day),
                load=line.load.value if line else "",
                body=line.body.value if line else Body.BOTH.value,
                jumps=bool(line and line.jumps),
                words=words_of(line) or "not marked",
                golf=(golf or {}).get(day, ""),
                is_today=day == today,
            )
        )
    return cells


def strip_of(student: Student, opens: date, today: date) -> GymStrip:
    """One week, with the three days before it for what reaches over. Six queries.

    A week with nothing marked is shown as the last one was, to be kept or changed.
    """
    first, last = opens - WEEK, opens + WEEK - timedelta(days=1)
    gym = read_gym(student, first, last)
    golf = read_golf(student, opens - BEFORE, last)
    here = {day: line for day, line in gym.items() if day >= opens}
    before = {day + WEEK: line for day, line in gym.items() if day < opens}
    clashes = [c.words for c in clashes_of(gym, golf) if c.day >= opens]
    return GymStrip(
        opens=opens,
        cells=cells_of(opens, here or before, today, _by_day(golf)),
        clashes=clashes,
        # What a screening found is for those who teach.
        limits=replace(limits_passed_on(student, opens), cannots=()),
        is_empty=not here,
        from_last_week=not here and bool(before),
    )


def _by_day(golf: list[HardGolf]) -> dict[date, str]:
    days: dict[date, list[str]] = {}
    for hard in golf:
        days.setdefault(hard.day, []).append(hard.what)
    return {day: ", ".join(sorted(set(names))) for day, names in days.items()}


@dataclass(frozen=True, slots=True)
class RosterLine:
    """A student in the strength coach's list: this week in words, and how many clashes."""

    student_id: str
    name: str
    words: str
    clashes: list[str]


def roster_of(students: Sequence[Student], opens_of: Mapping[object, date]) -> list[RosterLine]:
    """Everybody's present week. Three queries for all of them."""
    if not students:
        return []
    first = min(opens_of.values()) - BEFORE
    last = max(opens_of.values()) + WEEK - timedelta(days=1)
    gym: dict[object, dict[date, GymLine]] = {}
    for row in GymDay.objects.filter(student__in=students, day__range=(first, last)):
        gym.setdefault(row.student_id, {})[row.day] = gym_line(row)
    golf = golf_of(students, first, last)
    return [
        _roster_line(student, opens_of[student.pk], gym.get(student.pk, {}), golf[student.pk])
        for student in students
    ]


def _roster_line(
    student: Student, opens: date, gym: Mapping[date, GymLine], golf: list[HardGolf]
) -> RosterLine:
    closes = opens + WEEK - timedelta(days=1)
    marked = [
        f"{WEEKDAYS[day.weekday()][:3]} {words_of(gym[day])}"
        for day in week_days(opens)
        if day in gym and gym[day].load is not GymLoad.REST
    ]
    return RosterLine(
        student_id=str(student.pk),
        name=student.name,
        words="; ".join(marked) or "nothing marked this week",
        clashes=[c.words for c in clashes_of(gym, golf) if opens <= c.day <= closes],
    )
