"""Worked examples of how practice is counted.

Source of every case: house rule, worked by hand (no published source). The cases are
chosen so that the likely wrong version gives another number; it is named beside them.
"""

from datetime import date

import pytest

from practice.care.load import Load, is_past_the_plan, load_jump, swing_equivalents
from practice.compliance.credit import (
    AskedStep,
    DayWork,
    effort_counts,
    excused_sessions,
    is_finished,
    minutes_left,
    part_credit,
    week_credit,
)
from practice.compliance.dates import Filed, file_result
from practice.compliance.habits import (
    cramming,
    is_all_as_asked,
    is_favourite,
    plan_size,
    usual_minutes,
)
from practice.compliance.parts import AskedPart, LoggedBlock, LoggedStep, credit_of
from practice.drills.dose import parse
from shared.kit.text import whole_percent

pytestmark = pytest.mark.outside

LADDER = (10, 8, 6)
AND_BACK = (10, 8, 6, 10)


def credit(asked, sessions, days, *, by_total=False, stopped=()):
    """Credit of a part from the reps of each day."""
    steps = [AskedStep(amount) for amount in asked]
    works = [DayWork(i, tuple(reps), i in stopped) for i, reps in enumerate(days)]
    return part_credit(steps, sessions, works, by_total=by_total).credit


@pytest.mark.parametrize(
    ("asked", "sessions", "days", "percent"),
    [
        # E1, partial: (30 + 24 + 12) / 96. A mean of the steps' shares would say 66.
        (LADDER, 4, [(10, 8, 6), (10, 8, 0), (10, 8, 6)], 68),
        # E2, all on one day: the day line allows 36 of 96. Volume would say 100.
        (LADDER, 4, [(40, 32, 24)], 37),
        # E2b, all on two days.
        (LADDER, 4, [(20, 16, 12), (20, 16, 12)], 75),
        # E3a, one step on one day: 15 of 96. A line on the day's total would say 37.
        (LADDER, 4, [(40, 0, 0)], 15),
        # E3b, the favourite step only, four days: 40 of 96. Uncapped steps would say 62.
        (LADDER, 4, [(24, 0, 0)] * 4, 41),
        # E10, halves pool across days. Whole sessions only would say 0.
        (LADDER, 2, [(5, 4, 3)] * 4, 100),
        # Nothing done is 0, not nothing to say.
        (LADDER, 2, [], 0),
    ],
)
def test_credit_of_a_part(asked, sessions, days, percent):
    assert whole_percent(credit(asked, sessions, days)) == percent


def test_by_total_has_no_day_line():  # E2c
    assert credit(LADDER, 4, [(40, 32, 24)], by_total=True) == 1
    # It still caps each step: 40 + 0 + 0 of 96, not 80.
    assert whole_percent(credit(LADDER, 4, [(80, 0, 0)], by_total=True)) == 41


def test_obeying_the_stop_rule_counts_as_the_whole_session():  # E5
    days = [(10, 8, 0, 10), AND_BACK, AND_BACK]
    assert credit(AND_BACK, 3, days, stopped={0}) == 1
    assert whole_percent(credit(AND_BACK, 3, days)) == 94


def test_a_stopped_day_is_at_least_a_session_not_exactly_one():
    # 15 + 8 + 6 of 48: the step that went further keeps what it has.
    assert credit(LADDER, 2, [(15, 0, 0)], stopped={0}) == pytest.approx(29 / 48)


def test_a_day_is_stopped_whichever_of_its_blocks_was():
    for first, second in ((True, False), (False, True)):
        works = [DayWork(0, (4,), first), DayWork(0, (1,), second)]
        assert part_credit([AskedStep(10)], 1, works).credit == 1


