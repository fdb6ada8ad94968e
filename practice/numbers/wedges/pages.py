"""The wedge card in words and rows, for the coach and for the student."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from practice.numbers.kit import text as said
from practice.numbers.wedges.air import InAir
from practice.numbers.wedges.card import (
    BetweenSwing,
    CardCell,
    Lookup,
    Neighbours,
    Odd,
    Swing,
    SwingChoice,
    Target,
    WedgeCard,
)
from practice.numbers.wedges.facts import LEAST_BALLS
from practice.shots.models import LENGTHS
from shared.kit.drawing import charts
from shared.kit.units import DISTANCE


@dataclass(frozen=True, slots=True)
class CellView:
    """One field: `carry` is empty where there are too few balls; `rest` says what it stands on."""

    length: str
    carry: str
    rest: tuple[str, ...]
    look: str


@dataclass(frozen=True, slots=True)
class ClubRow:
    club_id: UUID
    club: str
    cells: tuple[CellView, ...]


@dataclass(frozen=True, slots=True)
class ChoiceView:
    swing: str
    words: str


@dataclass(frozen=True, slots=True)
class LandingView:
    key: str
    swing: str
    words: str
    figure: charts.Scatter


@dataclass(frozen=True, slots=True)
class WedgePage:
    """What templates/numbers/wedges.html needs, and nothing else."""

    unit: str
    answer: str
    basis: str
    notes: tuple[str, ...]
    lengths: tuple[str, ...]
    rows: tuple[ClubRow, ...]
    line: charts.NumberLine | None
    between: tuple[str, ...]
    odd: tuple[str, ...]
    targets: tuple[tuple[str, str], ...]
    landings: tuple[LandingView, ...]
    asked: str
    choices: tuple[ChoiceView, ...]
    in_between: str
    looked_up: str
    within: str

    @property
    def has_carries(self) -> bool:
        return any(cell.carry for row in self.rows for cell in row.cells)


@dataclass(frozen=True, slots=True)
class Reader:
    """Whose unit it is said in, and whether to the student themself."""

    unit: str
    is_own: bool


def wedge_page(card: WedgeCard, found: Lookup | None, reader: Reader) -> WedgePage:
    by_club: dict[UUID, list[CardCell]] = {}
    for cell in card.cells:
        by_club.setdefault(cell.club_id, []).append(cell)
    return WedgePage(
        unit=reader.unit,
        answer=answer(card, reader),
        basis=_basis(card),
        notes=tuple(_notes(card)),
        lengths=tuple(said.LENGTH_WORDS[length] for length in LENGTHS),
        rows=tuple(_row(cells, card, reader.unit) for cells in by_club.values()),
        line=_number_line(card, reader.unit),
        between=tuple(
            _between(pair, card, reader.unit) for pair in card.neighbours if pair.kind != "step"
        ),
        odd=tuple(_odd(odd, reader) for odd in card.odd),
        targets=tuple(_target(target, card, reader) for target in card.targets),
        landings=tuple(_landing(cell, reader.unit) for cell in card.cells if cell.landing),
        asked=said.bare(found.metres, reader.unit) if found else "",
        choices=tuple(_choice(choice, reader.unit) for choice in found.choices) if found else (),
        in_between=_in_between(found.between, reader.unit) if found else "",
        looked_up=_looked_up(found, reader.unit),
        within=said.bare(card.within, reader.unit),
    )


def _number_line(card: WedgeCard, unit: str) -> charts.NumberLine | None:
    """The card as the golfer thinks of it: which distances there are, and where none is."""
    from_si = DISTANCE[unit].from_si
    rungs: dict[str, list[tuple[float, str]]] = {}
    for cell in card.cells:
        if cell.carry is not None:
            point = (from_si(cell.carry), said.LENGTH_WORDS[cell.swing.length].split("-")[0])
            rungs.setdefault(cell.swing.club, []).append(point)
    if not rungs:
        return None
    holes = [(from_si(hole.from_m), from_si(hole.to_m)) for hole in _sound_holes(card)]
    return charts.NumberLine(
        title="The card as a line of distances",
        desc=f"{said.many(len(holes), 'gap')} shaded.",
        axis=charts.Axis("carry", DISTANCE[unit].sign, 0),
        rungs=[charts.Rung(club, points) for club, points in rungs.items()],
        gaps=holes,
    )


def answer(card: WedgeCard, reader: Reader) -> str:
    """The sentence that answers first: which distance is missing?"""
    words = [_odd_first(card, reader), _missed_in_hole(card, reader)]
    if not words[1]:
        words += [_holes(card, reader), _missed(card, reader)]
    told = [word for word in words if word]
    if told:
        return " ".join(told)
    if all(cell.carry is None for cell in card.cells):
        if card.cells:
            return f"Too soon to say: no swing has {LEAST_BALLS} balls yet."
        who = "Your coach puts your clubs in" if reader.is_own else "The coach puts the clubs in"
        return f"No card yet. {who}, then each swing needs {LEAST_BALLS} balls."
    if card.untold:
        first = card.untold[0]
        low, high = said.bare(first.from_m, reader.unit), said.metres(first.to_m, reader.unit)
        return f"Too soon to say whether a gap lies between {low} and {high}. Another day tells."
    return "No gap between neighbouring swings, and no distance is missed so far."


def _odd_first(card: WedgeCard, reader: Reader) -> str:
    """An entry that is likely to be wrong comes before what would be said of it."""
    if not card.odd:
        return ""
    odd = card.odd[0]
    at = said.metres(odd.to_m, reader.unit)
    swing = said.swing(odd.club, odd.longer)
    return f"Check {swing} at {at}: a typing error, or a fuller swing?"


def _sound_holes(card: WedgeCard) -> list[Neighbours]:
    """Holes without an odd entry at either end."""
    odd = {Swing(each.club, each.longer) for each in card.odd}
    return [hole for hole in card.holes if odd.isdisjoint((hole.shorter, hole.longer))]


def _missed_in_hole(card: WedgeCard, reader: Reader) -> str:
    for hole in _sound_holes(card):
        for target in card.targets:
            if hole.from_m < target.metres < hole.to_m:
                return _in_hole(hole, target, reader)
    return ""


def own_missed(metres: float, error: float, unit: str, *, in_hole: bool) -> str:
    """A distance that is missed, to whoever misses it."""
    at = said.metres(metres, unit)
    if in_hole:
        return f"You have no stock swing for {at} yet. Let’s make one."
    word = "long" if error > 0 else "short"
    return f"Balls at {at} end {said.metres(abs(error), unit)} {word}."


def _in_hole(hole: Neighbours, target: Target, reader: Reader) -> str:
    unit = reader.unit
    at = said.metres(target.metres, unit)
    if reader.is_own:
        return own_missed(target.metres, 0, unit, in_hole=True)
    low, high = said.bare(hole.from_m, unit), said.bare(hole.to_m, unit)
    words = f"{at} lies in the gap from {low} to {high}."
    if target.word in ("long", "short") and target.mean_error is not None:
        off = said.metres(abs(target.mean_error), unit)
        words += f" Balls at it fly {off} {target.word} ({said.many(target.n, 'ball')})."
    return words


def _holes(card: WedgeCard, reader: Reader) -> str:
    unit = reader.unit
    spans = [
        f"{said.bare(hole.from_m, unit)} and {said.metres(hole.to_m, unit)}"
        for hole in _sound_holes(card)
    ]
    if not spans:
        return ""
    if reader.is_own:
        return f"There is no stock swing yet between {said.listed(spans)}."
    return f"A gap in the card between {said.listed(spans)}."


def _missed(card: WedgeCard, reader: Reader) -> str:
    missed = [t for t in card.targets if t.word in ("long", "short") or t.wide]
    words = []
    for target in missed:
        at = said.metres(target.metres, reader.unit)
        words.append(f"{at}: {_verdict(target, reader.unit)} ({said.many(target.n, 'ball')})")
    return said.sentence("; ".join(words)) + "." if words else ""


def _verdict(target: Target, unit: str) -> str:
    word = target.word
    if word in ("long", "short") and target.mean_error is not None:
        word = f"{word} by {said.metres(abs(target.mean_error), unit)}"
    return f"{word}, wide" if target.wide else word


def _basis(card: WedgeCard) -> str:
    if not card.balls:
        return ""
    words = f"{said.many(card.balls, 'ball')}, {card.evidence}: {card.series}."
    if card.newest:
        words += f" Newest {said.day(card.newest)}."
    return words


def _notes(card: WedgeCard) -> list[str]:
    notes = []
    if card.from_memory:
        notes.append(
            f"{said.many(card.from_memory, 'ball')} written more than two days later are left out."
        )
    stale = [cell for cell in card.cells if cell.state == "stale"]
    if stale:
        notes.append(
            f"{said.many(len(stale), 'swing')} stale: older than 90 days, or the club was changed"
            " since. Hit ten of each."
        )
    return notes


def _row(cells: Sequence[CardCell], card: WedgeCard, unit: str) -> ClubRow:
    return ClubRow(
        cells[0].club_id, cells[0].swing.club, tuple(_cell(cell, card, unit) for cell in cells)
    )


def _cell(cell: CardCell, card: WedgeCard, unit: str) -> CellView:
    length = said.LENGTH_WORDS[cell.swing.length]
    if cell.carry is None:
        few = f"too few: {cell.n}, {cell.missing} more" if cell.n else "no balls"
        return CellView(length, "", (few,), "")
    rest = [f"{said.many(cell.n, 'ball')} on {said.many(cell.days, 'day')}"]
    if cell.known_to is not None:
        rest[0] += f", known to ± {_half(cell.known_to, unit)}"
    if cell.spread is not None:
        rest.append(f"spread {said.bare(cell.spread, unit)}")
    if cell.more_days and cell.another_day is not None and cell.ten_more is not None:
        rest.append(
            f"another day: ± {_half(cell.another_day, unit)}; "
            f"ten more balls today: ± {_half(cell.ten_more, unit)}"
        )
        days = said.many(cell.more_days, "more day")
        rest.append(f"{days} for ± {said.bare(card.within, unit)}")
    if cell.newest is not None:
        rest.append(said.day(cell.newest))
    look = "stale" if cell.state == "stale" else ""
    return CellView(length, said.bare(cell.carry, unit), tuple(rest), look)


def _half(metres: float, unit: str) -> str:
    """Half the width of an interval, never rounded down."""
    return said.at_most(DISTANCE[unit].from_si(metres))


def _swing(swing: Swing) -> str:
    return said.swing(swing.club, swing.length)


def _between(pair: Neighbours, card: WedgeCard, unit: str) -> str:
    low, high = said.bare(pair.from_m, unit), said.metres(pair.to_m, unit)
    names = f"{_swing(pair.shorter)} and {_swing(pair.longer)}"
    if pair.kind == "hole":
        words = f"A gap from {low} to {high}, between {names}"
    else:
        words = (
            f"{names} are {said.metres(pair.gap, unit)} apart, at {low} and {high}. One of the "
            f"two may be enough"
        )
    told = "They surely differ" if pair.differ else "Whether they differ cannot be told yet"
    return f"{words}. {told}."


def _odd(odd: Odd, reader: Reader) -> str:
    unit = reader.unit
    gain, usual = said.metres(odd.to_m - odd.from_m, unit), said.metres(odd.usual_gain, unit)
    lengths = f"{said.LENGTH_WORDS[odd.shorter]} to {said.LENGTH_WORDS[odd.longer]}"
    return (
        f"{odd.club}, {lengths}, gains {gain}. Other clubs gain about {usual}. A typing error, or "
        f"a fuller swing? Look at those balls."
    )


def _lasting(target: Target) -> float:
    """As far as it goes the way of the miss."""
    way = 1 if (target.mean_error or 0.0) > 0 else -1
    return max(0.0, way * (target.lasting or 0.0))


def _target(target: Target, card: WedgeCard, reader: Reader) -> tuple[str, str]:
    unit = reader.unit
    at = said.metres(target.metres, unit)
    if target.word == "too few":
        return at, f"too few: {said.many(target.n, 'ball')}, {target.missing} more for a word"
    words = f"{_verdict(target, unit)}; {said.many(target.n, 'ball')}"
    if target.spread is not None:
        words += f", spread {said.metres(target.spread, unit)}"
    if target.swings:
        words += f"; hit with {said.listed([_swing(swing) for swing in target.swings[:3]])}"
    if target.wide and target.word == "centred":
        words += ". Contact rather than choice of distance"
        if reader.is_own:
            words = words.replace("Contact rather", "That is contact rather")
    if target.word in ("long", "short") and target.lasting is not None:
        known = sum(each.word != "too few" for each in card.targets)
        lasting = said.metres(_lasting(target), unit)
        words += f". Of {known} distances, about {lasting} of it is likely to last"
    return at, words + "."


def _choice(choice: SwingChoice, unit: str) -> ChoiceView:
    off = "on the distance"
    if abs(choice.off) >= 0.05:
        way = "past it" if choice.off > 0 else "short of it"
        off = f"on average {said.metres(abs(choice.off), unit)} {way}"
    words = (
        f"{off}; a ball ends about {said.metres(choice.expected_miss, unit)} away"
        f" ({said.many(choice.n, 'ball')}{', stale' if choice.is_stale else ''})"
    )
    return ChoiceView(_swing(choice.swing), words)


def _in_between(found: BetweenSwing | None, unit: str) -> str:
    if found is None:
        return ""
    lengths = f"{said.LENGTH_WORDS[found.shorter]} and {said.LENGTH_WORDS[found.longer]}"
    low, high = said.bare(found.low, unit), said.metres(found.high, unit)
    first, last = said.bare(found.next_low, unit), said.metres(found.next_high, unit)
    return (
        f"Worked out, not hit: {found.club} between {lengths}, {said.percent(found.part)} of the "
        f"way. Its middle would be {low} to {high}. The next ball would fly {first} to {last} "
        f"({said.many(found.n, 'ball')} of the two)."
    )


@dataclass(frozen=True, slots=True)
class AirRow:
    """A swing, its carry on the card and there, the model's band, and which way it drifts."""

    swing: str
    carry: str
    there: str
    band: str
    drift: str


