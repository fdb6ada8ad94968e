"""Who needs me on a constructed roster: states, order, clocks, and what each row says."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.http import Http404

from coaching.board.queries import Board, BoardAsked, board
from coaching.board.sheet import sheet
from coaching.lesson_day.door import door_note
from coaching.lessons.models import Lesson
from coaching.season.models import GateNow, Priority
from practice.care.models import Stop
from practice.log.models import LogKey
from practice.weeks.models import Excusal
from shared.people.models import Student
from tests.board.make import history, opened, part_row, past_week, present_week
from tests.factories import (
    MONDAY,
    WEDNESDAY_EVENING,
    make_coach,
    make_student,
    make_user,
    studio_of,
)
from tests.season.make import make_plan

pytestmark = pytest.mark.django_db
STEADY = "42+ 40+ 40+ 44+"


def row_of(shown: Board, name: str):
    """The line as its lead coach reads it, opened; closed it says the same."""
    line = next(row for group in shown.groups for row in group.rows if row.name == name)
    row = opened(Student.objects.get(name=name).lead_coach, name, shown.at)
    assert (row.state, row.lesson, row.tone) == (line.state, line.lesson, line.tone)
    return row


def groups_of(shown: Board) -> dict[str, list[str]]:
    return {group.title: [row.name for row in group.rows] for group in shown.groups}


def shown_to(coach, now=WEDNESDAY_EVENING, **kwargs) -> Board:
    return board(coach, now, **kwargs)


def test_each_state_stands_in_its_group(coach):
    fine = make_student(coach, "In step")
    history(fine, STEADY)
    present_week(fine, left=30)
    tight = make_student(coach, "Tight")
    history(tight, "10- 12- 40+ 9-")
    present_week(tight, left=30)
    unlikely = make_student(coach, "Unlikely")
    history(unlikely, "10- 12- 5- 9- 10- 3-")
    present_week(unlikely, left=50)
    done = make_student(coach, "Done")
    present_week(done, left=0, finished=True)
    make_student(coach, "No week")
    quiet = make_student(coach, "Quiet")
    history(quiet, "42+ 40+ 0- 0-")
    for tally in quiet.tallies.filter(minutes=0):
        tally.entries = []
        tally.save(update_fields=["entries"])
    present_week(quiet, left=60, entries=[], last_written_at=None)
    shown = shown_to(coach)
    assert groups_of(shown) == {
        "Act": ["Quiet", "Unlikely", "Tight", "No week"],
        "Nothing needed": ["Done", "In step"],
    }
    words = {"Done", "In step", "No word", "Tight", "Unlikely", "No week sent"}
    assert {row.state for group in shown.groups for row in group.rows} == words
    assert shown.summary == "4 need you · 2 need nothing"


def test_each_group_is_counted_in_words_for_one_and_for_several(coach):
    now = WEDNESDAY_EVENING
    for name in ("Hurt", "Stopped"):
        Stop.objects.create(student=make_student(coach, name), since=MONDAY)
    make_student(coach, "No week")
    near = make_student(coach, "Near", next_event=now.date())
    for each in (near, make_student(coach, "Done")):
        present_week(each, left=0, finished=True)
    shown = shown_to(coach)
    assert shown.summary == "2 need care · 1 needs you · 1 to watch · 1 needs nothing"
    assert [(group.tone, group.is_names) for group in shown.groups] == [
        ("care", False), ("act", False), ("watch", False), ("fine", True),
    ]  # fmt: skip
    assert (shown.students, shown.is_cut, shown.is_filtered) == (5, False, False)
    every = board(coach, now, asked=BoardAsked(is_all=True))
    assert [len(group.lines) for group in every.groups] == [2, 0, 1, 1]
    assert [len(group.weekless) for group in every.groups] == [0, 1, 0, 0]
    assert [len(group.lines) for group in shown.groups] == [2, 0, 1, 0]
    one = board(coach, now, lesson=date(2031, 3, 1))
    assert (one.groups, one.students, one.is_filtered, one.summary) == ((), 5, True, "")


def test_lesson_days_are_those_of_the_seven_days_from_today(coach):
    today = WEDNESDAY_EVENING.date()
    for days in (-1, 0, 6, 6, 7):
        make_student(coach, f"In {days}", next_lesson=today + timedelta(days=days))
    found = [(day.words, day.value, day.is_chosen) for day in shown_to(coach).lesson_days]
    assert found == [("Today (1)", "2031-02-26", False), ("Tuesday (2)", "2031-03-04", False)]


@pytest.mark.parametrize("many", [4, 5])
def test_what_may_be_chance_names_up_to_four(coach, many):
    for name in range(many):
        student = make_student(coach, f"S{name}")
        for ago, late in enumerate((54, 51, 48, 42, 36, 30), 1):
            past_week(student, 7 - ago, late, True)
        present_week(student, left=30)
    said = shown_to(coach).by_chance
    assert said.startswith(f"{'Four' if many == 4 else 'Five'} lines rest on a trend or a test.")
    assert said.endswith(" It is about S0, S1, S2 and S3.") is (many == 4)


def test_the_opened_line_says_what_was_written_done_and_may_be_done(coach):
    sam = make_student(coach, "Sam", next_lesson=date(2031, 2, 25))
    present_week(sam, left=0, finished=True)
    row = opened(coach, "Sam", WEDNESDAY_EVENING)
    assert (row.lesson, row.tried, row.excuse_url, row.care_url) == ("", "", "", "")
    assert (row.week_words, row.tone, row.shorter_url) == ("Change the week", "", "")
    Stop.objects.create(student=sam, since=MONDAY)
    GateNow.objects.create(student=sam, words="The gate is open.", reckoned_at=WEDNESDAY_EVENING)
    row = opened(coach, "Sam", WEDNESDAY_EVENING)
    assert row.gate == ""
    assert row.care_url == f"/students/{sam.pk}/care/"
    assert row.excuse_url == f"/students/{sam.pk}/excuse/"
    Stop.objects.all().delete()
    assert opened(coach, "Sam", WEDNESDAY_EVENING).gate == "The gate is open."
    make_student(coach, "New")
    assert opened(coach, "New", WEDNESDAY_EVENING).week_words == "Set the week"


def test_whoever_came_today_has_not_been_silent_since_monday(coach):
    """Of forty who were brought in one evening it said that nothing had come for six days."""
    at = WEDNESDAY_EVENING + timedelta(days=4)
    old, new = make_student(coach, "Old"), make_student(coach, "New")
    for each in (old, new):
        present_week(each, left=60, entries=[], last_written_at=None)
    Student.objects.filter(pk=new.pk).update(joined_on=at.date())
    shown = shown_to(coach, at)
    assert row_of(shown, "Old").state == "No word"
    assert row_of(shown, "New").state != "No word"


def test_a_row_says_the_gap_its_counts_and_a_step(coach):
    student = make_student(coach, "Sam")
    history(student, "10- 12- 5- 9- 10- 3-")
    present_week(student, left=45)
    row = row_of(shown_to(coach), "Sam")
    assert row.reason == (
        "45 minutes are left. From a Wednesday on, 12 was the most in six weeks. "
        "All of it is Ladder: three times."
    )
    assert row.since == "since Monday"
    assert row.action == "Send a shorter week, or ask."
    assert row.shorter_url.endswith("/week/2031-02-24/shorter/")
    assert ("Minutes", "15 of 60") in row.figures
    assert ("Week", "25 %") in row.figures
    assert row.bar_words == "15 of 60 minutes done, 17 planned by now"
    assert row.last == "Last word Mon 19:40"


def test_inside_a_group_the_nearest_lesson_comes_first(coach):
    for name, lesson in (("Ann", None), ("Bea", date(2031, 3, 5)), ("Cy", date(2031, 2, 27))):
        student = make_student(coach, name, next_lesson=lesson)
        present_week(student, left=0, finished=True)
    past = make_student(coach, "Aaron", next_lesson=date(2031, 2, 20))
    present_week(past, left=0, finished=True)
    assert groups_of(shown_to(coach))["Nothing needed"] == ["Cy", "Bea", "Aaron", "Ann"]


def test_filtered_by_lesson_day(coach):
    for name, lesson in (("Bea", date(2031, 3, 1)), ("Cy", date(2031, 2, 27))):
        make_student(coach, name, next_lesson=lesson)
    shown = shown_to(coach, lesson=date(2031, 2, 27))
    assert groups_of(shown) == {"Act": ["Cy"]}
    assert [(day.words, day.is_chosen) for day in shown.lesson_days] == [
        ("Tomorrow (1)", True),
        ("Saturday (1)", False),
    ]


def test_no_student_moves_the_coach_s_today(coach):
    """One student already lives on Thursday; the coach's Wednesday is still today."""
    make_student(coach, "There", time_zone="Pacific/Auckland", next_lesson=date(2031, 2, 27))
    make_student(coach, "Here", next_lesson=date(2031, 2, 26))
    assert [day.words for day in shown_to(coach).lesson_days] == ["Today (1)", "Tomorrow (1)"]


