"""The weekly tally: one row per student and week, as if made whole from the logs every time.

`WeekTally.parts` holds a PartTally per part that is asked, or was and has work. Days are
offsets from the opening day. A row says nothing about today, so a rebuild gives the same.
Work before the week opens stands on its first day, a make-up on its last.

All of a row follows from a `SoFar`. That is made from the logs; or it is the one kept with
the row, with logs added that came since.
"""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from types import SimpleNamespace
from typing import Any, NamedTuple
from uuid import UUID

from django.db import connection
from django.db.models import UUIDField
from django.db.transaction import TransactionManagementError

from practice.compliance.credit import DAYS_IN_WEEK, is_finished, minutes_left, week_credit
from practice.compliance.facts import DoneBlock, ToldEntry, WeekStop, read_week
from practice.compliance.models import WeekTally
from practice.compliance.reckoned import (
    Around,
    PartSoFar,
    PartTally,
    reckon,
    row_of,
    with_more,
)
from practice.compliance.volume import Volume, minutes_of, volume_of
from shared.kit.weeks import TURNOVER
from shared.people.models import Student
from shared.site.prepared import Prepared, PreparedChange, PreparedRows

KEYS = ("student", "opens")
# What is of use to the next log alone.
BESIDE = ("so_far", "heard")
FIELDS = tuple(
    field.name
    for field in WeekTally._meta.concrete_fields  # noqa: SLF001 (Django documents it)
    if not field.primary_key and field.name not in (*KEYS, *BESIDE)
)
# Raised with every change of what a SoFar holds, or of how it is made: older ones stand no more.
FORM = 2
OF_LOGS = (
    "entries", "last_written_at", "counts_given", "counts_as_asked", "counts_tapped", "minutes",
    "unplanned_minutes", "minutes_by_day", "days_done", "reps", "balls", "hard_swings",
    "swing_equivalents",
)  # fmt: skip
_keep_rows = PreparedRows(WeekTally, instead=KEYS)
_change_volume = PreparedChange(WeekTally, (*OF_LOGS, *BESIDE), key=KEYS)
_change_all = PreparedChange(WeekTally, (*FIELDS, *BESIDE), key=KEYS)


# Of a part: counts given, those exactly as asked, and how many of these by a tap: [day, how many].
Counts = tuple[int, int, list[list[int]]]
_text = json.JSONEncoder(separators=(",", ":")).encode


@dataclass(frozen=True, slots=True)
class SoFar:
    """A week as far as it was logged: what its row is made of, and one more log needs.

    Its parts are kept as text: a log that belongs to none of them neither reads nor writes them.
    """

    has_plan: bool
    # A list of PartSoFar, and what of it any log asks for.
    parts_text: str
    counts: list[Counts]
    volume: Volume
    # [day it was done, day it was first written down] of each entry, in order.
    entries: list[list[int]]
    last: datetime | None
    pain: int | None
    excused: list[int]
    # [drill or nothing, since, cleared or nothing] of each stop.
    stops: list[list[str]]

    def parts(self) -> list[PartSoFar]:
        """Read anew at each call."""
        found: list[PartSoFar] = json.loads(self.parts_text)
        return found

    def as_text(self) -> str:
        """Two lines of JSON: the sums, and the parts."""
        said = {name: getattr(self, name) for name in self.__slots__ if name != "parts_text"}
        said["volume"] = {name: getattr(self.volume, name) for name in self.volume.__slots__}
        said["last"] = self.last and self.last.isoformat()
        return f"{_text(said | {'form': FORM})}\n{self.parts_text}"

    def around(self, opens: date) -> Around:
        return Around(opens, frozenset(self.excused), [_stop(*row) for row in self.stops])


def so_far_of(text: str) -> SoFar | None:
    """What `as_text` said; None of what another release has said."""
    sums, _, parts = text.partition("\n")
    said = json.loads(sums)
    if said.pop("form") != FORM:
        return None
    last = said["last"] and datetime.fromisoformat(said["last"])
    volume = Volume(**said["volume"])
    return SoFar(**said | {"parts_text": parts, "volume": volume, "last": last})


def _stop(drill: str, since: str, cleared: str) -> WeekStop:
    return WeekStop(
        UUID(drill) if drill else None,
        date.fromisoformat(since),
        date.fromisoformat(cleared) if cleared else None,
    )


def standing(tally: WeekTally, heard: int | None) -> SoFar | None:
    """What was kept beside the row, if nothing was heard since."""
    stands = heard is not None and heard == tally.heard
    return so_far_of(tally.so_far) if stands else None


