"""What moves all students of one place alike in a month: it is nobody's own change.

Seasons, other balls, a wet range: without the others they look like a gain or a loss of one.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from practice.measures.arrays import Array, same_length
from practice.measures.usual import Together

# Of whom it is told; oneself is one of them, and so at most an eighth of one's own change is
# taken for everybody's (house rules).
LEAST_STUDENTS = 8
LEAST_MONTHS = 2  # A student's own level is taken off: one month tells nothing.
MOST_MONTHS = 24
TINY = 1e-12
_RATIOS = np.concatenate([[0.0], np.geomspace(1e-3, 1e4, 141)])


def month_of(day: date) -> int:
    """Months since the year 0. House rule: the calendar's."""
    return 12 * day.year + day.month - 1


@dataclass(frozen=True, slots=True)
class Shared:
    """How far everybody was off on each of some days, and the covariance of what is not known."""

    shifts: Array
    errors: Array

    def on(self, places: Sequence[int]) -> "Shared":
        """Of these of the days."""
        at = np.array(places, dtype=np.intp)
        return Shared(self.shifts[at], self.errors[np.ix_(at, at)])

    def without_last(self) -> "Shared":
        return self.on(range(self.shifts.size - 1))


def shared_by(days: Sequence[date], known: Together) -> Shared | None:
    """What is shared with everybody on these days; None where nothing moves all alike.

    Notes
    -----
    House rule: a month of which nothing is known shifts by 0, give or take the usual spread.
    """
    if not known.spread or not days:
        return None
    places = {month: n for n, month in enumerate(known.months)}
    months = [month_of(day) for day in days]
    every = sorted(set(months))
    shifts = np.array([known.shifts[places[m]] if m in places else 0.0 for m in every])
    errors = np.diag(np.full(len(every), known.spread**2))
    told = [n for n, month in enumerate(every) if month in places]
    for n in told:
        for other in told:
            errors[n, other] = known.errors[places[every[n]]][places[every[other]]]
    at = np.array([every.index(month) for month in months])
    return Shared(shifts[at], errors[np.ix_(at, at)])


@dataclass(frozen=True, slots=True)
class MonthFigures:
    """One student's mean figure of each month in which there are any, in order."""

    months: Array
    figures: Array

    def __post_init__(self) -> None:
        same_length(self.months, self.figures)


def by_month(days: Sequence[date], figures: Sequence[float]) -> MonthFigures | None:
    """The figures of one student's days, one a month; None below two months. House rule."""
    found: dict[int, list[float]] = {}
    for day, figure in zip(days, figures, strict=True):
        found.setdefault(month_of(day), []).append(figure)
    months = sorted(found)[-MOST_MONTHS:]
    if len(months) < LEAST_MONTHS:
        return None
    means = [float(np.mean(found[month])) for month in months]
    return MonthFigures(np.array(months, np.float64), np.array(means))


def moved_together(students: Sequence[MonthFigures]) -> Together:
    """What moves these students alike, month by month.

    Parameters
    ----------
    students : sequence of MonthFigures
        One of each student, or of each of the lines of one, all in one unit.

    Returns
    -------
    Together; of nothing below eight, and where the months differ by chance alone.

    Notes
    -----
    figure = the student's own level + shift of the month + rest. The levels are fixed; the
    shifts are random and so drawn in where few tell of them; their variance is that of
    restricted maximum likelihood. What all gain steadily is a shift too: whoever makes a claim
    asks the figures themselves as well (`claim_of`).

    References
    ----------
    Patterson, H. D. & Thompson, R. (1971). Biometrika 58, 545-554 (restricted maximum
    likelihood); Henderson, C. R. (1975). Biometrics 31, 423-447 (prediction, and its errors).
    """
    if len(students) < LEAST_STUDENTS:
        return Together()
    months = np.unique(np.concatenate([each.months for each in students]))
    square, pull = np.zeros((months.size, months.size)), np.zeros(months.size)
    left, freedom = 0.0, 0
    for each in students:
        off = np.eye(each.months.size) - 1 / each.months.size
        at = np.searchsorted(months, each.months)
        square[np.ix_(at, at)] += off
        pull[at] += off @ each.figures
        left += float(each.figures @ off @ each.figures)
        freedom += each.months.size - 1
    if left <= 0:
        return Together()
    sizes, ways = np.linalg.eigh(square)
    sizes, parts = np.maximum(sizes, 0.0), ways.T @ pull

    def likeliest(ratios: Array) -> tuple[int, float]:
        """The place of the likeliest ratio of the variances, and the variance of the rest."""
        grown = 1 + np.outer(ratios, sizes)
        rests = np.maximum(left - (ratios[:, None] * parts**2 / grown).sum(axis=1), TINY * left)
        best = int(np.argmin(freedom * np.log(rests) + np.log(grown).sum(axis=1)))
        return best, float(rests[best]) / freedom

    best, _ = likeliest(_RATIOS)
    if not best:
        return Together()
    near = np.linspace(_RATIOS[best - 1], _RATIOS[min(best + 1, _RATIOS.size - 1)], 101)
    best, variance = likeliest(near)
    ratio = float(near[best])
    inverse = (ways / (1 + ratio * sizes)) @ ways.T
    errors = variance * ratio * inverse
    return Together(
        tuple(int(month) for month in months),
        tuple((ratio * inverse @ pull).tolist()),
        tuple(map(tuple, errors.tolist())),
        float(np.sqrt(variance * ratio)),
    )
