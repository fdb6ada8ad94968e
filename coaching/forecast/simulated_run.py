"""The forecast let loose on an invented studio, week by week, knowing only what was written."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from coaching.forecast.evaluation import LOOKS, Case, counts_of
from coaching.forecast.forecast import ThisWeek, own_of, said, to_come
from coaching.forecast.rhythm import DAYS, HOUSE, DoneWeek, Rhythm
from coaching.forecast.rhythm_fit import rhythm_from
from coaching.forecast.simulated import Oracle, SimStudent, SimWeek

DELAYS_FROM_WEEKS = 12


def print_nothing(done: int) -> None:
    """For whoever wants to hear nothing of how far it is."""


@dataclass(frozen=True, slots=True)
class _Before:
    """What is known of a student when a week begins; `last_log` counts days from its opening."""

    past: Sequence[DoneWeek]
    rhythm: Rhythm
    oracle: Oracle
    last_log: int


def run(
    students: Sequence[SimStudent],
    *,
    enough: float,
    tell: Callable[[int], None] = print_nothing,
) -> Iterator[Case]:
    """A case for each look at each open week of each student.

    The studio's rhythm is made anew each week from the weeks before, as in the app.
    `tell` hears the number of each week that is done.
    """
    histories: list[list[DoneWeek]] = [[] for _ in students]
    oracles = [Oracle(student.truth) for student in students]
    delays: list[list[int]] = []
    for number in range(len(students[0].weeks)):
        recent = [delay for week in delays[-DELAYS_FROM_WEEKS:] for delay in week]
        rhythm = rhythm_from(histories, recent, enough) if number else HOUSE
        for who, student in enumerate(students):
            week = student.weeks[number]
            if len(week.shut) == DAYS:
                continue
            last = _last_log(student.weeks[:number])
            before = _Before(histories[who], rhythm, oracles[who], last)
            yield from _looks((who, number), week, before, enough)
            oracles[who].learn(week, number)
            histories[who].append(DoneWeek(week.opens, week.asked, week.credited(), week.shut))
        delays.append(_delays([student.weeks[number] for student in students]))
        tell(number + 1)


def _looks(names: tuple[int, int], week: SimWeek, before: _Before, enough: float) -> Iterator[Case]:
    who, number = names
    past, rhythm, oracle = before.past, before.rhythm, before.oracle
    nothing = (0.0,) * DAYS
    opening = ThisWeek(
        week.opens, week.asked, nothing, to_come(-1, nothing, shut=week.shut), week.shut
    )
    own = own_of(past, rhythm, opening, enough)
    came = week.share >= enough - 1e-9
    for look in LOOKS:
        by_day = week.credited(look)
        come = to_come(look, rhythm.late, shut=week.shut)
        now = ThisWeek(week.opens, week.asked, by_day, come, week.shut)
        share, same_line = counts_of(past, by_day, week.asked, look, enough)
        yield Case(
            who=who,
            week=number,
            look=look,
            weeks_before=len(past),
            chance=said(now, own, rhythm, enough).chance,
            share=share,
            share_same_line=same_line,
            credited=sum(by_day) / week.asked,
            quiet=_quiet(week, look, before.last_log),
            came=came,
            best=oracle.chance(week, number, look, enough),
        )


def _quiet(week: SimWeek, look: int, logged: int) -> int:
    """Days without a log at the end of a day; `logged` is the last one before the week."""
    written = [
        day + week.late[day]
        for day in range(DAYS)
        if week.done[day] and day + week.late[day] <= look
    ]
    return look - max(written, default=logged)


def _last_log(weeks: Sequence[SimWeek]) -> int:
    """Day of the last log before a week, counted from its opening: -1 is the day before."""
    for ago, week in enumerate(reversed(weeks[-4:]), start=1):
        written = [day + week.late[day] for day in range(DAYS) if week.done[day]]
        if written:
            return min(-1, max(written) - DAYS * ago)
    return -DAYS * (min(4, len(weeks)) + 1)


def _delays(weeks: Sequence[SimWeek]) -> list[int]:
    return [week.late[day] for week in weeks for day in range(DAYS) if week.done[day]]
