"""The line of a plan: what each week was to ask in each area. Pure."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from coaching.season.ramp import (
    CAP_PERCENT,
    LIGHTER_EVERY,
    LIGHTER_PERCENT,
    MOST_WEEKS,
    Ramp,
    RampWeek,
    reached_after,
    weeks_of,
)

WEEK = timedelta(weeks=1)
ShareOf = Callable[[date], float]


@dataclass(frozen=True, slots=True)
class RampRow:
    """A ramp of one area, in force from the week that opens on `opens`; percents are whole."""

    area: str
    opens: date
    start: float
    target: float
    due: date
    cap: int = CAP_PERCENT
    lighter_every: int = LIGHTER_EVERY
    lighter: int = LIGHTER_PERCENT

    def ramp(self, shares: Iterable[float]) -> Ramp:
        """With how much there is of its first weeks; of those that follow it is all."""
        return Ramp(
            start=self.start,
            target=self.target,
            weeks=week_number(self.opens, self.due) + 1,
            cap=self.cap / 100,
            lighter_every=self.lighter_every,
            lighter_share=self.lighter / 100,
            shares=tuple(shares),
        )


def week_number(first: date, opens: date) -> int:
    """Whole weeks from one opening day to another."""
    return (opens - first).days // 7


def row_for(rows: Iterable[RampRow], area: str, opens: date) -> RampRow | None:
    """The ramp in force in that week: the latest that had begun by then."""
    begun = [row for row in rows if row.area == area and row.opens <= opens]
    return max(begun, key=lambda row: row.opens, default=None)


def line_of(
    rows: Sequence[RampRow], area: str, weeks: Sequence[date], share_of: ShareOf
) -> dict[date, RampWeek]:
    """What the area was to ask in each of these weeks; weeks before its first ramp are left out.

    `share_of` is how much of a week there is, from 0 to 1 (see Ramp).
    """
    line: dict[date, RampWeek] = {}
    reckoned: dict[RampRow, list[RampWeek]] = {}
    for opens in weeks:
        row = row_for(rows, area, opens)
        if row is None:
            continue
        if row not in reckoned:
            count = week_number(row.opens, max(weeks)) + 1
            shares = [share_of(row.opens + n * WEEK) for n in range(count)]
            reckoned[row] = weeks_of(row.ramp(shares), count)
        line[opens] = reckoned[row][week_number(row.opens, opens)]
    return line


def reaches(row: RampRow, share_of: ShareOf) -> date | None:
    """The opening day of the week in which the target stands; None if that is years away."""
    # Days away after the week of the target put it off as well.
    shares = [share_of(row.opens + n * WEEK) for n in range(2 * MOST_WEEKS)]
    number = reached_after(row.ramp(shares))
    return None if number is None else row.opens + (number - 1) * WEEK


def share_of_week(opens: date, away: Iterable[date], events: Iterable[date], event: float) -> float:
    """How much of a week there is: open days of seven, and an event leaves `event` of it.

    Examples
    --------
    >>> monday = date(2031, 2, 24)
    >>> share_of_week(monday, [], [date(2031, 2, 28)], 0.5)
    0.5
    >>> share_of_week(monday, [monday + timedelta(n) for n in range(7)], [], 0.5)
    0.0
    """
    days = {opens + timedelta(days=n) for n in range(7)}
    share = (7 - len(days.intersection(away))) / 7
    return share if days.isdisjoint(events) else min(share, event)