def test_after_midnight_a_lesson_of_that_day_is_today_s(coach):
    """At 00:30 the practice day is still the day before; the lesson is by the calendar."""
    make_student(coach, "Sam", next_lesson=date(2031, 2, 27))
    make_student(coach, "Over", next_lesson=date(2031, 2, 26))
    shown = board(coach, datetime(2031, 2, 27, 0, 30, tzinfo=UTC))
    assert row_of(shown, "Sam").lesson == "Today"
    assert row_of(shown, "Over").lesson == ""
    assert [day.words for day in shown.lesson_days] == ["Today (1)"]


def test_after_midnight_every_page_of_a_coach_has_one_day(coach):
    """At 00:30 of Thursday, also of a student in Tokyo: a lesson held on Tuesday is two days
    ago, the one of Thursday is today, on the line, the sheet and the door note alike."""
    sam = make_student(coach, "Sam", time_zone="Asia/Tokyo", next_lesson=date(2031, 2, 27))
    now, held = datetime(2031, 2, 27, 0, 30, tzinfo=UTC), datetime(2031, 2, 25, 9, tzinfo=UTC)
    Lesson.objects.create(
        student=sam, coach=coach, at=held, opened_at=held, state="closed", ending="none"
    )
    assert row_of(board(coach, now), "Sam").lesson == "Today"
    assert "Today" in [line.words for line in sheet(coach, sam, now).ahead]
    assert door_note(coach, sam, now).since == "Last lesson Tuesday, 2 days ago."


