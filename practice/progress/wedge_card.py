"""The wedge card of one student as an answer. Metres everywhere.

House rules: a figure needs five balls (a robust spread does); a card is fresh for 90
days and until the club is changed; balls older than 90 days before the newest of their
cell are left out of it.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from statistics import median, stdev
from typing import TYPE_CHECKING
from uuid import UUID

from practice.measures.answers import TooLittle
from practice.progress.wedge_read import Ball, WedgeFacts
from practice.shots.models import LENGTHS, Club

if TYPE_CHECKING:
    from practice.measures.gaps import InBetween
    from practice.measures.wedges import Cell

FRESH = timedelta(days=90)
LEAST_BALLS = 5
WITHIN = 2.0


@dataclass(frozen=True, slots=True)
class Swing:
    """A club at a swing length (hip, chest or full; empty for in between)."""

    club: str
    length: str


@dataclass(frozen=True, slots=True)
class Landing:
    """Where the next ball lands in 95 of 100: an ellipse about the mean, metres and degrees.

    `depth` is the mean long (+) or short (-) of the middle carry, `line` to the right (+).
    """

    depth: float
    line: float
    long_half: float
    short_half: float
    degrees: float
    n: int


@dataclass(frozen=True, slots=True)
class CardCell:
    """One field of the card. Below five balls only `n`, `newest` and `missing` are given."""

    club_id: UUID
    swing: Swing
    n: int
    missing: int
    newest: date | None
    state: str
    carry: float | None = None
    spread: float | None = None
    known_to: float | None = None
    more_balls: int | None = None
    landing: Landing | None = None
    landing_missing: int = 0


@dataclass(frozen=True, slots=True)
class Neighbours:
    """Two neighbours by carry; `kind` is hole, twin or step.

    `differ` is the chance that the longer one really is longer, where it can be told.
    """

    shorter: Swing
    longer: Swing
    from_m: float
    to_m: float
    kind: str
    differ: float | None = None

    @property
    def gap(self) -> float:
        return self.to_m - self.from_m


@dataclass(frozen=True, slots=True)
class Odd:
    """A club whose gain from one swing length to the next is unlike the others'."""

    club: str
    shorter: str
    longer: str
    from_m: float
    to_m: float
    usual_gain: float


@dataclass(frozen=True, slots=True)
class Target:
    """Balls at one distance: the word (long, short, centred, not settled, too few), and wide."""

    metres: float
    n: int
    word: str
    wide: bool = False
    mean_error: float | None = None
    spread: float | None = None
    missing: int = 0
    swings: tuple[Swing, ...] = ()
    newest: date | None = None


@dataclass(frozen=True, slots=True)
class WedgeCard:
    """Everything the wedge card says. `evidence` is the weakest kind it leans on."""

    today: date
    series: str
    evidence: str
    balls: int
    from_memory: int
    within: float
    cells: tuple[CardCell, ...]
    neighbours: tuple[Neighbours, ...]
    odd: tuple[Odd, ...]
    targets: tuple[Target, ...]

    @property
    def holes(self) -> tuple[Neighbours, ...]:
        return tuple(pair for pair in self.neighbours if pair.kind == "hole")

    @property
    def newest(self) -> date | None:
        return max((cell.newest for cell in self.cells if cell.newest), default=None)


def wedge_card(facts: WedgeFacts, today: date, within: float = WITHIN) -> WedgeCard:
    """The card from its facts; `within` is how closely the coach wants a carry known, metres."""
    grouped = _grouped(facts)
    cells = tuple(
        _cell(club, length, grouped.get((club.pk, length), []), today, within)
        for club in facts.clubs
        for length in LENGTHS
    )
    seen = any(ball.is_seen for ball in facts.balls)
    return WedgeCard(
        today=today,
        series=facts.series.words if facts.series else "",
        evidence="seen" if seen else "measured",
        balls=len(facts.balls),
        from_memory=facts.from_memory,
        within=within,
        cells=cells,
        neighbours=_neighbours(cells, _carries(facts, grouped)),
        odd=tuple(_odd(cells)),
        targets=_targets(facts),
    )


