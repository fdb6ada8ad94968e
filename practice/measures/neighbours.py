"""What the other swings of a card tell of each: the same certainty from fewer balls.

A club adds so many metres at every length, and a length at every club, more or less. How much
less is learnt from the card itself, and each swing leans on the others so far as that allows.
All distances in metres.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from practice.measures.answers import Estimate, TooLittle
from practice.measures.arrays import Array, share
from practice.measures.days import DayLevel
from practice.measures.roots import root
from practice.measures.wedges import Cell

LEAST_SPARE = 2  # Swings beyond what the clubs and lengths take, to learn how well they add up.


@dataclass(frozen=True, slots=True)
class Leaned:
    """A swing's carry with what its neighbours tell; `alone`: how much of it is its own.

    `days`: how many more days of its own would tell as much; None: more than two months of them.
    """

    carry: Estimate
    alone: float
    days: int | None


@dataclass(frozen=True, slots=True)
class LeanedCard:
    """Each swing with its neighbours; `apart`: how far clubs and lengths do not add up."""

    swings: Mapping[Cell, Leaned]
    apart: float


def leaned(card: Mapping[Cell, DayLevel], *, level: float = 0.95) -> LeanedCard | TooLittle:
    """Carries of a card, each with what the others tell of it.

    Parameters
    ----------
    card : mapping of Cell to DayLevel
        Carries of each swing over its days.
    level : float

    Returns
    -------
    LeanedCard, or TooLittle where the swings are too few for their clubs and lengths.

    Raises
    ------
    BadData
        A level outside (0, 1).

    Notes
    -----
    carry = club + length + what does not add up; the variance of the last is the moment
    estimate of Fay and Herriot, and each carry the best linear prediction. Its mean square
    error counts what is not known of club, length and that variance (Prasad and Rao; Datta,
    Rao and Smith for this estimate of it). A club or a length with one swing alone leans on
    nothing, and keeps its own figure.

    References
    ----------
    Fay, R. E. & Herriot, R. A. (1979). J. Am. Stat. Assoc. 74, 269-277; Prasad, N. G. N. &
    Rao, J. N. K. (1990). J. Am. Stat. Assoc. 85, 163-171; Datta, G. S., Rao, J. N. K. &
    Smith, D. D. (2005). Biometrika 92, 183-196.
    """
    from scipy.special import stdtrit

    share(level)
    cells = sorted(card)
    design = _clubs_and_lengths(cells)
    spare = len(cells) - (int(np.linalg.matrix_rank(design)) if cells else 0)
    if spare < LEAST_SPARE:
        return TooLittle(
            "Too few swings share a club and a length.", len(cells), len(cells) + LEAST_SPARE
        )
    y = np.array([card[cell].estimate.value for cell in cells])
    own = np.array([card[cell].error ** 2 for cell in cells])
    between = _between(y, own, design, spare)
    weights = 1 / (between + own)
    spread = np.linalg.pinv(design.T @ (design * weights[:, None]))
    line = design @ (spread @ (design.T @ (weights * y)))
    alone = between * weights
    lines = np.einsum("ij,jk,ik->i", design, spread, design)
    # What is not known of `between`, and that its estimate runs low where it is small.
    unknown = 2 * len(cells) / weights.sum() ** 2
    third = own**2 * weights**3 * unknown
    low = 2 * (len(cells) * (weights**2).sum() - weights.sum() ** 2) / weights.sum() ** 3
    errors = alone * own + (1 - alone) ** 2 * lines + 2 * third - (1 - alone) ** 2 * low
    carries = alone * y + (1 - alone) * line
    found = {}
    for n, cell in enumerate(cells):
        known = card[cell]
        # Nothing is known worse for having neighbours.
        error = float(np.sqrt(min(max(errors[n], 0.0), own[n])))
        reach = float(stdtrit(known.freedom, (1 + level) / 2)) * error
        middle = float(carries[n])
        found[cell] = Leaned(
            Estimate(middle, "m", middle - reach, middle + reach, known.estimate.n, level),
            float(alone[n]),
            known.days_until(reach),
        )
    return LeanedCard(found, float(np.sqrt(between)))


def _clubs_and_lengths(cells: list[Cell]) -> Array:
    clubs = sorted({cell.club for cell in cells})
    lengths = sorted({cell.length for cell in cells})
    columns = [[float(cell.club == club) for cell in cells] for club in clubs]
    columns += [[float(cell.length == length) for cell in cells] for length in lengths]
    return np.array(columns, np.float64).T


def _between(y: Array, own: Array, design: Array, spare: int) -> float:
    """The variance at which the weighted squares about clubs and lengths are as many as spare."""

    def over(between: float) -> float:
        weights = 1 / (between + own)
        spread = np.linalg.pinv(design.T @ (design * weights[:, None]))
        left = y - design @ (spread @ (design.T @ (weights * y)))
        return float((weights * left**2).sum()) - spare

    most = float(np.ptp(y)) ** 2 + float(own.max())
    return root(over, 0.0, most, within=1e-6) if over(0.0) > 0 else 0.0