def test_everybody_stands_on_their_own_practice_day(coach):
    """Wednesday 20:00 in UTC is Thursday 09:00 in UTC+13: one day less is left."""
    for name, zone in (("Here", "UTC"), ("There", "Pacific/Auckland")):
        student = make_student(coach, name, time_zone=zone)
        history(student, "1- 1- 1- 1-")
        present_week(student, left=45)
    shown = shown_to(coach)
    assert "From a Wednesday on" in row_of(shown, "Here").reason
    assert "From a Thursday on" in row_of(shown, "There").reason
    assert row_of(shown, "There").bar_words.endswith("25 planned by now")


def test_two_in_the_morning_is_still_the_day_before(coach):
    student = make_student(coach, "Late")
    history(student, "1- 1- 1- 1-")
    present_week(student, left=45)
    shown = shown_to(coach, now=datetime(2031, 2, 27, 2, tzinfo=UTC))
    assert "From a Wednesday on" in row_of(shown, "Late").reason


def test_a_week_excused_whole_is_left_out_of_the_past(coach):
    student = make_student(coach, "Sam")
    history(student, STEADY)
    past_week(student, 5, 0, False, open_days=0)
    present_week(student, left=30)
    assert "in 4 of 4 weeks" in row_of(shown_to(coach), "Sam").reason


def test_eight_open_weeks_are_found_behind_excused_ones(coach):
    student = make_student(coach, "Sam")
    for ago in range(1, 4):
        past_week(student, ago, 0, False, open_days=0)
    for ago in range(4, 13):
        past_week(student, ago, 40, True)
    present_week(student, left=30)
    assert "in 8 of 8 weeks" in row_of(shown_to(coach), "Sam").reason


def test_excused_all_week_needs_nothing_and_shows_until_when(coach):
    student = make_student(coach, "Away")
    history(student, STEADY)
    present_week(student, left=60, open_days=0, asked_minutes=0, parts=[])
    Excusal.objects.create(student=student, first=MONDAY, last=date(2031, 3, 4))
    row = row_of(shown_to(coach), "Away")
    assert (row.state, row.reason) == ("Excused", "Excused until Tuesday. Nothing is asked.")
    assert groups_of(shown_to(coach)) == {"Nothing needed": ["Away"]}


def test_a_withdrawn_excuse_counts_no_more(coach):
    student = make_student(coach, "Back")
    present_week(student, left=30)
    Excusal.objects.create(
        student=student, first=MONDAY, last=date(2031, 3, 4), withdrawn_at=WEDNESDAY_EVENING
    )
    assert row_of(shown_to(coach), "Back").state == "Too soon to say"


def test_no_news_is_not_the_same_as_nothing_done(coach):
    """Silent since before the week, and a phone that looked: both said, neither guessed."""
    student = make_student(coach, "Sam")
    history(student, STEADY)
    present_week(student, left=60, entries=[], last_written_at=None)
    assert row_of(shown_to(coach), "Sam").last == "No news since Thu 19:40"
    LogKey.objects.create(
        student=student,
        user=student.user,
        digest="d",
        expires_at=WEDNESDAY_EVENING + timedelta(days=90),
        last_used_at=WEDNESDAY_EVENING - timedelta(hours=3),
    )
    row = row_of(shown_to(coach), "Sam")
    assert row.last == "No news since Thu 19:40; the phone fetched the week on Wednesday"


