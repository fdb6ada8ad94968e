"""What a coach does from Who needs me: notes, calls, what was tried, and the studio's lines."""

import re
from datetime import timedelta

import pytest
from django.urls import reverse

from coaching.board.calls import call_list
from coaching.board.thresholds_forms import EXPLAINED
from coaching.forecast.models import StudioThresholds, Tried
from coaching.forecast.own_thresholds import COLUMNS, thresholds_of
from coaching.forecast.thresholds import DEFAULTS
from practice.care.models import Stop
from practice.log.models import Line
from shared.people.models import Guardianship
from shared.people.today import today_of
from tests.board.make import history, present_week
from tests.conftest import signed_in
from tests.factories import (
    MONDAY,
    WEDNESDAY_EVENING,
    make_child,
    make_coach,
    make_guardian_of,
    make_student,
    make_user,
    studio_of,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday_evening")]
AVOIDED = re.compile(
    r"\b(failed|missed|behind|lazy|poor|only|still|overdue|at risk|streak)\b|!", re.IGNORECASE
)


@pytest.fixture
def unlikely(coach):
    student = make_student(coach, "Gerald Umple")
    history(student, "10- 12- 5- 9- 10- 3-")
    present_week(student, left=45)
    return student


def who(coach, *opened) -> str:
    """The page, with the line of a student opened."""
    asked = {"open": str(opened[0].pk)} if opened else {"all": "1"}
    return signed_in(coach).get("/who/", asked).content.decode()


# --- a note ------------------------------------------------------------------------------


def test_a_note_is_prepared_from_the_facts_and_nothing_is_sent(coach, unlikely):
    page = who(coach, unlikely)
    assert (
        "Gerald, Ladder is meant three times more this week. Would a shorter version suit? "
        "Ladder takes 15 minutes each time.</textarea>"
    ) in page
    assert not Line.objects.exists()
    assert not AVOIDED.search(re.search(r"required>([^<]+)</textarea>", page).group(1))


def test_the_coach_sends_what_the_coach_has_written_and_that_is_remembered(coach, unlikely):
    url = reverse("board:write_line", args=[unlikely.pk])
    signed_in(coach).post(url, {"text": "Part 1 is enough."})
    assert Line.objects.get().text == "Part 1 is enough."
    assert Tried.objects.get().what == "line"
    assert "Tried: wrote a line, Wed 20:00" in who(coach, unlikely)


def test_a_lighter_week_and_excused_days_are_one_step_away(coach, unlikely):
    page = who(coach, unlikely)
    assert f"/students/{unlikely.pk}/excuse/" in page
    assert f"/students/{unlikely.pk}/week/2031-02-24/shorter/" in page


@pytest.mark.parametrize("days", [3, 0])
def test_what_is_advised_stands_out_and_on_the_day_of_a_lesson_beginning_it(coach, unlikely, days):
    unlikely.next_lesson = today_of(unlikely) + timedelta(days=days)
    unlikely.save()
    page = signed_in(coach).get(reverse("board:student", args=[unlikely.pk])).content.decode()
    assert page.count("Send a shorter week") == 2  # The advice, and what does it.
    shorter = re.search(r"<a([^>]*)>Send a shorter week</a>", page)[1]
    begin = re.search(r"<button([^>]*)>Begin a lesson</button>", page)[1]
    assert ('class="button"' in shorter, "plain" in begin) == (days > 0, days > 0)


def test_excusing_is_remembered_as_tried(coach, unlikely):
    days = {"first": "2031-02-27", "last": "2031-02-28", "kind": "away"}
    signed_in(coach).post(reverse("plans:excuse", args=[unlikely.pk]), days)
    assert Tried.objects.get().what == "excused"


# --- calls ----------------------------------------------------------------------------------


def test_the_call_list_names_whoever_needs_a_word_with_the_reason(coach, unlikely):
    done = make_student(coach, "Done Already")
    present_week(done, left=0, finished=True)
    child = make_child(coach, make_user("Morag Ferr"), name="Callum Ferr")
    present_week(child, left=60, entries=[], last_written_at=None)
    page = signed_in(coach).get("/who/calls/").content.decode()
    assert "Gerald Umple" in page
    assert "45 minutes are left" in page
    assert "Done Already" not in page
    assert ("guardian: Morag Ferr" in page) == ("Callum Ferr" in page)


def test_a_call_has_its_number_who_guards_a_child_and_what_was_tried_this_week(coach, unlikely):
    unlikely.phone = "+44 (20) 7946-0000"
    unlikely.save()
    child = make_child(coach, make_user("Morag Ferr"), name="Callum Ferr")
    for name in ("Ann Ferr", "Gone Ferr"):
        make_guardian_of(child, make_user(name))
    gone = Guardianship.objects.filter(user__name="Gone Ferr")
    gone.update(ended_at=WEDNESDAY_EVENING, ended_why="A court said so.")
    Stop.objects.create(student=child, since=MONDAY)
    tried = {"student": unlikely, "by": coach}
    for hours, opens, what in (
        (30, MONDAY, "called"), (2, MONDAY, "shorter"), (1, MONDAY - timedelta(weeks=1), "other"),
    ):  # fmt: skip
        at = WEDNESDAY_EVENING - timedelta(hours=hours)
        Tried.objects.create(opens=opens, what=what, at=at, **tried)
    shown = call_list(coach, WEDNESDAY_EVENING)
    assert shown.day == "Wed 26 Feb"
    hurt, row = shown.rows
    assert (hurt.name, hurt.guardians) == ("Callum Ferr", "Ann Ferr, Morag Ferr")
    assert (hurt.tone, hurt.tried, hurt.phone, hurt.call_link) == ("", "", "", "")
    assert (row.guardians, row.tone, row.state) == ("", "look", "Unlikely")
    assert row.tried == (
        "Wed 26 Feb: sent a shorter week (Coach One); Tue 25 Feb: called (Coach One)"
    )
    assert (row.phone, row.call_link) == ("+44 (20) 7946-0000", "tel:+442079460000")
    assert row.url == f"/students/{unlikely.pk}/"


@pytest.mark.parametrize(
    ("what", "words"), [("called", "called"), ("no_answer", "tried to call, no answer")]
)
def test_a_tap_keeps_what_was_tried_and_comes_back_to_the_list(coach, unlikely, what, words):
    client = signed_in(coach)
    back = f"/who/calls/#call-{unlikely.pk}"
    url = reverse("board:tried", args=[unlikely.pk])
    page = client.post(url, {"what": what, "note": "rings on Friday", "next": back})
    assert page.url == back
    kept = Tried.objects.get()
    assert (kept.what, kept.note, kept.opens, kept.by) == (what, "rings on Friday", MONDAY, coach)
    told = f"Wed 26 Feb: {words} (Coach One): rings on Friday"
    assert told in client.get("/who/calls/").content.decode()
    assert told in client.get(f"/students/{unlikely.pk}/weeks/").content.decode()


@pytest.mark.parametrize(
    "address", ["https://evil.example/", "//evil.example/", "/\\evil.example", "student", "nan", ""]
)
def test_an_address_that_is_none_of_ours_leads_back_to_the_list(coach, unlikely, address):
    url = reverse("board:tried", args=[unlikely.pk])
    page = signed_in(coach).post(url, {"what": "called", "note": "", "next": address})
    assert (page.status_code, page.url) == (302, "/who/calls/")


@pytest.mark.parametrize("form", [{"what": "x"}, {}, {"what": "called", "note": "n" * 301}])
def test_what_cannot_be_kept_is_said(coach, unlikely, form):
    page = (
        signed_in(coach)
        .post(reverse("board:tried", args=[unlikely.pk]), form, follow=True)
        .content.decode()
    )
    assert "Say what was tried" in page or "Keep it to 300" in page
    assert not Tried.objects.exists()


def test_nobody_else_writes_down_or_reads_calls(coach, unlikely):
    stranger = make_coach()
    for user in (stranger, unlikely.user):
        url = reverse("board:tried", args=[unlikely.pk])
        assert signed_in(user).post(url, {"what": "called"}).status_code == 404
    assert "Gerald" not in signed_in(stranger).get("/who/calls/").content.decode()
    assert signed_in(unlikely.user).get("/who/calls/").status_code == 404


@pytest.mark.parametrize("many", [1, 12])
def test_the_call_list_costs_the_same_for_one_and_many(coach, many, django_assert_num_queries):
    for n in range(many):
        student = make_student(coach, f"S{n:02}")
        history(student, "10- 12- 5- 9-")
        present_week(student, left=45)
        Tried.objects.create(student=student, opens=MONDAY, what="called", by=coach)
    call_list(coach, WEDNESDAY_EVENING)  # Judged once, and kept.
    # 1 lines, 2 what was tried, 3 guardians, 4 numbers to call.
    with django_assert_num_queries(4):
        assert len(call_list(coach, WEDNESDAY_EVENING).rows) == many


# --- the studio's lines --------------------------------------------------------------------------


def lines(coach):
    return {name: getattr(StudioThresholds(), name) for name in COLUMNS}


def test_every_line_is_explained_with_its_default(coach):
    page = signed_in(coach).get("/who/lines/").content.decode()
    assert set(EXPLAINED) == set(COLUMNS)
    assert page.count("We start from") == len(COLUMNS)
    assert all(1 <= one.why.count(".") <= 2 for one in EXPLAINED.values())
    assert "so it is said on the board. We start from 3." in page
    StudioThresholds.objects.create(studio=studio_of(coach), event_days=9)
    page = signed_in(coach).get("/who/lines/").content.decode()
    # What a studio has chosen stands in the field, and where we start beside it.
    assert re.search(r'<input[^>]*name="event_days" value="9"', page)
    assert "We start from 3." in page


def test_a_moved_line_moves_the_word(coach, unlikely):
    fine = make_student(coach, "Ann")
    history(fine, "42+ 40+ 40+ 44+ 10- 10-")
    present_week(fine, left=30)
    # Four of six weeks: (4 + 1) / (6 + 2) = 0.62.
    assert "Ann: In step, " in who(coach)
    page = signed_in(coach).post("/who/lines/", lines(coach) | {"in_step_percent": 70})
    assert page.status_code == 302
    assert thresholds_of(studio_of(coach).pk).in_step_from == 0.7
    assert "Ann: Tight, " in who(coach)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"in_step_percent": 45, "tight_percent": 45}, "Tight must begin below In step"),
        ({"quiet_days": 1}, "Write 2 or more."),
        ({"jump_times": "9"}, "Write 5 or less."),
        ({"event_days": ""}, "required"),
        ({"cram_percent": "many"}, "whole number"),
    ],
)
def test_a_line_that_makes_no_sense_is_said_and_nothing_is_kept(coach, changes, words):
    page = signed_in(coach).post("/who/lines/", lines(coach) | changes)
    assert page.status_code == 400
    assert words in page.content.decode()
    assert thresholds_of(studio_of(coach).pk) == DEFAULTS


def test_back_to_where_they_started(coach):
    client = signed_in(coach)
    client.post("/who/lines/", lines(coach) | {"quiet_days": 9})
    client.post("/who/lines/", {"do": "defaults"})
    assert thresholds_of(studio_of(coach).pk) == DEFAULTS


def test_an_assistant_and_a_student_move_no_line(coach, unlikely):
    assistant = make_coach(studio_of(coach), "assistant")
    for user in (assistant, unlikely.user, make_user()):
        assert signed_in(user).post("/who/lines/", lines(coach)).status_code == 404
    assert "When a word is used" not in who(assistant)
