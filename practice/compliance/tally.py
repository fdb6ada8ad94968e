"""The weekly tally: one row per student and week, made whole from the logs every time.

`WeekTally.parts` holds a PartTally per part that is asked, or was and has work. Days are
offsets from the opening day. A row says nothing about today, so a rebuild gives the same.
Work before the week opens stands on its first day, a make-up on its last.
"""

from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta
from typing import Any

from django.db import connection

from practice.compliance.credit import DAYS_IN_WEEK, is_finished, minutes_left, week_credit
from practice.compliance.facts import ToldEntry, WeekFacts, read_week
from practice.compliance.models import WeekTally
from practice.compliance.parts import counts_given, dose_of, planned_days, sessions_left
from practice.compliance.reckoned import Reckoned, part_tally, reckon
from practice.compliance.volume import Volume, minutes_of, volume_of
from shared.kit.weeks import TURNOVER
from shared.people.models import Student
from shared.site.prepared import PreparedRows

KEYS = ("student", "opens")
FIELDS = tuple(
    field.name
    for field in WeekTally._meta.concrete_fields  # noqa: SLF001 (Django documents it)
    if not field.primary_key and field.name not in KEYS
)
_keep_rows = PreparedRows(WeekTally, instead=KEYS)


def take_turns(student: Student) -> None:
    """One writer at a time per student, so that a tally always sees all that came before it.

    SQLite has one writer anyway.
    """
    if connection.features.has_select_for_update:
        Student.objects.select_for_update(no_key=True).filter(pk=student.pk).values("pk").first()


def recompute(student: Student, opens: date) -> None:
    """Make the tally of this student-week anew, in turn, and keep it.

    Callers bring the transaction. The queries of `keep`, and on PostgreSQL one more to
    wait for whoever writes about the same student.
    """
    take_turns(student)
    keep(student, [opens])


def keep(student: Student, weeks: Iterable[date]) -> None:
    """The same for who has taken the turn already, and for several weeks at once.

    Five queries a week to read, and one to write them all, however much was logged.
    """
    _keep_rows([compute(student, opens) for opens in sorted(weeks)])


def compute(student: Student, opens: date, *, as_of: datetime | None = None) -> WeekTally:
    """The tally of this student-week, not saved.

    With `as_of`, from what was known at that instant: entries received, excused days
    and stops told, swaps accepted, parts added, changed and taken off by then. Queries
    as `read_week` says.
    """
    facts = read_week(student, opens, as_of)
    minutes = minutes_of(facts)
    stands = reckon(facts, minutes, as_of)
    volume = volume_of(facts, minutes)
    written = [_written(entry, opens) for entry in facts.entries]
    return WeekTally(
        student=student,
        opens=opens,
        has_plan=bool(facts.parts),
        open_days=DAYS_IN_WEEK - len(facts.excused),
        pain=facts.pain,
        unplanned_minutes=_unplanned(stands, volume),
        parts=[part_tally(part) for part in stands],
        entries=written,
        last_written_at=max((entry.at for entry in facts.entries), default=None),
        **_compliance(stands),
        **_days_asked(stands, facts),
        **_as_asked(stands, written),
        **volume.as_fields(),
    )


def _compliance(parts: Sequence[Reckoned]) -> dict[str, Any]:
    asked = sum(part.asked_minutes for part in parts)
    first = _first_priority(parts)
    priority = week_credit([part.weighed for part in first])
    left = minutes_left([part.weighed for part in parts])
    by_day = _credited_by_day(parts)
    return {
        "asked_minutes": asked,
        "credited_minutes": sum(by_day),
        "credit": week_credit([part.weighed for part in parts]),
        "priority_credit": priority,
        "priority_sessions_done": sum(part.credit.done for part in first),
        "priority_sessions_asked": round(sum(part.credit.asked for part in first)),
        "finished": is_finished(priority, asked, left),
        "sessions_left": sum(sessions_left(part.credit) for part in parts),
        "credited_by_day": by_day,
        "planned_by_day": _planned_by_day(parts),
        "reps_asked": round(sum(p.credit.asked * p.asked.dose.reps for p in parts)),
    }


def _first_priority(parts: Sequence[Reckoned]) -> list[Reckoned]:
    """Priority 1 of what stands on the plan."""
    standing = [part for part in parts if not part.asked.removed]
    first = min((part.row.priority for part in standing), default=None)
    return [part for part in standing if part.row.priority == first]


def _credited_by_day(parts: Sequence[Reckoned]) -> list[float]:
    """What each day added, in day order."""
    days = [0.0] * DAYS_IN_WEEK
    for part in parts:
        for day, sessions in part.credit.by_day.items():
            days[within(day)] += sessions * part.asked.minutes
    return days


def _planned_by_day(parts: Sequence[Reckoned]) -> list[float]:
    plans = [(part.asked.minutes, planned_days(part.asked, part.credit.asked)) for part in parts]
    return [sum(minutes * plan[day] for minutes, plan in plans) for day in range(DAYS_IN_WEEK)]


def within(day: int) -> int:
    return min(max(day, 0), DAYS_IN_WEEK - 1)


def _unplanned(parts: Sequence[Reckoned], volume: Volume) -> float:
    """Minutes of practice that nobody asked for, or that came when it could not count."""
    return max(0.0, volume.minutes - volume.asked_for_minutes)


def _days_asked(parts: Sequence[Reckoned], facts: WeekFacts) -> dict[str, int]:
    """Days needed to do it as planned: the most sessions of one part, or the fixed days."""
    fixed = {day for part in parts if part.credit.asked for day in part.asked.days}
    most = max((round(part.credit.asked) for part in parts), default=0)
    days = max(most, len(fixed - facts.excused))
    return {"days_asked": min(days, DAYS_IN_WEEK - len(facts.excused))}


def _as_asked(parts: Sequence[Reckoned], written: Sequence[list[int]]) -> dict[str, int]:
    """Counts given, those exactly as asked, and those of a tap on the day itself."""
    own = [(part, block) for part in parts for block in part.blocks if not block.is_swap]
    pairs = [
        (*counts_given(dose_of(part.row.dose) or part.asked.dose, block), block)
        for part, block in own
    ]
    same_day = {day for day, on in written if day == on}
    return {
        "counts_given": sum(given for given, _, _ in pairs),
        "counts_as_asked": sum(same for _, same, _ in pairs),
        "counts_tapped": sum(
            same for _, same, block in pairs if block.as_asked and block.day in same_day
        ),
    }


def _written(entry: ToldEntry, opens: date) -> list[int]:
    """[day it was done, day it was first written down], the latter on the phone's clock."""
    begun = entry.first_at + timedelta(minutes=entry.utc_offset_minutes) - TURNOVER
    return [(entry.day - opens).days, (begun.date() - opens).days]
