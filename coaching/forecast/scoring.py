"""How well forecasts came out: Brier score, calibration, ROC area, and how early a warning is.

Chances lie in [0, 1]; `came` is True where what was foretold came about.
"""

from bisect import bisect_left
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from random import Random
from typing import TypeVar

BINS = 10
MOST_WORTH = 1e12  # Capping a bet only makes it say less.
DRAWINGS, DRAWN_FROM = 200, 1
Item = TypeVar("Item")


def brier(chances: Sequence[float], came: Sequence[bool]) -> float:
    """Mean squared difference between chance and outcome (Brier 1950); 0 is perfect.

    Raises
    ------
    ValueError
        Nothing given, lengths that differ, or a chance outside [0, 1].
    """
    _check(chances, came)
    return sum((p - y) ** 2 for p, y in zip(chances, came, strict=True)) / len(came)


def skill(chances: Sequence[float], came: Sequence[bool]) -> float | None:
    """1 − Brier / Brier of always saying the overall share. None if all came out alike."""
    _check(chances, came)
    share = sum(came) / len(came)
    if share in {0, 1}:
        return None
    return 1 - brier(chances, came) / (share * (1 - share))


def roc_area(scores: Sequence[float], came: Sequence[bool]) -> float | None:
    """Chance that of two cases, one that came about and one that did not, the first has the
    higher score; a tie counts half (Hanley & McNeil 1982).

    Scores may be any numbers. None if all came out alike.

    Raises
    ------
    ValueError
        Nothing given, or lengths that differ.
    """
    _check([], came, scores)
    yes = sorted(s for s, y in zip(scores, came, strict=True) if y)
    no = sorted(s for s, y in zip(scores, came, strict=True) if not y)
    if not yes or not no:
        return None
    below = ties = 0
    first = last = 0
    for score in yes:
        while first < len(no) and no[first] < score:
            first += 1
        last = max(last, first)
        while last < len(no) and no[last] <= score:
            last += 1
        below, ties = below + first, ties + last - first
    return (below + ties / 2) / (len(yes) * len(no))


@dataclass(frozen=True, slots=True)
class Bin:
    """Forecasts of about the same chance: how many, their mean, and the share that came."""

    low: float
    high: float
    count: int
    said: float
    came: float


def calibration(chances: Sequence[float], came: Sequence[bool], bins: int = BINS) -> list[Bin]:
    """Bins of equal width; empty ones are left out."""
    _check(chances, came)
    held: list[list[tuple[float, bool]]] = [[] for _ in range(bins)]
    for p, y in zip(chances, came, strict=True):
        held[min(bins - 1, int(p * bins))].append((p, y))
    return [
        Bin(
            low=n / bins,
            high=(n + 1) / bins,
            count=len(each),
            said=sum(p for p, _ in each) / len(each),
            came=sum(y for _, y in each) / len(each),
        )
        for n, each in enumerate(held)
        if each
    ]


def calibration_error(bins: Sequence[Bin]) -> float:
    """Mean distance between what was said and what came, each forecast weighing the same."""
    total = sum(each.count for each in bins)
    return sum(each.count * abs(each.said - each.came) for each in bins) / total


BETS = (0.125, 0.25, 0.5, 1.0)


def evidence(one: Sequence[float], other: Sequence[float], came: Sequence[bool]) -> float:
    """How much speaks for the one being nearer than the other: the worth of fair bets on it.

    Each case, in the order of time, is bet on with a part of what the cases before made of 1:
    on the difference of the squared errors, several parts side by side. Where the one is in
    truth not nearer, what is there ever reaches 20 in at most one studio of 20, however often
    it is looked at (Ville 1939; Henzi & Ziegel 2022, Valid sequential inference on
    probability forecast performance, Biometrika 109, 647-663). Students of one week are taken
    as independent, given all that came before.
    """
    _check(one, came)
    _check(other, came)
    worth = [1.0] * len(BETS)
    for p, q, y in zip(one, other, came, strict=True):
        nearer = (q - y) ** 2 - (p - y) ** 2
        worth = [
            min(MOST_WORTH, each * (1 + bet * nearer))
            for each, bet in zip(worth, BETS, strict=True)
        ]
    return sum(worth) / len(BETS)


# --- how early -----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Course:
    """One week of one student: a worry at its opening and at the end of each of its days but
    the last (higher is worse), and whether it came through after all."""

    worry: tuple[float, ...]
    came: bool


def days_of_warning(courses: Sequence[Course], false_alarms: float) -> float | None:
    """Mean days between the first warning and the end of the week, of weeks not come through.

    What a coach gains is time: from the evening the worry is first above a line to the end
    of the week, when everybody knows. So every week that did not come through counts, and
    one that was never warned of counts as known at its end, no days before it: to leave it
    out would reward a rule for warning of the plain cases alone. What a coach pays is a
    good week called bad, once it was called so on any evening. So the line is set where
    this share of the weeks that came through is warned of at any time, one line for all
    evenings, the same way for every rule. Where no line gives just that share, two are
    mixed by the right proportion.

    Parameters
    ----------
    courses : sequence of Course
        Weeks of the same number of looks.
    false_alarms : float
        In (0, 1).

    Returns
    -------
    float or None
        None unless there are weeks of both outcomes.
    """
    good = sorted((max(c.worry) for c in courses if c.came), reverse=True)
    bad = [c.worry for c in courses if not c.came]
    if not good or not bad:
        return None
    wanted = false_alarms * len(good)
    line = good[min(len(good) - 1, int(wanted))]  # As many are above it as may be.
    strict, loose = _warned(good, line, above=True), _warned(good, line, above=False)
    early = _mean_days(bad, lambda worry: worry > line)
    if loose == strict:
        return early
    part = (wanted - strict) / (loose - strict)
    return (1 - part) * early + part * _mean_days(bad, lambda worry: worry >= line)


def _warned(falling: Sequence[float], line: float, *, above: bool) -> int:
    rising = falling[::-1]
    if above:
        return sum(worry > line for worry in rising)
    return len(rising) - bisect_left(rising, line)


def _mean_days(bad: Sequence[tuple[float, ...]], warns: Callable[[float], bool]) -> float:
    looks = len(bad[0])
    firsts = (next((n for n, w in enumerate(worry) if warns(w)), looks) for worry in bad)
    return sum(looks - first for first in firsts) / len(bad)


def _check(
    chances: Sequence[float], came: Sequence[bool], scores: Sequence[float] | None = None
) -> None:
    given = chances if scores is None else scores
    if not came or len(given) != len(came):
        raise ValueError("Give as many outcomes as forecasts, and at least one.")
    if any(not 0 <= p <= 1 for p in chances):
        raise ValueError("A chance lies between 0 and 1.")


def interval(
    groups: Sequence[Item], figure: Callable[[Sequence[Item]], float | None]
) -> tuple[float, float] | None:
    """95 % interval of a figure by drawing groups (students) anew, with the same ones each time.

    The percentile bootstrap (Efron 1979). None where the figure has no value.
    """
    random = Random(DRAWN_FROM)  # noqa: S311 (no secret)
    found = sorted(
        value
        for _ in range(DRAWINGS)
        if (value := figure(random.choices(groups, k=len(groups)))) is not None
    )
    tail = round(len(found) * 0.025)
    return (found[tail], found[-1 - tail]) if found else None
