"""What holds of credit whatever was asked and done."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from practice.compliance.credit import (
    AskedStep,
    DayWork,
    excused_sessions,
    lowered,
    merged,
    part_credit,
    week_credit,
)
from practice.compliance.parts import (
    AskedPart,
    CareStop,
    LoggedBlock,
    LoggedStep,
    credit_of,
    planned_days,
)
from practice.drills.dose import parse
from shared.kit.text import whole_percent

AMOUNTS = st.integers(1, 30)
REPS = st.integers(0, 60)
EXACT = 1e-9


@st.composite
def parts(draw):
    """Steps, sessions and work of a part; days may repeat."""
    steps = draw(
        st.lists(
            st.builds(AskedStep, AMOUNTS, weight=st.sampled_from([1.0, 0.5])),
            min_size=1,
            max_size=4,
        )
    )
    amounts = st.tuples(*[REPS for _ in steps])
    works = draw(
        st.lists(st.builds(DayWork, st.integers(-2, 7), amounts, st.booleans()), max_size=8)
    )
    return steps, draw(st.integers(1, 6)), works, draw(st.booleans())


@given(parts())
def test_credit_is_a_share_and_the_days_add_up_to_it(part):
    steps, sessions, works, by_total = part
    earned = part_credit(steps, sessions, works, by_total=by_total)
    assert 0 <= earned.credit <= 1
    assert sum(earned.by_day.values()) == pytest.approx(earned.done, abs=EXACT)
    assert all(gain >= 0 for gain in earned.by_day.values())


def test_where_no_session_is_asked_none_is_credited():
    steps = [AskedStep(12), AskedStep(9)]
    earned = part_credit(steps, 0, [DayWork(0, (12, 9), False)])
    assert (earned.asked, earned.done, earned.credit) == (0, 0, None)
    assert (earned.by_day, earned.by_step) == ({}, (0, 0))


def test_a_day_of_which_nothing_is_said_was_not_ended_by_the_stop_rule():
    half = part_credit([AskedStep(10)], 1, [DayWork(0, (5,))])
    assert half.done == 0.5
    assert part_credit([AskedStep(10)], 1, [DayWork(0, (5,), stopped=True)]).done == 1


@pytest.mark.parametrize(
    ("steps", "sessions", "amounts", "why"),
    [
        ([], 1, (), "asks for something"),
        ([AskedStep(0)], 1, (1,), "asks for something"),
        ([AskedStep(5), AskedStep(5, weight=0)], 1, (1, 1), "asks for something"),
        ([AskedStep(5)], -1, (1,), "cannot be negative"),
        ([AskedStep(5)], 1, (1, 1), "one amount per step"),
        ([AskedStep(5), AskedStep(5)], 1, (1, -1), "none negative"),
    ],
)
def test_what_makes_no_sense_is_refused(steps, sessions, amounts, why):
    with pytest.raises(ValueError, match=why):
        part_credit(steps, sessions, [DayWork(0, amounts)])


def test_a_week_has_seven_days():
    """Of seven sessions one a day: a day more or less would ask for another number."""
    assert [excused_sessions(7, days) for days in range(8)] == [0, 1, 2, 3, 4, 5, 6, 7]
    for never in (-1, 8):
        with pytest.raises(ValueError, match="7 open days"):
            excused_sessions(7, never)


@given(parts(), st.data())
def test_more_work_never_earns_less(part, data):
    steps, sessions, works, by_total = part
    extra = DayWork(data.draw(st.integers(0, 6)), tuple(data.draw(REPS) for _ in steps))
    before = part_credit(steps, sessions, works, by_total=by_total)
    after = part_credit(steps, sessions, [*works, extra], by_total=by_total)
    assert after.credit >= before.credit - EXACT


@given(parts(), st.data())
def test_which_day_it_was_changes_nothing_in_the_total(part, data):
    steps, sessions, works, by_total = part
    works = merged(works)
    days = data.draw(st.permutations([work.day for work in works]))
    moved = [replace(work, day=day) for work, day in zip(works, days, strict=True)]
    before = part_credit(steps, sessions, works, by_total=by_total)
    assert part_credit(steps, sessions, moved, by_total=by_total).credit == pytest.approx(
        before.credit
    )


@given(parts(), st.data())
def test_obeying_the_stop_rule_never_lowers_credit(part, data):
    """Stopping beside carrying on and finishing the session."""
    steps, sessions, works, by_total = part
    day = data.draw(st.integers(0, 6))
    works = [work for work in works if work.day != day]
    whole = tuple(step.amount for step in steps)
    cut_off = tuple(data.draw(st.integers(0, int(amount))) for amount in whole)
    obeyed = part_credit(
        steps, sessions, [*works, DayWork(day, cut_off, stopped=True)], by_total=by_total
    )
    carried_on = part_credit(steps, sessions, [*works, DayWork(day, whole)], by_total=by_total)
    assert obeyed.credit == pytest.approx(carried_on.credit)


@given(parts(), st.integers(0, 6))
def test_asking_for_fewer_sessions_never_lowers_credit(part, fewer):
    steps, sessions, works, by_total = part
    cut = part_credit(steps, max(1, sessions - fewer), works, by_total=by_total)
    assert cut.credit >= part_credit(steps, sessions, works, by_total=by_total).credit - EXACT


@given(parts(), parts(), st.integers(0, 6))
def test_forgiving_what_was_not_done_never_lowers_the_week(part, other, floor):
    """A part that is taken off or stopped, beside another of other length."""
    first = part_credit(part[0], part[1], part[2], by_total=part[3])
    second = part_credit(other[0], other[1], other[2], by_total=other[3])
    after = lowered(first, floor)
    rest = (40 * second.asked, second.credit)
    before_week = week_credit([(15 * first.asked, first.credit), rest])
    assert week_credit([(15 * after.asked, after.credit), rest]) >= before_week - EXACT
    assert after.credit is None or after.credit >= first.credit - EXACT


DOSES = ("10@50, 8@70, 6@90", "3x8", "10 min", "10 min, 20", "2 rounds: 5@50, 5")


@st.composite
def asked_and_done(draw):
    dose = parse(draw(st.sampled_from(DOSES)))
    counts = st.tuples(*[st.builds(LoggedStep, REPS) for _ in dose.steps])
    blocks = draw(
        st.lists(
            st.builds(
                LoggedBlock,
                st.integers(-1, 7),
                counts,
                stopped=st.booleans(),
                is_swap=st.booleans(),
            ),
            max_size=7,
        )
    )
    excused = draw(st.frozensets(st.integers(0, 6), max_size=7))
    days = tuple(draw(st.sets(st.integers(0, 6), max_size=3)))
    part = AskedPart(
        dose, draw(st.integers(1, 6)), 15, by_total=draw(st.booleans()), excused=excused, days=days
    )
    return part, blocks


@given(asked_and_done(), st.integers(-3, 6), st.none() | st.integers(0, 9))
def test_telling_pain_never_lowers_credit(case, since, days_until_cleared):
    part, blocks = case
    cleared = None if days_until_cleared is None else since + days_until_cleared
    told = credit_of(replace(part, stops=(CareStop(since, cleared),)), blocks)
    silent = credit_of(part, blocks)
    rest = (60.0, 0.3)
    assert told.credit is None or told.credit >= (silent.credit or 0) - EXACT
    weeks = [week_credit([(15 * c.asked, c.credit), rest]) for c in (silent, told)]
    assert weeks[1] >= weeks[0] - EXACT


@given(asked_and_done(), st.integers(0, 6))
def test_excusing_a_day_afterwards_never_lowers_the_week(case, day):
    part, blocks = case
    before = credit_of(part, blocks)
    after = credit_of(replace(part, excused=part.excused | {day}), blocks)
    if not after.asked and len(part.excused | {day}) == 7:
        return  # A week excused whole is left out: it is neither nought nor all.
    rest = (60.0, 0.3)
    weeks = [week_credit([(15 * c.asked, c.credit), rest]) for c in (before, after)]
    assert weeks[1] >= weeks[0] - EXACT
    assert after.credit is None or after.credit >= (before.credit or 0) - EXACT
    assert after.done >= before.done - EXACT


@given(asked_and_done())
def test_the_plan_by_day_adds_up_to_what_is_asked_and_spares_excused_days(case):
    part, blocks = case
    asked = credit_of(part, blocks).asked
    plan = planned_days(part, asked)
    assert sum(plan) == pytest.approx(asked)
    assert all(plan[day] == 0 for day in part.excused)


@given(st.integers(0, 999), st.integers(1, 999))
def test_a_hundred_percent_is_said_only_of_all(done, asked):
    assert (whole_percent(min(1.0, done / asked)) == 100) is (done >= asked)


@pytest.mark.parametrize(
    ("steps", "sessions", "amounts"),
    [
        ([], 1, ()),
        ([AskedStep(0)], 1, (1,)),
        ([AskedStep(5)], -1, (1,)),
        ([AskedStep(5)], 1, (1, 2)),
        ([AskedStep(5)], 1, (-1,)),
    ],
)
def test_what_cannot_be_is_refused(steps, sessions, amounts):
    with pytest.raises(ValueError, match=r"dose|Sessions|Work"):
        part_credit(steps, sessions, [DayWork(0, amounts)])
