"""The gate before priority 1, said by the worker and read by the board."""

from datetime import timedelta
from uuid import uuid4

import pytest

from coaching.season import gate_sweep
from coaching.season.gate_sweep import due, sweep
from coaching.season.gates import near
from coaching.season.models import GateNow, Priority, SeasonPlan
from practice.coach_counts.services import keep_count
from practice.flows.take_entry import STORED, Sender, receive_one
from shared.jobs.models import Retry, Sweep
from tests.board.make import opened
from tests.factories import MONDAY, NOON, make_drill, make_part, make_student, make_week, studio_of
from tests.log.entries import block, entry
from tests.season.make import make_plan

HOLDS, SETTLES, BREAKS = ("holds", 56, 75), ("not settled", 24, 38), ("breaks", 9, 40)


@pytest.mark.parametrize(
    ("stage", "steps", "said"),
    [
        ("flow", {80: HOLDS, 95: SETTLES}, "near: holds at 80 (56 of 75), not settled at 95 (24"),
        ("flow", {60: HOLDS}, "near: holds at 60 (56 of 75), nothing at 90 yet"),
        ("flow", {80: HOLDS, 95: HOLDS}, "The gate to Speed is open: holds at 95 (56 of 75)."),
        ("flow", {80: HOLDS, 95: BREAKS}, ""),
        ("flow", {60: HOLDS, 80: SETTLES, 95: SETTLES}, ""),
        ("flow", {95: SETTLES}, ""),
        ("flow", {}, ""),
        ("shape", {40: HOLDS, 60: SETTLES}, "The gate to Flow is near"),
        ("shape", {40: HOLDS, 70: HOLDS}, "The gate to Flow is open"),
        ("flow", {60: SETTLES, 80: HOLDS}, "near: holds at 80 (56 of 75), nothing at 90 yet."),
        ("flow", {80: HOLDS, 90: SETTLES}, "near: holds at 80 (56 of 75), not settled at 90 (24"),
        ("flow", {80: HOLDS, 90: HOLDS, 95: SETTLES}, "open: holds at 90 (56 of 75)."),
        ("flow", {80: HOLDS, 92: BREAKS, 95: SETTLES}, ""),
        ("flow", {80: HOLDS, 92: ("too few", 3, 4), 95: SETTLES}, "not settled at 95 (24 of 38)."),
        ("flow", {92: HOLDS, 95: HOLDS}, "open: holds at 95 (56 of 75)."),
        ("speed", {100: HOLDS}, ""),
        ("keep", {100: HOLDS}, ""),
        ("", {60: HOLDS}, ""),
    ],
)
def test_a_gate_is_open_or_near_or_nothing_is_said(stage, steps, said):
    found = near(stage, steps)
    assert (said in found) if said else found == ""


# --- the sweep -------------------------------------------------------------------------


@pytest.fixture
def part(coach, student, wednesday):
    drill = make_drill(studio_of(coach), "Gate", dose="12@60, 12@80, 12@95")
    plan = SeasonPlan.objects.create(
        student=student, first=MONDAY, last=MONDAY + timedelta(90), made_by=coach, changed_at=NOON
    )
    Priority.objects.create(plan=plan, place=1, name="Sway", stage="flow", drill=drill)
    return make_part(make_week(student), drill, dose="12@60, 12@80, 12@95")


def log(student, part, day, clean):
    steps = [{"n": 12, "c": c, "e": None} for c in clean]
    said = entry(student, day=str(day), b=[block(part) | {"s": steps}], id=str(uuid4()))
    assert receive_one(said, sender=Sender(student, student.user)) == STORED


def words() -> str:
    return GateNow.objects.get().words


def test_it_follows_what_is_logged_and_the_plan(student, part, wednesday):
    assert sweep() == 1
    assert (words(), sweep()) == ("", 0)
    wednesday.shift(timedelta(minutes=1))
    for ago in (0, 1):
        log(student, part, NOON.date() - timedelta(ago), (12, 11, 7))
    assert sweep() == 1
    assert words() == (
        "Sway. The gate to Speed is near: holds at 80 (22 of 24), not settled at 95 (14 of 24)."
    )
    Priority.objects.update(stage="keep")
    assert sweep() == 0
    assert not GateNow.objects.exists()


def test_a_coachs_count_and_a_day_gone_by_make_it_due(coach, student, part, wednesday):
    sweep()
    assert not due(NOON)
    wednesday.shift(timedelta(minutes=1))
    keep_count(
        student=student, by=coach, count_id=uuid4(), drill=part.drill, effort=95, reps=12,
        clean_reps=9, own_clean_reps=None, day=MONDAY,
    )  # fmt: skip
    assert sweep() == 1
    wednesday.shift(timedelta(days=1))
    assert sweep() == 1


