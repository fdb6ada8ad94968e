"""The panel: each forecaster by hand or against a library, and how far each is believed.

Sources: statsmodels' logistic regression and its mixed one (Bayesian, by the posterior mode);
scipy.stats.beta and binom.
"""

from dataclasses import replace
from datetime import timedelta
from math import exp, log

import numpy as np
import pytest
from scipy.stats import beta, binom

from coaching.forecast import deciding, rhythm_fit
from coaching.forecast.forecast import (
    ThisWeek,
    _by_ends,
    alone,
    chances,
    forecast,
    own_of,
    to_come,
)
from coaching.forecast.own_odds import odds_after
from coaching.forecast.panel import (
    OWN_SCORES,
    PRIOR_WEEKS,
    TRUST_WEEKS,
    By,
    Rest,
    counted,
    ends,
    standing,
    usual_of,
    weights_of,
)
from coaching.forecast.rhythm import HOUSE, DoneWeek, WorkLeft, from_json, in_percent
from coaching.forecast.work_left import LEFTS, PARTS, work_of
from tests.board.rules.make import MONDAY

NOTHING = (0.0,) * 7
FRIDAYS = (0.0, 0.0, 0.0, 0.0, 50.0, 0.0, 0.0)


def past(*weeks, asked=100.0) -> list[DoneWeek]:
    first = MONDAY - timedelta(weeks=len(weeks))
    return [DoneWeek(first + timedelta(weeks=n), asked, days) for n, days in enumerate(weeks)]


def now(asked=100.0, today=2, by_day=NOTHING) -> ThisWeek:
    return ThisWeek(MONDAY, asked, by_day, to_come(today, NOTHING))


def test_each_weighs_by_how_likely_it_made_the_weeks():
    """By hand: the studio's mean scores as so many weeks, the student's own at their price."""
    trust = (-0.5, -0.6, -0.5, -0.5, -0.5, -0.5, -0.4)
    own = [(-0.1, -0.1, -2.0, -0.1, -0.3, -0.2, -0.6)] * 3
    raw = [exp(TRUST_WEEKS * t + OWN_SCORES * 3 * o) for t, o in zip(trust, own[0], strict=True)]
    assert weights_of(trust, own) == pytest.approx([each / sum(raw) for each in raw])
    assert sum(weights_of(HOUSE.trust, [])) == pytest.approx(1)


def test_weeks_are_counted_for_the_share_that_is_left():
    """Of a week half as big, 25 minutes are as much as 50 are of this one.

    What reached the line with less to do from here tells nothing.
    """
    half = past(tuple(m / 2 for m in FRIDAYS), asked=50)
    early = past((90.0, 0.0, 0.0, 0.0, 5.0, 0.0, 0.0))
    rest = Rest(2, 0.5, frozenset({3, 4, 5, 6}))
    _, _, through, told = counted([*half, *early, *past(NOTHING)], rest, 0.8, fade=1.0)
    assert (through, told) == (1, 2)
    shut = Rest(2, 0.5, frozenset({3, 5, 6}))
    assert counted(half, shut, 0.8, fade=1.0)[2] == 0


