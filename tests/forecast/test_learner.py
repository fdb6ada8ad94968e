"""Whoever learns a person from the days alone: against scipy, and against the persons themselves.

Source: scipy.stats.betabinom, for somebody of whom one chance a day is all there is to learn.
"""

from collections import Counter
from copy import copy
from random import Random

import pytest
from scipy.stats import betabinom

from coaching.forecast.strangers.learner import learnt
from coaching.forecast.strangers.legible import LEGIBLE
from coaching.forecast.strangers.worlds import KINDS, WEDNESDAY, studio


class Coin:
    """Ten minutes a day or none, at a chance that may be any."""

    def __init__(self, chance: Random) -> None:
        self.will = chance.random()

    def open_week(self, number: int, chance: Random) -> float:
        return 70.0

    def was_asked(self, asked: float) -> None:
        """It does not matter here."""

    def live(self, day: int, left: float, chance: Random) -> float:
        return 10.0 if chance.random() < self.will else 0.0

    def saw(self, day: int, left: float, minutes: float) -> float:
        return self.will if minutes else 1 - self.will


def test_a_chance_is_learnt_as_by_a_beta_binomial():
    """At least one of four days still to come, known from 3 and then 10 days of the same coin."""
    first = (10.0, 0.0, 10.0, 10.0, 0.0, 10.0, 0.0)
    second = (10.0, 10.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    runs = [
        learnt(Coin, [(70.0, first), (70.0, second)], 3 / 7, WEDNESDAY, f"{n}") for n in range(8)
    ]
    for week, done, seen, needed in ((0, 2, 3, 1), (1, 6, 10, 1)):
        exact = betabinom(4, 1 + done, 1 + seen - done).sf(needed - 1)
        assert sum(run[week] for run in runs) / len(runs) == pytest.approx(exact, abs=0.03)


@pytest.mark.parametrize("kind", LEGIBLE)
def test_what_was_seen_is_as_likely_as_it_is_done(kind):
    """Days lived over and over from one state, beside what is said of each outcome before."""
    dice = Random(f"{kind} 3")
    person = LEGIBLE[kind](dice)
    asked = person.open_week(0, dice)
    person.was_asked(asked)
    done = 0.0
    for day in range(7):
        left = asked - done
        lived = Counter(min(left, copy(person).live(day, left, dice)) for _ in range(3000))
        said = {m: copy(person).saw(day, left, m) for m in (*range(int(left) + 1), left)}
        if left > 0:
            assert sum(said.values()) == pytest.approx(1, abs=0.02)
        likely, often = lived.most_common(1)[0]
        assert said[likely] == pytest.approx(often / 3000, abs=0.04)
        person.saw(day, left, likely)
        done += likely


@pytest.mark.parametrize("kind", LEGIBLE)
def test_what_is_learnt_comes_true_as_often_as_it_says(kind):
    lives = studio(kind, students=6, weeks=6, seed=11, enough=0.8, learns=True)
    weeks = [week for life in lives for week in life]
    said, came = [week.learnt for week in weeks], [week.reaches(0.8) for week in weeks]
    error = sum(p * (1 - p) for p in said) ** 0.5 / len(said)
    assert abs(sum(said) - sum(came)) / len(said) < 3.5 * error + 0.02


def test_only_kinds_there_are_can_be_learnt():
    assert set(LEGIBLE) <= set(KINDS)
    assert (
        studio("bursts", students=1, weeks=1, seed=1, enough=0.8, learns=True)[0][0].learnt is None
    )
