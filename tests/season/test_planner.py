"""The planner against published optima, an independent checker, and enumeration."""

from dataclasses import replace
from itertools import pairwise, product
from math import inf

import pytest

from coaching.planning import planner
from coaching.planning.milp import Infeasible, Program
from coaching.planning.planner import fit
from coaching.season.week import Placed, PlannedBlock, Task, Window, value_of, worths
from practice.weeks.places import EVERYWHERE, DayPlace
from shared.kit.refused import Refused
from tests.season.checker import broken_rules
from tests.season.random_weeks import random_week

HOME, NET, RANGE, GYM = DayPlace.HOME, DayPlace.NET, DayPlace.RANGE, DayPlace.GYM


def week(*blocks, minutes=(60,) * 7, place=NET, **more):
    windows = tuple(Window(day, place, m) for day, m in enumerate(minutes) if m)
    return Task(windows, blocks, **more)


def block(key="a", minutes=20, sessions=1, **more):
    return PlannedBlock(key, more.pop("name", key.upper()), minutes, sessions, **more)


def slow(task):
    """However long it takes, to the very best."""
    return fit(task, seconds=None, gap=0)


# --- published problems -----------------------------------------------------------------


@pytest.mark.outside
def test_a_published_knapsack_through_the_planner():
    # Martello & Toth, Knapsack Problems (1990): ten items, two knapsacks of 103 and 156,
    # greatest profit 452; printed in the examples of mknapsack in the R package adagio
    # (knapsack 1: items 1, 3, 6; knapsack 2: items 4, 5, 9).
    profits = (78, 35, 89, 36, 94, 75, 74, 79, 80, 16)
    weights = (18, 9, 23, 20, 59, 61, 70, 75, 76, 30)
    items = [
        block(str(n), weight, worth=profit)
        for n, (profit, weight) in enumerate(zip(profits, weights, strict=True), start=1)
    ]
    fitted = slow(week(*items, minutes=(103, 0, 156)))
    assert sum(profits[int(session.key) - 1] for session in fitted.placed) == 452
    assert {int(session.key) for session in fitted.placed} == {1, 3, 6, 4, 5, 9}


@pytest.mark.outside
def test_the_solvers_own_documented_example():
    # scipy.optimize.milp, documentation: max y; -x+y<=1, 3x+2y<=12, 2x+3y<=12; x, y whole: (1, 2).
    program = Program()
    x, y = program.variable(high=inf), program.variable(1, high=inf)
    for terms, most in (((-1, 1), 1), ((3, 2), 12), ((2, 3), 12)):
        program.limit([(x, terms[0]), (y, terms[1])], high=most)
    assert program.solve().values == [1, 2]
    program.whole = [False, False]  # The same page: relaxed, (1.8, 2.8).
    assert program.solve().values == pytest.approx([1.8, 2.8])


@pytest.mark.outside
def test_a_mixed_program_with_continuous_and_whole():
    # SciPy's own test suite, test_milp_4 (from the documentation of intlinprog):
    # min 8x+y, y whole; x+2y>=-14, 4x+y>=33, 2x+y<=20: 59 at (6.5, 7).
    program = Program()
    x = program.variable(-8, low=-inf, high=inf, whole=False)
    y = program.variable(-1, low=-inf, high=inf)
    program.limit([(x, 1), (y, 2)], low=-14)
    program.limit([(x, 4), (y, 1)], low=33)
    program.limit([(x, 2), (y, 1)], high=20)
    solved = program.solve()
    assert (solved.value, *solved.values) == pytest.approx((-59, 6.5, 7))


def test_limits_that_cannot_be_kept_are_an_error():
    program = Program()
    program.limit([(program.variable(1), 1)], low=2)
    with pytest.raises(Infeasible):
        program.solve()


def test_a_program_without_an_end_is_an_error():
    program = Program()
    program.variable(1, high=inf, whole=False)
    with pytest.raises(RuntimeError, match="solver stopped"):
        program.solve()


# --- random students ----------------------------------------------------------------------


