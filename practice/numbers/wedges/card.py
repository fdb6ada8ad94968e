"""The wedge card of one student as an answer. Metres everywhere.

House rules: a figure needs five balls (a robust spread does); a card is fresh for 90
days and until the club is changed; balls older than 90 days before the newest of their
cell are left out of it.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from statistics import median
from typing import TYPE_CHECKING
from uuid import UUID

from practice.measures.answers import TooLittle
from practice.numbers.wedges.facts import (
    COARSEST,
    FRESH,
    LEAST_BALLS,
    Ball,
    WedgeFacts,
    level_of,
    of_one_time,
)
from practice.shots.models import LENGTHS, Club

if TYPE_CHECKING:
    from practice.measures.days import DayLevel
    from practice.measures.gaps import InBetween
    from practice.measures.wedges import Cell

WITHIN = 2.0
MISTAKEN = 0.05
DRAWN = 60  # Balls under an outline; of more none is told from the next.


@dataclass(frozen=True, slots=True)
class Swing:
    """A club at a swing length (hip, chest or full; empty for in between)."""

    club: str
    length: str


@dataclass(frozen=True, slots=True)
class LandedBall:
    """How far long of the middle carry (+) and to the right (+) a ball landed, metres."""

    long: float
    right: float
    day: date


@dataclass(frozen=True, slots=True)
class Landing:
    """Where the next ball lands in 95 of 100: an ellipse about the mean, metres and degrees.

    `depth` is the mean long (+) or short (-) of the middle carry, `line` to the right (+);
    `balls` are the newest.
    """

    depth: float
    line: float
    long_half: float
    short_half: float
    degrees: float
    n: int
    balls: tuple[LandedBall, ...]


@dataclass(frozen=True, slots=True)
class CardCell:
    """One field of the card. Below five balls only `n`, `newest` and `missing` are given.

    `carry` is the usual figure over its days (medians weighted by how much each tells), and
    `known_to` the half width of its own 95 % interval.
    """

    club_id: UUID
    swing: Swing
    n: int
    missing: int
    newest: date | None
    state: str
    carry: float | None = None
    spread: float | None = None
    known_to: float | None = None
    days: int = 0
    # Half widths after another day, and after ten more balls on the newest; days until `within`.
    another_day: float | None = None
    ten_more: float | None = None
    more_days: int | None = None
    landing: Landing | None = None
    landing_missing: int = 0


@dataclass(frozen=True, slots=True)
class Neighbours:
    """Two neighbours by carry; `kind` is hole, twin or step.

    `differ`: surely, though all swings of the card are compared with each other at once.
    """

    shorter: Swing
    longer: Swing
    from_m: float
    to_m: float
    kind: str
    differ: bool = False

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
    # What of it would come back by itself: of several, the worst is partly chance.
    lasting: float | None = None
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
        """Gaps whose two ends surely differ; another is told between the swings alone."""
        return tuple(pair for pair in self.neighbours if pair.kind == "hole" and pair.differ)

    @property
    def untold(self) -> tuple[Neighbours, ...]:
        """Gaps that may be none: too few days tell."""
        return tuple(pair for pair in self.neighbours if pair.kind == "hole" and not pair.differ)

    @property
    def newest(self) -> date | None:
        return max((cell.newest for cell in self.cells if cell.newest), default=None)


def wedge_card(facts: WedgeFacts, today: date, within: float = WITHIN) -> WedgeCard:
    """The card from its facts; `within` is how closely the coach wants a carry known, metres."""
    cells = tuple(
        _cell(
            club,
            length,
            facts.by_swing.get((club.pk, length), []),
            facts.level_by_swing.get((club.pk, length)),
            today=today,
            within=within,
        )
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
        neighbours=_neighbours(cells, facts.levels),
        odd=tuple(_odd(cells)),
        targets=_targets(facts),
    )


def _cell(
    club: Club,
    length: str,
    balls: list[Ball],
    known: "DayLevel | None",
    *,
    today: date,
    within: float,
) -> CardCell:
    """`known` is the carry over its days; None of too few balls."""
    swing, n = Swing(club.name, length), len(balls)
    newest = balls[0].day if balls else None
    if known is None or newest is None:
        return CardCell(club.pk, swing, n, LEAST_BALLS - n, newest, "too few")
    from practice.measures.wedges import robust_spread

    spread = robust_spread([ball.carry for ball in balls], COARSEST)
    landing = _landing(balls)
    return CardCell(
        club_id=club.pk,
        swing=swing,
        n=n,
        missing=0,
        newest=newest,
        state="stale" if _is_stale(newest, club.changed_on, today) else "fresh",
        carry=known.estimate.value,
        spread=None if isinstance(spread, TooLittle) else spread,
        known_to=known.half,
        days=known.days,
        another_day=known.with_days(1),
        ten_more=known.with_balls(10),
        more_days=known.days_until(within),
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
    both = [
        LandedBall(ball.carry - middle, ball.side, ball.day)
        for ball in balls
        if ball.side is not None
    ]
    try:
        found = next_ball_ellipse([ball.long for ball in both], [ball.right for ball in both])
    except BadData:  # All on one line: more balls will tell.
        return 1
    if isinstance(found, TooLittle):
        return found.missing
    return Landing(
        found.depth,
        found.line,
        found.longer,
        found.shorter,
        found.angle,
        found.n,
        tuple(both[:DRAWN]),
    )


def _known(cells: Iterable[CardCell]) -> dict["Cell", float]:
    from practice.measures.wedges import Cell

    return {
        Cell(cell.swing.club, cell.swing.length): cell.carry
        for cell in cells
        if cell.carry is not None
    }


def _neighbours(
    cells: Sequence[CardCell], levels: Mapping["Cell", "DayLevel"]
) -> tuple[Neighbours, ...]:
    from practice.measures.several import chance_alike
    from practice.measures.wedges import steps

    found = []
    for step in steps(_known(cells)):
        one, other = levels[step.shorter], levels[step.longer]
        freedom = min(one.freedom, other.freedom)
        alike = chance_alike(step.gap, (one.error, other.error), max(len(levels), 2), freedom)
        found.append(
            Neighbours(
                Swing(step.shorter.club, step.shorter.length),
                Swing(step.longer.club, step.longer.length),
                step.from_m,
                step.to_m,
                "hole" if step.is_hole else "twin" if step.is_twin else "step",
                alike < MISTAKEN,
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
    from practice.measures.wedges import LEAST_FOR_MISS

    groups: dict[float, list[Ball]] = defaultdict(list)
    for ball in facts.balls:
        if ball.target:
            groups[round(ball.target, 1)].append(ball)
    recent = {metres: of_one_time(balls, None) for metres, balls in sorted(groups.items())}
    known = {
        metres: level_of(balls, facts.usual)
        for metres, balls in recent.items()
        if len(balls) >= LEAST_FOR_MISS
    }
    lasting = _lasting(known)
    return tuple(
        _target(metres, balls, facts.names, known.get(metres), lasting.get(metres))
        for metres, balls in recent.items()
    )


def _lasting(known: Mapping[float, "DayLevel"]) -> dict[float, float]:
    """By how much each distance would be missed again; nothing below three distances."""
    from practice.measures.several import drawn_in

    errors = [level.estimate.value - metres for metres, level in known.items()]
    found = drawn_in(errors, [level.error**2 for level in known.values()])
    return {} if isinstance(found, TooLittle) else dict(zip(known, found, strict=True))


def _target(
    metres: float,
    balls: Sequence[Ball],
    names: Mapping[UUID, str],
    known: "DayLevel | None",
    lasting: float | None,
) -> Target:
    from practice.measures.wedges import miss

    used = dict.fromkeys(Swing(names[ball.club], ball.length) for ball in balls)
    reach = known.half if known else None
    found = miss([ball.carry for ball in balls], metres, reach=reach)
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
        lasting=lasting,
        spread=found.spread,
        swings=tuple(used),
        newest=balls[0].day,
    )


@dataclass(frozen=True, slots=True)
class SwingChoice:
    """A swing for a distance: by how much it is off on average, how far balls end from it."""

    swing: Swing
    off: float
    expected_miss: float
    n: int
    is_stale: bool


@dataclass(frozen=True, slots=True)
class BetweenSwing:
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
    choices: tuple[SwingChoice, ...]
    between: BetweenSwing | None = None


def what_to_hit(facts: WedgeFacts, card: WedgeCard, metres: float) -> Lookup:
    """The swings of the card with the smallest expected miss. Metres, above 0."""
    from practice.measures.gaps import in_between
    from practice.measures.wedges import best_swings

    known = {cell.swing: cell for cell in card.cells if cell.carry is not None}
    found = best_swings(facts.carries, metres)
    between = in_between(facts.levels, metres)
    if isinstance(found, TooLittle):
        return Lookup(metres, ())
    swings = [(choice, Swing(choice.cell.club, choice.cell.length)) for choice in found]
    return Lookup(
        metres,
        tuple(
            SwingChoice(swing, each.off, each.expected, each.n, known[swing].state == "stale")
            for each, swing in swings
        ),
        None if isinstance(between, TooLittle) or not between else _between(between[0]),
    )


def _between(found: "InBetween") -> BetweenSwing:
    mean, ball = found.carry.mean, found.carry.next_ball
    return BetweenSwing(
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
