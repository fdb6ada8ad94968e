"""A figure far from all that this student has hit: asked about before it is kept. Pure.

House rule, no source: 1.5 times the middle of the last balls, or less than two thirds of it.
What no ball can do is refused before (limits.py); this may be right, so it is only asked.
"""

from collections.abc import Iterable, Mapping, Sequence
from statistics import median
from typing import Any, NamedTuple

LEAST_BALLS = 6
FAR = 1.5
SURE = "These figures are right"
# These differ by the swing that was made; those by the club alone.
OF_SWINGS, OF_CLUBS = ("carry", "total"), ("ball_speed", "club_speed")


def odd_one(figures: Sequence[float], known: Sequence[float]) -> tuple[float, float] | None:
    """The first figure that is far from the usual, with the usual; None below six known balls.

    Examples
    --------
    >>> odd_one([68.1, 6.8], [68.0] * 6)
    (6.8, 68.0)
    >>> odd_one([6.8], [68.0] * 5) is None
    True
    """
    usual = usual_of(known)
    if usual is None:
        return None
    found = next((each for each in figures if is_far(each, usual)), None)
    return None if found is None else (found, usual)


def usual_of(known: Sequence[float]) -> float | None:
    """The middle of the last balls; None where they are too few to ask by."""
    return median(known) if len(known) >= LEAST_BALLS else None


def is_far(figure: float, usual: float) -> bool:
    return not usual / FAR <= figure <= usual * FAR


class UsualFigure(NamedTuple):
    """What one measure usually is, in SI: of a club's swing, or of any club where none is named.

    A carry is that of a club and a swing; a speed that of a club, or of all together.
    """

    of: str
    club: str
    length: str
    middle: float


def odd_ball(
    balls: Iterable[Mapping[str, Any]], usual: Iterable[UsualFigure]
) -> tuple[float, float] | None:
    """The first figure of these balls that is far from the usual, with the usual.

    The phone asks alike (measured.js).

    Examples
    --------
    >>> swing = Usual("club_speed", "", "", 67.0)
    >>> odd_ball([{"club_speed": 66.1}, {"club_speed": 6.8}], [swing])
    (6.8, 67.0)
    >>> odd_ball([{"carry": 6.8}], [swing]) is None
    True
    """
    known = {each[:3]: each for each in usual}
    for ball in balls:
        club, length = ball.get("club") or "", ball.get("length") or ""
        for of in (of for of in (*OF_SWINGS, *OF_CLUBS) if of in ball):
            found = known.get((of, club, length if of in OF_SWINGS else ""))
            if found and is_far(ball[of], found.middle):
                return ball[of], found.middle
    return None


def question(figure: float, usual: float, sign: str) -> str:
    """Both in the unit of whoever typed it."""
    return (
        f"{figure:g} {sign} is far from the usual {usual:.0f}. Is it right? Mend it or tick below."
    )