LATE = (0.0, 50.0, 0.0, 0.0, 0.0, 0.0, 40.0)
STOPS = (0.0, 50.0, 0.0, 0.0, 0.0, 0.0, 0.0)
EARLY = (90.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
SATURDAY = (0.0, 0.0, 0.0, 0.0, 0.0, 90.0, 0.0)


@pytest.mark.parametrize(("late", "stops"), [(0, 0), (3, 5), (7, 0)])
def test_the_last_days_bring_the_line_as_often_as_a_beta_binomial_says(late, stops):
    """Weeks that had reached the line before tell nothing: on Sunday those of Saturday too."""
    weeks = past(*[LATE] * late, *[STOPS] * stops, *[EARLY] * 4, SATURDAY)
    usual = (0.3, 0.5)
    found = ends(weeks, usual, 0.8, fade=1.0)
    for share, mine, came in zip(usual, found, (late, late + 1), strict=True):
        drawn = beta(PRIOR_WEEKS * share + came, PRIOR_WEEKS * (1 - share) + stops)
        assert mine == pytest.approx(drawn.mean())


def test_the_last_days_here_are_those_of_all_students():
    found = rhythm_fit._reached(HOUSE, [past(*[LATE] * 10), past(*[STOPS] * 10)], 0.8).ends
    assert found == pytest.approx([(10 + 3 * share) / 23 for share in HOUSE.ends])


def test_the_line_is_reached_before_the_last_days_or_by_them():
    """One visit is all of it: on Thursday and Friday by chance, on the weekend as weeks end."""
    all_of_it = tuple([float(n == PARTS) for n in range(PARTS + 1)])
    work = WorkLeft(((0.3,) * LEFTS,) * 7, (all_of_it,) * LEFTS)
    own = replace(alone([], HOUSE, now(), 0.8), ends=(0.2, 0.6))
    before = binom(2, 0.3).sf(0)
    rest = Rest(2, 0.8, frozenset({3, 4, 5, 6}))
    assert _by_ends(own, work, rest, 0.8) == pytest.approx(before + (1 - before) * 0.6)
    # The weekend is excused but for a day: Wednesday and that day are the last ones.
    assert _by_ends(own, work, Rest(1, 0.8, frozenset({2, 5})), 0.8) == pytest.approx(0.6)
    assert _by_ends(own, work, Rest(5, 0.8, frozenset({6})), 0.8) == pytest.approx(0.2)


def test_whoever_does_on_the_last_day_what_is_left_is_not_measured_by_how_much_it_was():
    """Never more than 40 of 100 on a Sunday, always as much as was missing; now it is all."""
    weeks = past(*[LATE] * 12)
    rhythm = replace(HOUSE, work=work_of([weeks]))
    friday = now(100, 4)
    said = dict(
        zip(By, chances(friday, alone(weeks, rhythm, friday, 0.8), rhythm, 0.8), strict=True)
    )
    assert said[By.ENDS] > 0.75
    assert said[By.WEEKS] < 0.4


def test_shares_see_through_a_week_that_asks_for_less():
    """Somebody who does half a week of any size: minutes say a small one will be enough."""
    weeks = [DoneWeek(MONDAY, asked, tuple([asked / 14] * 7)) for asked in (200.0, 100.0) * 6]
    said = dict(
        zip(
            By, chances(now(40, -1), alone(weeks, HOUSE, now(40, -1), 0.8), HOUSE, 0.8), strict=True
        )
    )
    assert said[By.MINUTES] > 0.9
    assert said[By.SHARES] < 0.3
    assert said[By.WEEKS] < 0.5
    own = own_of(weeks, HOUSE, now(40, -1), 0.8)
    assert own.weights[list(By).index(By.SHARES)] > own.weights[0]


def test_every_other_weekend_is_told_from_the_weekend_between():
    """Somebody who is away every second weekend: the panel learns whose turn it is."""
    home, away = (0.0, 0.0, 20.0, 0.0, 0.0, 40.0, 40.0), (0.0, 0.0, 20.0, 0.0, 0.0, 0.0, 0.0)
    wednesday = now(80, by_day=away)
    at_home = forecast(wednesday, past(*[home, away] * 8, asked=80), HOUSE)
    gone = forecast(wednesday, past(*[away, home] * 8, asked=80), HOUSE)
    assert at_home.by is gone.by is By.TURNS
    assert at_home.chance > 0.6
    assert gone.chance < 0.3


def test_a_habit_of_the_last_days_is_believed_where_days_alone_would_not_see_it():
    """Fridays only, every week: from Wednesday on that is half of the week, never more."""
    weeks = past(*[FRIDAYS] * 12, asked=60)
    said = forecast(ThisWeek(MONDAY, 60, NOTHING, to_come(2, NOTHING)), weeks, HOUSE)
    assert said.through == said.told == 12
    assert said.chance > 0.7


def test_the_reason_is_that_of_the_forecaster_that_weighs_most():
    said = forecast(now(60), past(*[FRIDAYS] * 12, asked=60), HOUSE)
    for by, words in {
        By.WEEKS: "came from here on in 12 of 12 weeks.",
        By.STANDING: "Of weeks here that stood like this, about 3 in 10 came through.",
        By.LEFT: "With so much left so late, about 3 in 10 such weeks came through.",
        By.ENDS: "The last days decide here: about 3 in 10 such weeks came through.",
        By.SHARES: "Thursday to Sunday usually bring",
        By.MINUTES: "Thursday to Sunday usually bring",
        By.TURNS: "Every second week is like this one. Thursday to Sunday usually bring",
    }.items():
        assert words in deciding.reason(replace(said, by=by, alone=0.31), 3, 6)
    in_rounds = replace(said, by=By.MINUTES, cycle=24)
    assert "Practice comes in rounds of 24 days. Thursday to" in deciding.reason(in_rounds, 3, 6)


def test_how_a_week_stands_by_hand():
    """Two weeks ago half of the week on Friday, last week nothing; this one has six tenths."""
    usual = usual_of(past(FRIDAYS, NOTHING), HOUSE, 0.8)
    by_day = (0.0, 60.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    rest = now(100, 2, by_day).rest(0.8)
    assert rest == Rest(2, pytest.approx(0.2), frozenset({3, 4, 5, 6}))
    stands = standing(rest, by_day, usual, 0.8)
    weeks = 2 + 1 + 0.94
    reached, brings = 2 * HOUSE.reached / weeks, sum(usual.by_day[3:])
    week = (2 * HOUSE.rest + 0.94 * 0.5) / weeks
    worth = 0.94 / 1.94
    assert stands == pytest.approx(
        (1, 5 * 0.2 / 4 - 0.5, -0.4, log(2) - 1, log(reached / (1 - reached)), brings - 0.2,
         -log(reached / (1 - reached)),  # Of the studio's weeks alone, half: they got as far.
         0.6 - sum(usual.by_day[:3]), -week, 0.5 - week, 0.5 * worth / (worth + 1))
    )  # fmt: skip
    assert usual.since == 9  # The week and the weekend before it.


def test_without_turns_every_other_week_is_like_the_others():
    """Eight weeks alike: whose turn it is moves the odds by less than they are uncertain."""
    weeks = past(*[(20.0, 0.0, 20.0, 0.0, 0.0, 20.0, 0.0)] * 8)
    own = alone(weeks, HOUSE, now(100, -1), 0.8)
    apart = np.abs(np.array(own.turns.odds) - np.array(own.habits.odds))
    assert apart.max() < max(own.habits.moves)


def test_the_regression_that_is_judged_has_not_seen_whom_it_is_judged_by():
    weeks = [past(*[FRIDAYS, (90.0,) + (0.0,) * 6] * 4) for _ in range(6)]
    stood = rhythm_fit._stood(HOUSE, weeks, 0.8)
    turned = replace(stood, came=np.where(stood.who == 5, 1 - stood.came, stood.came))
    assert stood.line(without=0) == turned.line(without=0)  # Students 0 and 5.
    assert stood.line(without=1) != turned.line(without=1)
    alone_here = rhythm_fit._stood(HOUSE, weeks[:1], 0.8)
    assert alone_here.line(without=0) == HOUSE.pooled


def test_the_pooled_regression_is_statsmodels_where_nothing_is_known_before():
    import statsmodels.api as sm

    random = np.random.default_rng(5)
    x = np.column_stack([np.ones(900), random.normal(size=(900, 2))])
    y = (random.random(900) < 1 / (1 + np.exp(-(x @ [0.3, 1.0, -0.6])))).astype(float)
    fit = sm.Logit(y, x).fit(disp=0)
    line = rhythm_fit._logistic_line(x, y, np.zeros(3), weight=1.0)
    assert line == pytest.approx(fit.params, abs=0.03)  # The prior is worth about one row.
    assert rhythm_fit._logistic_line(x, y, np.ones(3), weight=0.0) == pytest.approx(np.ones(3))


def test_students_are_drawn_in_as_by_a_mixed_logistic_regression():
    """statsmodels' BinomialBayesMixedGLM (by the posterior mode): with its own spread between
    students and its own mean, each student's log-odds are ours."""
    from statsmodels.genmod.bayes_mixed_glm import BinomialBayesMixedGLM

    random = np.random.default_rng(9)
    students, days = 25, 30
    true = random.normal(-0.4, 1.1, students)
    who = np.repeat(np.arange(students), days)
    came = (random.random(len(who)) < 1 / (1 + np.exp(-true[who]))).astype(float)
    model = BinomialBayesMixedGLM(
        came, np.ones((len(who), 1)), np.eye(students)[who], np.zeros(students, int), vcp_p=1e3
    )
    fit = model.fit_map()
    mean, spread = float(fit.fe_mean[0]), float(np.exp(fit.vcp_mean[0]))
    common = [[spread**2] * 7 for _ in range(7)]
    done = np.bincount(who, came)
    for student in range(students):
        week = [days / 7] * 7
        odds, _ = odds_after(week, [done[student] / 7] * 7, [mean] * 7, common)
        assert odds[0] == pytest.approx(mean + fit.vc_mean[student], abs=0.02)


def test_a_number_that_nothing_tells_stays_the_mean_of_its_steps():
    """Averaged, not climbed to: one student of three weeks cannot say how students differ."""
    weeks = [past((20.0, 0.0, 20.0, 0.0, 0.0, 20.0, 0.0), NOTHING, FRIDAYS)]
    days = rhythm_fit._Days.of(weeks, HOUSE)
    steps = rhythm_fit.STEPS["levels_differ"]
    mean = rhythm_fit._mean_step(HOUSE, "levels_differ", steps, days)
    assert abs(mean - sum(steps) / len(steps)) < 0.25


def test_the_panel_survives_being_kept():
    import json

    work = work_of([past(FRIDAYS, NOTHING)])
    rhythm = replace(
        HOUSE, trust=(-0.4, -0.5, -0.3, -0.6, -0.5, -0.4, -0.5), cycles=((24, 0.5),), work=work
    )
    assert from_json(json.loads(json.dumps(rhythm.as_json()))) == rhythm
    of_another = rhythm.as_json() | {"trust": [0.0, -0.1]}
    assert from_json(of_another) == replace(rhythm, trust=HOUSE.trust)
    assert from_json(rhythm.as_json() | {"pooled": [0.0] * 6}) == rhythm


def test_a_week_in_percent_asks_for_a_hundred():
    assert in_percent(past(FRIDAYS, asked=200)[0]).by_day[4] == 25