def test_a_sunday_writer_is_not_chased(coach):
    student = make_student(coach, "Sunday")
    for ago in range(1, 5):
        past_week(student, ago, 40, True, entries=[[1, 6], [3, 6], [4, 6]])
    present_week(student, left=60, entries=[], last_written_at=None)
    row = row_of(shown_to(coach), "Sunday")
    assert row.state == "Logs later"
    assert row.reason == "They usually write it up on Sunday. Before that there is no word."


def test_an_event_within_three_days_is_watched(coach):
    for name, day in (("Near", date(2031, 3, 1)), ("Far", date(2031, 3, 2))):
        student = make_student(coach, name, next_event=day, next_event_name="Spring cup")
        present_week(student, left=0, finished=True)
    assert groups_of(shown_to(coach)) == {"Watch": ["Near"], "Nothing needed": ["Far"]}


def test_counts_all_as_asked_are_a_question(coach):
    student = make_student(coach, "Same")
    present_week(student, left=0, finished=True, counts_as_asked=11, counts_given=12)
    row = row_of(shown_to(coach), "Same")
    assert row.reason == "11 of 12 counts are exactly as asked."
    assert groups_of(shown_to(coach)) == {"Watch": ["Same"]}


def test_a_part_taken_off_the_plan_is_gone_from_the_board(coach):
    student = make_student(coach, "Sam")
    present_week(
        student, left=30, parts=[part_row(left=30), part_row("Gone", left=40, removed=True)]
    )
    assert row_of(shown_to(coach), "Sam").reason.startswith("30 minutes are left")


def test_too_few_days_for_the_sessions_left(coach):
    """Saturday evening, something logged, four sessions of part 1 left: one day holds 1.5."""
    student = make_student(coach, "Sam")
    history(student, "60+ 60+ 60+ 60+ 60+")
    minutes = [0, 0, 0, 0, 0, 5.0, 0]
    present_week(student, left=60, minutes_by_day=minutes, entries=[[5, 5]])
    shown = shown_to(coach, now=datetime(2031, 3, 1, 20, tzinfo=UTC))
    row = row_of(shown, "Sam")
    assert row.state == "Unlikely"
    assert "The days left cannot hold all of Ladder." in row.reason


def test_students_of_another_studio_are_not_there(coach):
    other = make_coach()
    make_student(other, "Theirs")
    make_student(coach, "Ours")
    assert groups_of(shown_to(coach)) == {"Act": ["Ours"]}


def test_a_student_who_left_is_not_there(coach):
    make_student(coach, "Gone", left_on=date(2031, 1, 1))
    assert shown_to(coach).groups == ()


def test_somebody_who_teaches_nowhere_has_no_board():
    with pytest.raises(Http404):
        board(make_user(), WEDNESDAY_EVENING)


def test_an_assistant_may_not_set_weeks(coach):
    student = make_student(coach, "Sam")
    present_week(student, left=30)
    assistant = make_coach(studio_of(coach), role="assistant")
    row = opened(assistant, "Sam", WEDNESDAY_EVENING)
    assert (row.week_url, row.shorter_url) == ("", "")
    assert row_of(shown_to(coach), "Sam").week_url


def test_a_week_sent_for_the_next_is_not_asked_for_now(coach):
    """Nothing is asked this week; the word says when the sent week begins."""
    early = make_student(coach, "Early")
    present_week(early, left=60, opens=MONDAY + timedelta(weeks=1))
    make_student(coach, "None")
    shown = shown_to(coach)
    assert groups_of(shown) == {"Act": ["None"], "Nothing needed": ["Early"]}
    row = row_of(shown, "Early")
    assert row.state == "Week to come"
    assert row.reason == "The week that is sent begins on Monday. Nothing is asked before."
    begun = shown_to(coach, WEDNESDAY_EVENING + timedelta(weeks=1))
    (line,) = [row for group in begun.groups for row in group.rows if row.name == "Early"]
    assert line.state not in {"Week to come", "No week sent"}


def test_the_sheet_says_that_a_stage_is_one(coach):
    """'Speed, Speed' read like a slip of the keyboard."""
    sam = make_student(coach, "Sam")
    plan = make_plan(sam)
    plan.priorities.all().delete()
    Priority.objects.create(plan=plan, place=1, name="Speed", stage="speed")
    about = sheet(coach, sam, WEDNESDAY_EVENING).about
    assert [(line.label, line.words) for line in about] == [("1. Stage Speed", "Speed")]
