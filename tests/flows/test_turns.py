"""Whoever changes what a tally is made of takes the student's turn before writing anything.

A log takes the turn and then writes what raises the version of the student's kept line. Written
the other way round, each would wait for the other.
"""

from dataclasses import replace
from datetime import timedelta

import pytest
from django.db import connection
from django.db.transaction import TransactionManagementError
from django.test.utils import CaptureQueriesContext

from practice.care.models import Stop
from practice.compliance.tally import take_turns
from practice.flows import set_week, stop, swap, take_back_week
from practice.log.models import AcceptedSwap
from practice.weeks import queries
from practice.weeks.models import Week
from tests import factories
from tests.log.entries import Phone, entry

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.engine,
    pytest.mark.usefixtures("wednesday"),
    pytest.mark.skipif(
        not connection.features.has_select_for_update, reason="SQLite has one writer anyway"
    ),
]
WRITES = ("INSERT", "UPDATE", "DELETE")


@pytest.fixture
def part(student):
    return factories.make_part(factories.make_week(student), factories.make_drill(student.studio))


def sends(student, coach, part):
    draft = factories.make_week(student, factories.MONDAY + timedelta(days=7))
    Week.objects.filter(pk=draft.pk).update(state=Week.State.DRAFT, sent_at=None)
    factories.make_part(draft, part.drill)
    return lambda: set_week.send_week(week=draft, by=coach)


def changes(student, coach, part):
    less = [replace(spec, sessions=1) for spec in queries.specs_of(part.week)]
    return lambda: set_week.amend_week(week=part.week, specs=less, by=coach)


def takes_a_change_back(student, coach, part):
    was = take_back_week.as_it_is(part.week)
    changes(student, coach, part)()
    return lambda: take_back_week.take_back_change(week_id=part.week_id, was=was)


def takes_a_week_back(student, coach, part):
    return lambda: take_back_week.take_back_week(week_id=part.week_id)


def excuses(student, coach, part):
    day = part.week.opens + timedelta(days=4)
    return lambda: set_week.excuse(student=student, first=day, last=day, told_by=coach)


def withdraws_excused_days(student, coach, part):
    excusal = excuses(student, coach, part)()
    return lambda: set_week.withdraw_excusal(excusal=excusal)


def clears_a_stop(student, coach, part):
    found = Stop.objects.create(student=student, since=part.week.opens)
    day = part.week.opens + timedelta(days=2)
    return lambda: stop.clear_stop(stop=found, by=coach, words="Seen.", day=day)


def accepts_a_swap(student, coach, part):
    other = factories.make_drill(student.studio, "Another", "10")
    steps = [{"n": 10, "c": 8, "e": None}]
    document = entry(student, b=[{"p": None, "d": str(other.pk), "s": steps}])
    assert Phone(student).receipt(document)[0] == "stored"
    return lambda: swap.accept_swap(
        student=student, root=document["id"], work=str(other.pk), part_id=part.pk, by=coach
    )


def withdraws_a_swap(student, coach, part):
    accepts_a_swap(student, coach, part)()
    found = AcceptedSwap.objects.get()
    return lambda: swap.withdraw_swap(student=student, root=found.root, work=found.work)


@pytest.mark.parametrize(
    "made",
    [sends, changes, takes_a_change_back, takes_a_week_back, excuses, withdraws_excused_days,
     clears_a_stop, accepts_a_swap, withdraws_a_swap],
)  # fmt: skip
def test_the_turn_is_taken_before_anything_is_written(made, student, coach, part):
    act = made(student, coach, part)
    with CaptureQueriesContext(connection) as sent:
        act()
    said = [query["sql"] for query in sent]
    turn = next(
        n for n, sql in enumerate(said) if "people_student" in sql and "NO KEY UPDATE" in sql
    )
    first = next(n for n, sql in enumerate(said) if sql.startswith(WRITES))
    assert turn < first


@pytest.mark.django_db(transaction=True)
def test_a_turn_is_taken_in_a_transaction_alone(student):
    with pytest.raises(TransactionManagementError, match="in a transaction"):
        take_turns(student)
