"""What was drawn for whom, and what a week is asked for by it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from practice.drills.models import Area
from practice.tryouts.models import CHECKED, ELSEWHERE, RESTS, TryOut
from practice.tryouts.services import may_begin
from shared.people.models import Student

MOST = 20
THE_TEST = "test of a try-out"
LIGHT, AS_USUAL = "drawn: light, half the visits", "drawn: as usual"


@dataclass(frozen=True, slots=True)
class Drawn:
    """What a try-out asks of one week: drills to add first, each with why, and a word to say."""

    adds: Sequence[tuple[str, UUID]]
    says: Sequence[str]


def try_outs_of(student: Student) -> list[TryOut]:
    """The newest first. One query."""
    rows = TryOut.objects.filter(student=student).order_by("-drawn_at", "pk")
    drills = ("drill__current", "other__current", "test__current")
    return list(rows.select_related("student", *drills)[:MOST])


def drawn_for(student: Student, opens: date) -> Drawn:
    """Asked of the limits. One query, and at most two more for each try-out of this week."""
    adds: list[tuple[str, UUID]] = []
    says: list[str] = []
    since = opens - timedelta(days=CHECKED)
    rows = TryOut.objects.filter(student=student, ended_at=None, judged_on__gt=since)
    rows = rows.select_related("drill__current", "other__current", "test__current")
    for row in rows.order_by("begins", "pk")[:MOST]:
        if row.design == TryOut.Design.TURNS:
            _add_turn(row, student, opens, adds, says)
            continue
        why = _test(row, opens)
        if why and may_begin(student, row.test):
            adds.append((why, row.test_id))
        if opens < row.begins:
            says.append(f"“{row.drill}” begins in the week of {_day(row.begins)}, as drawn.")
        elif opens >= row.judged_on:
            if _rests(row, opens):
                says.append(f"Leave “{row.drill}” out, so that its test tells whether it stays.")
        elif may_begin(student, row.drill):
            adds.append((_why(row, opens), row.drill_id))
        else:
            says.append(f"The try-out of “{row.drill}” waits: it is not for now.")
    return Drawn(adds, says)


def _add_turn(
    row: TryOut, student: Student, opens: date, adds: list[tuple[str, UUID]], says: list[str]
) -> None:
    """Whose turn this week is; nothing before the first turn and after the last."""
    place = (opens - row.first).days // (7 * row.weeks)
    if not 0 <= place < len(row.turns):
        return
    if may_begin(student, row.test):
        adds.append((THE_TEST, row.test_id))
    is_others = row.turns[place] == 1
    drill = row.other if is_others and row.other else row.drill
    if not may_begin(student, drill):
        says.append(f"The try-out of “{drill}” waits: it is not for now.")
        return
    if row.other is None:
        adds.append((LIGHT if is_others else AS_USUAL, drill.pk))
        return
    rests = row.drill if is_others else row.other
    adds.append(("drawn: its turn", drill.pk))
    says.append(f"“{rests}” rests this week, as drawn.")


def _test(row: TryOut, opens: date) -> str:
    """Why the test is asked for in this week; empty where it is not."""
    past = (opens - row.judged_on).days
    if past < 0:
        return THE_TEST
    if past < min(RESTS):
        return ""
    if past < ELSEWHERE:
        return f"test after {max(days for days in RESTS if days <= past)} days without it"
    return "" if _is_speed(row) else "test at another place"


def _rests(row: TryOut, opens: date) -> bool:
    return (opens - row.judged_on).days < max(RESTS)


def _is_speed(row: TryOut) -> bool:
    """Speeds of two places are never joined."""
    return row.test.current is not None and row.test.current.area == Area.SPEED


def _why(row: TryOut, opens: date) -> str:
    return "drawn: it begins this week" if opens == row.begins else "drawn: it runs"


def _day(day: date) -> str:
    return f"{day.day} {day:%b}"
