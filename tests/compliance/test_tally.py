"""The weekly row: what it says of a student-week, and what it does not count."""

import pytest
from django.db import transaction

from practice.compliance.models import WeekTally
from practice.compliance.note_text import sentences
from practice.compliance.tally import FIELDS, compute, recompute
from practice.drills.models import DrillRevision
from practice.log.models import Entry, Result
from tests.compliance.logs import at, day, did, excuse, log, make_entry
from tests.factories import MONDAY, make_drill, make_part, make_week

pytestmark = pytest.mark.django_db


def test_partial_sessions_as_in_the_worked_example(student, ladder):
    # E1, house rule worked by hand: (30 + 24 + 12) / 96.
    log(student, 0, ladder, 10, 8, 6)
    log(student, 1, ladder, 10, 8, 0)
    log(student, 3, ladder, 10, 8, 6)
    tally = compute(student, MONDAY)
    assert tally.credit == pytest.approx(66 / 96)
    assert (tally.reps, tally.reps_asked) == (66, 96)
    assert (tally.days_done, tally.days_asked) == (3, 4)
    assert tally.credited_by_day == pytest.approx([15, 11.25, 0, 15, 0, 0, 0])
    assert tally.credited_minutes == pytest.approx(41.25)
    assert tally.priority_sessions_done == pytest.approx(2.75)
    assert (tally.priority_sessions_asked, tally.sessions_left) == (4, 2)


def test_two_parts_weigh_by_their_minutes(student, ladder, putting):
    for offset in range(3):
        log(student, offset, putting, 40, minutes=25)
    tally = compute(student, MONDAY)
    # Putting 40 of 100 minutes is full, the ladder is untouched: no surplus pays for it.
    assert tally.credit == pytest.approx(0.4)
    assert tally.priority_credit == 0
    assert tally.minutes == 75
    assert not tally.finished
    assert [part["credit"] for part in tally.parts] == [0, 1]
    assert tally.credited_by_day == pytest.approx([30, 10, 0, 0, 0, 0, 0])


def test_recompute_keeps_what_compute_says_and_can_be_repeated(student, ladder):
    log(student, 2, ladder, 10, 8, 6)
    for _ in range(2):
        with transaction.atomic():
            recompute(student, MONDAY)
    kept, fresh = WeekTally.objects.get(student=student), compute(student, MONDAY)
    assert [getattr(kept, f) for f in FIELDS] == [getattr(fresh, f) for f in FIELDS]
    assert kept.credit == pytest.approx(1 / 4)


# --- what counts, and once ---------------------------------------------------------------


def test_of_a_changed_entry_the_change_counts_and_of_one_taken_back_nothing(student, ladder):
    first = make_entry(student, 0, counts=False)
    did(first, ladder, 10, 8, 6)
    change = make_entry(student, 0, root=first.root, kind=Entry.Kind.CHANGE)
    did(change, ladder, 10, 0, 0)
    gone = make_entry(student, 1, counts=False)
    did(gone, ladder, 10, 8, 6)
    tally = compute(student, MONDAY)
    assert tally.credit == pytest.approx(10 / 96)
    assert (tally.reps, tally.days_done) == (10, 1)
    assert len(tally.entries) == 1


def test_a_tap_for_another_day_is_no_tap_on_the_day_itself(student, ladder):
    log(student, 0, ladder, 10, 8, 6, as_asked=True)
    log(student, 1, ladder, 10, 8, 6, as_asked=True)
    late = make_entry(student, 2, at=at(4))
    did(late, ladder, 10, 8, 6, as_asked=True)
    tally = compute(student, MONDAY)
    assert (tally.counts_given, tally.counts_as_asked, tally.counts_tapped) == (9, 9, 6)


def test_early_starts_and_make_ups_stand_on_the_first_and_the_last_day(student, ladder):
    log(student, -1, ladder, 10, 8, 6, filed=Result.Filed.EARLY)
    log(student, 7, ladder, 5, 4, 3, filed=Result.Filed.MAKE_UP)
    tally = compute(student, MONDAY)
    assert tally.credited_by_day == pytest.approx([15, 0, 0, 0, 0, 0, 7.5])
    assert tally.minutes_by_day == pytest.approx([12, 0, 0, 0, 0, 0, 6])
    # The make-up was practised in the next week, but is counted in this one alone.
    after = compute(student, day(7))
    assert (after.minutes, after.reps, after.has_plan) == (0, 0, False)
    assert after.entries == [[0, 0]]


