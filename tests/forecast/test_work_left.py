"""The work that is left, day after day. Source: scipy.stats.binom, for visits that are alike."""

from dataclasses import replace
from datetime import timedelta

import pytest
from scipy.stats import binom

from coaching.forecast.panel import Rest
from coaching.forecast.rhythm import HOUSE, DoneWeek, WorkLeft
from coaching.forecast.work_left import LEFTS, PARTS, finishes, own_work, work_of
from tests.board.rules.make import MONDAY

ON_SUNDAY = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 100.0)
HALF = (25.0, 25.0, 0.0, 0.0, 0.0, 0.0, 0.0)
WHOLE = (25.0, 25.0, 0.0, 20.0, 0.0, 20.0, 10.0)
LAST_FOUR = frozenset({3, 4, 5, 6})


def past(*weeks) -> list[DoneWeek]:
    return [DoneWeek(MONDAY + timedelta(weeks=n), 100.0, days) for n, days in enumerate(weeks)]


def always(chance: float, *parts: int) -> WorkLeft:
    """The same chance on every day; of what is left, by its step, so many of PARTS."""
    taken = [[float(n == part) for n in range(PARTS + 1)] for part in parts]
    return WorkLeft(((chance,) * LEFTS,) * 7, tuple(map(tuple, taken)))


@pytest.mark.parametrize("chance", [0.1, 0.4, 0.8])
def test_one_visit_or_two_of_some_days(chance):
    all_of_it = always(chance, *[PARTS] * LEFTS)
    days = frozenset({3, 5, 6})
    assert finishes(all_of_it, Rest(2, 0.5, days), 1.0) == pytest.approx(binom(3, chance).sf(0))
    half, then_all = PARTS // 2, PARTS
    twice = always(chance, then_all, then_all, half, half, half)
    assert finishes(twice, Rest(2, 0.5, days), 1.0) == pytest.approx(binom(3, chance).sf(1))


@pytest.mark.parametrize("days", [(20.0,) * 7, WHOLE, ON_SUNDAY])
def test_of_one_week_alone_nothing_is_sure(days):
    chances = [chance for day in work_of([past(days)]).chances for chance in day]
    assert all(0 < chance < 1 for chance in chances)


def test_whoever_begins_on_the_last_day_is_not_given_up_before():
    studio = [past(*[ON_SUNDAY] * 12), past(*[HALF] * 12)]
    rhythm = replace(HOUSE, work=work_of(studio))
    nothing_yet = Rest(4, 0.8, frozenset({5, 6}))
    last, half = (finishes(own_work(weeks, rhythm), nothing_yet, 0.8) for weeks in studio)
    assert last > 0.7
    assert half < 0.3


def test_whoever_stops_at_the_half_is_told_from_whoever_goes_on():
    """Both stand at half of the week on Wednesday evening."""
    studio = [past(*[HALF] * 12), past(*[WHOLE] * 12)]
    rhythm = replace(HOUSE, work=work_of(studio))
    rest = Rest(2, 0.3, LAST_FOUR)
    stops, goes_on = (finishes(own_work(weeks, rhythm), rest, 0.8) for weeks in studio)
    assert stops < 0.2
    assert goes_on > 0.7


def test_somebody_new_is_like_the_studio_and_an_empty_studio_says_nothing():
    studio = [past(*[WHOLE] * 6)]
    here = work_of(studio)
    new = own_work([], replace(HOUSE, work=here))
    for mine, theirs in zip(new.chances, here.chances, strict=True):
        assert mine == pytest.approx(theirs)
    assert [sum(parts) for parts in new.parts] == pytest.approx([1.0] * LEFTS)
    assert work_of([past((0.0,) * 7)]) is None
    assert own_work(studio[0], HOUSE) is None


def test_excused_days_and_days_after_the_end_tell_nothing():
    shut = replace(past(WHOLE)[0], shut=frozenset({2, 4}))
    open_ = past(WHOLE)[0]
    one, other = work_of([[shut]] * 9), work_of([[open_]] * 9)
    assert one.chances[2][2] > other.chances[2][2]
