"""The targets of a test, in the order they are hit: text in, metres out.

65, 40, 90 m        metres, also without the unit
40, 60, 80 yd       yards
"""

import re

from practice.drills.order import Order, arrange
from shared.kit.refused import Refused
from shared.kit.units import DISTANCE

MOST_TARGETS = 60
FARTHEST = 400.0
_EXAMPLE = "Write distances and the unit, such as 65, 40, 90 m."
_DISTANCE = re.compile(r"\d{1,3}(?:\.\d)?", re.ASCII)


def targets(text: str) -> tuple[float, ...]:
    """The targets in metres, in their order; none for an empty text.

    Raises Refused for anything that is not a list of distances above 0 and up
    to 400 m in one unit.
    """
    words = text.strip().lower()
    if not words:
        return ()
    unit = next((name for name in DISTANCE if words.endswith(name)), "")
    numbers = [word.strip() for word in words.removesuffix(unit).split(",")]
    if len(numbers) > MOST_TARGETS:
        raise Refused(f"At most {MOST_TARGETS} targets in one test.")
    return tuple(_metres(number, unit or "m") for number in numbers)


def in_order(text: str, order: str, tries: int, seed: int) -> tuple[float, ...]:
    """The targets as they are called: as written, or `tries` at each by a chosen order.

    Raises Refused, also for a chosen order of targets that are not all different.
    """
    found = targets(text)
    if not order or not found:
        return found
    by_name = {f"{metres:g}": metres for metres in found}
    try:
        names = arrange([f"{metres:g}" for metres in found], tries, Order(order), seed=seed)
    except ValueError as error:
        raise Refused(str(error)) from None
    if len(names) > MOST_TARGETS:
        raise Refused(f"At most {MOST_TARGETS} balls in one test: fewer targets or tries.")
    return tuple(by_name[name] for name in names)


def _metres(number: str, unit: str) -> float:
    if not _DISTANCE.fullmatch(number):
        shown = number if len(number) <= 30 else number[:29] + "…"
        raise Refused(f"“{shown}” is not a distance. {_EXAMPLE}")
    metres = round(DISTANCE[unit].to_si(float(number)), 4)
    if not 0 < metres <= FARTHEST:
        raise Refused(f"A target must be above 0 and at most {FARTHEST:g} m.")
    return metres
