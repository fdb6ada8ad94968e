"""The weekly row when something hurts, as it was known at an instant, and what it costs."""

from datetime import datetime

import pytest
import time_machine
from django.db import connection, transaction

from practice.care.models import PainNote, Stop
from practice.compliance.tally import FIELDS, compute, recompute
from practice.log.models import Entry
from tests.compliance.logs import at, day, did, excuse, log, make_entry
from tests.factories import MONDAY

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _before_the_week():
    """What is asked was sent before it."""
    with time_machine.travel(at(-1), tick=False):
        yield


# --- pain --------------------------------------------------------------------------------


def stop(student, drill, since: int, cleared: int | None = None, **fields) -> Stop:
    cleared_fields = (
        {} if cleared is None else {"cleared_on": day(cleared), "cleared_at": at(cleared)}
    )
    return Stop.objects.create(
        student=student, drill=drill, since=day(since), **cleared_fields, **fields
    )


def test_a_stopped_part_asks_only_for_what_was_done(student, ladder, putting):
    log(student, 0, ladder, 10, 8, 6)
    log(student, 2, ladder, 10, 2, 0)  # The session in which it hurt counts as done.
    stop(student, ladder.drill, 2)
    part = compute(student, MONDAY).parts[0]
    assert (part["stopped"], part["asked_sessions"], part["credit"]) == (True, 2, 1)
    assert (part["left_minutes"], part["sessions_left"]) == (0, 0)
    assert not compute(student, MONDAY).parts[1]["stopped"]


def test_a_stop_late_in_the_week_forgives_all_that_was_not_done(student, ladder):
    # By the days that were open before it, three sessions would be asked.
    log(student, 0, ladder, 10, 8, 6)
    stop(student, ladder.drill, 4)
    part = compute(student, MONDAY).parts[0]
    assert (part["asked_sessions"], part["credit"]) == (1, 1)


def test_a_stop_cleared_after_the_week_stood_all_through_it(student, ladder):
    log(student, 0, ladder, 10, 8, 6)
    stop(student, ladder.drill, 1, cleared=7)
    part = compute(student, MONDAY).parts[0]
    assert (part["asked_sessions"], part["stopped"]) == (1, True)


def test_a_stop_cleared_in_the_week_excuses_the_days_between(student, ladder):
    log(student, 0, ladder, 10, 8, 6)
    stop(student, ladder.drill, 0, cleared=3)  # Tuesday and Wednesday closed: 4 × 5/7.
    part = compute(student, MONDAY).parts[0]
    assert (part["asked_sessions"], part["stopped"]) == (3, False)
    assert part["credit"] == pytest.approx(1 / 3)


def test_a_stop_from_an_earlier_week_drops_the_part_until_it_is_cleared(student, ladder, putting):
    stop(student, ladder.drill, -3)
    tally = compute(student, MONDAY)
    assert tally.parts[0]["credit"] is None
    assert tally.priority_credit is None
    log(student, 0, putting, 20)
    log(student, 1, putting, 20)
    assert compute(student, MONDAY).finished


def test_a_stop_of_all_hard_work_stops_what_asks_for_hard_swings(student, ladder, putting):
    stop(student, None, 1)
    assert [part["stopped"] for part in compute(student, MONDAY).parts] == [True, False]


def test_a_stop_that_was_over_before_the_week_changes_nothing(student, ladder):
    stop(student, ladder.drill, -6, cleared=-1)
    assert compute(student, MONDAY).parts[0]["asked_sessions"] == 4


def test_the_highest_pain_of_the_entries_that_count(student, ladder):
    counting, gone = make_entry(student, 0), make_entry(student, 1, counts=False)
    for entry, level in ((counting, 2), (counting, 3), (gone, 8)):
        PainNote.objects.create(student=student, entry=entry, day=entry.day, level=level)
    assert compute(student, MONDAY).pain == 3


# --- when it was written -----------------------------------------------------------------


