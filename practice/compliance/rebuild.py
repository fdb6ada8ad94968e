"""Making every tally anew from the raw logs, or comparing the kept rows with them."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from math import isclose
from typing import Any

from django.db import transaction

from practice.compliance import heard
from practice.compliance.facts import CHAINED, CLOSES
from practice.compliance.models import WeekTally
from practice.compliance.tally import FIELDS, SoFar, made_of, read_so_far, recompute, standing
from practice.log.models import Entry, Result
from practice.weeks.models import Week
from shared.kit.weeks import week_start
from shared.people.models import Student

SAME = 1e-6


@dataclass(frozen=True, slots=True)
class Difference:
    """A kept row that does not say what the logs say. No field: the row is missing."""

    student: Student
    opens: date
    field: str = ""
    kept: Any = None
    logged: Any = None

    def __str__(self) -> str:
        where = f"{self.student.pk} week {self.opens}"
        if not self.field:
            return f"{where}: no tally"
        return f"{where}: {self.field} is {self.kept!r}, the logs say {self.logged!r}"


def weeks_of(student: Student) -> list[date]:
    """Openings of every week with a sent plan, practice, or a tally. Four queries."""
    sent = Week.objects.filter(student=student, state=Week.State.SENT)
    done = Result.objects.filter(student=student, entry__counts=True)
    kept = WeekTally.objects.filter(student=student)
    openings = {
        opens for rows in (sent, done, kept) for opens in rows.values_list("opens", flat=True)
    }
    days = Entry.objects.filter(student=student, counts=True).values_list("day", flat=True)
    first_weekday = student.studio.first_weekday
    return sorted(openings | {week_start(day, first_weekday) for day in days})


def weeks_known_at(student: Student, at: datetime, span: tuple[date, date]) -> list[date]:
    """Openings between two days that had a sent plan or practice by that moment. Three queries."""
    within = {"student": student, "opens__range": span}
    sent = Week.objects.filter(state=Week.State.SENT, sent_at__lte=at, **within)
    done = Result.objects.filter(entry__received_at__lte=at, **within)
    said = Entry.objects.filter(student=student, kind__in=CHAINED, received_at__lte=at)
    days = said.filter(day__range=(span[0], span[1] + CLOSES)).values_list("day", flat=True)
    openings = {opens for rows in (sent, done) for opens in rows.values_list("opens", flat=True)}
    first_weekday = student.studio.first_weekday
    openings |= {week_start(day, first_weekday) for day in days}
    return sorted(opens for opens in openings if span[0] <= opens <= span[1])


def rebuild(student: Student) -> int:
    """Make every tally of a student anew; a transaction a week, so that nobody waits long."""
    openings = weeks_of(student)
    for opens in openings:
        with transaction.atomic():
            recompute(student, opens)
    return len(openings)


def differences(student: Student) -> Iterator[Difference]:
    """What the kept rows of a student say otherwise than the logs."""
    rows = WeekTally.objects.filter(student=student).defer(None)
    kept, now = {tally.opens: tally for tally in rows}, heard.now(student)
    for opens in weeks_of(student):
        so_far = read_so_far(student, opens)
        fresh = made_of(student, opens, so_far)
        if opens not in kept:
            yield Difference(student, opens)
            continue
        for field in FIELDS:
            was, is_now = getattr(kept[opens], field), getattr(fresh, field)
            if not is_same(was, is_now):
                yield Difference(student, opens, field, was, is_now)
        if stands := standing(kept[opens], now):
            was, is_now = _in_order(stands), _in_order(so_far)
            if not is_same(was, is_now):
                yield Difference(student, opens, "so_far", was, is_now)


def _in_order(so_far: SoFar) -> dict[str, Any]:
    """What was logged of a part came in any order, and none of it hangs on that."""
    sums, parts = map(json.loads, so_far.as_text().split("\n"))
    for part in parts:
        for name in ("blocks", "late", "tapped"):
            part[name].sort(key=json.dumps)
    for *_, tapped in sums["counts"]:
        tapped.sort(key=json.dumps)
    return {"sums": sums, "parts": parts}


def is_same(one: Any, other: Any) -> bool:
    """Equal, to the last digits that a sum of floats may differ in."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(is_same(one[k], other[k]) for k in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(is_same, one, other))
    if isinstance(one, float) or isinstance(other, float):
        return None not in (one, other) and isclose(one, other, rel_tol=0, abs_tol=SAME)
    return bool(one == other)
