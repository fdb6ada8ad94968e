"""What a wedge card is made from, and what every answer takes from it: once a page."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple
from uuid import UUID

from practice.measures.usual import DaySpread
from practice.shots.models import Club

if TYPE_CHECKING:
    from practice.measures.days import DayLevel
    from practice.measures.wedges import Cell

FRESH = timedelta(days=90)
LEAST_BALLS = 5
COARSEST = 1.0  # Carries are typed in whole metres or yards at the coarsest.


class BallSeries(NamedTuple):
    """Balls that may be put together: same device, ball and place, same roof."""

    device: str
    ball: str
    place: str
    roof: str

    @property
    def words(self) -> str:
        said = [part for part in (self.device, self.ball, self.place, self.roof) if part]
        return ", ".join(said) or "nothing noted"


class Ball(NamedTuple):
    """One ball with its carry in metres; `length` is empty for an in-between swing."""

    club: UUID
    length: str
    carry: float
    side: float | None
    target: float | None
    day: date
    is_seen: bool


@dataclass(frozen=True, slots=True)
class SeriesCount:
    series: BallSeries
    n: int
    newest: date


@dataclass(frozen=True)
class WedgeFacts:
    """What the wedge card is made from. `balls` are those of `series`, newest first."""

    clubs: tuple[Club, ...]
    series: BallSeries | None
    others: tuple[SeriesCount, ...]
    balls: tuple[Ball, ...]
    from_memory: int
    is_cut: bool
    usual: DaySpread

    @cached_property
    def names(self) -> dict[UUID, str]:
        return {club.pk: club.name for club in self.clubs}

    @cached_property
    def by_swing(self) -> dict[tuple[UUID, str], list[Ball]]:
        """The balls of each cell that are of one time and one club as it is now."""
        changed = {club.pk: club.changed_on for club in self.clubs}
        groups: dict[tuple[UUID, str], list[Ball]] = defaultdict(list)
        for ball in self.balls:
            if ball.length:
                groups[ball.club, ball.length].append(ball)
        return {key: of_one_time(balls, changed[key[0]]) for key, balls in groups.items()}

    @cached_property
    def level_by_swing(self) -> "Mapping[tuple[UUID, str], DayLevel]":
        """Over their days, the swings that have balls enough for a figure."""
        return {
            key: level_of(balls, self.usual)
            for key, balls in self.by_swing.items()
            if len(balls) >= LEAST_BALLS
        }

    @cached_property
    def levels(self) -> "Mapping[Cell, DayLevel]":
        """The same by the names of their clubs."""
        from practice.measures.wedges import Cell

        return {Cell(self.names[club], at): it for (club, at), it in self.level_by_swing.items()}

    @cached_property
    def carries(self) -> "Mapping[Cell, list[float]]":
        """The balls of the same swings."""
        from practice.measures.wedges import Cell

        return {
            Cell(self.names[club], length): [ball.carry for ball in self.by_swing[club, length]]
            for club, length in self.level_by_swing
        }


def of_one_time(balls: Sequence[Ball], changed_on: date | None) -> list[Ball]:
    newest = balls[0].day
    since = newest - FRESH
    if changed_on is not None and changed_on <= newest:
        since = max(since, changed_on - timedelta(days=1))
    return [ball for ball in balls if ball.day > since]


def level_of(balls: Sequence[Ball], usual: DaySpread) -> "DayLevel":
    """The carry of one swing over its days; at least LEAST_BALLS balls."""
    from practice.measures.days import DayLevel, level_over_days

    found = level_over_days(by_day(balls), "m", usual, coarsest=COARSEST)
    assert isinstance(found, DayLevel)  # noqa: S101 (there are balls enough)
    return found


def by_day(balls: Iterable[Ball]) -> list[list[float]]:
    """Carries day by day, in time order."""
    days: dict[date, list[float]] = defaultdict(list)
    for ball in balls:
        days[ball.day].append(ball.carry)
    return [days[day] for day in sorted(days)]


def swings_by_day(facts: WedgeFacts) -> list[list[list[float]]]:
    """Of each swing of the card its carries day by day, in time order."""
    return [by_day(balls) for balls in facts.by_swing.values()]
