"""Two of the board's words help a coach and would only hurt a student: who reads them."""

import pytest
from django.urls import reverse

from tests.board.make import history, present_week
from tests.conftest import signed_in
from tests.factories import make_student
from tests.test_routes import ALL, may_enter

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday_evening")]


def unlikely(coach):
    student = make_student(coach, "Sam")
    history(student, "10- 12- 5- 9- 10- 3-")
    present_week(student, left=50)
    return student


def quiet(coach):
    student = make_student(coach, "Kim")
    history(student, "42+ 40+ 0- 0-")
    student.tallies.filter(minutes=0).update(entries=[])
    present_week(student, left=60, entries=[], last_written_at=None)
    return student


def own_addresses(student) -> list[str]:
    """Every page and answer that a student may ask for, of those that name no other thing."""
    return [
        reverse(route.name, args=[student.pk] if route.arguments else [])
        for route in ALL.values()
        if set(route.arguments) <= {"student_id"}
        and may_enter(route, "student", "get")
        and not route.is_the_librarys
    ]


@pytest.mark.parametrize(("make", "word"), [(unlikely, "Unlikely"), (quiet, "No word")])
def test_the_coach_reads_it_and_the_student_nowhere(coach, coach_client, make, word):
    student = make(coach)
    assert word in coach_client.get(reverse("board:who")).content.decode()
    client, read, told = signed_in(student.user), 0, []
    for address in own_addresses(student):
        answer = client.get(address)
        if answer.status_code == 200 and not answer.streaming:
            read += 1
            told += [address] * (word in answer.content.decode())
    assert told == []
    assert read >= 20, "Most of the student's pages answered."