def test_an_early_day_and_the_first_day_each_have_their_own_day_line(student, ladder):
    log(student, -1, ladder, 15, 12, 9, filed=Result.Filed.EARLY)
    log(student, 0, ladder, 15, 12, 9)
    assert compute(student, MONDAY).credit == pytest.approx(3 / 4)


def test_two_entries_of_a_day_are_one_session_with_one_day_line(student, ladder):
    for _ in range(2):
        log(student, 0, ladder, 10, 8, 6)
    tally = compute(student, MONDAY)
    assert tally.credit == pytest.approx(1.5 / 4)
    assert tally.days_done == 1


def test_work_for_a_part_on_a_day_that_cannot_count_is_unplanned(student, ladder):
    log(student, 0, ladder, 10, 8, 6, filed=Result.Filed.UNPLANNED, minutes=14)
    tally = compute(student, MONDAY)
    assert (tally.credit, tally.minutes, tally.unplanned_minutes) == (0, 14, 14)


def test_practice_without_a_plan_has_a_row_too(student):
    log(student, 3, None, what="range", minutes=40, balls=80, hard_swings=20)
    tally = compute(student, MONDAY)
    assert (tally.has_plan, tally.credit, tally.finished) == (False, None, False)
    assert (tally.minutes, tally.unplanned_minutes, tally.balls) == (40, 40, 80)
    assert (tally.hard_swings, tally.reps) == (20, 0)
    # Twenty hard swings at 90 percent, the least that hard means.
    assert tally.swing_equivalents == pytest.approx(20 * 0.81)


def test_a_lesson_is_load_and_no_home_practice(student, ladder):
    log(student, 2, None, what="lesson", minutes=60, balls=50, hard_swings=12)
    tally = compute(student, MONDAY)
    assert (tally.minutes, tally.balls, tally.days_done) == (0, 0, 0)
    assert tally.hard_swings == 12


def test_a_draft_asks_for_nothing(student):
    draft = make_week(student, sent=False)
    make_part(draft, make_drill(student.studio))
    tally = compute(student, MONDAY)
    assert (tally.has_plan, tally.asked_minutes, tally.parts) == (False, 0, [])


def test_another_student_s_practice_does_not_count(student, ladder, coach):
    from tests.factories import make_student

    log(make_student(coach, "Other"), 0, ladder, 10, 8, 6)
    assert compute(student, MONDAY).reps == 0


def test_a_swap_counts_for_its_part(student, putting):
    swap = make_drill(student.studio, "Line")
    log(student, 0, putting, 20)
    log(student, 1, putting, 12, drill=swap)
    part = compute(student, MONDAY).parts[1]
    assert part["credit"] == pytest.approx(0.8)
    assert (part["steps"][0]["done"], part["steps"][0]["credited"]) == (20, 32)
    assert compute(student, MONDAY).counts_given == 1  # A swap has no counts of its own.


def test_counts_that_are_exactly_as_asked(student, ladder):
    log(student, 0, ladder, 10, 8, 5)
    log(student, 1, ladder, as_asked=True)
    tally = compute(student, MONDAY)
    assert (tally.counts_given, tally.counts_as_asked) == (6, 5)
    assert tally.credit == pytest.approx((23 + 24) / 96)


def test_clean_reps_are_added_up_and_unsaid_is_not_none_clean(student, ladder):
    said = [{"n": 10, "clean": 8, "effort": 50}, {"n": 8, "clean": None, "effort": None}]
    log(student, 0, ladder, steps=said)
    log(student, 1, ladder, steps=said)
    steps = compute(student, MONDAY).parts[0]["steps"]
    assert [step["clean"] for step in steps] == [16, None, None]
    assert [step["done"] for step in steps] == [20, 16, 0]
    assert [step["asked"] for step in steps] == [40, 32, 24]


def test_felt_effort_decides_load_and_credit(student, ladder):
    steps = [{"n": 10, "clean": None, "effort": 84}]
    log(student, 0, ladder, steps=steps)
    tally = compute(student, MONDAY)
    assert tally.credit == 0  # Asked at 50.
    assert round(tally.swing_equivalents, 2) == 7.06


# --- minutes -----------------------------------------------------------------------------


