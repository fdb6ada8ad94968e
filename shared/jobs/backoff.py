"""How long to wait before trying again. Pure."""

import random
from datetime import timedelta

FIRST_WAIT = timedelta(minutes=1)
LONGEST_WAIT = timedelta(minutes=30)


def wait_after(
    tries: int, first: timedelta | None = None, longest: timedelta = LONGEST_WAIT
) -> timedelta:
    """The first wait, doubled with every try up to the longest, a third more or less at random.

    The chance keeps those who failed together from coming back together.
    """
    first = min(first or FIRST_WAIT, longest)
    doublings = min(max(0, tries - 1), 32)
    return min(longest, first * 2.0**doublings) * random.uniform(2 / 3, 4 / 3)  # noqa: S311 (no secret)
