"""A figure far from all that this student has hit: asked about before it is kept. Pure.

House rule, no source: 1.5 times the middle of the last balls, or less than two thirds of it.
What no ball can do is refused before (limits.py); this may be right, so it is only asked.
"""

from collections.abc import Sequence
from statistics import median

LEAST_BALLS = 6
FAR = 1.5
SURE = "These figures are right"


def odd_one(figures: Sequence[float], known: Sequence[float]) -> tuple[float, float] | None:
    """The first figure that is far from the usual, with the usual; None below six known balls.

    Examples
    --------
    >>> odd_one([68.1, 6.8], [68.0] * 6)
    (6.8, 68.0)
    >>> odd_one([6.8], [68.0] * 5) is None
    True
    """
    if len(known) < LEAST_BALLS:
        return None
    usual = median(known)
    far = (each for each in figures if not usual / FAR <= each <= usual * FAR)
    found = next(far, None)
    return None if found is None else (found, usual)


def question(figure: float, usual: float, sign: str) -> str:
    """Both in the unit of whoever typed it."""
    return (
        f"{figure:g} {sign} is far from the usual {usual:.0f}. Is it right? Mend it or tick below."
    )
