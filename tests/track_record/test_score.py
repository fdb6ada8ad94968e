"""How often the warnings were right: the page, who may see it, and what it costs."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from coaching.track_record.models import WordKept
from practice.numbers.now.models import NumbersNow
from practice.numbers.now.values import Numbers, Said, to_json
from tests.conftest import signed_in
from tests.factories import MONDAY, WEDNESDAY_EVENING, make_coach, make_student, studio_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday_evening")]
PAGE = "/who/score/"


def said(student, word: str, reached: bool | None, ago: int = 1, **fields) -> None:
    WordKept.objects.create(
        student=student,
        opens=MONDAY - timedelta(weeks=ago),
        at=WEDNESDAY_EVENING,
        said=word,
        reached=reached,
        closed_at=WEDNESDAY_EVENING,
        **fields,
    )


def shown(client) -> str:
    return " ".join(client.get(PAGE).content.decode().split())


def test_before_the_first_week_it_says_so(coach_client):
    assert "No word has come out yet" in shown(coach_client)


def test_it_counts_what_was_said_and_what_came(coach, coach_client):
    for number in range(14):
        said(make_student(coach, f"U {number}"), "Unlikely", number >= 12)
    said(make_student(coach, "Good"), "In step", True)
    said(make_student(coach, "Ill"), "Tight", None)
    said(make_student(coach, "Quiet"), "No word", False)
    page = shown(coach_client)
    assert "Said Unlikely: 14, did not reach the line: 12." in page
    assert "Said In step: 1, reached the line: 1." in page
    assert "Said Tight: never." in page
    assert "One week excused afterwards, left out." in page
    assert "One week had no word about the pace" in page
    assert "80 % of the minutes asked" in page
    assert "12 of 14" in page


def test_only_the_last_eight_weeks_count(coach, coach_client):
    student = make_student(coach, "Long")
    for ago in range(1, 12):
        said(student, "Tight", True, ago=ago)
    assert "Said Tight: 8, did not reach the line: 0." in shown(coach_client)


def test_it_says_how_far_off_both_were(coach, coach_client):
    for number in range(30):
        said(make_student(coach, f"S {number}"), "Tight", True, chance=0.9, share=0.5)
    page = shown(coach_client)
    assert "The chance was off by 0.010" in page
    assert "the count by 0.250" in page


def test_another_studios_words_are_not_there(coach, coach_client):
    said(make_student(make_coach(), "Elsewhere"), "Unlikely", False)
    assert "No word has come out yet" in shown(coach_client)


def test_who_may_look(coach, student, student_client):
    assistant = make_coach(studio_of(coach), role="assistant")
    assert signed_in(assistant).get(PAGE).status_code == 200
    assert student_client.get(PAGE).status_code == 404
    assert signed_in(student.user).post(PAGE).status_code == 405
    assert "login" in signed_in(student.user).__class__().get(PAGE).headers["Location"]


def test_who_needs_me_leads_there(coach_client):
    assert f'href="{PAGE}"' in coach_client.get("/who/").content.decode()


@pytest.mark.parametrize("students", [1, 40])
def test_the_page_costs_the_same_for_many(coach, coach_client, students, django_assert_num_queries):
    for number in range(students):
        said(make_student(coach, f"S {number}"), "Tight", False)
    with django_assert_num_queries(5):
        coach_client.get(PAGE)


def test_how_what_was_said_of_speed_came_out(coach, coach_client):
    def kept(student, *words):
        said = tuple(Said(word, date(2031, 1, 1), still) for word, still in words)
        NumbersNow.objects.create(
            student=student,
            figures=to_json(Numbers(said=said)),
            sittings=1,
            reckoned_at=timezone.now(),
        )

    assert "Nobody’s speed has been called up or down yet." in shown(coach_client)
    kept(make_student(coach, "One"), ("Up", True), ("Up", False), ("Down", None))
    kept(make_student(coach, "Two"), ("Up", True), ("Up", None))
    kept(make_student(coach, "Young", born_year=2020), ("Up", False))
    page = shown(coach_client)
    assert "Speed Up was said 4 times. A month later 2 of 3 still held, 1 too new to tell." in page
    assert "Speed Down was said once. No test has been a month later yet." in page
