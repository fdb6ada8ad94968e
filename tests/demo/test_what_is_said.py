"""What a stranger stumbled over in the demo, each as it is said now."""

import re

import pytest
from django.urls import reverse
from django.utils import timezone

from coaching.board.queries import BoardAsked, board
from coaching.demo import cast
from coaching.reminders.models import Notice
from shared.people.models import Student, User
from tests.conftest import signed_in

pytestmark = pytest.mark.usefixtures("demo")


@pytest.fixture
def coach():
    return User.objects.get(name=cast.COACH)


@pytest.fixture
def read(coach):
    """The words of a page of one student."""
    client = signed_in(coach)

    def words(route, name):
        student = Student.objects.get(name=name)
        page = client.get(reverse(route, args=[student.pk])).content.decode()
        return " ".join(re.sub(r"<[^>]+>", " ", page).split())

    return words


@pytest.fixture
def lines(coach):
    groups = board(coach, timezone.now(), asked=BoardAsked(is_all=True)).groups
    return {row.name: row for group in groups for row in group.rows}


def test_who_is_ahead_and_unlikely_is_told_why(read):
    """Gerald has done more than was planned by now; what is left is the drill that hurt."""
    sheet = read("board:student", "Gerald Umpleby")
    assert "Unlikely" in sheet
    assert re.search(r"\d+ minutes are left\. .*All of it is Effort ladder", sheet)


def test_what_hurt_is_not_asked_for_on_the_page_of_numbers(read):
    moved = read("progress:moved", "Gerald Umpleby")
    assert "Less for now: Effort ladder." in moved
    assert "Do it first: Landing spot" in moved


def test_the_link_does_what_the_advice_says(lines, read):
    assert "Ask whether the first part" in read("board:student", "Dougal Abernant")
    assert lines["Dougal Abernant"].do_words == "Write a line"
    assert "Change the drill" in read("board:student", "Haewon Tolvane")
    assert lines["Haewon Tolvane"].do_words == "Change drill"
    assert lines["Tamsin Orlebar"].do_words == "Shorter week"


def test_the_sheet_says_what_was_found_and_not_only_how_often(read):
    assert "Fewer are clean than at the start." in read("board:student", "Haewon Tolvane")


def test_a_target_that_is_reached_is_said_on_the_sheet_and_the_season(read):
    reached = re.compile(r"Reached: 153\.8 mph over 14 test days\.")
    assert reached.search(read("board:student", "Ines Calderao"))
    season = read("season:sheet", "Ines Calderao")
    assert len(reached.findall(season)) == 1
    assert "Reached" not in read("season:sheet", "Callum Ferreby")


def test_the_pages_of_mails_and_clips_are_not_empty(read):
    sent = read("reminders:sent", "Tamsin Orlebar")
    assert sent.count("New week") >= 3
    assert "Lesson tomorrow" in sent
    assert "on its way" not in sent
    clips = read("clips:of_student", "Tamsin Orlebar")
    assert "this one to copy" in clips
    assert "Is it flat?" in clips
    assert not Notice.objects.exclude(state=Notice.State.SENT).exists()


def test_more_days_than_were_asked_are_no_share_and_minutes_are_whole(read):
    weeks = read("board:weeks", "Callum Ferreby")
    assert "Days 5, 4 asked" in weeks
    assert "5 of 4" not in weeks
    assert not re.search(r"\d\.\d min\b", weeks)


def test_that_a_part_has_no_test_is_said_once(read):
    moved = read("progress:moved", "Ines Calderao")
    assert "Name a test for it on the shelf" in moved
    assert "No test is named for it" not in moved
    assert "Clean of 100: 57 fewer" in read("progress:moved", "Haewon Tolvane")
