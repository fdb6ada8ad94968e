"""Cycles that are no weeks: found where they are, by hand where it is short, and not elsewhere."""

from datetime import timedelta
from random import Random

import pytest

from coaching.forecast.cycles import InCycle, along, beside_usual, cycle_of, shares_of
from coaching.forecast.forecast import ThisWeek, forecast, to_come
from coaching.forecast.rhythm import HOUSE, DoneWeek
from coaching.forecast.rhythm_fit import rhythm_from
from tests.board.rules.make import MONDAY

WEEKS = 20
ON = 5  # Days of nine.
OPENS = MONDAY + timedelta(weeks=WEEKS)


def logged(done, weeks=WEEKS, asked=200.0) -> list[DoneWeek]:
    """Ten minutes on the days, counted from the first week on, that `done` says."""
    return [
        DoneWeek(
            MONDAY + timedelta(weeks=n),
            asked,
            tuple(10.0 * bool(done(7 * n + day)) for day in range(7)),
        )
        for n in range(weeks)
    ]


def rosters() -> list[list[DoneWeek]]:
    return [logged(lambda day, at=at: (day + at) % 9 < ON) for at in range(6)]


def by_chance(seed: int) -> list[DoneWeek]:
    dice = Random(seed)
    return logged(lambda day: dice.random() < 0.4)


def test_a_roster_of_nine_days_is_found_and_says_the_days_to_come():
    held = rosters()
    shares = shares_of(held)
    assert max(shares, key=lambda each: each[1])[0] == 9
    found = cycle_of(held[0], OPENS, shares)
    assert found.period == 9
    on = [(7 * WEEKS + day) % 9 < ON for day in range(7)]
    assert [more > 0 for more in found.moved] == on


@pytest.mark.parametrize(("days", "found"), [(8, 8), (42, 42), (43, 42)])
def test_cycles_of_eight_days_to_six_weeks_are_looked_for(days, found):
    """One that is longer is seen too seldom to be learnt; the nearest speaks for it."""
    held = [
        logged(lambda day, at=at: (day + at) % days < days // 2, weeks=36) for at in range(0, 24, 4)
    ]
    ((period, share),) = shares_of(held)
    assert period == found
    # Six of six, beside four of whom a tenth go by any: (6 + 4 * 0.1 / 35) / (6 + 4).
    assert share == pytest.approx(0.6011, abs=0.0001)


def test_nothing_is_found_where_days_come_by_chance():
    assert shares_of([by_chance(seed) for seed in range(20)]) == ()
    assert cycle_of(by_chance(50), OPENS, ()) == InCycle()


def test_a_cycle_that_others_have_moves_nobody_who_has_none():
    assert cycle_of(by_chance(50), OPENS, ((9, 0.5),)).period == 0


def test_a_week_that_was_left_out_does_not_shift_the_roster():
    weeks = rosters()[0]
    found = cycle_of([*weeks[:9], *weeks[11:]], OPENS, ((9, 0.5),))
    assert [more > 0 for more in found.moved] == [(7 * WEEKS + d) % 9 < ON for d in range(7)]


def test_days_are_compared_with_those_of_the_cycle_before_by_hand():
    """Practice on the first day only: ten days later it is likelier, and the day after a little."""
    days = beside_usual(logged(lambda day: day == 0, weeks=2))
    assert days.usual[0] == 0.5  # Nothing known.
    assert days.more[0] == 0.5
    second = -(2 / 3)  # Of one day, one: (1 + 1) / (1 + 2).
    third = -(2 / 4)
    assert days.more[1:3] == pytest.approx([second, third])
    moved, likelier = along(days, 10, 14)
    assert moved[:10] == [0.0] * 10
    assert moved[10] == pytest.approx((0.5 + 0.4 * second) / (2 + 1 + 0.4))
    assert moved[11] == pytest.approx((second + 0.4 * (0.5 + third)) / (2 + 1 + 0.8))
    assert likelier == 0  # Too few days to be judged by.


def test_the_forecast_goes_by_the_roster():
    """Of two students alike but for where the roster stands, one has free days ahead."""
    held = rosters()
    rhythm = rhythm_from(held)
    chances = []
    for weeks in held:
        week = ThisWeek(OPENS, 50.0, (0.0,) * 7, to_come(-1, (0.0,) * 7))
        said = forecast(week, weeks, rhythm)
        assert said.cycle == 9
        chances.append(said.chance)
    free = [sum((7 * WEEKS + day + at) % 9 < ON for day in range(7)) for at in range(6)]
    assert min(c for c, n in zip(chances, free, strict=True) if n == max(free)) > max(
        c for c, n in zip(chances, free, strict=True) if n == min(free)
    )
    assert forecast(week, held[0], HOUSE).cycle == 0
