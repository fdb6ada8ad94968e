"""What moves all students alike, beside a library's mixed model, and claims without it."""

from datetime import date

import numpy as np
import pytest

from practice.measures.claim import Answer, change_of_levels, change_of_shares
from practice.measures.lately import change_of_figures
from practice.measures.together import (
    LEAST_STUDENTS,
    MonthFigures,
    Shared,
    by_month,
    month_of,
    moved_together,
    shared_by,
)
from practice.measures.usual import DaySpread, Together
from tests.outside.sources import checks

FIRST = 12 * 2031


def students(random, count, *, spread, months=10, rest=0.5):
    """Of each an own level, what everybody shares, and a rest; some months are missing."""
    shifts = spread * random.normal(size=months)
    found = []
    for _ in range(count):
        kept = np.flatnonzero(random.random(months) < 0.8)
        figures = 65 + random.normal() + shifts[kept] + rest * random.normal(size=kept.size)
        found.append(MonthFigures(FIRST + kept.astype(float), figures))
    return found, shifts


@checks(
    moved_together,
    MonthFigures,
    source="statsmodels MixedLM by REML: levels of each student fixed, months random",
    cases=3,
)
@pytest.mark.parametrize("spread", [0.3, 0.8, 2.0])
def test_shifts_of_months_are_those_of_a_library(spread):
    import statsmodels.api as sm

    found, _ = students(np.random.default_rng(int(10 * spread)), 9, spread=spread)
    who = np.concatenate([np.full(each.months.size, n) for n, each in enumerate(found)])
    months = np.concatenate([each.months for each in found])
    figures = np.concatenate([each.figures for each in found])
    levels = (who[:, None] == np.arange(9)).astype(float)
    fit = sm.MixedLM(figures, levels, groups=months).fit(reml=True, method="powell")
    together = moved_together(found)
    assert together.spread**2 == pytest.approx(float(fit.cov_re[0, 0]), rel=0.02)
    effects = [float(np.ravel(fit.random_effects[month])[0]) for month in together.months]
    assert together.shifts == pytest.approx(effects, abs=0.02 * spread)


@checks(moved_together, source="Simulation: errors of prediction cover what was shared")
def test_shifts_lie_within_their_errors():
    random = np.random.default_rng(5)
    ratios = []
    for _ in range(60):
        found, shifts = students(random, 12, spread=1.0)
        together = moved_together(found)
        # A change between two months, as a claim makes it.
        parts = np.zeros(10)
        parts[[0, 1, 4, 5]] = -0.5, -0.5, 0.5, 0.5
        error = parts @ np.array(together.errors) @ parts
        ratios.append((parts @ (np.array(together.shifts) - shifts)) ** 2 / error)
    assert np.mean(ratios) == pytest.approx(1.0, abs=0.45)


def test_a_few_students_and_months_that_differ_by_chance_tell_nothing():
    random = np.random.default_rng(7)
    found, _ = students(random, LEAST_STUDENTS - 1, spread=2.0)
    assert moved_together(found) == Together()
    same = [MonthFigures(FIRST + np.arange(5.0), np.full(5, 64.0))] * 9
    assert moved_together(same) == Together()


@checks(by_month, month_of, source="House rule: the mean of a student's days of each month")
def test_days_are_put_together_by_month():
    days = [date(2031, 1, 3), date(2031, 1, 30), *(date(2031, n, 1) for n in (2, 3, 4))]
    found = by_month(days, [1.0, 3.0, 5.0, 6.0, 7.0])
    assert found.months.tolist() == [12 * 2031 + n for n in range(4)]
    assert found.figures.tolist() == [2.0, 5.0, 6.0, 7.0]
    assert by_month(days[:2], [1.0, 3.0]) is None


KNOWN = Together((FIRST, FIRST + 1), (0.5, -1.0), ((0.04, 0.01), (0.01, 0.09)), 0.7)


