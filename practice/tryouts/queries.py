"""What was drawn for whom, and what a week is asked for by it."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from uuid import UUID

from practice.drills.models import Area
from practice.tryouts.models import CHECKED, ELSEWHERE, RESTS, TryOut
from practice.tryouts.services import may_begin
from practice.weeks.models import Week
from practice.weeks.queries import live_parts
from shared.people.models import Student
from shared.people.today import today_of

MOST = 20
THE_TEST = "test of a try-out"
LIGHT, AS_USUAL = "drawn: light, half the visits", "drawn: as usual"


@dataclass(frozen=True, slots=True)
class Drawn:
    """What a try-out asks of one week: drills to add first, each with why, and a word to say.

    `visits` says how often where the draw says so.
    """

    adds: Sequence[tuple[str, UUID]]
    says: Sequence[str]
    visits: Mapping[UUID, int] = field(default_factory=dict)


def try_outs_of(student: Student) -> list[TryOut]:
    """The newest first. One query."""
    rows = TryOut.objects.filter(student=student).order_by("-drawn_at", "pk")
    drills = ("drill__current", "other__current", "test__current")
    return list(rows.select_related("student", *drills)[:MOST])


def tried_now(student: Student) -> frozenset[UUID]:
    """Drills of try-outs that were not ended and not judged yet. One query."""
    rows = TryOut.objects.filter(student=student, ended_at=None, judged_on__gte=today_of(student))
    return frozenset(pk for both in rows.values_list("drill", "other") for pk in both if pk)


def drawn_for(
    student: Student, opens: date, over: Callable[[TryOut], str] = lambda _row: ""
) -> Drawn:
    """Asked of the limits. One query, and at most three more for each try-out of this week.

    `over` says of one whose day of judging has come why nothing more is asked of it; nothing
    for what helped, or while that is not known.
    """
    adds: list[tuple[str, UUID]] = []
    says: list[str] = []
    visits: dict[UUID, int] = {}
    since = opens - timedelta(days=CHECKED)
    rows = TryOut.objects.filter(student=student, ended_at=None, judged_on__gt=since)
    rows = rows.select_related("drill__current", "other__current", "test__current")
    for row in rows.order_by("begins", "pk")[:MOST]:
        if row.design == TryOut.Design.TURNS:
            _add_turn(row, student, opens, adds, says)
            visits |= _visits(row, opens)
        elif opens >= row.judged_on and (done := over(row)):
            says += [done] if _rests(row, opens) else []
        else:
            _add_start(row, student, opens, adds, says)
    return Drawn(adds, says, visits)


def _add_start(
    row: TryOut, student: Student, opens: date, adds: list[tuple[str, UUID]], says: list[str]
) -> None:
    why = _test(row, opens)
    if why and may_begin(student, row.test, opens):
        adds.append((why, row.test_id))
    if opens < row.begins:
        says.append(f"“{row.drill}” begins in the week of {_day(row.begins)}, as drawn.")
    elif opens >= row.judged_on:
        if _rests(row, opens):
            says.append(f"Leave “{row.drill}” out, so that its test tells whether it stays.")
    elif may_begin(student, row.drill, opens):
        adds.append((_why(row, opens), row.drill_id))
    else:
        says.append(f"The try-out of “{row.drill}” waits: it is not for now.")


def _add_turn(
    row: TryOut, student: Student, opens: date, adds: list[tuple[str, UUID]], says: list[str]
) -> None:
    """Whose turn this week is; nothing before the first turn and after the last."""
    turn = _turn(row, opens)
    if turn is None:
        return
    if may_begin(student, row.test, opens):
        adds.append((THE_TEST, row.test_id))
    is_others = turn == 1
    drill = row.other if is_others and row.other else row.drill
    if not may_begin(student, drill, opens):
        says.append(f"The try-out of “{drill}” waits: it is not for now.")
        return
    if row.other is None:
        adds.append((LIGHT if is_others else AS_USUAL, drill.pk))
        return
    rests = row.drill if is_others else row.other
    adds.append(("drawn: its turn", drill.pk))
    says.append(f"“{rests}” rests this week, as drawn.")


def _turn(row: TryOut, opens: date) -> int | None:
    """Which of the two has this week; None before the first turn and after the last."""
    place = (opens - row.first).days // (7 * row.weeks)
    return row.turns[place] if 0 <= place < len(row.turns) else None


def _visits(row: TryOut, opens: date) -> dict[UUID, int]:
    """How often the drill of light fortnights is asked in this week, by the last week before
    them; nothing if it was not asked then. One query."""
    turn = _turn(row, opens)
    if turn is None or row.other is not None:
        return {}
    parts = live_parts().filter(
        week__student=row.student_id, week__state=Week.State.SENT, week__opens__lt=row.first,
        drill=row.drill_id,
    )  # fmt: skip
    latest = parts.order_by("-week__opens").first()
    if latest is None:
        return {}
    usual = latest.sessions_asked or latest.sessions
    return {row.drill_id: max(1, usual // 2) if turn == 1 else usual}


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
