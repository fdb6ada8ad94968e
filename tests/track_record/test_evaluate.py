"""manage.py evaluate_forecast: reproducible, and on a studio's past blind to what came later."""

import json
from datetime import UTC, datetime, timedelta
from io import StringIO

import pytest
import time_machine
from django.core.management import CommandError, call_command

from coaching.board.read_as_of import people_as_of, raw_as_of
from coaching.track_record.as_of import past_of
from practice.log.models import Entry
from shared.people.models import Student
from tests.factories import MONDAY, studio_of

NOW = datetime(2031, 3, 12, 12, tzinfo=UTC)


def evaluated(*args: str) -> tuple[list | dict, str]:
    out, bar = StringIO(), StringIO()
    call_command("evaluate_forecast", *args, stdout=out, stderr=bar)
    return json.loads(out.getvalue()), bar.getvalue()


def test_an_invented_studio_twice_gives_the_same_figures(db):
    few = ("--students", "6", "--weeks", "6", "--seed", "3", "--mix", "steady")
    one, bar = evaluated(*few)
    again, _ = evaluated(*few)
    assert one == again
    assert one[0]["all_weeks"]["cases"] > 20
    assert set(one[0]["all_weeks"]["of_best"]) == {"roc_area", "skill"}
    assert "steady, seed 3 [##############################] 6 of 6" in bar
    assert "before the percent rule" in bar
    assert "best possible: " in bar


def test_a_file_for_the_figures(db, tmp_path):
    file = tmp_path / "figures.json"
    args = ("--students", "3", "--weeks", "2", "--mix", "steady", "--output", str(file))
    call_command("evaluate_forecast", *args, stdout=StringIO(), stderr=StringIO())
    assert json.loads(file.read_text())[0]["mix"] == "steady"


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (("--students", "0"), "at least one student"),
        (("--false-alarms", "1"), "share between 0 and 1"),
        (("--studio", "Nowhere"), "There are: Test room"),
    ],
)
def test_what_cannot_be_done_is_said(coach, args, words):
    with pytest.raises(CommandError, match=words):
        evaluated(*args)


@pytest.fixture
def lived(life):
    """Three students with six weeks; one logs the day after."""
    for name, days in (("A", (0, 2, 4, 5)), ("B", (1, 5)), ("C", (0, 1, 2, 3))):
        student = life.student(name)
        life.past(student, days)
        week = life.week(student)
        for day in days:
            written = MONDAY + timedelta(days=day + (name == "C"))
            life.log(
                week, day, at=datetime(written.year, written.month, written.day, 19, tzinfo=UTC)
            )
    return life


def test_a_studios_own_past(lived, coach):
    with time_machine.travel(NOW, tick=False):
        found, bar = evaluated("--studio", str(studio_of(coach).pk), "--weeks", "4")
        assert found["all_weeks"]["cases"] == 3 * 3  # Weeks of 10, 17 and 24 February.
        assert "3 of 3" in bar
        by_name, _ = evaluated("--studio", "Test room", "--weeks", "4", "--wednesdays")
        assert by_name["all_weeks"]["forecast"] == found["all_weeks"]["forecast"]


def test_the_quick_reader_says_what_the_whole_one_says(lived):
    """Kept rows where nothing came later, made anew where something did."""
    students = Student.objects.select_related("studio").order_by("pk")
    for at in (MONDAY + timedelta(days=day) for day in (-8, -3, 0, 2, 3, 6)):
        instant = datetime(at.year, at.month, at.day, 18, 30, tzinfo=UTC)
        persons = people_as_of(students, instant)
        whole = raw_as_of(persons, instant)
        for student in students:
            _, quick = past_of(student).at(instant)
            assert [t._replace(**SHORT) for t in quick.tallies if t.has_plan or t.entries] == [
                t._replace(**SHORT) for t in whole[student.pk].tallies if t.has_plan or t.entries
            ]


# Columns that the board leaves out of older weeks.
SHORT = {"minutes_by_day": None, "planned_by_day": None}


def test_later_logs_in_any_order_change_no_look(lived, coach):
    """Every entry received after a Wednesday is moved about; the look at it stays."""
    student = Student.objects.get(name="C")
    at = datetime(2031, 2, 26, 18, tzinfo=UTC)
    before = past_of(student).at(at)
    later = list(Entry.objects.filter(student=student, received_at__gt=at))
    assert later
    for number, entry in enumerate(later):
        Entry.objects.filter(pk=entry.pk).update(
            received_at=at + timedelta(hours=7 * (len(later) - number)),
            day=MONDAY + timedelta(days=number % 3),
        )
    assert past_of(student).at(at) == before
