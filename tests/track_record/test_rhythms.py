"""A studio's rhythm as it is kept and read, and which of count and chance gives the word."""

from dataclasses import replace
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from coaching.board.models import KeptLine
from coaching.board.queries import board, one_student
from coaching.board.read import people
from coaching.forecast.deciding import Record
from coaching.forecast.models import StudioRhythm
from coaching.forecast.rhythm import HOUSE
from coaching.track_record import services
from coaching.track_record.models import WordKept
from shared.people.models import Student, User
from tests.board.make import history, present_week
from tests.factories import MONDAY, WEDNESDAY_EVENING, make_student, studio_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday_evening")]
BETTER = Record(cases=100, students=20, forecast=0.1, count=0.2, evidence=50.0)
# 60 minutes asked, 25 left; on Thursdays 40 minutes come as a rule.
OFTEN = "40- 40- 40- 40- 40- 40- 40- 40-"


def known_of(student):
    return people(Student.objects.filter(pk=student.pk), WEDNESDAY_EVENING)[0].known


def decided_of(coach, student):
    return one_student(coach, student, WEDNESDAY_EVENING)[0].facts


def keep(studio, record: Record, **fields) -> StudioRhythm:
    figures = replace(HOUSE, **fields).as_json()
    return StudioRhythm.objects.create(
        studio=studio, opens=MONDAY, figures=figures, record=record.as_json()
    )


def test_a_studio_without_one_has_the_houses(student):
    assert known_of(student).rhythm == HOUSE
    assert known_of(student).record == Record()


def test_one_is_made_a_week(student):
    assert services.make_rhythms(WEDNESDAY_EVENING) == 1
    assert services.make_rhythms(WEDNESDAY_EVENING + timedelta(days=1)) == 0
    assert services.make_rhythms(WEDNESDAY_EVENING + timedelta(days=7)) == 1
    assert known_of(student).rhythm == HOUSE  # There was nothing to make it from.


def test_it_is_made_from_weeks_before(coach):
    for number in range(6):
        history(make_student(coach, f"Student {number}"), OFTEN)
    present_week(Student.objects.first(), left=60)
    services.make_rhythms(WEDNESDAY_EVENING)
    found = known_of(Student.objects.first()).rhythm
    assert (found.weeks, found.students) == (48, 6)
    assert max(found.weekdays) == found.weekdays[3]  # Thursday.


def test_it_is_made_for_the_share_at_which_the_studio_calls_a_week_enough(coach, monkeypatch):
    from coaching.forecast import rhythm_fit
    from coaching.forecast.models import StudioThresholds

    StudioThresholds.objects.create(studio=studio_of(coach), finish_percent=60)
    asked = []

    def fit(weeks, delays=(), enough=None):
        asked.append(enough)
        return HOUSE

    monkeypatch.setattr(rhythm_fit, "rhythm_from", fit)
    services.make_rhythms(WEDNESDAY_EVENING)
    assert asked == [0.6]


def test_one_made_later_is_not_read(student):
    row = keep(studio_of(student.lead_coach), BETTER, level=-1.0)
    assert known_of(student).rhythm.level == -1.0
    StudioRhythm.objects.filter(pk=row.pk).update(made_at=WEDNESDAY_EVENING + timedelta(hours=1))
    assert known_of(student).rhythm == HOUSE


def test_the_board_asks_no_more_for_it(coach, student, django_assert_num_queries):
    history(student, OFTEN)
    present_week(student, left=25)
    board(User.objects.get(pk=coach.pk), WEDNESDAY_EVENING)  # Makes the row of the line.
    with CaptureQueriesContext(connection) as without:
        judged_anew(coach)
    keep(studio_of(coach), BETTER)
    with django_assert_num_queries(len(without)):
        judged_anew(coach)


def judged_anew(coach):
    KeptLine.objects.update(judged=None)
    board(User.objects.get(pk=coach.pk), WEDNESDAY_EVENING)


def test_the_count_decides_until_the_chance_is_better_here(coach, student):
    """Six Thursdays of 40 minutes, then two without; 50 left is more than ever came, but
    38 are enough for the line."""
    history(student, "40- 40- 40- 40- 40- 40- 40- 40-")
    present_week(student, left=41)
    facts = decided_of(coach, student)
    assert not facts.decided.forecast_decides
    assert facts.outlook.pace == facts.decided.by_count == "Unlikely"
    keep(studio_of(coach), BETTER)
    facts = decided_of(coach, student)
    assert facts.decided.forecast_decides
    assert facts.outlook.pace == facts.decided.by_forecast != facts.decided.by_count
    assert facts.outlook_since is not None


def test_too_soon_stays_too_soon(coach, student):
    history(student, "40- 40-")
    present_week(student, left=25)
    keep(studio_of(coach), BETTER)
    facts = decided_of(coach, student)
    assert facts.outlook.pace == "Too soon to say"
    assert facts.decided.forecast is not None
    assert not facts.decided.forecast_decides


def test_the_record_is_what_was_noted_and_came_out(coach):
    students = [make_student(coach, f"S {number}") for number in range(10)]
    for student in students:
        for ago in range(1, 9):
            WordKept.objects.create(
                student=student,
                opens=MONDAY - timedelta(weeks=ago),
                at=WEDNESDAY_EVENING,
                said="Tight",
                chance=0.8,
                share=0.9,  # Of all that is left, which is another line.
                share_of_line=0.4,
                reached=True,
                closed_at=WEDNESDAY_EVENING,
            )
    record = services.record_at(studio_of(coach).pk, MONDAY)
    assert (record.cases, record.students) == (80, 10)
    assert record.forecast == pytest.approx(0.04)
    assert record.count == pytest.approx(0.36)
    assert record.forecast_decides
    assert not replace(record, evidence=19.9).forecast_decides


def test_what_was_noted_without_the_same_line_compares_nothing(coach, student):
    WordKept.objects.create(
        student=student, opens=MONDAY - timedelta(weeks=1), at=WEDNESDAY_EVENING,
        said="Tight", chance=0.8, share=0.4, reached=True, closed_at=WEDNESDAY_EVENING,
    )  # fmt: skip
    assert services.record_at(studio_of(coach).pk, MONDAY) == Record()


def test_a_record_kept_by_an_earlier_release_decides_nothing(coach, student):
    row = keep(studio_of(coach), BETTER)
    StudioRhythm.objects.filter(pk=row.pk).update(
        record={"cases": 100, "students": 20, "difference": -0.1, "error": 0.01}
    )
    assert known_of(student).record.cases == 100
    assert not known_of(student).record.forecast_decides


def test_the_page_says_what_the_chance_stands_on(coach, student, coach_client):
    history(student, OFTEN)
    present_week(student, left=25)
    page = coach_client.get(f"/students/{student.pk}/worked-out/").content.decode()
    assert "13 minutes are left to reach 80 %. As much came from here on in 8 of 8 weeks." in page
    assert "It stands on eight weeks of their own" in page
    assert "The count of weeks gives the word" in page
