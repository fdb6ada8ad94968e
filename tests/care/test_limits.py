"""What a student may not do now, one limit at a time. The product's own duty-of-care rules; no
outside source."""

from dataclasses import replace
from datetime import date
from uuid import UUID

import pytest

from practice.care.asks_once import refusal
from practice.care.hard_swings import most_hard_swings, rests
from practice.care.limits import HURT_DAYS, Admitted, Limits
from practice.care.load import Load, load_jump
from practice.care.work import Stopped, Work, covers
from practice.drills.dose import parse
from practice.drills.hard import is_hard
from practice.weeks.plan import PartSpec
from shared.kit.refused import Refused

LADDER, GATE, OTHER = (UUID(int=n) for n in (1, 2, 3))
STUDENT = UUID(int=9)
DAY = date(2031, 2, 24)
ALL_HARD = Stopped(UUID(int=20), None, "", DAY)
OF_LADDER = Stopped(UUID(int=21), LADDER, "Ladder", DAY)
AREAS = {LADDER: "swing", GATE: "putting"}
SOFT, HARD = parse("3x8@60"), parse("10@50, 6@90")


def spec(drill=LADDER, dose=SOFT, **fields):
    return PartSpec(drill=drill, dose=dose, sessions=3, minutes=15, id=UUID(int=30), **fields)


@pytest.mark.parametrize(
    ("dose", "area", "hard"),
    [
        ("3x8@60", "swing", False),
        ("3x8@89", "", False),
        ("3x8@90", "", True),
        ("10@50, 6@95", "", True),  # One step is enough.
        ("8 min@95", "", True),  # Timed as well as counted.
        ("3x8", "putting", False),
        ("3x8@60", "speed", True),  # As hard as one can, whatever is written.
    ],
)
def test_what_is_hard(dose, area, hard):
    assert is_hard(parse(dose), area) is hard


def test_speed_is_hard_without_a_dose_too_and_nothing_else_is():
    assert is_hard(None, "speed")
    assert not is_hard(None, "swing")


def test_a_stop_covers_its_drill_at_any_effort_and_no_other():
    assert covers(LADDER, Work(LADDER, SOFT))
    assert not covers(LADDER, Work(GATE, HARD))


def test_a_stop_of_all_hard_work_covers_what_is_hard():
    assert covers(None, Work(GATE, HARD))
    assert covers(None, Work(GATE, SOFT, "speed"))
    assert not covers(None, Work(GATE, SOFT, "putting"))


@pytest.mark.parametrize("stops", [(ALL_HARD, OF_LADDER), (OF_LADDER, ALL_HARD)])
def test_the_drills_own_stop_is_named_before_that_of_all_hard_work(stops):
    limits = Limits(STUDENT, stops)
    assert limits.stop_of(Work(LADDER, HARD)) is OF_LADDER
    assert limits.stop_of(Work(GATE, HARD)) is ALL_HARD
    assert limits.stop_of(Work(GATE, SOFT)) is None


def test_a_stop_says_what_it_stops():
    assert (OF_LADDER.what, ALL_HARD.what) == ("Ladder", "hard swings")


@pytest.mark.parametrize(
    ("youngest", "least", "too_young"),
    [(11, 12, True), (12, 12, False), (13, 12, False), (None, 12, False), (5, None, False),
     (5, 0, False), (0, 1, True)],
)  # fmt: skip
def test_who_is_too_young(youngest, least, too_young):
    assert Limits(STUDENT, youngest=youngest).is_too_young(least) is too_young


def test_a_week_is_split_into_what_may_be_asked_and_what_may_not():
    free, held = spec(GATE), spec(LADDER)
    assert Limits(STUDENT, (OF_LADDER,)).split([held, free], AREAS) == ([free], [held])


def test_the_area_of_a_drill_is_looked_at():
    assert Limits(STUDENT, (ALL_HARD,)).split([spec()], {LADDER: "speed"})[1] == [spec()]


# --- what may be sent ----------------------------------------------------------------


def test_what_nothing_stops_is_admitted_for_this_student():
    admitted = Limits(STUDENT, (OF_LADDER,)).admit([spec(GATE)], AREAS)
    assert (admitted.student, admitted.specs) == (STUDENT, (spec(GATE),))


