"""Arrays checked once, at the door."""

from collections.abc import Iterable
from sys import float_info

import numpy as np
from numpy.typing import NDArray

from practice.measures.answers import BadData

Numbers = Iterable[float]
Array = NDArray[np.float64]


def numbers(values: Numbers, name: str = "values", *, least: float | None = None) -> Array:
    """Finite numbers as a one-dimensional float array, possibly empty.

    Raises
    ------
    BadData
        Not one-dimensional, not numbers, NaN, infinite, or below `least`.
    """
    try:
        array = np.array(values if isinstance(values, np.ndarray) else list(values), np.float64)
    except (TypeError, ValueError) as error:
        raise BadData(f"The {name} are not all numbers.") from error
    if array.ndim != 1:
        raise BadData(f"The {name} must be a plain list of numbers.")
    if not np.isfinite(array).all():
        raise BadData(f"The {name} hold something that is not a finite number.")
    if least is not None and array.size and array.min() < least:
        raise BadData(f"The {name} may not be below {least:g}.")
    return array


def some_numbers(values: Numbers, name: str = "values", *, least: float | None = None) -> Array:
    """As `numbers`, and at least one.

    Raises
    ------
    BadData
        As `numbers`, or nothing was given.
    """
    array = numbers(values, name, least=least)
    if not array.size:
        raise BadData(f"There are no {name}.")
    return array


def same_length(*arrays: Array) -> None:
    """Raise BadData unless all have the same length."""
    if len({array.size for array in arrays}) > 1:
        raise BadData("The lists differ in length.")


def share(level: float, name: str = "level") -> float:
    """A number strictly between 0 and 1, or BadData."""
    if not 0 < finite(level, name) < 1:
        raise BadData(f"The {name} must lie between 0 and 1.")
    return level


def finite(value: float, name: str = "value", *, least: float | None = None) -> float:
    """One finite number, or BadData."""
    # Most are numbers already, and an array for one takes ten times as long.
    lowest = -float_info.max if least is None else least
    if isinstance(value, int | float) and lowest <= value <= float_info.max:
        return float(value)
    return float(numbers([value], name, least=least)[0])
