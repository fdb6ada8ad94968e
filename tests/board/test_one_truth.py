"""Whoever says how a student stands says what the board keeps, and time finds the lines made."""

from dataclasses import replace
from datetime import timedelta

import pytest
import time_machine
from django.urls import reverse

from coaching.board import kept, tending
from coaching.board.kept import standings
from coaching.board.lines import from_json, to_json
from coaching.board.models import KeptLine
from coaching.board.rules.order import Need
from coaching.board.rules.short import Because
from coaching.board.rules.states import State
from coaching.board.rules.text import Words
from coaching.board.tasks import tend_task
from coaching.lesson_day.next_up import lesson_lines
from coaching.lessons.services import plan_lesson
from coaching.reminders.mail import _summary
from practice.care.models import PainNote
from shared.jobs.models import Retry
from shared.people.models import Student
from tests.board.make import history, present_week
from tests.compliance.logs import make_entry
from tests.conftest import signed_in
from tests.factories import WEDNESDAY_EVENING, make_child, make_student, make_user, studio_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday_evening")]
DAY = timedelta(days=1)


@pytest.fixture
def student(coach):
    student = make_student(coach, "Gerald")
    history(student, "10- 12- 5- 9-")
    present_week(student, left=45)
    for n, who in enumerate((make_student(coach, "Comes first"), student), 1):
        plan_lesson(student=who, coach=coach, at=WEDNESDAY_EVENING + n * timedelta(minutes=30))
    return student


def everyone(coach):
    return Student.objects.filter(studio=studio_of(coach))


def say(student, **what) -> None:
    """Put other words into the line that is kept, which stays as true as it was."""
    row = KeptLine.objects.get(student=student)
    KeptLine.objects.filter(pk=row.pk).update(line=to_json(replace(from_json(row.line), **what)))


def pages(coach, student) -> dict[str, str]:
    client = signed_in(coach)
    addresses = {
        "board": reverse("board:who") + "?all=1",
        "calls": reverse("board:calls"),
        "today": reverse("lessons:next_up"),
        "door": reverse("lessons:door", args=[student.pk]),
    }
    found = {name: client.get(path).content.decode() for name, path in addresses.items()}
    found["monday's mail"] = str(_summary(coach))
    found["evening's mail"] = "\n".join(
        lesson_lines(coach, WEDNESDAY_EVENING.date(), WEDNESDAY_EVENING)
    )
    return found


def test_the_word_and_the_reason_are_the_boards_everywhere(coach, student):
    standings(everyone(coach), WEDNESDAY_EVENING)
    say(
        student,
        need=Need.NO_WORD,
        state=State.LOGS_LATER,
        because=Because("canaries sing"),
        words=Words("Canaries sing at length.", "since May", "Feed the birds."),
    )
    said = pages(coach, student)
    for name in ("board", "calls", "today", "door", "evening's mail"):
        assert "Logs later" in said[name], name
    assert "canaries sing" in said["board"]
    for name in ("calls", "door", "monday's mail"):
        assert "Canaries sing at length." in said[name], name
    assert "since May" in said["calls"]
    assert "Feed the birds." in said["calls"]


@pytest.mark.parametrize("reads", [True, False])
def test_so_is_what_hurts_for_who_may_read_of_it(coach, student, reads):
    told = make_entry(student, WEDNESDAY_EVENING.date() - DAY)
    PainNote.objects.create(
        entry=told, student=student, day=told.day, level=6, where="left knee", signs=[]
    )
    if not reads:
        Student.objects.filter(pk=student.pk).update(lead_coach=make_user("Lead"))
    standings(everyone(coach), WEDNESDAY_EVENING)
    (row,) = standings(Student.objects.filter(pk=student.pk), WEDNESDAY_EVENING)
    assert row.line.need is Need.CARE
    said = pages(coach, student)
    clause = "left knee 6/10" if reads else "no hard swings without asking the coach"
    for name in ("board", "calls", "door"):
        assert clause.lower() in said[name].lower(), name
    assert ("Keep to the limit." in said["calls"]) is not reads
    for name in ("monday's mail", "evening's mail"):
        assert "something hurts, see the page" in said[name], name
        assert "knee" not in said[name], name


# --- made when time is over ------------------------------------------------------------------


def test_the_turn_of_a_day_finds_every_line_made(coach, student, monkeypatch):
    quiet = make_student(coach, "Never looked at")
    standings(everyone(coach).exclude(pk=quiet.pk), WEDNESDAY_EVENING)
    assert tending.sweep(WEDNESDAY_EVENING) == 0
    morning = WEDNESDAY_EVENING + DAY
    with time_machine.travel(morning, tick=False):
        tend_task()
    assert not KeptLine.objects.filter(student=quiet).exists()
    asked = []
    monkeypatch.setattr(kept, "from_scratch", lambda pks, _: asked.extend(pks) or [])
    standings(everyone(coach).exclude(pk=quiet.pk), morning)
    assert asked == []
    assert tending.sweep(morning) == 0


def test_of_whom_nobody_may_look_at_the_line_is_forgotten(coach, student):
    child = make_child(coach, name="Closed")
    left = make_student(coach, "Left")
    standings(everyone(coach), WEDNESDAY_EVENING)
    child.guardianships.update(withdrawn_at=WEDNESDAY_EVENING)
    Student.objects.filter(pk=left.pk).update(left_on=WEDNESDAY_EVENING.date())
    morning = WEDNESDAY_EVENING + DAY
    assert tending.sweep(morning) == 1
    for gone in (child, left):
        row = KeptLine.objects.get(student=gone)
        assert (row.judged, row.until, row.line) == (None, None, None)
    assert not tending.due(morning).exists()


def test_a_studio_that_cannot_be_judged_waits_alone(coach, student, monkeypatch):
    standings(everyone(coach), WEDNESDAY_EVENING)

    def fails(*_):
        raise ZeroDivisionError

    monkeypatch.setattr(tending, "judge", fails)
    assert tending.sweep(WEDNESDAY_EVENING + DAY) == 0
    assert Retry.objects.get().row == str(studio_of(coach).pk)