def test_a_season_written_again_makes_it_due(student, part, wednesday):
    sweep()
    wednesday.shift(timedelta(minutes=1))
    assert not due(NOON + timedelta(minutes=1))
    SeasonPlan.objects.update(changed_at=NOON + timedelta(minutes=1))
    assert due(NOON + timedelta(minutes=1))
    SeasonPlan.objects.update(changed_at=NOON + timedelta(minutes=2))
    assert not due(NOON + timedelta(minutes=1))


def test_of_the_first_priority_alone_by_its_own_ladder_and_who_waits_longest_first(
    coach, student, part, wednesday
):
    """What is logged of another drill, or stands behind another priority, opens no gate."""
    other = make_drill(student.studio, "Other", dose="12@60, 12@80, 12@95")
    more = make_part(part.week, other, dose="12@60, 12@80, 12@95")
    for ago in (0, 1):
        log(student, more, NOON.date() - timedelta(ago), (12, 11, 7))
    first = Priority.objects.get()
    Priority.objects.create(plan=first.plan, place=2, name="Two", stage="flow", drill=other)
    assert (sweep(), words()) == (1, "")
    ben = make_student(coach, "Ben")
    make_plan(ben, priorities=[{"name": "Sway", "stage": "flow", "drill": other}])
    wednesday.shift(timedelta(days=1))
    assert list(due(NOON + timedelta(days=1))) == [ben, student]
    ben.season_plan.priorities.update(place=2)
    assert list(due(NOON + timedelta(days=1))) == [student]
    student.season_plan.priorities.filter(place=1).update(drill=None)
    assert not due(NOON + timedelta(days=1))


def test_a_large_house_is_gone_through_in_parts(coach, student, part, wednesday, monkeypatch):
    """Who has a gate no more is forgotten when it is their turn, and not before."""
    monkeypatch.setattr(gate_sweep, "AT_ONE_LOOK", 1)
    ben = make_student(coach, "Ben")
    one, two = sorted((student, ben), key=lambda each: each.pk)
    Priority.objects.all().delete()
    for each in (one, two):
        GateNow.objects.create(student=each, words="", reckoned_at=NOON)
    for left in ([two], []):
        sweep()
        assert [row.student for row in GateNow.objects.all()] == left


def test_whoever_has_no_such_gate_is_not_looked_at(coach, student, part, wednesday):
    make_student(coach, "Other")
    student.left_on = MONDAY
    student.save()
    assert sweep() == 0


def test_the_board_says_it_of_who_needs_nothing(coach, student, part, wednesday):
    GateNow.objects.create(student=student, words="The gate is near.", reckoned_at=NOON)
    row = opened(coach, student.name, NOON)
    assert row.gate == ""  # The week has just begun to be silent: something is needed first.


@pytest.mark.parametrize("logs", [1, 12])
def test_it_costs_the_same_however_much_was_logged(
    student, part, wednesday, logs, django_assert_num_queries
):
    for n in range(logs):
        log(student, part, NOON.date() - timedelta(n % 3), (12, 11, 7))
    Sweep.objects.create(name="gates")
    # 1-2 whose turn it is in a large house; 3-4 the sweep; 5 due; 6-7 claim; 8 the priority;
    # 9-10 the ladder; 11-15 the row, in savepoints; 16 end; 17 who has none now.
    with django_assert_num_queries(17):
        sweep()


def test_fifty_that_fail_keep_nobody_waiting(coach, student, part, wednesday, monkeypatch):
    usual = gate_sweep.reckon
    for number in range(gate_sweep.AT_ONCE):
        plan = SeasonPlan.objects.create(
            student=make_student(coach, f"Bad {number}"),
            first=MONDAY, last=MONDAY + timedelta(90), made_by=coach, changed_at=NOON,
        )  # fmt: skip
        Priority.objects.create(plan=plan, place=1, name="Sway", stage="flow", drill=part.drill)
    GateNow.objects.create(student=student, words="", reckoned_at=NOON - timedelta(days=2))

    def reckon(who, now):
        if who != student:
            raise ValueError("no gate")
        usual(who, now)

    monkeypatch.setattr(gate_sweep, "reckon", reckon)
    assert (sweep(), sweep()) == (0, 1)
    assert Retry.objects.count() == gate_sweep.AT_ONCE
