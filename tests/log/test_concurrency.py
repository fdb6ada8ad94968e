"""The same entry and the same week from many senders at once."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from threading import Barrier, Event

import pytest
import time_machine
from django.db import connection, transaction

from practice.compliance import tally
from practice.compliance.models import WeekTally
from practice.flows import set_week
from practice.log.models import Entry, Result
from practice.weeks import queries
from tests import factories
from tests.log.entries import Phone, change, entry


@pytest.fixture
def everything(transactional_db):
    """A coach, a student with a ladder, and their phone, in a database that threads share."""
    coach = factories.make_coach()
    student = factories.make_student(coach)
    drill = factories.make_drill(student.studio)
    part = factories.make_part(factories.make_week(student), drill)
    return student, part, Phone(student)


def at_once(calls):
    """Run all of them from one starting line; what they returned, in order."""
    line = Barrier(len(calls), timeout=60)

    def run(call):
        try:
            line.wait()
            return call()
        finally:
            connection.close()

    with time_machine.travel(factories.NOON, tick=False), ThreadPoolExecutor(len(calls)) as pool:
        return list(pool.map(run, calls))


def test_twenty_times_the_same_id_at_once_is_one_row(everything):
    student, part, phone = everything
    one = entry(student, part)
    receipts = at_once([lambda: phone.receipt(one)] * 20)
    assert sorted(receipts) == [["had", ""]] * 19 + [["stored", ""]]
    assert (Entry.objects.count(), Result.objects.count()) == (1, 1)


def test_twenty_puts_at_once_are_one_201_and_nineteen_200(everything):
    student, part, phone = everything
    one = entry(student, part)
    statuses = at_once([lambda: phone.put(one).status_code] * 20)
    assert sorted(statuses) == [200] * 19 + [201]


def test_ten_sessions_at_once_are_all_in_the_tally(everything):
    student, part, phone = everything
    ones = [entry(student, part) for _ in range(10)]
    receipts = at_once([lambda one=one: phone.receipt(one) for one in ones])
    assert receipts == [["stored", ""]] * 10
    assert WeekTally.objects.get().reps == 100


def test_changes_at_once_leave_exactly_one_that_counts(everything):
    student, part, phone = everything
    one = entry(student, part)
    with time_machine.travel(factories.NOON, tick=False):
        phone.receipt(one)
    receipts = at_once([lambda n=n: phone.receipt(change(one, note=str(n))) for n in range(10)])
    assert receipts == [["stored", ""]] * 10
    assert Entry.objects.filter(counts=True).count() == 1
    assert WeekTally.objects.get().reps == 10


def test_two_students_with_the_same_id_at_once(everything):
    student, _, phone = everything
    other = factories.make_student(student.lead_coach, "Other")
    mine = entry(student)
    theirs = mine | {"who": str(other.pk)}
    others_phone = Phone(other)
    receipts = at_once([lambda: phone.receipt(mine), lambda: others_phone.receipt(theirs)])
    assert sorted(receipts) == [["refused", "id_taken"], ["stored", ""]]
    assert Entry.objects.count() == 1


def somebody_waits() -> bool:
    """Whether PostgreSQL keeps one of our connections waiting for a lock."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_stat_clear_snapshot()")  # Else the first look is the last.
        cursor.execute(
            "SELECT count(*) FROM pg_stat_activity"
            " WHERE datname = current_database() AND wait_event_type = 'Lock'"
        )
        return bool(cursor.fetchone()[0])


@pytest.mark.parametrize("change_of", ["the week", "days away"])
def test_a_log_between_a_change_and_its_tally_is_in_the_tally(everything, monkeypatch, change_of):
    """The coach's tally is read but not kept yet when the student's log comes in."""
    if not connection.features.has_select_for_update:
        pytest.skip("SQLite has one writer anyway")
    student, part, phone = everything
    read, logged, real = Event(), Event(), tally.read_so_far

    def slow(*args, **kwargs):
        found = real(*args, **kwargs)
        if not read.is_set():
            read.set()
            while not logged.wait(0.01) and not somebody_waits():
                pass
        return found

    monkeypatch.setattr(tally, "read_so_far", slow)

    def coach():
        with transaction.atomic():
            if change_of == "the week":
                less = [replace(spec, sessions=1) for spec in queries.specs_of(part.week)]
                set_week.amend_week(week=part.week, specs=less, by=part.week.author)
            else:
                days = {"first": part.week.opens, "last": part.week.opens}
                set_week.excuse(student=student, told_by=student.lead_coach, **days)

    def phones():
        try:
            assert read.wait(60)
            return phone.receipt(entry(student, part))
        finally:
            logged.set()

    assert at_once([coach, phones])[1] == ["stored", ""]
    kept = WeekTally.objects.get()
    assert kept.reps == 10
    assert (kept.open_days, kept.asked_minutes) == ((7, 15) if change_of == "the week" else (6, 45))
