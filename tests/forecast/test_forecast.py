"""The forecast: against exact distributions where its assumptions make one, and at its edges.

Sources: SciPy's binomial, gamma and truncated normal; NumPy's Gauss-Hermite rule.
"""

from dataclasses import replace
from datetime import timedelta
from math import log, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coaching.forecast.forecast import (
    NODES,
    WEEKS_READ,
    Habits,
    Minutes,
    ThisWeek,
    at_least,
    days_asked,
    forecast,
    habits_of,
    left_of_day,
    outcome,
    own_minutes,
    to_come,
)
from coaching.forecast.rhythm import HOUSE, DoneWeek, chance_of, from_json
from tests.board.rules.make import MONDAY

NOTHING = (0.0,) * 7
PUNCTUAL = replace(HOUSE, late=NOTHING, lost_weeks=0.0)
EVERY_OTHER_DAY = (20.0, 0.0, 20.0, 0.0, 20.0, 0.0, 20.0)


def week(by_day=NOTHING, today: int = 2, asked: float = 100, shut=frozenset()) -> ThisWeek:
    return ThisWeek(MONDAY, asked, tuple(by_day), to_come(today, NOTHING, shut=shut), shut)


def past(*weeks, asked: float = 100) -> list[DoneWeek]:
    """Oldest first."""
    return [
        DoneWeek(MONDAY - timedelta(weeks=len(weeks) - n), asked, tuple(days))
        for n, days in enumerate(weeks)
    ]


def plain(p: float = 0.5, minutes: float = 20, spread: float = 1e-6) -> Habits:
    """Somebody whose weeks are all alike and whose days all bring the same."""
    usual = Minutes(1.0, (minutes,) * 7, spread, 0.0)
    odds = (log(p / (1 - p)),) * 7
    return Habits(odds, NOTHING, usual, odds, 12, 1.0)


def test_like_days_of_like_minutes_are_a_binomial():
    """45 minutes are three days of 20; four days are left."""
    from scipy.stats import binom

    steady = replace(PUNCTUAL, week_spread=0.0)
    said = outcome(week(asked=45), plain(0.6), steady, 1.0)
    assert said.chance == pytest.approx(binom.sf(2, 4, 0.6), abs=1e-9)
    assert said.days == pytest.approx(4 * 0.6)


def test_seven_days_ahead_when_the_week_opens():
    from scipy.stats import binom

    steady = replace(PUNCTUAL, week_spread=0.0)
    said = outcome(week(asked=90, today=-1), plain(0.3), steady, 1.0)
    assert said.chance == pytest.approx(binom.sf(4, 7, 0.3), abs=1e-9)


def test_minutes_of_a_sure_day_are_a_gamma():
    """One day left, practised for sure, 30 minutes of spread 0.5, 36 needed.

    Wilson and Hilferty's cube root is within a hundredth of the gamma here.
    """
    from scipy.stats import gamma

    steady = replace(PUNCTUAL, week_spread=0.0)
    said = outcome(week(today=5, asked=36), plain(1 - 1e-9, 30, 0.5), steady, 1.0)
    assert said.chance == pytest.approx(gamma.sf(36, 4, scale=30 / 4), abs=0.01)


def test_the_nodes_are_those_of_gauss_and_hermite():
    import numpy as np

    nodes, weights = np.polynomial.hermite_e.hermegauss(len(NODES))
    assert [n for n, _ in NODES] == pytest.approx(list(nodes))
    assert [w for _, w in NODES] == pytest.approx(list(weights / sqrt(2 * np.pi)))


@pytest.mark.parametrize("minutes", [10.0, 20.0, 35.0])
def test_a_day_cut_short_counts_as_the_mean_above_it(minutes):
    from scipy.stats import truncnorm

    mean, spread = 20.0, 0.4
    wide = mean * spread
    expected = truncnorm.mean((minutes - mean) / wide, float("inf"), loc=mean, scale=wide)
    assert at_least(minutes, mean, spread) == pytest.approx(expected, rel=1e-6)


def test_more_of_their_own_weeks_leave_less_to_the_studio():
    own = [habits_of(past(*[EVERY_OTHER_DAY] * n, asked=1000), PUNCTUAL) for n in (0, 2, 8, 26)]
    assert own[0].own_share == pytest.approx(0)
    assert own[0].own_share < own[1].own_share < own[2].own_share < own[3].own_share < 1
    chances = [chance_of(each.odds[0]) for each in own]
    assert chances == sorted(chances)


