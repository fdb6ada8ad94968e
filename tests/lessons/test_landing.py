"""Where a coach starts: today's lessons near one, who needs me otherwise."""

from datetime import timedelta

import pytest
from django.utils import timezone

from coaching.lessons.models import Lesson
from tests.conftest import signed_in
from tests.factories import make_coach, make_student

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday")]


def lesson(coach, **fields) -> Lesson:
    fields.setdefault("at", timezone.now())
    return Lesson.objects.create(student=make_student(coach, "Sam"), coach=coach, **fields)


def start_of(coach) -> str:
    return signed_in(coach).get("/").url


def test_without_a_lesson_a_coach_starts_at_who_needs_me(coach):
    assert start_of(coach) == "/who/"


@pytest.mark.parametrize(
    ("away", "page"),
    [
        (timedelta(hours=3), "/next/"),
        (timedelta(hours=3, minutes=1), "/who/"),
        (timedelta(minutes=-59), "/next/"),
        (timedelta(minutes=-61), "/who/"),
    ],
)
def test_a_lesson_that_is_near(coach, away, page):
    lesson(coach, at=timezone.now() + away)
    assert start_of(coach) == page


def test_a_lesson_that_is_running_or_was_left_open_yesterday(coach):
    running = lesson(coach, state=Lesson.State.OPEN, opened_at=timezone.now() - timedelta(hours=2))
    assert start_of(coach) == "/next/"
    running.opened_at -= timedelta(days=1)
    running.save()
    assert start_of(coach) == "/who/"


def test_anothers_lesson_and_a_closed_one_lead_nowhere(coach):
    lesson(make_coach(make_student(coach, "Ann").studio))
    lesson(coach, state=Lesson.State.CLOSED, ending=Lesson.Ending.NONE, closed_at=timezone.now())
    assert start_of(coach) == "/who/"
