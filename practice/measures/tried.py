"""Tries of several steps, made comparable: a day of easy steps is no better day."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from practice.measures.answers import BadData
from practice.measures.rates import counts


@dataclass(frozen=True, slots=True)
class StepTries:
    """Successes of tries at one step on one day."""

    day: date
    step: str
    clean: int
    tries: int


def freed_of_steps(tried: Sequence[StepTries]) -> list[tuple[float, int]]:
    """Successes and tries of each day, as if every day had tried the steps in one mixture.

    Parameters
    ----------
    tried : sequence of StepTries
        Each with at least one try, in any order.

    Returns
    -------
    list of (successes, tries)
        A day each in time order. What a step lies above or below the whole is taken off its
        successes, which then need not be whole.

    Raises
    ------
    BadData
        No tries, or more successes than tries.

    Notes
    -----
    House rule: residuals of a table of steps alone, put back on the share of the whole.

    Examples
    --------
    >>> first, second = date(2031, 3, 1), date(2031, 3, 2)
    >>> rows = [StepTries(first, "40", 9, 10), StepTries(second, "40", 9, 10)]
    >>> rows.append(StepTries(second, "90", 2, 10))
    >>> [(round(clean, 2), tries) for clean, tries in freed_of_steps(rows)]
    [(6.67, 10), (13.33, 20)]
    """
    for each in tried:
        counts(each.clean, each.tries)
        if not each.tries:
            raise BadData("A step was tried, or it is left out.")
    shares = {step: _share([each for each in tried if each.step == step]) for step in _steps(tried)}
    whole = _share(tried) if tried else 0.0
    days: dict[date, tuple[float, int]] = {}
    for each in sorted(tried, key=lambda row: row.day):
        done, of = days.get(each.day, (0.0, 0))
        freed = each.clean - (shares[each.step] - whole) * each.tries
        days[each.day] = done + freed, of + each.tries
    return list(days.values())


def _steps(tried: Sequence[StepTries]) -> set[str]:
    return {each.step for each in tried}


def _share(tried: Sequence[StepTries]) -> float:
    return sum(each.clean for each in tried) / sum(each.tries for each in tried)