def check_seeds(seeds):
    for seed in seeds:
        task = random_week(seed)
        fitted = fit(task, seconds=None)
        assert not broken_rules(task, fitted), seed
        best = slow(task)
        assert not broken_rules(task, best), seed
        assert fitted.is_best
        assert fitted.value >= best.value - 0.01 * abs(best.value), seed


def test_sixty_random_students_keep_every_hard_rule_and_are_near_the_best():
    check_seeds(range(60))


@pytest.mark.long
def test_five_hundred_random_students():
    check_seeds(range(500))


def test_without_a_solver_in_time_the_rules_hold_and_it_is_said(monkeypatch):
    monkeypatch.setattr(planner._Model, "best", lambda *_: None)
    for seed in range(60):
        task = random_week(seed)
        fitted = fit(task)
        assert not broken_rules(task, fitted), seed
        assert not fitted.is_best
        assert "best found so far" in fitted.says[-1]


def test_a_worse_answer_than_by_hand_is_not_taken(monkeypatch):
    monkeypatch.setattr(planner._Model, "best", lambda self, *_: (self.fixed, None))
    fitted = fit(week(block(sessions=2)))
    assert len(fitted.placed) == 2
    assert not fitted.is_best


def all_plans(task):
    """Every way to place the free sessions, rules or not."""
    slots = [(w.day, w.place) for w in task.windows]
    choices = [
        product([None, *slots], repeat=block.free) for block in task.blocks if block.free > 0
    ]
    blocks = [block for block in task.blocks if block.free > 0]
    for chosen in product(*choices):
        yield [
            Placed(day, b.key, place)
            for b, places in zip(blocks, chosen, strict=True)
            for day, place in filter(None, places)
        ]


@pytest.mark.parametrize("seed", range(12))
def test_the_best_is_that_of_enumeration(seed):
    task = random_week(seed, most_parts=2, sessions=(1, 2))
    task = replace(
        task,
        windows=task.windows[:4],
        blocks=tuple(replace(b, fixed=(), is_speed=n == 0) for n, b in enumerate(task.blocks)),
    )
    fitted = slow(task)
    sound = [
        value_of(task, plan)
        for plan in all_plans(task)
        if not broken_rules(task, _as_fitted(task, fitted, plan))
    ]
    assert fitted.value == pytest.approx(max(sound), abs=1e-6)


def _as_fitted(task, fitted, plan):
    left = []
    for each in task.blocks:
        missing = each.sessions - sum(session.key == each.key for session in plan)
        left += [planner.left_out_of(replace_blocks(task, each), [])[0]] if missing else []
        if missing:
            left[-1] = replace(left[-1], key=each.key, sessions=missing)
    return replace(fitted, placed=tuple(plan), left_out=tuple(left))


def replace_blocks(task, only):
    return replace(task, blocks=(only,))


# --- each rule by itself --------------------------------------------------------------------


def test_a_session_goes_where_its_drill_can_be_done():
    windows = (Window(0, NET, 60), Window(3, RANGE, 60))
    task = Task(windows, (block(places=frozenset({RANGE})),))
    assert fit(task).placed == (Placed(3, "a", RANGE),)


def test_speed_work_keeps_off_heavy_legs_and_the_day_after():
    task = week(block(sessions=3, is_speed=True), heavy_legs=frozenset({0, 3}))
    # By hand: 0, 1, 3, 4 are out; of 2, 5, 6 the last two are a day apart.
    fitted = fit(task)
    assert len(fitted.placed) == 2
    assert {session.day for session in fitted.placed} in ({2, 5}, {2, 6})
    (left,) = fitted.left_out
    assert "Monday, Thursday: heavy legs that day" in left.why
    assert "Tuesday, Friday: heavy legs the day before" in left.why
    assert "less than 48 hours away" in left.why


def test_heavy_legs_before_the_week_count():
    task = week(block(is_speed=True), minutes=(60,), heavy_legs=frozenset({-1}))
    assert not fit(task).placed


def test_speed_work_keeps_48_hours_also_across_weeks():
    assert fit(week(block(sessions=7, is_speed=True))).days_of("a") == (0, 2, 4, 6)
    near = week(block(sessions=7, is_speed=True), speed_before=True, speed_after=True)
    assert fit(near).days_of("a") == (1, 3, 5)


