"""What is asked all day costs the same after years as after one, by the database's steps.

SQLite counts the instructions of its virtual machine: the same on every computer, however
loaded. A plan that reads a whole life shows there, also where it is called a search.
"""

from datetime import datetime, timedelta
from itertools import count
from uuid import UUID

import pytest
import time_machine
from django.core.cache import cache
from django.db import connection

from coaching.board.read import DAYS_WRITTEN_BACK, _words
from coaching.reminders import plan
from coaching.reminders.models import ReminderRule
from coaching.season import gate_sweep
from coaching.season.models import GateNow, Priority, SeasonPlan, Stage
from coaching.track_record import services as kept
from coaching.track_record.models import WordKept
from practice.compliance.facts import _results
from practice.importing import work
from practice.importing.work import known_marks
from practice.log.models import Entry, Result
from practice.numbers.now import reckoning
from practice.numbers.now.models import NumbersNow
from practice.shelf.queries import use_in
from practice.shots.models import Shot, Sitting
from practice.weeks.models import Part, Week
from shared.people.models import Student, User
from tests.factories import MONDAY, NOON, make_drill, make_student, studio_of

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.skipif(connection.vendor != "sqlite", reason="only SQLite counts its steps"),
]
_ids = count(1)
WEEK = timedelta(weeks=1)


def steps(ask) -> int:
    """Instructions of the database for one question, to the hundred."""
    counted = [0]

    def one_more() -> int:
        counted[0] += 1
        return 0

    connection.ensure_connection()
    connection.connection.set_progress_handler(one_more, 10)
    try:
        ask()
    finally:
        connection.connection.set_progress_handler(None, 10)
    return counted[0] * 10


def live(student: Student, drill, years: int) -> None:
    """Four entries a week with a note and a result each, for so many years up to now."""
    entries, results = [], []
    for ago in range(52 * years):
        opens = MONDAY - ago * WEEK
        for day in range(4):
            pk = UUID(int=next(_ids), version=4)
            on = opens + timedelta(days=day)
            at = datetime(on.year, on.month, on.day, 18, tzinfo=NOON.tzinfo)
            entries.append(
                Entry(id=pk, root=pk, student=student, day=on, at=at, received_at=at,
                      note="Went well.", document={}, fingerprint=str(pk))
            )  # fmt: skip
            results.append(Result(entry_id=pk, student=student, opens=opens, drill=drill))
    Entry.objects.bulk_create(entries, batch_size=500)
    Result.objects.bulk_create(results, batch_size=500)


@pytest.fixture
def lives(coach):
    """A student after one year and one after five."""
    drill = make_drill(studio_of(coach))
    young, old = make_student(coach, "Young"), make_student(coach, "Old")
    live(young, drill, 1)
    live(old, drill, 5)
    return young, old


def test_the_notes_of_the_board(lives):
    said = NOON - timedelta(days=14)
    day = said.date() - timedelta(days=DAYS_WRITTEN_BACK + 1)
    young, old = (
        steps(lambda who=who: _words(students=[who.pk], at=said, day=day)) for who in lives
    )
    assert old < 1.3 * young


def test_the_results_of_a_week(lives):
    young, old = (steps(lambda who=who: _results(who, MONDAY, None)) for who in lives)
    assert old < 1.3 * young


def test_the_marks_of_a_file(coach):
    """Which rows of a file are known is asked of so many marks, not of all the student's shots."""
    costs = []
    for shots in (60, 1200):
        student = make_student(coach, f"{shots} shots")
        sitting = Sitting.objects.create(student=student, day=MONDAY)
        marks = [f"{number:064}" for number in range(shots)]
        Shot.objects.bulk_create(
            [
                Shot(sitting=sitting, student=student, number=number, fingerprint=mark)
                for number, mark in enumerate(marks, 1)
            ],
            batch_size=500,
        )
        asked = [*marks[:25], *("x" * 64 for _ in range(25))]
        assert known_marks(student, asked) == set(marks[:25])
        costs.append(steps(lambda who=student, asked=asked: known_marks(who, asked)))
    assert costs[1] < 1.3 * costs[0]


def test_the_use_of_drills_on_the_shelf(coach):
    """Half a year of weeks leads to its parts, however many years the drill was asked."""
    student, studio = make_student(coach, "Asked"), studio_of(coach)
    drill = make_drill(studio)
    costs = []
    with time_machine.travel(NOON, tick=False):
        for weeks in (range(52), range(52, 260)):
            made = Week.objects.bulk_create(
                Week(
                    student=student,
                    author=coach,
                    opens=MONDAY - ago * WEEK,
                    state="sent",
                    sent_at=NOON,
                    published_on=MONDAY - ago * WEEK,
                )
                for ago in weeks
            )
            Part.objects.bulk_create(
                Part(week=week, drill=drill, revision=drill.current, added_by=coach, minutes=15,
                     sessions=3, sessions_asked=3, dose="10", dose_asked="10", priority=1)
                for week in made
            )  # fmt: skip
            costs.append(steps(lambda: use_in(studio)))
            assert use_in(studio)[drill.pk].weeks == 26
    assert costs[1] < 1.3 * costs[0]


def many_students(coach: User, number: int) -> list[Student]:
    return Student.objects.bulk_create(
        Student(studio=studio_of(coach), lead_coach=coach, name=f"S {n}", time_zone="UTC")
        for n in range(number)
    )


def test_the_tick_with_nothing_due(coach):
    def ask():
        list(plan._due(ReminderRule.objects.all(), NOON))

    costs = []
    for number in (20, 380):
        ReminderRule.objects.bulk_create(
            ReminderRule(student=student, next_due_utc=NOON + timedelta(hours=1))
            for student in many_students(coach, number)
        )
        costs.append(steps(ask))
    assert costs[1] < 1.3 * costs[0]