@checks(shared_by, source="House rule: a month of which nothing is known shifts by 0")
def test_days_of_a_month_share_what_is_not_known_of_it():
    days = [date(2031, 1, 3), date(2031, 2, 3), date(2031, 2, 9), date(2031, 7, 9)]
    found = shared_by(days, KNOWN)
    assert found.shifts.tolist() == [0.5, -1.0, -1.0, 0.0]
    assert found.errors == pytest.approx(
        np.array(
            [[0.04, 0.01, 0.01, 0], [0.01, 0.09, 0.09, 0], [0.01, 0.09, 0.09, 0], [0, 0, 0, 0.49]]
        )
    )
    assert shared_by(days, Together()) is None


def surely(days, shift, start):
    """Everybody surely shifted by this since the start."""
    shifts = np.where(np.arange(days) >= start, shift, 0.0)
    return Shared(shifts, np.zeros((days, days)))


def test_what_everybody_gained_is_no_change_of_one():
    """Of speeds, of shares and of misses alike. Nor is it none: nothing can be told."""
    speeds = [*[60.0, 60.3, 59.8, 60.1], *[63.0, 63.2, 62.9, 63.1] * 3]
    shared = surely(16, 3.0, 4)
    alone, beside = (
        change_of_figures(speeds, 0.5, "m/s", 0.8, start=4, shared=each) for each in (None, shared)
    )
    assert (alone.answer, beside.answer) == (Answer.MOVED, Answer.CANNOT_TELL)
    assert (beside.value, beside.together) == (pytest.approx(alone.value - 3.0), 3.0)
    assert (beside.before, beside.now) == pytest.approx((alone.before, alone.now))
    counts = [(8, 48)] * 3 + [(40, 48)] * 9
    share = change_of_shares(counts, 0.1, shared=surely(12, 32 / 48, 3))
    assert change_of_shares(counts, 0.1).answer is Answer.MOVED
    assert share.value == pytest.approx(0.0, abs=1e-12)
    misses = [[6.0, 7, 8, 7]] * 3 + [[4.0, 3, 4, 5]] * 9
    assert change_of_levels(misses, "m", 1.0, shared=surely(12, -3.0, 3)).value == pytest.approx(0)
    # A day without a ball is left out, with what everybody was off on it.
    kept = change_of_levels([[], *misses], "m", 1.0, shared=surely(13, -3.0, 4))
    assert kept.value == pytest.approx(0)


@pytest.mark.parametrize(
    ("own", "everybody", "answer"),
    [
        (6.0, 3.0, Answer.MOVED),  # Twice as much as all.
        (0.0, 0.0, Answer.DID_NOT_MOVE),
        (0.0, -3.0, Answer.CANNOT_TELL),  # All fell, and this one did not.
        (-3.0, -3.0, Answer.CANNOT_TELL),
    ],
)
def test_an_answer_is_given_where_it_holds_with_everybody_and_without(own, everybody, answer):
    speeds = [*[60.0, 60.3, 59.8, 60.1], *[60.0 + own + off for off in (0, 0.2, -0.1, 0.1)] * 3]
    claim = change_of_figures(
        speeds, 0.5, "m/s", 0.8, start=4, usual=DaySpread(0.5), shared=surely(16, everybody, 4)
    )
    assert claim.answer is answer
    assert claim.better is (answer is Answer.MOVED)


def test_what_is_not_known_of_everybody_widens_a_claim():
    speeds = [*[60.0, 60.3, 59.8, 60.1], *[62.0, 62.2, 61.9, 62.1] * 3]
    calm = DaySpread(0.5)
    plain = change_of_figures(speeds, 0.5, "m/s", 0.8, start=4, usual=calm)
    since = (np.arange(16) >= 4).astype(float)
    vague = Shared(np.zeros(16), 0.81 * np.outer(since, since))
    wide = change_of_figures(speeds, 0.5, "m/s", 0.8, start=4, usual=calm, shared=vague)
    assert wide.value == plain.value
    assert wide.reach > plain.reach + 0.9
