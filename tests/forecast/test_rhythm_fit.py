"""A studio's rhythm from its weeks. Sources: statsmodels' logistic regression; the truth of
invented studios."""

from datetime import timedelta

import pytest

from coaching.forecast import rhythm_fit
from coaching.forecast.own_odds import flattening, start_of
from coaching.forecast.rhythm import HOUSE, DoneWeek
from coaching.forecast.rhythm_fit import rhythm_from
from coaching.forecast.simulated import CRAMMERS, STEADY, like, studio
from tests.board.rules.make import MONDAY


def histories(mix, students: int = 50, weeks: int = 13, seed: int = 7) -> list[list[DoneWeek]]:
    return [
        [DoneWeek(w.opens, w.asked, w.credited(), w.shut) for w in student.weeks]
        for student in studio(mix, students=students, weeks=weeks, seed=seed)
    ]


def test_too_few_weeks_leave_the_houses_own():
    one = [DoneWeek(MONDAY - timedelta(weeks=n), 60, (20.0,) * 7) for n in range(19, 0, -1)]
    assert rhythm_from([one]) is HOUSE
    assert rhythm_from([]) is HOUSE


def test_weeks_that_asked_nothing_are_left_out():
    idle = [DoneWeek(MONDAY - timedelta(weeks=n), 0, (0.0,) * 7) for n in range(40, 0, -1)]
    assert rhythm_from([idle]) is HOUSE


def test_it_finds_the_weekend_and_the_minutes():
    """True: 2.0 more log-odds on weekend days, 21 minutes on others and 1.7 times on those.

    The log-odds in an ordinary week of an ordinary student; few weekends of 50 students and
    weeks that end early leave the lines wide.
    """
    found = rhythm_from(histories(CRAMMERS))
    odds = [each * flattening(found.weeks_differ**2) for each in start_of(found).odds]
    assert 1.3 < sum(odds[5:]) / 2 - sum(odds[:5]) / 5 < 2.3
    assert -1.6 < sum(odds[:5]) / 5 < -1.0
    times = sum(found.amounts[5:]) / 2 / (sum(found.amounts[:5]) / 5)
    assert 1.45 < times < 1.9
    minutes = found.amount * sum(found.amounts[:5]) / 5
    assert 18 < minutes < 26
    assert 0.3 < found.spread < 0.5


def test_it_tells_like_weeks_from_unlike_ones():
    alike = rhythm_from(histories(like(STEADY, weeks_differ=0.05, lasts=0.0)))
    unlike = rhythm_from(histories(like(STEADY, weeks_differ=1.4, lasts=0.0)))
    assert alike.weeks_differ <= 0.4
    assert unlike.weeks_differ >= 0.8


def test_it_tells_how_students_differ():
    """True: 0.2 and 1.3 between students in all, with little between their weekdays."""
    few = {"weekend_spread": 0.1, "weekday_spread": 0.1, "weeks_differ": 0.1}
    alike = rhythm_from(histories(like(STEADY, level_spread=0.2, **few)))
    unlike = rhythm_from(histories(like(STEADY, level_spread=1.3, **few)))
    assert alike.levels_differ <= 0.4
    assert unlike.levels_differ >= 0.8
    assert max(alike.weekends_differ, unlike.weekends_differ) <= 0.6


def test_it_tells_whether_what_is_asked_tells_anything():
    """True: weeks asked lie 0.2 and 1.5 around what is usual for each, as logarithms."""
    fitted = rhythm_from(histories(like(STEADY, size_spread=0.2)))
    any_size = rhythm_from(histories(like(STEADY, size_spread=1.5)))
    assert fitted.asking_tells >= 5
    assert any_size.asking_tells <= 1


def test_it_tells_who_writes_late():
    weeks = histories(STEADY, students=20)  # They have no part in it, but must be enough.
    punctual = rhythm_from(weeks, [0] * 400)
    tardy = rhythm_from(weeks, [0, 1, 2, 2] * 100)
    assert punctual.late[0] < 0.01
    assert tardy.late[:3] == pytest.approx((0.75, 0.5, 0.0), abs=0.06)


def test_the_same_weeks_give_the_same_rhythm():
    weeks = histories(STEADY, students=20)
    assert rhythm_from(weeks) == rhythm_from(weeks)


def test_the_lean_is_a_logistic_regression_where_nothing_is_known_before(monkeypatch):
    import numpy as np
    import statsmodels.api as sm

    random = np.random.default_rng(1)
    odds = random.normal(0, 1.5, 400)
    came = random.random(400) < 1 / (1 + np.exp(-(0.4 + 0.7 * odds)))
    monkeypatch.setattr(rhythm_fit, "LEAN_SPREAD", 1e6)
    fit = sm.Logit(came.astype(float), sm.add_constant(odds)).fit(disp=0)
    assert rhythm_fit._logit_line(list(odds), list(came)) == pytest.approx(tuple(fit.params))


def test_little_to_go_by_leans_little():
    """As if so wide a spread were known beforehand: three forecasts hardly move it."""
    tilt, stretch = rhythm_fit._logit_line([1.0, 1.0, 1.0], [False, False, False])
    assert -0.1 < tilt < 0
    assert 0.9 < stretch < 1


@pytest.mark.parametrize(
    ("spread2", "weekday2", "days"), [(0.16, 0.016, 10), (0.16, 0, 80), (0, 0, 80), (0.16, 1, 4)]
)
def test_days_until_a_weekdays_own_minutes_count(spread2, weekday2, days):
    """Variance within by variance between, as in a random-effects mean (Efron & Morris 1977),
    held between 4 and 80."""
    assert rhythm_fit._days_to_tell(spread2, weekday2) == pytest.approx(days)


@pytest.mark.parametrize(("weeks", "share"), [(40, 0.25), (360, 0.75)])
def test_few_weeks_of_a_studio_let_hardly_one_forecaster_be_believed_more(weeks, share):
    """By hand: 40 weeks beside 120 that told nothing are a quarter, 360 three quarters."""
    scores = (-0.4, -0.5, -0.4, -0.6, -0.4, -0.3, -0.5)
    looks = [[rhythm_fit._Looked(n, (), scores, came=True) for n in range(weeks)]]
    assert rhythm_fit._trust(looks) == pytest.approx([share * each for each in scores])