def test_an_event_keeps_its_day_free_and_72_hours_before_it_of_hard_swings():
    task = week(
        block("s", is_speed=True, sessions=7),
        block("h", is_hard=True, sessions=7),
        block("p", sessions=7),
        events=frozenset({4}),
    )
    fitted = fit(task)
    assert set(fitted.days_of("s")) <= {0, 5, 6}
    assert fitted.days_of("h") == (0, 5, 6)
    assert {1, 2, 3} <= set(fitted.days_of("p"))
    assert 4 not in fitted.days_of("p")
    assert "Tuesday, Wednesday, Thursday: an event within 72 hours" in " ".join(fitted.says)
    # Of an event after the week its last days.
    after = week(block("h", is_hard=True, sessions=7), events=frozenset({8}))
    assert fit(after).days_of("h") == (0, 1, 2, 3, 4)


def test_days_of_rest_stay_free():
    task = week(block("a", sessions=7), block("b", sessions=2), rest_days=2)
    fitted = fit(task)
    assert len({session.day for session in fitted.placed}) == 5
    assert "a day of rest" in " ".join(fitted.says)
    # What the coach fixed stays, and is said.
    kept = fit(week(block("a", sessions=6, fixed=(0, 1, 2, 3, 4, 5)), block("b"), rest_days=2))
    assert {session.day for session in kept.placed} == {0, 1, 2, 3, 4, 5}
    assert "Practice is fixed to 6 days. At most 5 leave enough days of rest." in kept.conflicts


def test_the_same_skill_is_spaced():
    assert fit(week(block(sessions=3))).days_of("a") in {(0, 2, 4), (0, 2, 5), (0, 3, 5)}
    two = week(block("a", skill="s", sessions=2), block("b", skill="s", sessions=2))
    days = sorted(fit(two).days_of("a") + fit(two).days_of("b"))
    assert all(second - first != 1 for first, second in pairwise(days))


def test_no_day_gets_much_more_than_another():
    parts = [block(str(n), 20, 1) for n in range(7)]
    assert len({s.day for s in fit(week(*parts, minutes=(140,) * 7)).placed}) == 7


def test_a_part_with_more_sessions_than_days_stands_twice():
    fitted = fit(week(block(minutes=10, sessions=4), minutes=(60, 0, 60)))
    assert [session.day for session in fitted.placed] == [0, 0, 2, 2]


def test_something_of_each_comes_before_all_of_one():
    worth = worths([(1, 20), (2, 20)])
    parts = [
        block("a", sessions=2, worth=worth[0][0], first_worth=worth[0][1]),
        block("b", sessions=2, worth=worth[1][0], first_worth=worth[1][1]),
    ]
    fitted = fit(week(*parts, minutes=(20, 0, 20)))
    assert {session.key for session in fitted.placed} == {"a", "b"}
    fitted = fit(week(*parts, minutes=(20, 0, 20, 0, 20)))
    assert [s.key for s in fitted.placed].count("a") == 2  # The first part before the second.


def test_fixed_sessions_stay_and_take_their_minutes():
    fitted = fit(week(block("a", 40, fixed=(1,)), block("b", 30), minutes=(0, 60, 0, 30)))
    assert Placed(1, "a", NET, is_fixed=True) in fitted.placed
    assert fitted.days_of("b") == (3,)
    assert not fitted.conflicts


@pytest.mark.parametrize(
    ("task", "words"),
    [
        (week(block(fixed=(1,)), minutes=(60,)), "fixed to Tuesday: no time is told that day"),
        (
            week(block(fixed=(1,), places=frozenset({RANGE}))),
            "fixed to Tuesday: no range or bay that day",
        ),
        (week(block(fixed=(1,)), closed=frozenset({1})), "fixed to Tuesday, which is excused"),
        (week(block(fixed=(1,)), events=frozenset({1})), "Tuesday, the day of an event"),
        (
            week(block(fixed=(1,), is_speed=True), heavy_legs=frozenset({0})),
            "fixed to Tuesday: heavy legs the day before",
        ),
        (
            week(block(sessions=2, fixed=(1, 2), is_speed=True)),
            "fixed to Tuesday and Wednesday, less than 48 hours apart",
        ),
        (
            week(block("a", 40, fixed=(1,)), block("b", 30, fixed=(1,))),
            "fixed to Tuesday takes 70 minutes; there are 60",
        ),
    ],
)
def test_what_is_fixed_against_a_rule_stays_and_is_named(task, words):
    fitted = fit(task)
    assert not broken_rules(task, fitted)
    assert words in " ".join(fitted.conflicts)
    assert words in " ".join(fitted.says)