@pytest.mark.parametrize(
    ("parts", "percent"),
    [
        ([(40, 1.0), (45, 0.0)], 47),  # E4: wedges full, ladder none. Unweighted: 50.
        ([(40, 1.0), (30, None)], 100),  # A part that cannot be done drops out; as 0: 57.
        # Lotte, 3 of 7 days open: ladder 4 × 15 and putting 3 × 12 become 2 and 1.
        ([(30, 0.5), (12, 0.5)], 50),
    ],
)
def test_credit_of_a_week(parts, percent):
    assert whole_percent(week_credit(parts)) == percent


def test_a_week_of_excused_parts_only_is_left_out():
    assert week_credit([(40, None), (0, None)]) is None
    assert week_credit([]) is None


def test_wedges_three_times_are_full_credit_and_more_than_all_volume():  # E4
    assert credit((20,), 2, [(40,)] * 3) == 1
    assert whole_percent(120 / (2 * 20 + 3 * 24)) == 107


def test_tamsin_one_putting_session_on_monday_and_all_the_rest_on_sunday():
    ladder = credit((12, 9, 6, 3), 3, [(36, 27, 18, 9)])
    wedges = credit((20,), 2, [(40,)])
    putting = credit((30,), 2, [(30,), (30,)])
    assert (ladder, wedges, putting) == (pytest.approx(0.5), pytest.approx(0.75), 1)
    assert whole_percent(week_credit([(45, ladder), (40, wedges), (20, putting)])) == 69


def test_lotte_asked_for_less_on_three_open_days():
    asked = excused_sessions(4, 3), excused_sessions(3, 3)
    assert asked == (2, 1)
    ladder, putting = credit(LADDER, 2, [LADDER]), credit((30,), 1, [(15,)])
    assert whole_percent(week_credit([(30, ladder), (12, putting)])) == 50
    # Against everything, as if no day were excused: 21 of 96 minutes.
    assert whole_percent(21 / 96) == 21


@pytest.mark.parametrize(
    ("sessions", "open_days", "asked"),
    # Rounding down would make (4, 3) one, rounding up (4, 4) and (3, 5) three.
    [
        (4, 4, 2),
        (4, 3, 2),
        (4, 7, 4),
        (3, 5, 2),
        (2, 2, 1),
        (5, 1, 1),
        (3, 1, 0),
        (4, 0, 0),
        (1, 3, 1),
        (0, 5, 0),
    ],
)
def test_excused_days_lower_what_is_asked(sessions, open_days, asked):  # E6
    assert excused_sessions(sessions, open_days) == asked


def test_two_open_days_leave_at_least_one_session_and_one_open_day_may_leave_none():
    assert [excused_sessions(1, days) for days in range(8)] == [0, 0, 1, 1, 1, 1, 1, 1]


def test_excused_days_and_two_sessions_are_all():  # E6
    assert credit(LADDER, excused_sessions(4, 4), [LADDER] * 2) == 1


@pytest.mark.parametrize(
    ("asked", "felt", "counts"),
    [
        (50, 60, True),
        (50, 65, False),
        (50, 40, True),
        (50, 39, False),
        (50, None, True),
        (None, 95, True),
    ],
)
def test_effort_within_ten_points_counts(asked, felt, counts):
    assert effort_counts(asked, felt) is counts


# --- swaps, through a part as it is asked and logged -----------------------------------


def reps(*counts):
    return tuple(LoggedStep(n) for n in counts)


def test_a_listed_swap_counts_in_full_and_once():  # E7
    part = AskedPart(parse("20"), 2, 10)
    blocks = [LoggedBlock(0, reps(20)), LoggedBlock(1, reps(12), is_swap=True)]
    assert whole_percent(credit_of(part, blocks).credit) == 80


def test_a_swap_is_spread_over_the_steps_of_the_part():
    # 12 of 24 reps is half of each step; put on the first step alone it would be capped at 10.
    part = AskedPart(parse("10@50, 8@70, 6@90"), 1, 15)
    earned = credit_of(part, [LoggedBlock(0, reps(12), is_swap=True)])
    assert earned.by_step == pytest.approx((5, 4, 3))
    # A swap asks for no effort of its own.
    felt = [LoggedBlock(0, (LoggedStep(24, None, 20),), is_swap=True)]
    assert credit_of(part, felt).credit == 1


