"""Why a part is asked: what the last closed lesson with its drill found, on the phone."""

import json
from datetime import timedelta

import pytest

from coaching.lessons.models import Finding, Lesson
from practice.phone.bundle import bundle, link_bundle
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db


@pytest.fixture
def drill(student, wednesday):
    found = factories.make_drill(student.studio)
    factories.make_part(factories.make_week(student), found)
    return found


def lesson_with(student, drill, at, state=Lesson.State.CLOSED, **said):
    ending = Lesson.Ending.values[0] if state == Lesson.State.CLOSED else ""
    lesson = Lesson.objects.create(
        student=student, coach=student.lead_coach, at=at, opened_at=at, state=state, ending=ending
    )
    finding = Finding.objects.create(lesson=lesson, **said)
    finding.drills.add(drill)
    return lesson


def told(student, make=bundle) -> str:
    return make(student, student.user)["weeks"][0]["parts"][0]["why"]


def test_the_latest_closed_lesson_with_the_drill_says_why(student, drill):
    day = timedelta(days=1)
    lesson_with(student, drill, NOON - 9 * day, fault="old")
    lesson_with(
        student,
        drill,
        NOON - 2 * day,
        fault="the hip slides.",
        feel="turn in a barrel",
        real="a turn",
    )
    lesson_with(student, drill, NOON, state=Lesson.State.OPEN, fault="still being written")
    said = "From your lesson of Mon 24 Feb. The hip slides. Feels like: turn in a barrel."
    assert told(student) == f"{said} Really is: a turn."


def test_nothing_is_said_without_a_finding_or_by_the_key_of_a_link(student, drill):
    assert told(student) == ""
    lesson_with(student, drill, NOON)
    assert told(student) == ""
    lesson_with(student, drill, NOON + timedelta(hours=1), fault="The hip slides")
    assert told(student)
    assert "slides" not in json.dumps(link_bundle(student, student.user))


def test_another_students_lesson_says_nothing_here(student, drill, coach):
    other = factories.make_student(coach)
    lesson_with(other, drill, NOON, fault="of somebody else")
    assert told(student) == ""
