"""Units as people read them. Inside everything is SI: metres, metres a second, kilograms.

Every factor here is exact by definition, not measured.
Source: NIST SP 811 (2008), appendix B.8: yard 0.9144 m, mile an hour 0.44704 m/s,
kilometre an hour 1/3.6 m/s, pound (avoirdupois) 0.45359237 kg.
"""

from dataclasses import dataclass
from types import MappingProxyType

METRES_IN_YARD = 0.9144
METRES_A_SECOND_IN_MPH = 0.44704
KMH_IN_METRE_A_SECOND = 3.6
KILOGRAMS_IN_POUND = 0.45359237


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit as `multiplier / divisor` SI units, so that 1/3.6 stays exact to read back."""

    sign: str
    multiplier: float = 1.0
    divisor: float = 1.0

    def from_si(self, value: float) -> float:
        return value * self.divisor / self.multiplier

    def to_si(self, value: float) -> float:
        return value * self.multiplier / self.divisor


DISTANCE = MappingProxyType({"m": Unit("m"), "yd": Unit("yd", METRES_IN_YARD)})
SPEED = MappingProxyType(
    {
        "mps": Unit("m/s"),
        "kmh": Unit("km/h", divisor=KMH_IN_METRE_A_SECOND),
        "mph": Unit("mph", METRES_A_SECOND_IN_MPH),
    }
)
MASS = MappingProxyType({"kg": Unit("kg"), "lb": Unit("lb", KILOGRAMS_IN_POUND)})


def distance(metres: float, unit: str, places: int = 0) -> str:
    """A distance as its reader reads it: `distance(91.44, "yd")` is 100 yd.

    Raises KeyError for a unit that is none of DISTANCE.
    """
    return _said(metres, DISTANCE[unit], places)


def speed(metres_a_second: float, unit: str, places: int = 1) -> str:
    """A speed as its reader reads it. Raises KeyError for a unit that is none of SPEED."""
    return _said(metres_a_second, SPEED[unit], places)


def mass(kilograms: float, unit: str, places: int = 1) -> str:
    """A mass as its reader reads it. Raises KeyError for a unit that is none of MASS."""
    return _said(kilograms, MASS[unit], places)


def _said(value: float, unit: Unit, places: int) -> str:
    # Adding zero turns -0.0, which would print its sign, into 0.0.
    rounded = round(unit.from_si(value), places) + 0.0
    return f"{rounded:.{places}f} {unit.sign}".replace("-", "−")