def test_petronel_half_done_of_it_swaps():
    # Turns 4 × 12 min and landing 2 × 16 min; two sessions of turns as swaps, landing half twice.
    turns = AskedPart(parse("3x8"), 4, 12)
    landing = AskedPart(parse("16 balls"), 2, 16)
    swapped = credit_of(turns, [LoggedBlock(d, minutes=12, is_swap=True) for d in (0, 1)])
    halves = credit_of(landing, [LoggedBlock(d, reps(8)) for d in (0, 1)])
    assert (swapped.credit, halves.credit) == (0.5, 0.5)
    week = [(48, swapped.credit), (32, halves.credit)]
    assert (whole_percent(week_credit(week)), minutes_left(week)) == (50, 40)


def test_minutes_and_reps_in_one_dose_weigh_by_planned_minutes():
    # 10 min and 20 reps of 30 s are 10 minutes each. Counting 1 min as 1 rep would say 33.
    part = AskedPart(parse("10 min, 20"), 1, 20, seconds_per_rep=30)
    assert credit_of(part, [LoggedBlock(0, reps(10, 0))]).credit == pytest.approx(0.5)


def test_rounds_are_all_of_one_session():
    # 2 × (10 + 5) reps; with one round asked, 10 and 5 would be all.
    part = AskedPart(parse("2 rounds: 10@50, 5@70"), 1, 15)
    assert credit_of(part, [LoggedBlock(0, reps(10, 5))]).credit == pytest.approx(0.5)


def test_reps_at_another_effort_are_no_credit():
    part = AskedPart(parse("10@50, 8@70"), 1, 10)
    block = LoggedBlock(0, (LoggedStep(10, None, 65), LoggedStep(8, None, 80)))
    assert credit_of(part, [block]).credit == pytest.approx(8 / 18)


# --- done ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("priority", "asked", "left", "done"),
    [
        (1.0, 100, 10, True),  # Exactly a tenth may be left.
        (1.0, 100, 10.5, False),
        (0.99, 100, 1, False),  # Priority 1 must be complete, not nearly.
        (None, 60, 0, True),
        (1.0, 0.5, 0, True),  # However short it is.
        (None, 0, 0, False),  # A week that asks for nothing is not finished.
    ],
)
def test_done_is_priority_one_and_at_most_a_tenth_left(priority, asked, left, done):
    assert is_finished(priority, asked, left) is done


@pytest.mark.parametrize(
    ("share", "percent"),
    # 0.29 × 100 is 28.999… in floats, and 99.9 percent is not all.
    [(0.29, 29), (0.999, 99), (1.0, 100), (2 / 3, 66), (104 / 132, 78)],
)
def test_percents_are_rounded_down(share, percent):
    assert whole_percent(share) == percent


# --- dates -----------------------------------------------------------------------------

A = {"published_on": date(2031, 2, 22), "opens": date(2031, 2, 24)}
B = {"published_on": date(2031, 3, 1), "opens": date(2031, 3, 3)}
LESSON = date(2031, 3, 4)


@pytest.mark.parametrize(
    ("day", "week", "marked", "expected"),
    [
        (date(2031, 2, 26), A, False, (A["opens"], Filed.IN_WEEK)),
        (date(2031, 3, 2), A, False, (A["opens"], Filed.IN_WEEK)),  # The closing day is in.
        (date(2031, 3, 2), B, False, (B["opens"], Filed.EARLY)),
        (date(2031, 2, 23), A, False, (A["opens"], Filed.EARLY)),
        (date(2031, 3, 3), A, True, (A["opens"], Filed.MAKE_UP)),
        (date(2031, 3, 3), A, False, (B["opens"], Filed.UNPLANNED)),
        (date(2031, 3, 4), A, True, (B["opens"], Filed.UNPLANNED)),
        # Before it was sent nothing counts, and it stands in the week of its own day.
        (date(2031, 2, 20), A, False, (date(2031, 2, 17), Filed.UNPLANNED)),
        (date(2031, 2, 28), B, False, (A["opens"], Filed.UNPLANNED)),
    ],
)
def test_each_entry_counts_in_one_week(day, week, marked, expected):
    assert file_result(day=day, **week, for_last_week=marked, next_lesson=LESSON) == expected


