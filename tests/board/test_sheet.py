"""The sheet: what is otherwise than usual, what a season is about, and what is to come."""

from datetime import timedelta

import pytest

from coaching.board.sheet import sheet
from coaching.lessons.models import Finding, Lesson
from coaching.season.models import Measure, Priority
from practice.log.models import Entry, Line
from practice.numbers.now.models import NumbersNow
from practice.numbers.now.values import Numbers, to_json
from practice.weeks.models import Excusal
from tests.board.make import history, present_week
from tests.board.rules.make import speed
from tests.conftest import signed_in
from tests.factories import WEDNESDAY_EVENING, make_coach, make_student, make_user, studio_of
from tests.messages.test_words import note
from tests.season.make import make_plan

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday_evening")]
TODAY = WEDNESDAY_EVENING.date()
DAY = timedelta(days=1)


@pytest.fixture
def sam(coach):
    return make_student(coach, "Sam")


def lines(shown) -> list[tuple[str, str]]:
    return [(line.label, line.words) for line in shown]


def of(user, student):
    return sheet(user, student, WEDNESDAY_EVENING)


def test_only_what_is_otherwise_than_usual_is_said_of_a_student(coach, sam):
    assert of(coach, sam).facts == ""
    sam.hand, sam.plays_seated, sam.lead_coach = "left", True, make_user("Lee Lead")
    sam.save()
    assert of(coach, sam).facts == "left-handed · plays seated · lead coach Lee Lead"


def test_what_is_to_come_is_said_until_its_day_is_over(coach, sam):
    assert lines(of(coach, sam).ahead) == [("Lesson", "none noted")]
    sam.next_lesson = sam.next_event = TODAY
    sam.save()
    make_plan(sam)
    for first, last in ((TODAY - 3 * DAY, TODAY), (TODAY + 5 * DAY, TODAY + 6 * DAY)):
        Excusal.objects.create(student=sam, first=first, last=last)
    assert lines(of(coach, sam).ahead) == [
        ("Lesson", "Today"),
        ("Event", "Event today"),
        ("Phase", "Sharpen until Sun 13 Apr"),
        ("Away", "until today"),
    ]
    sam.next_lesson, sam.next_event, sam.next_event_name = TODAY - DAY, TODAY + DAY, "Cup"
    sam.save()
    Excusal.objects.filter(last=TODAY).update(withdrawn_at=WEDNESDAY_EVENING)
    ahead = dict(lines(of(coach, sam).ahead))
    assert (ahead["Lesson"], ahead["Event"]) == ("none noted", "Cup tomorrow")
    assert ahead["Away"] == "until Tuesday"
    sam.next_event = TODAY - DAY
    sam.save()
    assert "Event" not in dict(lines(of(coach, sam).ahead))


def test_three_priorities_with_stage_cue_and_whether_they_are_reached(coach, sam):
    held = WEDNESDAY_EVENING - DAY
    lesson = Lesson.objects.create(
        student=sam, coach=coach, at=held, opened_at=held, state="closed", ending="none"
    )
    for position, cue in ((0, ""), (1, "Quiet feet"), (2, "Brush")):
        Finding.objects.create(lesson=lesson, position=position, fault="Sway", cue=cue)
    assert lines(of(coach, sam).about) == [
        ("Priority 2", "“Quiet feet”"), ("Priority 3", "“Brush”"),
    ]  # fmt: skip
    plan = make_plan(sam, priorities=[])
    for place, fields in enumerate(
        (
            {"name": "Speed", "measure": Measure.BALL_SPEED, "value": 60.0},
            {"name": "Sway", "stage": "flow"},
            {"name": "Wedges"},
            {"name": "Putting"},
        ),
        1,
    ):
        Priority.objects.create(plan=plan, place=place, **fields)
    NumbersNow.objects.create(
        student=sam, figures=to_json(Numbers(speed("Up"))), sittings=1,
        reckoned_at=WEDNESDAY_EVENING,
    )  # fmt: skip
    assert lines(of(coach, sam).about) == [
        ("Priority 1", "Speed. Reached: 153.3 mph over 14 test days."),
        ("2. Stage Flow", "Sway: “Quiet feet”"),
        ("Priority 3", "Wedges: “Brush”"),
    ]


def test_a_question_stands_before_a_note_and_a_line_beside_it(coach, sam):
    Line.objects.create(student=sam, author=coach, text="Well swung.", at=WEDNESDAY_EVENING)
    entry = note(sam, "Felt loose.")
    assert lines(of(coach, sam).said) == [
        ("Wrote", "“Felt loose.” (Tue 20:00)"),
        ("You", "“Well swung.” (Wed 20:00)"),
    ]
    Entry.objects.filter(pk=entry.pk).update(note="Is it the grip?")
    (asks, words), _ = lines(of(coach, sam).said)
    assert asks == "Asks"
    assert "Is it the grip?" in words
    assistant = make_coach(studio_of(coach), "assistant")
    assert [label for label, _ in lines(of(assistant, sam).said)] == ["You"]


def test_the_reason_is_its_first_two_sentences(coach, sam):
    history(sam, "10- 12- 5- 9- 10- 3-")
    present_week(sam, left=45)
    shown = of(coach, sam)
    assert shown.row.reason.endswith("All of it is Ladder: three times.")
    assert shown.reason == (
        "45 minutes are left. From a Wednesday on, 12 was the most in six weeks."
    )


def test_first_questions_are_offered_to_who_plans_alone(coach, sam):
    assistant = make_coach(studio_of(coach), "assistant")
    for user, offered in ((coach, True), (assistant, False)):
        page = signed_in(user).get(f"/students/{sam.pk}/").content.decode()
        assert ("Excuse days" in page) is offered
        assert ("Begin a lesson" in page) is offered