def test_practice_on_one_day_says_a_little_of_the_others():
    """Beside somebody idle, all by one level: Monday says most of Monday."""
    mondays = (20.0, *NOTHING[1:])
    idle, one = (
        habits_of(past(*[days] * 6, asked=1000), PUNCTUAL).odds for days in (NOTHING, mondays)
    )
    more = [a - b for a, b in zip(one, idle, strict=True)]
    assert more[0] > 1.5 * more[1] > 0
    assert more[1] == pytest.approx(more[4], abs=0.01)


def test_their_own_minutes_are_drawn_towards_the_studios():
    """A normal mean with a prior worth `own_amount` days: (sum + weight × start) / (n + weight)."""
    plainly = replace(PUNCTUAL, amount=20.0, own_amount=4.0, own_amounts=1e9, fade=1.0)
    usual = own_minutes(past(*[(40.0, *NOTHING[1:])] * 8, asked=1000), plainly)
    assert usual.mean == pytest.approx((8 * 40 + 4 * 20) / 12)
    assert usual.by_weekday == pytest.approx((usual.mean,) * 7)


def test_of_a_student_who_is_not_known_the_minutes_spread_as_the_studios():
    for spread in (0.3, 0.8):
        assert own_minutes([], replace(HOUSE, spread=spread)).spread == pytest.approx(spread)


def test_newer_weeks_say_more_of_a_day_than_older_ones():
    short, long = (20.0, *NOTHING[1:]), (60.0, *NOTHING[1:])
    fading = replace(PUNCTUAL, fade=0.9)
    grows = own_minutes(past(*[short] * 4, *[long] * 4, asked=1000), fading)
    falls = own_minutes(past(*[long] * 4, *[short] * 4, asked=1000), fading)
    assert grows.mean > falls.mean + 1
    told = [own_minutes([], fading, past(*weeks, asked=1000)).mean
            for weeks in ([short] * 4 + [long] * 4, [long] * 4 + [short] * 4)]  # fmt: skip
    assert told[0] > told[1] + 1, "what is told from memory fades too"
    steady = replace(PUNCTUAL, fade=1.0)
    same = [own_minutes(past(*weeks, asked=1000), steady).mean
            for weeks in ([short] * 4 + [long] * 4, [long] * 4 + [short] * 4)]  # fmt: skip
    assert same[0] == pytest.approx(same[1])


def test_what_is_asked_speaks_for_a_student_only_as_far_as_it_tells():
    """Asked for twice as many days: no news in a studio where that says nothing."""
    little, much = past(NOTHING, asked=40), past(NOTHING, asked=80)
    silent, telling = PUNCTUAL, replace(PUNCTUAL, asking_tells=5.0)
    assert habits_of(little, silent).odds == habits_of(much, silent).odds
    assert habits_of(little, telling).odds < habits_of(much, telling).odds


def test_excused_days_are_made_whole_in_what_is_asked():
    three = DoneWeek(MONDAY, 30, NOTHING, frozenset(range(4)))
    assert days_asked([three], 0, 10) == pytest.approx(log(7))
    assert days_asked([], 70, 10) == pytest.approx(log(7))
    assert days_asked([], 0, 10) == 0


def test_older_weeks_weigh_less():
    faded = replace(PUNCTUAL, fade=0.8)
    lazy, keen = NOTHING, EVERY_OTHER_DAY
    now = week(today=-1, asked=60)
    rising = forecast(now, past(lazy, lazy, lazy, keen, keen, keen), faded)
    falling = forecast(now, past(keen, keen, keen, lazy, lazy, lazy), faded)
    assert rising.chance > falling.chance + 0.15


# --- edges ------------------------------------------------------------------------


def test_nothing_asked_is_nothing_to_foretell():
    assert forecast(week(asked=0), [], HOUSE) is None


def test_all_days_excused_leave_no_chance_of_more():
    shut = frozenset(range(7))
    assert forecast(week(asked=60, shut=shut), [], HOUSE).chance == 0


def test_what_is_reached_is_certain():
    said = forecast(week([80, 0, 0, 0, 0, 0, 0]), [], HOUSE)
    assert (said.chance, said.needed) == (1.0, 0.0)


def test_the_last_evening_is_the_end():
    assert forecast(week([20, 0, 0, 0, 0, 0, 0], today=6), [], HOUSE).chance == 0


def test_practice_that_may_be_unwritten_leaves_a_chance():
    late = (0.5, 0.3, 0.2, 0.1, 0.1, 0.1, 0.0)
    sunday = ThisWeek(MONDAY, 100, (70.0, *NOTHING[1:]), to_come(6, late))
    said = forecast(sunday, past(*[EVERY_OTHER_DAY] * 8), replace(HOUSE, late=late))
    assert 0.05 < said.chance < 0.95