def test_minutes_of_the_whole_entry_are_shared_out_by_what_was_done(student, ladder, putting):
    entry = make_entry(student, 0, minutes=33)
    did(entry, ladder, 10, 8, 6)  # 12 minutes at 30 s a rep
    did(entry, putting, 20)  # 10 minutes
    parts = compute(student, MONDAY).parts
    assert [part["done_minutes"] for part in parts] == pytest.approx([18, 15])


def test_minutes_of_a_block_are_taken_off_first(student, ladder, putting):
    entry = make_entry(student, 0, minutes=30)
    did(entry, ladder, 10, 8, 6, minutes=25)
    did(entry, putting, 20)
    parts = compute(student, MONDAY).parts
    assert [part["done_minutes"] for part in parts] == pytest.approx([25, 5])


def test_an_entry_that_reaches_into_two_weeks_shares_its_minutes_between_them(student, ladder):
    entry = make_entry(student, 7, minutes=30)
    did(entry, ladder, 10, 8, 6, filed=Result.Filed.MAKE_UP)  # 12 minutes
    line = make_drill(student.studio, "Line")
    did(entry, None, 6, drill=line, opens=day(7))  # 3 minutes
    assert compute(student, MONDAY).minutes == pytest.approx(24)
    assert compute(student, day(7)).minutes == pytest.approx(6)


def test_editing_a_drill_does_not_rewrite_the_minutes_of_a_week(student):
    drill = make_drill(student.studio, "Line", written_at=at(-9))
    log(student, 0, None, 20, drill=drill)
    before = compute(student, MONDAY).minutes
    drill.current = DrillRevision.objects.create(
        drill=drill, number=2, name="Line", dose="20", seconds_per_rep=60, written_at=at(9)
    )
    drill.save(update_fields=["current"])
    assert compute(student, MONDAY).minutes == before == 10


@pytest.mark.parametrize(("written", "minutes"), [((-9, -3), 20), ((-9, 9), 10), ((3, 9), 10)])
def test_minutes_go_by_the_last_wording_before_the_log_else_by_the_first(student, written, minutes):
    """20 balls at 30 seconds each by the first wording, at 60 by the second."""
    first, second = written
    drill = make_drill(student.studio, "Line", seconds_per_rep=30, written_at=at(first))
    DrillRevision.objects.create(
        drill=drill, number=2, name="Line", dose="20", seconds_per_rep=60, written_at=at(second)
    )
    log(student, 0, None, 20, drill=drill)
    assert compute(student, MONDAY).minutes == minutes


# --- excused days ------------------------------------------------------------------------


def test_excused_days_lower_what_is_asked_and_work_on_them_counts(student, ladder):
    excuse(student, 0, 2)
    log(student, 1, ladder, 10, 8, 6)
    log(student, 4, ladder, 10, 8, 6)
    log(student, 5, ladder, 10, 8, 6)
    tally = compute(student, MONDAY)
    # Two sessions are left to ask for; three were done, and none of them is taken away.
    assert (tally.open_days, tally.asked_minutes, tally.credit) == (4, 45, 1)
    assert tally.finished
    assert tally.reps == 72
    assert tally.planned_by_day == pytest.approx([0, 0, 0, 11.25, 11.25, 11.25, 11.25])
    assert sentences(tally.parts[0], MONDAY)[:2] == [
        "Excused: Mon 24 Feb, Tue 25 Feb and Wed 26 Feb. Asked 2 times instead of 4 times.",
        "More than that was done, and it keeps its worth: 3 times.",
    ]


def test_excusing_days_afterwards_takes_no_credit_away(student, ladder, putting):
    """A finished part beside one not begun: 60 of 100 minutes, also with five days excused."""
    for offset in range(4):
        log(student, offset, ladder, 10, 8, 6)
    before = compute(student, MONDAY)
    excuse(student, 2, 6)
    after = compute(student, MONDAY)
    assert before.credit == pytest.approx(0.6)
    assert after.credit == pytest.approx(60 / 80)
    assert after.credited_minutes == before.credited_minutes == 60


def test_minutes_without_counts_say_why_they_earn_nothing(student, ladder):
    log(student, 2, ladder, minutes=20)
    part = compute(student, MONDAY).parts[0]
    assert part["credit"] == 0
    assert sentences(part, MONDAY) == [
        (
            "20 minutes on Wed 26 Feb came without counts. "
            "This part is asked in reps: add the count, and it earns its credit."
        )
    ]