def _grouped(facts: WedgeFacts) -> dict[tuple[UUID, str], list[Ball]]:
    """The balls of each cell that are of one time and one club as it is now."""
    changed = {club.pk: club.changed_on for club in facts.clubs}
    groups: dict[tuple[UUID, str], list[Ball]] = defaultdict(list)
    for ball in facts.balls:
        if ball.length:
            groups[ball.club, ball.length].append(ball)
    return {key: _of_one_time(balls, changed[key[0]]) for key, balls in groups.items()}


def _of_one_time(balls: Sequence[Ball], changed_on: date | None) -> list[Ball]:
    newest = balls[0].day
    since = newest - FRESH
    if changed_on is not None and changed_on <= newest:
        since = max(since, changed_on - timedelta(days=1))
    return [ball for ball in balls if ball.day > since]


def _cell(club: Club, length: str, balls: list[Ball], today: date, within: float) -> CardCell:
    swing, n = Swing(club.name, length), len(balls)
    newest = balls[0].day if balls else None
    missing = max(0, LEAST_BALLS - n)
    if missing or newest is None:
        return CardCell(club.pk, swing, n, missing, newest, "too few")
    from practice.measures.wedges import balls_needed, mean_carry, robust_spread

    carries = [ball.carry for ball in balls]
    mean, spread = mean_carry(carries), robust_spread(carries)
    landing = _landing(balls)
    return CardCell(
        club_id=club.pk,
        swing=swing,
        n=n,
        missing=0,
        newest=newest,
        state="stale" if _is_stale(newest, club.changed_on, today) else "fresh",
        carry=median(carries),
        spread=None if isinstance(spread, TooLittle) else spread,
        known_to=None if isinstance(mean, TooLittle) else (mean.high - mean.low) / 2,
        more_balls=max(0, balls_needed(stdev(carries), within) - n),
        landing=landing if isinstance(landing, Landing) else None,
        landing_missing=landing if isinstance(landing, int) else 0,
    )


def _is_stale(newest: date, changed_on: date | None, today: date) -> bool:
    return newest < today - FRESH or (changed_on is not None and changed_on > newest)


def _landing(balls: Sequence[Ball]) -> Landing | int:
    """The ellipse, or how many more balls with their side it takes."""
    from practice.measures.answers import BadData
    from practice.measures.wedges import next_ball_ellipse

    middle = median(ball.carry for ball in balls)
    both = [(ball.carry - middle, ball.side) for ball in balls if ball.side is not None]
    try:
        found = next_ball_ellipse([depth for depth, _ in both], [line for _, line in both])
    except BadData:  # All on one line: more balls will tell.
        return 1
    if isinstance(found, TooLittle):
        return found.missing
    return Landing(found.depth, found.line, found.longer, found.shorter, found.angle, found.n)


def _known(cells: Iterable[CardCell]) -> dict["Cell", float]:
    from practice.measures.wedges import Cell

    return {
        Cell(cell.swing.club, cell.swing.length): cell.carry
        for cell in cells
        if cell.carry is not None
    }


def _carries(
    facts: WedgeFacts, grouped: Mapping[tuple[UUID, str], Sequence[Ball]]
) -> dict["Cell", list[float]]:
    """The carries of each swing that has balls enough for a figure."""
    from practice.measures.wedges import Cell

    names = facts.names
    return {
        Cell(names[club], length): [ball.carry for ball in balls]
        for (club, length), balls in grouped.items()
        if len(balls) >= LEAST_BALLS
    }


def _neighbours(
    cells: Sequence[CardCell], carries: Mapping["Cell", Sequence[float]]
) -> tuple[Neighbours, ...]:
    from practice.measures.gaps import difference
    from practice.measures.wedges import steps

    found = []
    for step in steps(_known(cells)):
        differ = difference(carries[step.shorter], carries[step.longer])
        found.append(
            Neighbours(
                Swing(step.shorter.club, step.shorter.length),
                Swing(step.longer.club, step.longer.length),
                step.from_m,
                step.to_m,
                "hole" if step.is_hole else "twin" if step.is_twin else "step",
                None if isinstance(differ, TooLittle) else differ.chance,
            )
        )
    return tuple(found)