@pytest.mark.parametrize(
    ("lesson", "filed"),
    [
        (date(2031, 3, 3), Filed.MAKE_UP),  # On the day of the lesson itself it still counts.
        (date(2031, 3, 2), Filed.UNPLANNED),
        (None, Filed.MAKE_UP),
        (date(2031, 2, 23), Filed.MAKE_UP),  # A lesson before the week is past.
    ],
)
def test_a_make_up_is_not_after_the_next_lesson(lesson, filed):
    day = date(2031, 3, 3)
    assert file_result(day=day, **A, for_last_week=True, next_lesson=lesson)[1] is filed


def test_a_week_sent_late_counts_from_the_day_it_was_sent():
    late = {"opens": A["opens"], "published_on": date(2031, 2, 26)}
    days = [date(2031, 2, 25), date(2031, 2, 26)]
    assert [file_result(day=day, **late)[1] for day in days] == [Filed.UNPLANNED, Filed.IN_WEEK]


def test_a_week_never_sent_earns_nothing():
    week = {"opens": A["opens"], "published_on": None}
    day = date(2031, 3, 3)
    assert file_result(day=day, **week, for_last_week=True)[1] is Filed.UNPLANNED


# --- habits ----------------------------------------------------------------------------


def test_cramming_is_seen():
    seen = cramming([0, 0, 0, 10, 0, 35, 40], [20, 0, 20, 0, 20, 20, 0])
    assert (whole_percent(seen.share), whole_percent(seen.planned_share)) == (88, 25)
    assert seen.flag


def test_tamsin_crams():
    seen = cramming([10, 0, 0, 0, 0, 0, 95], [10, 15, 0, 30, 15, 35, 0])
    assert (whole_percent(seen.share), seen.flag) == (90, True)


@pytest.mark.parametrize(
    ("done", "planned", "flag"),
    [
        ([0, 0, 20, 0, 0, 30, 30], [0, 0, 20, 0, 0, 30, 30], False),  # As planned.
        ([20, 0, 0, 0, 20, 30, 30], [20, 20, 20, 20, 20, 0, 0], True),  # Exactly 60 percent.
        ([21, 0, 0, 0, 20, 30, 30], [20, 20, 20, 20, 20, 0, 0], False),
        ([30, 0, 0, 0, 0, 35, 35], [30, 30, 0, 0, 0, 20, 20], True),  # 70 against 40: exactly 30.
        ([30, 0, 0, 0, 0, 35, 35], [29, 30, 0, 0, 0, 20, 20], False),
    ],
)
def test_cramming_needs_both_lines(done, planned, flag):
    assert cramming(done, planned).flag is flag


def test_no_minutes_say_nothing_about_cramming():
    assert cramming([0] * 7, [10] * 7) is None
    assert cramming([10] * 7, [0] * 7) is None
    with pytest.raises(ValueError, match="same days"):
        cramming([1, 2], [1, 2])


def test_favourite_part():
    # 104 of 132 minutes against 34 of 120, the first untouched.
    assert is_favourite([0, 28, 104], [58, 28, 34], 2, 0.0)
    assert not is_favourite([40, 30, 40], [54, 30, 36], 2, 0.8)
    # Both lines are needed: the share alone, or priority 1 alone, is no favourite.
    assert not is_favourite([0, 28, 104], [58, 28, 34], 2, 0.5)
    assert not is_favourite([0, 60, 50], [58, 28, 34], 2, 0.0)
    assert not is_favourite([0, 0, 0], [58, 28, 34], 2, 0.0)