def test_an_entry_was_written_when_its_chain_began_on_the_student_s_clock(student, ladder):
    first = make_entry(student, 0, counts=False, at=at(2, 23), utc_offset_minutes=600)
    make_entry(
        student, 0, root=first.root, kind=Entry.Kind.CHANGE, at=at(5), utc_offset_minutes=600
    )
    # 23:00 UTC on Wednesday is Thursday morning ten hours east.
    tally = compute(student, MONDAY)
    assert tally.entries == [[0, 3]]
    assert tally.last_written_at == at(5)


def test_before_three_in_the_morning_it_is_still_yesterday(student):
    make_entry(student, 0, at=at(1, 2))
    assert compute(student, MONDAY).entries == [[0, 0]]


# --- as it was known -----------------------------------------------------------------------


def test_as_of_an_instant_only_what_was_known_then_counts(student, ladder):
    type(ladder).objects.update(added_at=at(-1))
    log(student, 0, ladder, 10, 8, 6)
    first = make_entry(student, 1, counts=False)
    did(first, ladder, 10, 8, 6)
    change = make_entry(student, 1, root=first.root, kind=Entry.Kind.CHANGE, received_at=at(4))
    did(change, ladder, 0, 0, 0)
    excuse(student, 5, 6, told_at=at(4))
    assert compute(student, MONDAY).credit == pytest.approx(1 / 3)
    known = compute(student, MONDAY, as_of=at(3))
    assert (known.credit, known.open_days, known.days_done) == (0.5, 7, 2)
    monday = compute(student, MONDAY, as_of=at(0, 20))
    assert (monday.credit, monday.days_done) == (0.25, 1)
    assert monday.has_plan
    assert not compute(student, MONDAY, as_of=at(0, 7)).has_plan


def test_a_part_is_asked_from_when_it_was_added_until_it_was_taken_off(student, ladder, putting):
    type(putting).objects.filter(pk=putting.pk).update(added_at=at(1), removed_at=at(3))

    def asked(instant: datetime | None) -> float:
        return compute(student, MONDAY, as_of=instant).asked_minutes

    assert [asked(at(0)), asked(at(2)), asked(at(4)), asked(None)] == [60, 100, 60, 60]


def test_as_of_now_is_what_it_is(student, ladder, putting):
    log(student, 0, ladder, 10, 8, 6)
    gone = make_entry(student, 1, counts=False)
    did(gone, ladder, 10, 8, 6)
    make_entry(
        student, 1, root=gone.root, kind=Entry.Kind.TAKE_BACK, counts=False, received_at=at(2)
    )
    excuse(student, 4, 5, told_at=at(1))
    type(putting).objects.update(added_at=at(0, 7))
    now, then = compute(student, MONDAY), compute(student, MONDAY, as_of=at(9))
    assert [getattr(now, f) for f in FIELDS] == [getattr(then, f) for f in FIELDS]


def test_a_stop_and_its_clearing_are_known_when_they_were_told(student, ladder):
    type(ladder).objects.update(added_at=at(-1))
    entry = make_entry(student, 1)
    pain = PainNote.objects.create(student=student, entry=entry, day=day(1), level=6, told_at=at(1))
    stop(student, ladder.drill, 1, cleared=4, pain=pain)

    def stopped(hours: datetime) -> bool:
        return compute(student, MONDAY, as_of=hours).parts[0]["stopped"]

    assert [stopped(at(0)), stopped(at(2)), stopped(at(5))] == [False, True, False]


# --- cost ----------------------------------------------------------------------------------


@pytest.mark.parametrize("logs", [1, 25])
def test_queries_do_not_grow_with_the_log(
    student, ladder, putting, logs, django_assert_num_queries
):
    for n in range(logs):
        entry = make_entry(student, n % 7)
        did(entry, ladder, 10, 8, 6)
        did(entry, putting, 20)
    turn = 1 if connection.features.has_select_for_update else 0
    # 1 parts, 2 results, 3 entries, 4 excusals, 5 stops, 6 the row
    with django_assert_num_queries(turn + 6), transaction.atomic(savepoint=False):
        recompute(student, MONDAY)
    # The same five, and what counted then among 6 results and 7 entries
    with django_assert_num_queries(7):
        compute(student, MONDAY, as_of=at(9))