def _odd(cells: Sequence[CardCell]) -> Iterable[Odd]:
    from practice.measures.wedges import odd_clubs

    by_length: dict[str, dict[str, float]] = {length: {} for length in LENGTHS}
    for cell in cells:
        if cell.carry is not None:
            by_length[cell.swing.length][cell.swing.club] = cell.carry
    for shorter, longer in pairwise(LENGTHS):
        low, high = by_length[shorter], by_length[longer]
        usual = median([high[club] - low[club] for club in low if club in high] or [0.0])
        for club in odd_clubs(low, high):
            yield Odd(club, shorter, longer, low[club], high[club], usual)


def _targets(facts: WedgeFacts) -> tuple[Target, ...]:
    groups: dict[float, list[Ball]] = defaultdict(list)
    for ball in facts.balls:
        if ball.target:
            groups[round(ball.target, 1)].append(ball)
    recent = {metres: _of_one_time(balls, None) for metres, balls in groups.items()}
    return tuple(_target(metres, recent[metres], facts.names) for metres in sorted(recent))


def _target(metres: float, balls: Sequence[Ball], names: Mapping[UUID, str]) -> Target:
    from practice.measures.wedges import miss

    used = dict.fromkeys(Swing(names[ball.club], ball.length) for ball in balls)
    found = miss([ball.carry for ball in balls], metres)
    if isinstance(found, TooLittle):
        return Target(
            metres,
            len(balls),
            "too few",
            missing=found.missing,
            swings=tuple(used),
            newest=balls[0].day,
        )
    return Target(
        metres=metres,
        n=found.n,
        word=found.word,
        wide=found.wide,
        mean_error=found.mean_error,
        spread=found.spread,
        swings=tuple(used),
        newest=balls[0].day,
    )


@dataclass(frozen=True, slots=True)
class Choice:
    """A swing for a distance: by how much it is off on average, how far balls end from it."""

    swing: Swing
    off: float
    expected_miss: float
    n: int
    is_stale: bool


@dataclass(frozen=True, slots=True)
class Between:
    """A swing between two lengths of one club, reckoned and not hit: `part` of the way from
    the shorter, its mean carry and the next ball each with their 95 % interval, metres."""

    club: str
    shorter: str
    longer: str
    part: float
    low: float
    high: float
    next_low: float
    next_high: float
    expected_miss: float
    n: int


@dataclass(frozen=True, slots=True)
class Lookup:
    """What to hit from a distance, best first; nothing where no swing has balls enough."""

    metres: float
    choices: tuple[Choice, ...]
    between: Between | None = None


def what_to_hit(facts: WedgeFacts, card: WedgeCard, metres: float) -> Lookup:
    """The swings of the card with the smallest expected miss. Metres, above 0."""
    from practice.measures.gaps import in_between
    from practice.measures.wedges import best_swings

    known = {cell.swing: cell for cell in card.cells if cell.carry is not None}
    balls = _carries(facts, _grouped(facts))
    found, between = best_swings(balls, metres), in_between(balls, metres)
    if isinstance(found, TooLittle):
        return Lookup(metres, ())
    swings = [(choice, Swing(choice.cell.club, choice.cell.length)) for choice in found]
    return Lookup(
        metres,
        tuple(
            Choice(swing, each.off, each.expected, each.n, known[swing].state == "stale")
            for each, swing in swings
        ),
        None if isinstance(between, TooLittle) or not between else _between(between[0]),
    )


def _between(found: "InBetween") -> Between:
    mean, ball = found.carry.mean, found.carry.next_ball
    return Between(
        club=found.shorter.club,
        shorter=found.shorter.length,
        longer=found.longer.length,
        part=found.part,
        low=mean.low,
        high=mean.high,
        next_low=ball.low,
        next_high=ball.high,
        expected_miss=found.expected,
        n=mean.n,
    )