class Logged(NamedTuple):
    """One counting entry without pain, and all its results; those have numbers of their own."""

    entry: ToldEntry
    results: list[DoneBlock]


def take_turns(student: Student) -> None:
    """One writer at a time per student, so that a tally always sees all that came before it.

    SQLite has one writer anyway.
    """
    if connection.features.has_select_for_update:
        if connection.get_autocommit():  # Then the turn would be over with the statement.
            raise TransactionManagementError("A turn is taken in a transaction.")
        _turn(student=student.pk)


_turn = Prepared(
    lambda student: (
        Student.objects.select_for_update(no_key=True).filter(pk=student).values_list("pk")
    ),
    student=UUIDField,
)


def recompute(student: Student, opens: date) -> None:
    """Make the tally of this student-week anew, in turn, and keep it.

    Callers bring the transaction. The queries of `keep`, and on PostgreSQL one more to
    wait for whoever writes about the same student.
    """
    take_turns(student)
    keep(student, [opens])


def keep(student: Student, weeks: Iterable[date], heard: int | None = None) -> None:
    """The same for who has taken the turn already, and for several weeks at once.

    Five queries a week to read, and one to write them all, however much was logged. With
    `heard`, what will have been heard of the student once the rows are kept (`heard.py`),
    the next log is added to them.
    """
    rows = []
    for opens in sorted(weeks):
        so_far = read_so_far(student, opens)
        rows.append(made_of(student, opens, so_far))
        if heard is not None:
            rows[-1].heard, rows[-1].so_far = heard, so_far.as_text()
    _keep_rows(rows)


def keep_added(student: Student, opens: date, was: SoFar, so_far: SoFar, heard: int) -> None:
    """What became of the kept row `was` by logs that were added; one statement."""
    same_parts = so_far.parts_text == was.parts_text
    values = _of_logs(so_far) if same_parts else _of_all(so_far)
    row = SimpleNamespace(
        student_id=student.pk, opens=opens, heard=heard, so_far=so_far.as_text(), **values
    )
    (_change_volume if same_parts else _change_all)(row)


def compute(student: Student, opens: date, *, as_of: datetime | None = None) -> WeekTally:
    """The tally of this student-week from the logs, not saved.

    With `as_of`, from what was known at that instant: entries received, excused days
    and stops told, swaps accepted, parts added, changed and taken off by then. Queries
    as `read_week` says.
    """
    return made_of(student, opens, read_so_far(student, opens, as_of=as_of))


def read_so_far(student: Student, opens: date, *, as_of: datetime | None = None) -> SoFar:
    facts = read_week(student, opens, as_of)
    minutes = minutes_of(facts.neighbours.values(), facts.parts)
    around = Around(opens, facts.excused, facts.stops)
    parts = reckon(facts.parts, facts.results, minutes, around, as_of)
    return SoFar(
        has_plan=bool(facts.parts),
        parts_text=_text(parts),
        counts=_counts(parts),
        volume=volume_of(facts.results, facts.parts, opens, minutes),
        entries=sorted(_written(entry, opens) for entry in facts.entries),
        last=max((entry.at for entry in facts.entries), default=None),
        pain=facts.pain,
        excused=sorted(facts.excused),
        stops=[[str(value or "") for value in stop] for stop in facts.stops],
    )


def added(so_far: SoFar, opens: date, logs: Sequence[Logged]) -> SoFar | None:
    """The week with these logs of its own days; None where they need a look at all of it.

    That is what belongs to another week as well, to a part that is not asked, or was done
    of a drill outside the week.
    """
    results = [result for log in logs for result in log.results]
    parts = so_far.parts() if any(result.part for result in results) else []
    places = {part["tally"]["part"]: n for n, part in enumerate(parts)}
    of_parts: dict[int, list[DoneBlock]] = {}
    for result in results:
        if result.opens != opens or (result.drill if result.part is None else False):
            return None
        if result.part is not None:
            place = places.get(str(result.part))
            if place is None or parts[place]["tally"]["removed"]:
                return None
            of_parts.setdefault(place, []).append(result)
    rows = [row_of(parts[place]) for place in of_parts]
    minutes = minutes_of([log.results for log in logs if log.results], rows)
    around = so_far.around(opens)
    for place, own in of_parts.items():
        parts[place] = with_more(parts[place], own, minutes, around)
    return replace(
        so_far,
        parts_text=_text(parts) if of_parts else so_far.parts_text,
        counts=_counts(parts) if of_parts else so_far.counts,
        volume=so_far.volume + volume_of(results, rows, opens, minutes),
        entries=sorted([*so_far.entries, *(_written(log.entry, opens) for log in logs)]),
        last=max(log.entry.at for log in logs)
        if so_far.last is None
        else max(so_far.last, *(log.entry.at for log in logs)),
    )