def test_the_words_to_note_with_nothing_due(coach):
    student = many_students(coach, 1)[0]
    costs = []
    for years in (range(1, 52), range(52, 260)):
        Week.objects.bulk_create(
            Week(student=student, author=coach, opens=MONDAY - ago * WEEK, state="sent",
                 sent_at=NOON - ago * WEEK, published_on=MONDAY - ago * WEEK)
            for ago in years
        )  # fmt: skip
        costs.append(steps(lambda: list(kept._unnoted(NOON))))
    assert costs[1] < 1.3 * costs[0]


def crowd_with_words(coach: User, number: int) -> None:
    """Students with a week each that was sent, noted and closed."""
    students = many_students(coach, number)
    Week.objects.bulk_create(
        Week(student=student, author=coach, opens=MONDAY, state="sent", sent_at=NOON - WEEK,
             published_on=MONDAY)
        for student in students
    )  # fmt: skip
    WordKept.objects.bulk_create(
        WordKept(student=student, opens=MONDAY, at=NOON, said="fine", closed_at=NOON)
        for student in students
    )


def test_the_words_to_note_before_wednesday_cost_no_student_anything(coach):
    monday = NOON - timedelta(days=NOON.weekday() + 7)
    costs = []
    for number in (20, 380):
        crowd_with_words(coach, number)
        WordKept.objects.all().delete()
        costs.append(steps(lambda: list(kept._unnoted(monday))))
    assert costs[1] < 1.3 * costs[0]


def test_the_words_that_settle_are_not_looked_at_before_their_time(coach):
    """On Tuesday last week's have come out, and what is written late counts until Wednesday."""
    tuesday = NOON - timedelta(days=NOON.weekday() - 1)
    costs = []
    for number in (20, 380):
        WordKept.objects.bulk_create(
            WordKept(student=student, opens=MONDAY - WEEK, at=NOON - WEEK, said="fine",
                     closed_at=tuesday - timedelta(days=1))
            for student in many_students(coach, number)
        )  # fmt: skip
        costs.append(steps(lambda: kept._to_close(tuesday)))
    assert costs[1] < 1.3 * costs[0]
    assert len(kept._to_close(tuesday + timedelta(days=1))) == 400


def test_the_words_that_came_out_for_good_are_not_looked_at_again(coach):
    """On Friday last week's were looked at twice, the second time on Wednesday."""
    friday = NOON - timedelta(days=NOON.weekday() - 4)
    costs = []
    for number in (20, 380):
        WordKept.objects.bulk_create(
            WordKept(student=student, opens=MONDAY - WEEK, at=NOON - WEEK, said="fine",
                     closed_at=friday - timedelta(days=2, hours=12))
            for student in many_students(coach, number)
        )  # fmt: skip
        costs.append(steps(lambda: kept._to_close(friday)))
    assert costs[1] < 1.3 * costs[0]


def test_words_that_came_out_keep_nobody_waiting(coach, monkeypatch):
    """However many were closed lately: the slice is of those that are due."""
    monkeypatch.setattr(kept, "A_TICK", 1)
    crowd_with_words(coach, 20)
    open_one = WordKept.objects.order_by("-pk").first()
    WordKept.objects.filter(pk=open_one.pk).update(closed_at=None)
    over = datetime(2031, 3, 3, 5, tzinfo=NOON.tzinfo)
    assert [word.pk for word in kept._to_close(over)] == [open_one.pk]


def test_the_figures_of_tests_with_nothing_due(coach, monkeypatch):
    """At most so many students are looked at at once, of however many."""
    monkeypatch.setattr(reckoning, "AT_ONE_LOOK", 10)
    costs = []
    for number in (20, 380):
        students = many_students(coach, number)
        Sitting.objects.bulk_create(
            Sitting(student=student, day=MONDAY, at=NOON) for student in students
        )
        NumbersNow.objects.bulk_create(
            NumbersNow(student=student, figures={}, sittings=1, reckoned_at=NOON)
            for student in students
        )
        cache.clear()
        costs.append(steps(lambda: list(reckoning.due(NOON).filter(reckoning._those_next()))))
    assert costs[1] < 1.3 * costs[0]


def test_the_gates_with_nothing_due(coach, monkeypatch):
    monkeypatch.setattr(gate_sweep, "AT_ONE_LOOK", 10)
    costs = []
    for number in (20, 380):
        students = many_students(coach, number)
        GateNow.objects.bulk_create(
            GateNow(student=student, words="", reckoned_at=NOON) for student in students
        )
        plans = SeasonPlan.objects.bulk_create(
            SeasonPlan(student=student, first=MONDAY, last=MONDAY + 9 * WEEK, made_by=coach,
                       changed_at=NOON - WEEK)
            for student in students
        )  # fmt: skip
        drill = make_drill(studio_of(coach))
        Priority.objects.bulk_create(
            Priority(plan=plan, place=1, name="Tail", stage=Stage.SHAPE, drill=drill)
            for plan in plans
        )
        cache.clear()
        costs.append(steps(lambda: gate_sweep.sweep(NOON)))
    assert costs[1] < 1.3 * costs[0]
    assert GateNow.objects.count() == 400


def test_no_file_to_read_costs_no_student_anything(coach):
    """It is looked for every five seconds."""
    costs = []
    for number in (20, 380):
        many_students(coach, number)
        costs.append(steps(work.claim))
    assert costs[1] < 1.3 * costs[0] + 100
