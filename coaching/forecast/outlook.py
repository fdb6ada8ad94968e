"""Who falls behind, and will probably not finish this week: a count of the student's own weeks.

`deciding` says when the forecast gives the word instead.

The rule, the thresholds and the smallest number of weeks are our own choice; the
estimate (k + 1) / (n + 2) is Laplace's rule of succession.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from coaching.forecast.thresholds import DEFAULTS, Thresholds
from practice.compliance.credit import DAY_LINE

WEEKS_COUNTED = 8
FINISHED_WITHIN = 0.10  # Share of the asked minutes that may be left of a finished week.
_CRUMB = 1e-9


class Pace(StrEnum):
    IN_STEP = "In step"
    TIGHT = "Tight"
    UNLIKELY = "Unlikely"
    TOO_SOON = "Too soon to say"


@dataclass(frozen=True, slots=True)
class PastWeek:
    """One past open week: minutes credited from this point of the week on, and its end."""

    opens: date
    late: float
    finished: bool


@dataclass(frozen=True, slots=True)
class WeekOfDays:
    """One past open week, day by day."""

    opens: date
    credited_by_day: tuple[float, ...]
    finished: bool

    def from_now_on(self, *, today: int, anything_today: bool) -> PastWeek:
        late = late_minutes(self.credited_by_day, today=today, anything_today=anything_today)
        return PastWeek(self.opens, late, self.finished)


@dataclass(frozen=True, slots=True)
class Counted:
    """A past week as it counted: True came through, False did not, None tells nothing."""

    week: PastWeek
    came_through: bool | None


@dataclass(frozen=True, slots=True)
class OpenPart:
    """What is left of one part of the present week."""

    priority: int
    sessions_left: float
    session_minutes: float
    by_total: bool = False
    name: str = ""


@dataclass(frozen=True, slots=True)
class Outlook:
    pace: Pace
    left: float
    came_through: int
    counted: int
    share: float | None
    weeks: tuple[Counted, ...] = ()
    # Parts that the day line alone leaves too few days for: no past week was asked.
    lost: tuple[str, ...] = ()

    @property
    def by_arithmetic(self) -> bool:
        return bool(self.lost)


def late_minutes(credited_by_day: Sequence[float], *, today: int, anything_today: bool) -> float:
    """Minutes of a past week credited from 'this point of the week' on.

    `today` is how many days of the present week are over. Later days count whole.
    The same weekday counts while nothing is logged yet today, because then today
    can still bring all it used to; once something is logged it counts no more,
    which leans to caution.
    """
    return sum(credited_by_day[today + 1 if anything_today else today :])


def judge(left: float, past: Iterable[PastWeek], borders: Thresholds = DEFAULTS) -> Outlook:
    """Count the past weeks that did as much as is left now.

    A week that was finished with less left than now tells nothing and is left out.
    `borders` are the studio's.
    """
    weeks = tuple(Counted(week, _came_through(left, week)) for week in past)
    through = sum(week.came_through is True for week in weeks)
    counted = sum(week.came_through is not None for week in weeks)
    share = (through + 1) / (counted + 2) if counted >= borders.weeks_needed else None
    return Outlook(_pace(share, borders), left, through, counted, share, weeks)


def _came_through(left: float, week: PastWeek) -> bool | None:
    if week.late >= left:
        return True
    return None if week.finished else False


def _pace(share: float | None, borders: Thresholds) -> Pace:
    if share is None:
        return Pace.TOO_SOON
    if share >= borders.in_step_from:
        return Pace.IN_STEP
    return Pace.TIGHT if share >= borders.tight_from else Pace.UNLIKELY


def out_of_days(parts: Iterable[OpenPart], *, days_left: int, asked: float) -> tuple[str, ...]:
    """Names of the parts that the day line alone leaves too few open days to finish; () if none.

    A day earns at most one and a half sessions of a part, so a part with more left
    than 1.5 × the open days cannot be finished; neither can the week, if that is
    part 1 or takes more than the tenth that a finished week may leave. Parts that
    are asked by total have no day line. House rule, not a published one.
    """
    over = [
        (part, part.sessions_left - DAY_LINE * days_left) for part in parts if not part.by_total
    ]
    lost = [(part, more) for part, more in over if more > _CRUMB]
    minutes = sum(more * part.session_minutes for part, more in lost)
    first = any(part.priority == 1 for part, _ in lost)
    if not first and minutes <= FINISHED_WITHIN * asked:
        return ()
    return tuple(part.name for part, _ in lost)


def unlikely_by_arithmetic(outlook: Outlook, lost: tuple[str, ...]) -> Outlook:
    """The same figures with the word that the number of days alone decides."""
    return replace(outlook, pace=Pace.UNLIKELY, lost=lost)


def minutes_to_step(
    left: float, past: Sequence[WeekOfDays], *, today: int, borders: Thresholds = DEFAULTS
) -> float | None:
    """The fewest minutes that, done today, would make the word In step.

    0 if any entry would do, None if not even all that is left would. With something
    done today the past weeks count from tomorrow on.
    """
    weeks = [week.from_now_on(today=today, anything_today=True) for week in past]
    for rest in sorted(
        {week.late for week in weeks if week.late <= left} | {0.0, left}, reverse=True
    ):
        if judge(rest, weeks, borders).pace is Pace.IN_STEP:
            return left - rest
    return None


def out_of_days_since(
    parts: Sequence[OpenPart],
    by_day: Sequence[Sequence[float]],
    *,
    open_days: Sequence[int],
    today: int,
    asked: float,
) -> int:
    """The offset of the day at whose end the days left had become too few.

    `by_day` holds, for each part, the sessions credited on each of the seven days.
    """
    began = today
    for day in range(today - 1, -1, -1):
        then = [
            replace(part, sessions_left=part.sessions_left + sum(done[day + 1 : today + 1]))
            for part, done in zip(parts, by_day, strict=True)
        ]
        if not out_of_days(then, days_left=sum(d > day for d in open_days), asked=asked):
            break
        began = day
    return began


def pace_since(
    outlook: Outlook,
    credited_by_day: Sequence[float],
    past: Sequence[WeekOfDays],
    borders: Thresholds = DEFAULTS,
) -> int | None:
    """Return the offset of the day at whose end this word began; None if that is today.

    `credited_by_day` are the days of the present week up to and with today. Walks
    back, asking at the end of each day what the board asks now.
    """
    began = None
    left = outlook.left
    for day in range(len(credited_by_day) - 2, -1, -1):
        left += credited_by_day[day + 1]
        weeks = [
            PastWeek(week.opens, sum(week.credited_by_day[day + 1 :]), week.finished)
            for week in past
        ]
        if judge(left, weeks, borders).pace is not outlook.pace:
            break
        began = day
    return began
