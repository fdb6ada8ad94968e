"""The wedge card in other air, by the flight model: ratios of it, times the measured carries."""

from dataclasses import dataclass

from practice.numbers.wedges.card import Swing, WedgeCard

STANDARD = (15.0, 0.0, 0.0)  # Of the standard atmosphere at sea level: °C, m, % humidity.
SHORTEST = 5.0  # Metres; a shorter carry is no flight to speak of.


@dataclass(frozen=True, slots=True)
class Shift:
    """One swing: carry of the card, and in the air asked for with the model's band. Metres.

    `side`: how far the wind takes it to the right.
    """

    swing: Swing
    carry: float
    there: float
    low: float
    high: float
    side: float


@dataclass(frozen=True, slots=True)
class InAir:
    """The air asked for, its density in kg/m3, and the card in it.

    `drifts`: the wind has a part from the side.
    """

    celsius: float
    altitude: float
    humidity: float
    density: float
    drifts: bool
    shifts: tuple[Shift, ...]


def card_in(
    card: WedgeCard,
    celsius: float,
    altitude: float,
    humidity: float,
    *,
    along: float = 0.0,
    across: float = 0.0,
) -> InAir:
    """The card at a temperature (°C), altitude (m) and humidity (percent), in a wind (m/s).

    `along` from behind is plus, `across` from the left is plus. The card is taken
    as made in still, standard air at sea level: it does not know its own. Raises BadData for
    air outside what the formulas are for.
    """
    from practice.measures.flight import Wind
    from practice.measures.weather import card_in_air, density_at
    from practice.measures.wedges import Cell

    reference = density_at(STANDARD[1], STANDARD[0], STANDARD[2] / 100)
    here = density_at(altitude, celsius, humidity / 100)
    carries = {
        Cell(cell.swing.club, cell.swing.length): cell.carry
        for cell in card.cells
        if cell.carry is not None and cell.carry >= SHORTEST
    }
    shifts = tuple(
        Shift(
            Swing(cell.club, cell.length),
            carries[cell],
            found.carry,
            found.low,
            found.high,
            found.side,
        )
        for cell, found in card_in_air(carries, here, reference, wind=Wind(along, across)).items()
    )
    return InAir(celsius, altitude, humidity, here, bool(across), shifts)