def made_of(student: Student, opens: date, so_far: SoFar) -> WeekTally:
    return WeekTally(student=student, opens=opens, **_of_all(so_far))


def _of_all(so_far: SoFar) -> dict[str, Any]:
    parts = so_far.parts()
    tallies = [part["tally"] for part in parts]
    return {
        "has_plan": so_far.has_plan,
        "open_days": DAYS_IN_WEEK - len(so_far.excused),
        "pain": so_far.pain,
        "parts": tallies,
        **_compliance(parts, tallies),
        **_days_asked(tallies, so_far.excused),
        **_of_logs(so_far),
    }


def _of_logs(so_far: SoFar) -> dict[str, Any]:
    """What any log changes, also one of nothing that was asked."""
    return {
        "entries": so_far.entries,
        "last_written_at": so_far.last,
        **_as_asked(so_far.counts, so_far.entries),
        **so_far.volume.as_fields(),
    }


def _compliance(parts: Sequence[PartSoFar], tallies: Sequence[PartTally]) -> dict[str, Any]:
    asked = sum(tally["asked_minutes"] for tally in tallies)
    first = _first_priority(tallies)
    priority = week_credit([_weighed(tally) for tally in first])
    weighed = [_weighed(tally) for tally in tallies]
    by_day = _credited_by_day(tallies)
    return {
        "asked_minutes": asked,
        "credited_minutes": sum(by_day),
        "credit": week_credit(weighed),
        "priority_credit": priority,
        "priority_sessions_done": sum(tally["sessions_done"] for tally in first),
        "priority_sessions_asked": round(sum(tally["asked_sessions"] for tally in first)),
        "finished": is_finished(priority, asked, minutes_left(weighed)),
        "sessions_left": sum(tally["sessions_left"] for tally in tallies),
        "credited_by_day": by_day,
        "planned_by_day": [sum(p["planned"][day] for p in parts) for day in range(DAYS_IN_WEEK)],
        "reps_asked": round(sum(part["reps"] for part in parts)),
    }


def _weighed(tally: PartTally) -> tuple[float, float | None]:
    return tally["asked_minutes"], tally["credit"]


def _first_priority(tallies: Sequence[PartTally]) -> list[PartTally]:
    """Priority 1 of what stands on the plan."""
    standing = [tally for tally in tallies if not tally["removed"]]
    first = min((tally["priority"] for tally in standing), default=None)
    return [tally for tally in standing if tally["priority"] == first]


def _credited_by_day(tallies: Sequence[PartTally]) -> list[float]:
    """What each day added, in day order."""
    return [
        sum(tally["by_day"][day] * tally["minutes"] for tally in tallies)
        for day in range(DAYS_IN_WEEK)
    ]


def _days_asked(tallies: Sequence[PartTally], excused: Sequence[int]) -> dict[str, int]:
    """Days needed to do it as planned: the most sessions of one part, or the fixed days."""
    fixed = {day for tally in tallies if tally["asked_sessions"] for day in tally["days"]}
    most = max((round(tally["asked_sessions"]) for tally in tallies), default=0)
    days = max(most, len(fixed.difference(excused)))
    return {"days_asked": min(days, DAYS_IN_WEEK - len(excused))}


def _counts(parts: Sequence[PartSoFar]) -> list[Counts]:
    return [(part["given"], part["as_asked"], part["tapped"]) for part in parts]


def _as_asked(counts: Sequence[Counts], written: Sequence[list[int]]) -> dict[str, int]:
    """Counts given, those exactly as asked, and those of a tap on the day itself."""
    same_day = {day for day, on in written if day == on}
    return {
        "counts_given": sum(given for given, _, _ in counts),
        "counts_as_asked": sum(same for _, same, _ in counts),
        "counts_tapped": sum(
            same for _, _, tapped in counts for day, same in tapped if day in same_day
        ),
    }


def _written(entry: ToldEntry, opens: date) -> list[int]:
    """[day it was done, day it was first written down], the latter on the phone's clock."""
    begun = entry.first_at + timedelta(minutes=entry.utc_offset_minutes) - TURNOVER
    return [(entry.day - opens).days, (begun.date() - opens).days]