def air_rows(found: InAir, unit: str) -> tuple[AirRow, ...]:
    """The card in the air asked for; a drift only in a wind from the side."""
    return tuple(
        AirRow(
            _swing(shift.swing),
            said.bare(shift.carry, unit),
            said.bare(shift.there, unit),
            f"{said.bare(shift.low, unit)} to {said.bare(shift.high, unit)}",
            _drift(shift.side, unit) if found.drifts else "",
        )
        for shift in found.shifts
    )


def _drift(side: float, unit: str) -> str:
    return f"{said.bare(abs(side), unit)} {'right' if side > 0 else 'left'}"


def _looked_up(found: Lookup | None, unit: str) -> str:
    if found is None or found.choices:
        return ""
    return f"No swing has {LEAST_BALLS} balls yet, so there is nothing to look up."


def _landing(cell: CardCell, unit: str) -> LandingView:
    spot = cell.landing
    if spot is None or cell.carry is None:
        raise ValueError("This swing has no ellipse.")
    scale = DISTANCE[unit].from_si
    name = _swing(cell.swing)
    words = (
        f"Nineteen of twenty balls land within {said.bare(spot.long_half, unit)} by "
        f"{said.metres(spot.short_half, unit)} of the middle."
    )
    figure = charts.Scatter(
        title=f"Where {name} lands",
        desc=words,
        across=charts.Axis("to the right", unit),
        up=charts.Axis("long of the middle carry", unit),
        spots=[
            charts.Spot(scale(ball.right), scale(ball.long), said.day(ball.day))
            for ball in spot.balls
        ],
        ellipse=charts.EllipseMark(
            x=scale(spot.line),
            y=scale(spot.depth),
            along=scale(spot.long_half),
            across=scale(spot.short_half),
            # The angle is given from depth, which is drawn upwards, towards the right.
            degrees=90 - spot.degrees,
            label="next ball",
        ),
        target=charts.Spot(0, 0),
    )
    return LandingView(f"{cell.club_id}-{cell.swing.length}", name, words, figure)


@dataclass(frozen=True, slots=True)
class PrintCell:
    """Both units; empty for too few balls, which is a line to write on."""

    m: str
    yd: str
    n: str


@dataclass(frozen=True, slots=True)
class PrintPage:
    """What templates/numbers/print_card.html needs."""

    made: str
    series: str
    lengths: tuple[str, ...]
    rows: tuple[tuple[str, tuple[PrintCell, ...]], ...]


def print_page(card: WedgeCard, today: date) -> PrintPage:
    by_club: dict[str, list[CardCell]] = {}
    for cell in card.cells:
        by_club.setdefault(cell.swing.club, []).append(cell)
    return PrintPage(
        made=said.day(today),
        series=_basis(card),
        lengths=tuple(said.LENGTH_WORDS[length] for length in LENGTHS),
        rows=tuple((club, tuple(map(_print_cell, cells))) for club, cells in by_club.items()),
    )


def _print_cell(cell: CardCell) -> PrintCell:
    if cell.carry is None:
        return PrintCell("", "", "")
    mark = " *" if cell.state == "stale" else ""
    return PrintCell(
        said.bare(cell.carry, "m", 0), said.bare(cell.carry, "yd", 0), f"n {cell.n}{mark}"
    )
