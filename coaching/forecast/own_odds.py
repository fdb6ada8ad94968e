"""A student's own log-odds of practising on each weekday, drawn towards where they start.

Students of a studio differ in how often they practise, in what the weekend is to them and,
less, in single weekdays: three normal spreads around the studio's, which together say how
much each of the student's own days teaches about the others. What follows from the days so
far is taken as normal too, around its mode (Laplace's method; Rasmussen & Williams 2006,
Gaussian Processes for Machine Learning, algorithm 3.1).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import sqrt

from coaching.forecast.rhythm import DAYS, WEEKEND, Rhythm, chance_of

Matrix = list[list[float]]
ROUNDS = 12
NEAR_ENOUGH = 1e-3
FARTHEST = 2.0  # Of one step, in log-odds.
# A normal spread of log-odds flattens the mean chance about as if they were divided by
# the root of 1 + LOGISTIC × variance (MacKay 1992).
LOGISTIC = 0.346


def flattening(variance: float) -> float:
    """By how much log-odds so spread must be divided to give the mean chance."""
    return sqrt(1 + LOGISTIC * variance)


@dataclass(frozen=True, slots=True)
class Start:
    """What is taken of a student before any day: log-odds by weekday, and their covariance.

    `asking` is what is added to the log-odds where a student is asked for more than usual,
    by its logarithm.
    """

    odds: tuple[float, ...]
    asking: tuple[float, ...]
    spread: Matrix

    def after_asking(self, more: float) -> list[float]:
        return [odds + more * by for odds, by in zip(self.odds, self.asking, strict=True)]


@lru_cache(maxsize=64)
def start_of(rhythm: Rhythm) -> Start:
    """Where every student of a studio starts.

    What a student is asked for is taken as a measure of the practice days the student is
    used to, so precise as `asking_tells`: those who set the weeks know their students.
    """
    spread = between_students(rhythm)
    odds = [
        (rhythm.level + add) * flattening(spread[d][d]) for d, add in enumerate(rhythm.weekdays)
    ]
    usual = [chance_of(each) for each in odds]
    brings = [p * times for p, times in zip(usual, rhythm.amounts, strict=True)]
    steep = [b * (1 - p) / sum(brings) for b, p in zip(brings, usual, strict=True)]
    with_it = _times(spread, steep)
    share = rhythm.asking_tells / (
        1 + rhythm.asking_tells * sum([s * w for s, w in zip(steep, with_it, strict=True)])
    )
    left = [
        [each - share * a * b for each, b in zip(row, with_it, strict=True)]
        for row, a in zip(spread, with_it, strict=True)
    ]
    return Start(tuple(odds), tuple([share * each for each in with_it]), left)


def alike(levels: float, weekends: float, weekdays: float) -> Matrix:
    """How the log-odds of the weekdays vary together: a covariance, from the spread of all of
    them, of what the weekend adds, and of each alone."""
    return [
        [
            levels**2
            + (weekends**2 if {a, b} <= WEEKEND else 0.0)
            + (weekdays**2 if a == b else 0.0)
            for b in range(DAYS)
        ]
        for a in range(DAYS)
    ]


def between_students(rhythm: Rhythm) -> Matrix:
    return alike(rhythm.levels_differ, rhythm.weekends_differ, rhythm.weekdays_differ)


def trace(matrix: Matrix) -> float:
    return sum([row[n] for n, row in enumerate(matrix)])


def odds_after(
    days: Sequence[float], done: Sequence[float], start: Sequence[float], spread: Matrix
) -> tuple[list[float], Matrix]:
    """The log-odds by weekday after days of the student's own, and their covariance.

    Parameters
    ----------
    days, done : sequences of seven floats
        Open days, and those with practice, by weekday; older ones may weigh less.
    start : sequence of seven floats
        Log-odds before any day.
    spread : seven by seven
        Their covariance before any day.
    """
    odds, left = list(start), spread
    for _ in range(ROUNDS):
        weights, pull = _slopes(days, done, odds)
        pull = [w * (o - s) + g for w, o, s, g in zip(weights, odds, start, pull, strict=True)]
        left = _shrunk(spread, weights)
        moved = _times(left, pull)
        steps = [
            max(-FARTHEST, min(FARTHEST, s + m - o))
            for s, m, o in zip(start, moved, odds, strict=True)
        ]
        odds = [o + step for o, step in zip(odds, steps, strict=True)]
        if max(map(abs, steps)) < NEAR_ENOUGH:
            break
    return odds, left


def _slopes(
    days: Sequence[float], done: Sequence[float], odds: Sequence[float]
) -> tuple[list[float], list[float]]:
    chances = [chance_of(each) for each in odds]
    weights = [n * p * (1 - p) for n, p in zip(days, chances, strict=True)]
    return weights, [k - n * p for n, k, p in zip(days, done, chances, strict=True)]


def _shrunk(spread: Matrix, weights: Sequence[float]) -> Matrix:
    """The covariance after each weekday was measured with so much weight (1 / variance).

    One weekday after the other, each a step of rank one (Sherman & Morrison 1950).
    """
    left = [list(row) for row in spread]
    for day, weight in enumerate(weights):
        if weight <= 0:
            continue
        column = left[day]
        share = weight / (1 + weight * column[day])
        left = [
            [each - share * there * here for each, here in zip(row, column, strict=True)]
            for row, there in zip(left, column, strict=True)
        ]
    return left


def _times(matrix: Matrix, vector: Sequence[float]) -> list[float]:
    return [sum([m * v for m, v in zip(row, vector, strict=True)]) for row in matrix]


def one_way(
    odds: Sequence[float], doubt: Matrix, weeks_differ: float
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """The same as one move common to the days of a week: log-odds, and how far each moves.

    The common move holds what all days share of the doubt and of `weeks_differ` (a
    variance); what a day has for itself flattens it.
    """
    rows = [sum(row) + DAYS * weeks_differ for row in doubt]
    whole = sqrt(sum(rows)) or 1.0
    moves = [row / whole for row in rows]
    steep = flattening(weeks_differ)
    flat = [
        flattening(max(0.0, doubt[d][d] + weeks_differ - move**2)) for d, move in enumerate(moves)
    ]
    return (
        tuple([each * steep / by for each, by in zip(odds, flat, strict=True)]),
        tuple([move / by for move, by in zip(moves, flat, strict=True)]),
    )