def test_minutes_are_enough_where_minutes_are_asked(student, week):
    part = make_part(week, make_drill(student.studio, dose="10 min"), sessions=1)
    log(student, 2, part, minutes=10)
    found = compute(student, MONDAY).parts[0]
    assert (found["credit"], sentences(found, MONDAY)) == (1, [])


def test_a_week_excused_whole_is_left_out(student, ladder, putting):
    excuse(student, -2, 9)
    log(student, 1, ladder, 10, 8, 6)
    tally = compute(student, MONDAY)
    assert (tally.credit, tally.priority_credit, tally.open_days) == (None, None, 0)
    assert (tally.finished, tally.asked_minutes, tally.sessions_left) == (False, 0, 0)
    assert tally.planned_by_day == [0] * 7
    assert tally.reps == 24


def test_excused_days_that_were_taken_back_are_asked_again(student, ladder):
    excuse(student, 0, 6, withdrawn_at=at(1))
    excuse(student, 3, 3)
    excuse(student, 3, 4)  # Told twice is excused once.
    assert compute(student, MONDAY).open_days == 5


# --- plans that change -------------------------------------------------------------------


def test_a_raised_plan_is_a_gift(student, week):
    drill = make_drill(student.studio)
    part = make_part(
        week, drill, sessions=4, sessions_asked=3, dose="20", dose_asked="10", minutes=10
    )
    for offset in range(3):
        log(student, offset, part, 10)
    tally = compute(student, MONDAY)
    assert (tally.credit, tally.finished, tally.reps_asked) == (1, True, 30)
    # Half the dose is half of its ten minutes.
    assert tally.asked_minutes == pytest.approx(15)


def test_a_removed_part_asks_for_what_was_done_of_it(student, ladder, putting):
    log(student, 0, putting, 20)
    log(student, 1, ladder, 10, 8, 6)
    before = compute(student, MONDAY).credit
    type(putting).objects.filter(pk=putting.pk).update(removed_at=at(2))
    tally = compute(student, MONDAY)
    assert tally.credit == pytest.approx((20 + 15) / (20 + 60))
    assert tally.credit >= before
    gone = tally.parts[1]
    assert (gone["removed"], gone["asked_sessions"], gone["credit"]) == (True, 1, 1)
    assert (gone["left_minutes"], gone["sessions_left"]) == (0, 0)


def test_a_removed_part_without_work_is_gone_and_the_next_is_priority_one(student, ladder, putting):
    type(ladder).objects.filter(pk=ladder.pk).update(removed_at=at(2))
    log(student, 3, putting, 20)
    tally = compute(student, MONDAY)
    assert [part["name"] for part in tally.parts] == ["Gate"]
    assert tally.priority_credit == pytest.approx(0.5)


def test_more_fixed_days_than_are_asked_share_what_is_asked(student, week):
    make_part(week, make_drill(student.studio), sessions=3, minutes=12, days=[0, 2, 4])
    excuse(student, 5, 6)
    tally = compute(student, MONDAY)
    # 3 × 5/7 is two sessions, on three days.
    assert tally.planned_by_day == pytest.approx([8, 0, 8, 0, 8, 0, 0])
    assert tally.days_asked == 3


def test_a_removed_part_is_not_priority_one_though_its_work_stands(student, ladder, putting):
    log(student, 0, ladder, 10, 8, 6)
    type(ladder).objects.filter(pk=ladder.pk).update(removed_at=at(2))
    tally = compute(student, MONDAY)
    assert (len(tally.parts), tally.priority_credit) == (2, 0)


def test_no_more_days_are_asked_than_are_open(student, week):
    make_part(week, make_drill(student.studio), sessions=14)
    excuse(student, 0, 4)
    tally = compute(student, MONDAY)
    assert (tally.parts[0]["asked_sessions"], tally.days_asked) == (4, 2)


def test_minutes_are_no_reps(student, week):
    part = make_part(week, make_drill(student.studio, dose="10 min, 20"), sessions=1)
    log(student, 0, part, 10, 15)
    tally = compute(student, MONDAY)
    assert (tally.reps, tally.reps_asked) == (15, 20)
    assert tally.minutes == pytest.approx(17.5)


def test_fixed_days_are_planned_on_their_days_and_the_rest_evenly(student, week):
    make_part(week, make_drill(student.studio), sessions=3, minutes=14, days=[1, 3])
    assert compute(student, MONDAY).planned_by_day == pytest.approx([2, 16, 2, 16, 2, 2, 2])
