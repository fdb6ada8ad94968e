"""How a wedge card shifts with the air: each cell by the flight model's ratio."""

from collections.abc import Mapping
from dataclasses import dataclass

from practice.measures.air import moist_air_density, standard_atmosphere
from practice.measures.answers import BadData
from practice.measures.arrays import finite, numbers
from practice.measures.flight import STILL, Launch, Wind, carry_ratio, fly
from practice.measures.roots import root
from practice.measures.wedges import Cell

# How a wedge leaves where it was not measured (common practice, no source).
WEDGE_ANGLE, WEDGE_SPIN = 32.0, 7000.0
SLOWEST, FASTEST = 5.0, 100.0
# Carry to a millimetre is enough for a ratio that is known to 2 %.
TOLERANCE = 1e-6


def density_at(altitude: float, celsius: float, humidity: float = 0.5) -> float:
    """Density of the air at a place, kg/m3, its pressure taken from the standard atmosphere.

    Parameters
    ----------
    altitude : float
        Geometric, metres.
    celsius : float
        Air temperature.
    humidity : float
        Relative, as a share.

    Raises
    ------
    BadData
        As `standard_atmosphere` and `moist_air_density`.

    Notes
    -----
    The day's weather moves the pressure by one or two percent, which is left out.

    References
    ----------
    U.S. Standard Atmosphere, 1976, for the pressure; Picard and others (2008),
    Metrologia 45, 149-155, for the density.

    Examples
    --------
    >>> round(density_at(0, 20, 0.5), 4), round(density_at(1609, 30, 0.2), 4)
    (1.1993, 0.9553)
    """
    _, pressure, _ = standard_atmosphere(altitude)
    return moist_air_density(celsius, pressure, humidity)


def launch_that_carries(
    carry: float, density: float, *, angle: float = WEDGE_ANGLE, spin: float = WEDGE_SPIN
) -> Launch:
    """The launch at this angle and spin that the flight model carries this far.

    Parameters
    ----------
    carry : float
        Metres, above 0.
    density : float
        kg/m3.
    angle, spin : float
        Degrees up, and turns a minute.

    Raises
    ------
    BadData
        Carry not positive or out of the model's reach; else as `fly`.

    References
    ----------
    In a vacuum v^2 sin(2 angle) / g (any mechanics text); else the model of `fly`.
    """
    if not finite(carry, "carry") > 0:
        raise BadData("The carry must be above zero.")

    def over(speed: float) -> float:
        flown = fly(Launch(speed, angle, spin), density, tolerance=TOLERANCE)
        return flown.carry - carry

    if over(SLOWEST) > 0 or over(FASTEST) < 0:
        raise BadData("No launch at this angle carries that far in the model.")
    return Launch(root(over, SLOWEST, FASTEST, within=1e-4), angle, spin)


@dataclass(frozen=True, slots=True)
class Shifted:
    """Carry in other air, metres, with its band, and the drift to the right.

    `assumed`: the launch was not measured.
    """

    carry: float
    low: float
    high: float
    side: float
    assumed: bool


def card_in_air(
    card: Mapping[Cell, float],
    here: float,
    reference: float,
    *,
    wind: Wind = STILL,
    launches: Mapping[Cell, Launch] | None = None,
) -> dict[Cell, Shifted]:
    """A card of mean carries as it would be in other air.

    Parameters
    ----------
    card : mapping of Cell to float
        Mean carry in metres, as measured in the reference air.
    here, reference : float
        Densities of the two airs, kg/m3 (see `density_at`).
    wind : Wind
        As it blows here; the reference air is still.
    launches : mapping of Cell to Launch
        As measured; a cell without one gets the usual wedge launch that carries as far.

    Returns
    -------
    dict of Cell to Shifted

    Raises
    ------
    BadData
        A carry not positive or out of the model's reach, or a density or wind out of range.

    Notes
    -----
    Only the ratio of two flights of the model is used, times the measured carry.
    House rule: the band is 2 % of the carry and a fifth of what the wind does. Ball
    temperature, and how a cold body swings, are left out. Each cell has a ratio of its
    own, because a ball with much spin gains more from thin air than a drive does.

    Examples
    --------
    >>> card_in_air({Cell("54", "full"): 90.0}, 1.0, 1.225)[Cell("54", "full")].carry > 90
    True
    """
    if numbers(card.values(), "carries").size and min(card.values()) <= 0:
        raise BadData("The carries must be above zero.")
    shifted = {}
    for cell, carry in card.items():
        measured = (launches or {}).get(cell)
        launch = measured or launch_that_carries(carry, reference)
        found = carry_ratio(launch, here, reference, wind=wind, tolerance=TOLERANCE)
        shifted[cell] = Shifted(
            carry * found.carry,
            carry * found.low,
            carry * found.high,
            carry * found.side,
            assumed=measured is None,
        )
    return shifted
