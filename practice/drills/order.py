"""The order of a session's targets: one after the other, or mixed. Pure and seeded.

A choice of the coach, kept with its seed, so that the same list can be made again. No
claim is made about which order teaches more.
"""

from collections.abc import Sequence
from enum import StrEnum
from random import Random

MOST_TARGETS = 12
MOST_EACH = 60


class Order(StrEnum):
    AS_WRITTEN = ""
    BLOCKED = "blocked"
    MIXED = "mixed"


def arrange(targets: Sequence[str], each: int, order: Order, *, seed: int = 0) -> list[str]:
    """`each` tries at every target, in the chosen order.

    Parameters
    ----------
    targets : sequence of str
        Different from one another, 1 to 12.
    each : int
        Tries at each, 1 to 60.
    order : Order
        BLOCKED (and AS_WRITTEN): all tries at one target before the next. MIXED: every
        round has each target once, and none comes twice running if there are two or more.
    seed : int
        The same seed gives the same order.

    Raises
    ------
    ValueError
        Targets that are alike, none, or too many; tries out of range.

    Examples
    --------
    >>> arrange(["40 m", "60 m"], 2, Order.BLOCKED)
    ['40 m', '40 m', '60 m', '60 m']
    """
    if not 1 <= len(targets) <= MOST_TARGETS or len(set(targets)) < len(targets):
        raise ValueError(f"Name 1 to {MOST_TARGETS} targets, each once.")
    if not 1 <= each <= MOST_EACH:
        raise ValueError(f"From 1 to {MOST_EACH} tries at each target.")
    if order is not Order.MIXED:
        return [target for target in targets for _ in range(each)]
    random = Random(seed)  # noqa: S311 (an order of practice, no secret)
    found: list[str] = []
    for _ in range(each):
        found += _round(targets, found[-1] if found else None, random)
    return found


def _round(targets: Sequence[str], last: str | None, random: Random) -> list[str]:
    """Each target once, the first of them not the last one before."""
    rest = list(targets)
    random.shuffle(rest)
    if len(rest) > 1 and rest[0] == last:
        swap = random.randrange(1, len(rest))
        rest[0], rest[swap] = rest[swap], rest[0]
    return rest