@pytest.mark.parametrize("part", [spec(), replace(spec(), id=None)])
def test_a_stopped_part_is_not_sent(part):
    with pytest.raises(Refused, match="not for now"):
        Limits(STUDENT, (OF_LADDER,)).admit([spec(GATE), part], AREAS)


STANDING = spec(dose=parse("10@50, 8@70"))


@pytest.mark.parametrize(
    ("change", "stays"),
    [
        ({}, True),
        ({"sessions": 2}, True),
        ({"sessions": 4}, False),
        ({"dose": parse("10@50, 7@70")}, True),
        ({"dose": parse("11@50, 8@70")}, False),
        ({"dose": parse("9@50, 9@70")}, False),  # Less of one step pays for no other.
        ({"dose": parse("10@50, 8@75")}, False),  # Other efforts are other work.
        ({"dose": parse("10@50")}, False),
        ({"id": UUID(int=31)}, False),  # Another part than the one that stood there.
    ],
)
def test_a_stopped_part_of_a_sent_week_may_stay_as_it_is_or_smaller(change, stays):
    limits, part = Limits(STUDENT, (OF_LADDER,)), replace(STANDING, **change)
    if stays:
        assert limits.admit([part], AREAS, [STANDING]).specs == (part,)
    else:
        with pytest.raises(Refused):
            limits.admit([part], AREAS, [STANDING])


def test_a_part_that_stood_there_with_another_drill_lets_no_stopped_one_in():
    with pytest.raises(Refused):
        Limits(STUDENT, (OF_LADDER,)).admit([STANDING], AREAS, [replace(STANDING, drill=OTHER)])


def test_a_refusal_names_the_drill_and_nothing_of_pain():
    assert refusal(OF_LADDER).startswith("“Ladder” is not for now.")
    assert refusal(ALL_HARD).startswith("Hard swings are not for now.")
    assert not any(word in refusal(OF_LADDER) for word in ("pain", "hurt"))


def test_only_limits_admit():
    with pytest.raises(TypeError):
        Admitted(object(), STUDENT, ())


# --- hard swings ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("before", "under_16", "most"),
    [
        # By hand: half of the mean; below three known weeks half of 60, or of 40 for the young,
        # who never go above 40.
        ([30, 30, 30], False, 15),
        ([30, 30], False, 30),
        ([30, 30], True, 20),
        ([200, 200, 200], False, 100),
        ([200, 200, 200], True, 40),
        ([31, 31, 31], False, 15),
    ],
)
def test_hard_swings_of_an_event_week(before, under_16, most):
    assert most_hard_swings(before, under_16=under_16) == most


@pytest.mark.parametrize(
    ("now", "before", "under_16", "rest"),
    [
        (100, [40, 40, 40], False, True),  # Two and a half times, and sixty more.
        (45, [40, 40, 40], False, False),
        (61, [40], False, True),  # Without a base the ceiling is 60; 40 for the young.
        (60, [40], False, False),
        (41, [20], True, True),
        (40, [20], True, False),
    ],
)
def test_who_was_hurt_rests_when_hard_swings_jump(now, before, under_16, rest):
    assert rests(now, before, hurt=True, under_16=under_16) is rest
    assert not rests(now, before, hurt=False, under_16=under_16)


def test_pain_is_looked_back_at_for_fourteen_days():
    assert HURT_DAYS == 14


def test_a_jump_begins_at_its_lines_and_a_week_of_none_is_a_known_one():
    assert load_jump([0, 0, 0, 0], 0).load is Load.USUAL
    assert load_jump([0, 0, 0], 40).load is Load.JUMP
    assert load_jump([0, 0, 0], 39).load is Load.USUAL
    assert load_jump([40, 40, 40], 79).load is Load.USUAL
    assert load_jump([80, 80, 80], 119).load is Load.USUAL
    assert load_jump([40, 40, 40], 65, under_16=True).load is Load.JUMP  # Just 25 more.
    assert load_jump([40, 40, 40], 64, under_16=True).load is Load.USUAL
