"""One fact has one figure: what a student usually does, on every page of the demo that says it."""

import re
from datetime import timedelta

import pytest
from django.urls import reverse

from coaching.demo import cast
from coaching.lessons.services import open_lesson
from practice.weeks.queries import this_opening
from shared.people.models import Student, User
from tests.conftest import signed_in

pytestmark = pytest.mark.usefixtures("demo")
USUAL = re.compile(r"[Uu]sual (?P<minutes>\d+) min")
HARD = re.compile(r"Before: (?P<swings>\d+) a week")


@pytest.fixture
def read():
    """The words of a page, as the coach of the demo is shown them."""
    client = signed_in(User.objects.get(name=cast.COACH))

    def words(route, *args):
        page = client.get(reverse(route, args=args)).content.decode()
        return " ".join(re.sub(r"<[^>]+>", " ", page).split())

    return words


@pytest.mark.parametrize("name", ["Callum Ferreby", "Gerald Umpleby", "Haewon Tolvane"])
def test_the_usual_week_is_the_same_on_each_page(read, name):
    student = Student.objects.get(name=name)
    now = this_opening(student)
    pages = [read("plans:set_week", student.pk, opens) for opens in (now, now + timedelta(weeks=1))]
    several = read("plans:several").split(f" {name} ")[-1]
    assert len({USUAL.search(page)["minutes"] for page in [*pages, several]}) == 1
    assert len({HARD.search(page)["swings"] for page in pages}) == 1


def test_hard_swings_before_are_those_of_the_sheet_and_the_load_page(read):
    student = Student.objects.get(name="Callum Ferreby")
    usual = re.search(r"hard swings this week, usually (\d+)", read("board:student", student.pk))[1]
    assert f"weeks before had {usual} a week" in read("progress:load", student.pk)
    week = read("plans:set_week", student.pk, this_opening(student) + timedelta(weeks=1))
    assert HARD.search(week)["swings"] == usual


@pytest.mark.parametrize("name", ["Ines Calderao", "Dougal Abernant", "Callum Ferreby"])
def test_minutes_of_a_week_are_rounded_one_way(read, name):
    """209.5 was 209 on one page and 210 on another."""
    student = Student.objects.get(name=name)
    weeks = re.findall(r"Minutes written (\d+)", read("board:weeks", student.pk))[1:5]
    load = read("progress:load", student.pk).split("so far ")[-1]
    assert re.findall(r"\d+ \w{3} \d+ \d (\d+)", load)[:4] == weeks


def test_a_coachs_count_stands_on_the_page_that_closes_the_lesson_too(read):
    """The ladder said 28 of 72 and the closing page 93 of 152, the student's count among it."""
    student = Student.objects.get(name="Haewon Tolvane")
    coach = User.objects.get(name=cast.COACH)
    counts = re.findall(r"(\d+ of \d+) \(\d+ %\)", read("progress:ladder", student.pk))[:2]
    lesson = open_lesson(student=student, by=coach)
    close = read("lessons:close", lesson.pk)
    assert f"a coach counted {counts[0]} clean at 40, {counts[1]} clean at 60" in close


def test_counts_of_a_week_are_said_to_be_as_logged(read):
    """The same reps were counted otherwise by the coach."""
    student = Student.objects.get(name="Haewon Tolvane")
    assert "Clean, as logged" in read("board:weeks", student.pk)
    assert "as logged" in read("lessons:door", student.pk)
