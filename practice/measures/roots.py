"""Where a function is zero. Not `scipy.optimize`, which takes some 40 MB of each worker."""

from collections.abc import Callable

from practice.measures.answers import BadData

MOST_STEPS = 200


def root(of: Callable[[float], float], low: float, high: float, *, within: float = 0.0) -> float:
    """A zero between two points at which a continuous function has different signs.

    Parameters
    ----------
    of : callable
    low, high : float
    within : float
        How far off the zero may be; it is never known better than numbers of 53 bits are.

    Raises
    ------
    BadData
        The signs at both points are the same, or a value is not a number.

    References
    ----------
    Chandrupatla, T. R. (1997). Advances in Engineering Software 28, 145-149: a parabola through
    three points where it is sure to be well behaved, else halving.

    Examples
    --------
    >>> round(root(lambda x: x * x - 2, 0, 2), 12)
    1.414213562373
    """
    newest, other = (low, of(low)), (high, of(high))
    for point in (newest, other):
        if point[1] == 0:
            return point[0]
    if not (newest[1] < 0 < other[1] or other[1] < 0 < newest[1]):
        raise BadData("A zero lies between two points with different signs.")
    part = 0.5
    for _ in range(MOST_STEPS):
        at = newest[0] + part * (other[0] - newest[0])
        value = of(at)
        if (value > 0) == (newest[1] > 0):
            third = newest
        else:
            third, other = other, newest
        newest = (at, value)
        best = min(newest, other, key=lambda point: abs(point[1]))
        room = (2 * 2.0**-52 * abs(best[0]) + within / 2) / abs(other[0] - newest[0])
        if best[1] == 0 or room > 0.5:
            return best[0]
        part = min(max(_part(newest, other, third), room), 1 - room)
    raise BadData("No zero was found: the function is not continuous.")


def _part(
    newest: tuple[float, float], other: tuple[float, float], third: tuple[float, float]
) -> float:
    """How far from the newest point to the other to look next, in parts of the way."""
    (a, fa), (b, fb), (c, fc) = newest, other, third
    x, y = (a - b) / (c - b), (fa - fb) / (fc - fb)
    if not (y**2 < x and (1 - y) ** 2 < 1 - x):
        return 0.5
    return fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