USUAL = [90, 70, 110, 95, 85, 120]  # Median 92.5; the mean would be 95.


@pytest.mark.parametrize(
    ("minutes", "ratio", "words"),
    [
        (147, 1.59, "more than the usual"),
        (105, 1.14, "fits"),
        (111, 1.2, "fits"),
        (112, 1.21, "a stretch"),
        (138, 1.49, "a stretch"),
    ],
)
def test_plan_beside_the_usual_minutes(minutes, ratio, words):
    size = plan_size(minutes, usual_minutes(USUAL))
    assert (round(size.ratio, 2), size.size) == (ratio, words)


def test_usual_minutes_are_of_the_last_six_weeks():
    assert usual_minutes([500, 500, 500, *USUAL]) == 92.5
    assert usual_minutes([]) is None
    assert plan_size(100, None) is None


@pytest.mark.parametrize(
    ("given", "same", "expected"),
    [
        (14, 14, True),
        (8, 8, False),
        (12, 9, False),
        (20, 18, True),
        (20, 17, False),
        (12, 12, True),
    ],
)
def test_counts_all_as_asked(given, same, expected):
    assert is_all_as_asked(given, same) is expected


# --- load ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("sets", "swings"),
    [
        ([(10, 50), (8, 70), (6, 90)], 11.28),  # Without the square: 16.0.
        ([(10, 50), (8, 70), (6, 90), (10, 50)], 13.78),
        ([(10, 84)], 7.06),  # Felt half that measures 84 percent.
        ([(10, 50)], 2.5),
        ([(24, None)], 0),
    ],
)
def test_full_swing_equivalents(sets, swings):
    assert round(swing_equivalents(sets), 2) == swings


@pytest.mark.parametrize(
    ("before", "now", "under_16", "expected"),
    [
        ([60, 75, 70, 65], 150, False, Load.JUMP),
        ([4, 6, 0, 2], 15, False, Load.USUAL),  # Five times as many, yet tiny.
        ([60, 75, 70, 65], 95, False, Load.USUAL),
        ([40, 48, 44, 52], 128, True, Load.JUMP),
        ([60, 60, 60, 60], 90, False, Load.USUAL),  # Rise 30: a jump only for the young.
        ([60, 60, 60, 60], 90, True, Load.JUMP),
        ([200, 200, 200, 200], 250, False, Load.USUAL),  # Fifty more, yet a quarter.
        ([80, 80, 80, 80], 120, False, Load.JUMP),  # Both lines exactly.
        ([None, None, 10, 12], 70, False, Load.NO_BASE_OVER),
        ([None, None, 10, 12], 60, False, Load.NO_BASE),
        ([None, None, 10, 12], 41, True, Load.NO_BASE_OVER),
        # An unknown week is not a week without swings: as 0 the mean would be 45, and 100 a jump.
        ([60, 60, 60, None], 85, False, Load.USUAL),
    ],
)
def test_load_jump(before, now, under_16, expected):
    assert load_jump(before, now, under_16=under_16).load is expected


def test_load_jump_refuses_what_cannot_be():
    with pytest.raises(ValueError, match="four weeks"):
        load_jump([1, 2, 3, 4, 5], 10)
    with pytest.raises(ValueError, match="negative"):
        load_jump([1, 2, 3], -1)


def test_surplus_is_a_pleasure_unless_there_is_a_reason():
    calm = {"jump": False, "pain": False, "priority_credit": 0.5}
    assert not is_past_the_plan(200, 100, **calm)
    assert is_past_the_plan(121, 100, **calm | {"pain": True})
    assert is_past_the_plan(121, 100, **calm | {"jump": True})
    assert is_past_the_plan(121, 100, **calm | {"priority_credit": 0.49})
    assert not is_past_the_plan(120, 100, **calm | {"pain": True})
