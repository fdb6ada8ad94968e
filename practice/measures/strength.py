"""Strength as a number the strength coach may show for an adult who agreed. Never a prescription.

Heavy lifting belongs under a qualified coach, with spotters and safeties.
"""

from enum import StrEnum

from practice.measures.answers import BadData
from practice.measures.arrays import finite, some_numbers

MOST_REPS = 10


class Formula(StrEnum):
    EPLEY = "Epley"
    BRZYCKI = "Brzycki"
    LOMBARDI = "Lombardi"


def one_rep_maximum(mass: float, reps: int, formula: Formula = Formula.EPLEY) -> float:
    """Estimated heaviest single lift from one set to near failure, in the unit of `mass`.

    Parameters
    ----------
    mass : float
        Lifted, above 0.
    reps : int
        1 to 10; beyond that the published tables disagree.
    formula : Formula

    Raises
    ------
    BadData
        Mass not above 0, or reps outside 1 to 10.

    Notes
    -----
    One rep gives the mass itself (Epley's formula would add 3.3 %).

    References
    ----------
    Epley, B. (1985). Poundage chart. Brzycki, M. (1993). Journal of Physical Education,
    Recreation & Dance 64 (1), 88-90. Lombardi, V. P. (1989). Beginning Weight Training.

    Examples
    --------
    >>> round(one_rep_maximum(100, 10), 1), round(one_rep_maximum(100, 10, Formula.LOMBARDI), 1)
    (133.3, 125.9)
    """
    weight = float(some_numbers([mass], "mass")[0])
    times = finite(reps, "repetitions")
    if weight <= 0 or isinstance(reps, bool) or times % 1 or not 1 <= times <= MOST_REPS:
        raise BadData("Give a mass above zero and 1 to 10 whole repetitions.")
    if reps == 1:
        return weight
    if formula is Formula.EPLEY:
        return weight * (1 + reps / 30)
    if formula is Formula.BRZYCKI:
        return weight * 36 / (37 - reps)
    return float(weight * reps**0.10)


def relative_strength(lift: float, body_mass: float) -> float:
    """Lift over body mass, both in the same unit: a plain number.

    Raises
    ------
    BadData
        Either is not above 0.

    References
    ----------
    Definition.

    Examples
    --------
    >>> relative_strength(100, 80)
    1.25
    """
    top, bottom = some_numbers([lift, body_mass], "masses")
    if min(top, bottom) <= 0:
        raise BadData("Both masses must be above zero.")
    return float(top / bottom)
