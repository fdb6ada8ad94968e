"""How often the warnings were right: the page, who may see it, and what it costs."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from coaching.track_record.models import WordKept
from coaching.track_record.queries import score_of
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


def test_week_by_week_what_was_called_stands_beside_what_came(coach):
    one, two = (make_student(coach, name) for name in ("One", "Two"))
    for word, reached in (("Unlikely", False), ("In step", True), ("Tight", None)):
        said(make_student(coach, word), word, reached, ago=1, enough=0.7)
    said(one, "In step", False, ago=2)
    said(two, "In step", True, ago=2, by_forecast=True)
    found = score_of(coach, WEDNESDAY_EVENING)
    assert found.head == ("Week from", "Unlikely", "Tight", "In step")
    assert [(week.opens, week.cells) for week in found.weeks] == [
        ("Mon 17 Feb", ("1 of 1", "–", "1 of 1")),
        ("Mon 10 Feb", ("–", "–", "1 of 2")),
    ]
    assert [row.sentence for row in found.rows] == [
        "Said Unlikely: 1, did not reach the line: 1.",
        "Said Tight: never.",
        "Said In step: 3, reached the line: 2.",
    ]
    assert [(row.word, row.said, row.reached) for row in found.rows] == [
        ("Unlikely", 1, 0), ("Tight", 0, 0), ("In step", 3, 2),
    ]  # fmt: skip
    # The studio moved its line.
    assert found.line == "70 to 80 % of the minutes asked"
    assert (found.is_empty, found.is_cut) == (False, False)
    assert found.notes == ("One week excused afterwards, left out.",)


@pytest.mark.parametrize(("many", "is_told"), [(29, False), (30, True)])
def test_thirty_weeks_are_enough_to_say_how_far_off_both_were(coach, many, is_told):
    for number in range(many):
        student = make_student(coach, f"S {number}")
        said(student, "Tight", number < 20, chance=0.5, share=1.0, by_forecast=number < 4)
    for fields in ({"chance": 0.5}, {"share": 0.5}):
        said(make_student(coach, "Half"), "Tight", True, **fields)
    said(make_student(coach, "Open"), "Tight", None, chance=0.5, share=0.5)
    notes = score_of(coach, WEDNESDAY_EVENING).notes
    # A third of the counts was off by 1.
    assert (notes[-1] == (
        "30 weeks had both a chance and a count. The chance was off by 0.250, the count by 0.333. "
        "Never off would be 0 (mean square). The chance gave the word in 4 of them."
    )) is is_told  # fmt: skip


def test_words_of_erased_students_still_count_for_their_studio(coach):
    for studio in (studio_of(coach), studio_of(make_coach())):
        WordKept.objects.create(
            studio=studio, was=studio.pk, opens=MONDAY - timedelta(weeks=1), reached=False,
            said="Tight", at=WEDNESDAY_EVENING, closed_at=WEDNESDAY_EVENING,
        )  # fmt: skip
    open_still = make_student(coach, "Open")
    said(open_still, "Tight", None)
    WordKept.objects.filter(student=open_still).update(closed_at=None)
    found = score_of(coach, WEDNESDAY_EVENING)
    assert [row.said for row in found.rows] == [0, 1, 0]
    assert found.notes == ()


@pytest.mark.outside
def test_how_far_chance_reaches_is_said_beside_what_held(coach, coach_client):
    # statsmodels.stats.proportion.proportion_confint(9, 12, method="jeffreys"): 0.4708, 0.9241.
    held = [Said("Up", date(2031, 1, 1), n < 9) for n in range(12)]
    NumbersNow.objects.create(
        student=make_student(coach, "One"), figures=to_json(Numbers(said=tuple(held))), sittings=1,
        reckoned_at=timezone.now(),
    )  # fmt: skip
    told = "9 of 12 still held. Chance leaves room for 47 to 93 %."
    assert told in shown(coach_client)