@pytest.mark.parametrize(
    ("task", "words"),
    [
        (week(block(), minutes=()), "no days are told yet"),
        (week(block(places=frozenset({RANGE}))), "it needs range or bay, and none of the days"),
        (week(block(minutes=90)), "it takes 90 minutes, and the longest day for it"),
        (
            week(block(sessions=2), block("b", 60, fixed=(1,)), minutes=(60, 60)),
            "Monday: it stands there already; Tuesday: the minutes are full",
        ),
        (week(block(), closed=frozenset(range(7))), "Sunday: excused"),
        (
            week(block("a", 60), block("b", 60), minutes=(60,)),
            "Monday: the minutes are full; Tuesday",
        ),
    ],
)
def test_what_cannot_be_fitted_names_the_conflict(task, words):
    fitted = fit(task)
    assert fitted.left_out
    assert words in " ".join(fitted.says)


def test_what_to_drop_first_is_the_last_that_makes_room():
    net, gym = frozenset({NET}), frozenset({GYM})
    parts = [block("a", 60, places=net), block("b", 60, places=net), block("c", 20, places=gym)]
    task = week(*parts, minutes=(60,))
    task = replace(task, windows=(*task.windows, Window(2, GYM, 60)))
    fitted = fit(task)
    # The gym part takes nothing from the net: dropping it would not help.
    assert fitted.drop_first == "B"
    assert "“B”, the last in order" in " ".join(fitted.says)
    assert not fit(week(block(places=frozenset({RANGE})))).drop_first


def test_a_week_that_fits_says_so():
    assert fit(week(block(sessions=3))).says == ("Every part fits, each as often as asked.",)
    assert fit(week(block())).says == ("The part fits.",)


def test_the_same_week_gives_the_same_plan():
    for seed in range(10):
        assert fit(random_week(seed), seconds=None) == fit(random_week(seed), seconds=None)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: week(block(), minutes=(-5,)), "from 0 to 600 minutes"),
        (lambda: week(block(), minutes=(601,)), "from 0 to 600 minutes"),
        (lambda: Task((Window(7, NET, 5),), ()), "A day of the week"),
        (lambda: Task((Window(1, NET, 5), Window(1, NET, 6)), ()), "once for each day"),
        (lambda: week(block(minutes=0)), "takes from half a minute"),
        (lambda: week(block(sessions=1, fixed=(1, 2))), "more fixed days than visits"),
        (lambda: week(block(fixed=(7,))), "cannot be planned"),
        (lambda: week(block(worth=0)), "cannot be planned"),
        (lambda: week(block(), block()), "a key of its own"),
        (lambda: week(block(sessions=81)), "At most 80 places"),
    ],
)
def test_amounts_that_nobody_can_mean_are_refused_in_words(make, words):
    with pytest.raises(Refused, match=words):
        make()


@pytest.mark.parametrize(
    "make",
    [
        lambda: week(block(), minutes=(0, 600)),
        lambda: Task((Window(0, NET, 0), Window(6, NET, 600)), ()),
        lambda: week(block(minutes=0.5)),
        lambda: week(block(minutes=600)),
        lambda: week(block(sessions=2, fixed=(0, 6))),
        lambda: week(block("a", sessions=40), block("b", sessions=40)),
    ],
)
def test_the_least_and_the_most_that_can_be_meant_are_taken(make):
    assert make().blocks is not None


def test_a_drill_without_words_about_places_can_be_anywhere():
    assert fit(week(block(places=EVERYWHERE), place=HOME)).placed


def test_an_empty_week_is_planned():
    assert fit(Task((), ())).says == ("Every part fits, each as often as asked.",)