def test_a_first_week_is_said_by_the_studio_and_widely():
    first = forecast(week(today=-1), [], HOUSE)
    keen = forecast(week(today=-1), past(*[(15.0,) * 7] * 12), HOUSE)
    idle = forecast(week(today=-1), past(*[NOTHING] * 12), HOUSE)
    assert first.own_share == 0
    assert first.weeks == 0
    assert idle.chance < 0.1 < first.chance < 0.8 < keen.chance


def test_ten_years_cost_and_say_what_the_last_weeks_do():
    lately = [EVERY_OTHER_DAY] * WEEKS_READ
    long_ago = [NOTHING] * 520
    assert forecast(week(), past(*long_ago, *lately), HOUSE) == forecast(
        week(), past(*lately), HOUSE
    )


def test_excused_days_say_nothing_of_the_student():
    """Ill from Monday to Wednesday and excused: as good as a week that opens on Thursday."""
    shut = frozenset({0, 1, 2})
    told, silent = week(shut=shut), week()
    before = past(*[EVERY_OTHER_DAY] * 8)
    assert forecast(told, before, HOUSE).chance > forecast(silent, before, HOUSE).chance


def test_a_week_nearly_done_says_nothing_of_its_last_days():
    early = DoneWeek(MONDAY, 60, (40.0, 20.0, 0.0, 0.0, 0.0, 0.0, 0.0))
    assert [day for day, *_ in early.days()] == [0, 1]


@pytest.mark.parametrize(
    ("by_day", "come", "enough"),
    [((0.0,) * 6, (1.0,) * 7, 0.8), (NOTHING, (1.0,) * 6, 0.8), (NOTHING, (1.0,) * 7, 0.0)],
)
def test_what_makes_no_sense_is_refused(by_day, come, enough):
    with pytest.raises(ValueError, match="seven days"):
        forecast(ThisWeek(MONDAY, 60, by_day, come), [], HOUSE, enough)


days = st.lists(st.sampled_from([0.0, 0.0, 10.0, 15.0, 40.0]), min_size=7, max_size=7)
histories = st.lists(days, max_size=WEEKS_READ + 2)


@given(histories, days, st.integers(-1, 6), st.floats(1, 400))
def test_a_chance_is_a_chance_and_always_the_same(weeks, now, today, asked):
    seen = [minutes if day <= today else 0.0 for day, minutes in enumerate(now)]
    said = forecast(week(seen, today, asked), past(*weeks), HOUSE)
    assert 0 <= said.chance <= 1
    assert said == forecast(week(seen, today, asked), past(*weeks), HOUSE)


@given(histories, st.integers(0, 5), st.floats(20, 200), st.floats(1, 60))
def test_more_asked_is_never_likelier(weeks, today, asked, more):
    before = past(*weeks, asked=100)
    easier, harder = week(today=today, asked=asked), week(today=today, asked=asked + more)
    assert forecast(harder, before, HOUSE).chance <= forecast(easier, before, HOUSE).chance + 1e-9


@given(histories, st.integers(0, 4))
def test_a_day_without_practice_is_never_good_news(weeks, today):
    before = past(*weeks)
    now, tomorrow = week(today=today), week(today=today + 1)
    assert forecast(tomorrow, before, HOUSE).chance <= forecast(now, before, HOUSE).chance + 1e-9


@pytest.mark.parametrize(("hour", "left"), [(3, 1.0), (19.9, 1.0), (20, 0.15), (26.9, 0.15)])
def test_a_day_has_two_steps(hour, left):
    assert left_of_day(hour) == left


def test_today_lies_between_its_morning_and_its_evening():
    late = (0.1, 0.05, 0.02, 0.0, 0.0, 0.0, 0.0)
    morning, evening = to_come(2, late, day_left=1.0), to_come(2, late)
    assert morning[2] == 1
    assert evening[:3] == (0.02, 0.05, 0.1)
    assert to_come(2, late, day_left=0.5)[2] == pytest.approx(0.55)
    assert evening[3:] == (1.0,) * 4


def test_a_rhythm_survives_being_kept():
    assert from_json(PUNCTUAL.as_json() | {"a name of later": 1}) == PUNCTUAL
    assert from_json(None) is HOUSE


def test_the_logistic_function_at_its_ends():
    assert (chance_of(-1e6), chance_of(0), chance_of(1e6)) == (0.0, 0.5, 1.0)
