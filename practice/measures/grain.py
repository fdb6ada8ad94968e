"""What rounding hides: figures typed in whole units may differ without showing it."""

import numpy as np

from practice.measures.arrays import Numbers, finite, some_numbers

CRUMB = 1e-6


def grain_of(values: Numbers, coarsest: float) -> float:
    """The standard deviation that rounding adds, in the unit of the values.

    Parameters
    ----------
    values : sequence of float
        As typed or measured.
    coarsest : float
        The coarsest step in which anybody types them; taken where all values are alike.

    Returns
    -------
    float
        The step over root twelve: the greatest of which all differences are multiples, at
        most `coarsest`. Next to nothing for values that were not rounded.

    Raises
    ------
    BadData
        No values, one that is not finite, or a negative step.

    References
    ----------
    JCGM 100:2008 (Guide to the Expression of Uncertainty in Measurement), 4.3.7 and F.2.2.1:
    a resolution of a step stands for a uniform distribution, of standard uncertainty 0.29
    of the step.

    Examples
    --------
    >>> [round(float(grain_of(each, 1.0)), 4) for each in ([60] * 5, [60, 61.5, 64], [60, 71])]
    [0.2887, 0.1443, 0.2887]
    """
    numbers, most = some_numbers(values), finite(coarsest, "coarsest step", least=0)
    if not most:
        return 0.0
    x = np.unique(numbers)
    if x.size == 1:
        return float(most / np.sqrt(12))
    step, crumb = 0.0, CRUMB * float(np.ptp(x))
    for gap in np.diff(x):
        step = _common(step, float(gap), crumb)
    return min(step, most) / float(np.sqrt(12))


def _common(one: float, other: float, crumb: float) -> float:
    """The greatest step of which both are multiples (Euclid), down to a crumb."""
    while other > crumb:
        one, other = other, one % other
    return one
