"""Care first: what puts a student on top, who reads the pain, who clears a stop."""

from datetime import date, timedelta
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils.html import escape

from coaching.board.care import care_notes, care_roster, stops_named
from coaching.board.queries import board
from coaching.season.limits_pages import limits_shown
from practice.care.models import CautionRead, PainNote, Stop
from practice.drills.models import Caution
from practice.log.models import Entry, Result
from shared.people.models import Student
from tests.board.make import history, opened, part_row, past_week, present_week
from tests.conftest import messages_on, signed_in
from tests.factories import (
    MONDAY,
    WEDNESDAY_EVENING,
    make_child,
    make_coach,
    make_drill,
    make_part,
    make_student,
    make_week,
    studio_of,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday_evening")]


def pain(student, level: int, day: date = MONDAY, where: str = "lower back", **fields) -> PainNote:
    entry = Entry.objects.create(
        student=student, root=student.pk, day=day, at=WEDNESDAY_EVENING, document={}, counts=False
    )
    return PainNote.objects.create(
        student=student, entry=entry, day=day, level=level, where=where, **fields
    )


def row_for(user, name: str = "Sam Sample"):
    shown = board(user, WEDNESDAY_EVENING)
    title = next(group.title for group in shown.groups for row in group.rows if row.name == name)
    return title, opened(user, name, WEDNESDAY_EVENING)


def test_an_open_stop_comes_first_with_what_was_told(coach, student):
    present_week(student, left=0, finished=True)
    note = pain(student, 5, signs=["sharp"])
    Stop.objects.create(student=student, since=MONDAY, pain=note)
    group, row = row_for(coach)
    assert group == "Care first"
    assert row.reason == "All hard work stopped: lower back 5/10, sharp on Monday."
    assert "Send them to a doctor where needed" in row.action
    assert row.marks == "Care"


def test_an_assistant_reads_the_limit_and_not_the_pain(coach, student):
    note = pain(student, 5, signs=["sharp"])
    ladder = make_drill(studio_of(coach), "Ladder")
    Stop.objects.create(student=student, since=MONDAY, pain=note, drill=ladder)
    Stop.objects.create(student=student, since=MONDAY, pain=note)
    assistant = make_coach(studio_of(coach), role="assistant")
    row = row_for(assistant)[1]
    assert row.reason == "No Ladder and no hard swings until a coach clears it."
    for page in ("/who/", "/care/", f"/students/{student.pk}/care/"):
        shown = signed_in(assistant).get(page).content.decode()
        assert "lower back" not in shown.lower()
        assert "5/10" not in shown
        assert "Clear this stop" not in shown


@pytest.mark.parametrize(
    ("leads", "reads"), [(True, True), (False, False)], ids=["who coaches", "who does not"]
)
def test_an_owner_reads_pain_of_those_they_coach(coach, leads, reads):
    owner = make_coach(studio_of(coach), role="owner")
    sam = make_student(coach, "Sam Sample")
    if leads:
        Student.objects.filter(pk=sam.pk).update(lead_coach=owner)
    pain(sam, 5)
    assert ("lower back" in row_for(owner)[1].reason.lower()) is reads


@pytest.mark.parametrize(("days_ago", "group"), [(14, "Care first"), (15, "Act")])
def test_serious_pain_is_first_for_fourteen_days(coach, student, days_ago, group):
    pain(student, 4, day=date(2031, 2, 26) - timedelta(days=days_ago))
    assert row_for(coach)[0] == group


def test_slight_pain_alone_is_not_first(coach, student):
    pain(student, 3)
    assert row_for(coach)[0] == "Act"


def test_slight_pain_with_a_jump_in_hard_swings_is_first(coach, student):
    for ago, swings in enumerate((40, 48, 44, 52), start=1):
        past_week(student, ago, 40, True, hard_swings=swings)
    present_week(student, left=0, finished=True, hard_swings=128)
    pain(student, 3, where="lead wrist")
    group, row = row_for(coach)
    assert group == "Care first"
    assert row.reason == "128 hard swings this week, usually 46. Lead wrist 3/10 on Monday."


def done_on(student, part, day: date) -> None:
    entry_id = uuid4()
    entry = Entry.objects.create(
        id=entry_id, root=entry_id, student=student, day=day, at=WEDNESDAY_EVENING, document={}
    )
    Result.objects.create(entry=entry, student=student, opens=part.week.opens, part=part)


@pytest.mark.parametrize(
    ("hurt_days_ago", "group"), [((20, 22), "Care first"), ((20,), "Nothing needed")]
)
def test_pain_both_times_part_one_was_done_and_none_of_it_since(
    coach, student, hurt_days_ago, group
):
    today = date(2031, 2, 26)
    drill = make_drill(studio_of(coach), "Ladder")
    part = make_part(make_week(student, MONDAY - timedelta(weeks=3)), drill)
    for ago in (20, 22):
        done_on(student, part, today - timedelta(days=ago))
    for ago in hurt_days_ago:
        pain(student, 3, day=today - timedelta(days=ago))
    history(student, "40+ 40+ 40+ 40+")
    present_week(student, left=30, parts=[part_row(left=30, drill=str(drill.pk))])
    shown, row = row_for(coach)
    assert shown == group
    assert ("Ladder was done on both days" in row.reason) is (group == "Care first")


# --- clearing --------------------------------------------------------------------------


@pytest.fixture
def stop(student) -> Stop:
    return Stop.objects.create(student=student, since=MONDAY, pain=pain(student, 5))


def clear(client, stop: Stop, words: str):
    fields = {"words": words, "stop": [str(stop.pk)]}
    return client.post(f"/students/{stop.student_id}/care/clear/", fields)


def test_a_coach_clears_a_stop_in_words(coach, coach_client, stop):
    answer = clear(coach_client, stop, "Physio saw it on Tuesday")
    assert answer.url == f"/students/{stop.student_id}/care/"
    stop.refresh_from_db()
    assert (stop.cleared_by, stop.cleared_on) == (coach, date(2031, 2, 26))
    assert stop.clearing_words == "Physio saw it on Tuesday"
    page = coach_client.get(answer.url).content.decode()
    assert "No limits now" in page
    assert "Physio saw it on Tuesday" in page


@pytest.mark.parametrize("words", ["", "  ", "x" * 301])
def test_a_stop_is_not_cleared_without_words(coach_client, stop, words):
    answer = clear(coach_client, stop, words)
    stop.refresh_from_db()
    assert stop.cleared_at is None
    assert 'class="message error"' in coach_client.get(answer.url).content.decode()


def test_a_stop_is_cleared_once(coach, coach_client, stop):
    clear(coach_client, stop, "First")
    clear(coach_client, stop, "Second")
    stop.refresh_from_db()
    assert stop.clearing_words == "First"


def test_only_what_is_ticked_is_cleared_and_one_comes_back_to_the_page(coach_client, stop):
    ladder = make_drill(stop.student.studio, "Ladder")
    other = Stop.objects.create(student=stop.student, since=MONDAY, drill=ladder)
    page = f"/students/{stop.student_id}/week/2031-03-03/"
    shown = coach_client.get(page).content.decode()
    assert "No Ladder and no hard swings since Mon 24 Feb: stopped for pain." in shown
    clear_at = f"/students/{stop.student_id}/care/clear/"
    fields = {"words": "Physio said so", "stop": [str(other.pk), "nonsense"], "next": page}
    assert coach_client.post(clear_at, fields).url == page
    left = Stop.objects.filter(cleared_at=None)
    assert [each.drill for each in left] == [stop.drill]
    nothing = coach_client.post(clear_at, {"words": "All of it"}, follow=True)
    assert "Tick what to clear" in nothing.content.decode()


@pytest.mark.parametrize("who", ["assistant", "owner", "stranger", "student"])
def test_nobody_else_clears_a_stop(coach, stop, who):
    user = {
        "assistant": lambda: make_coach(studio_of(coach), role="assistant"),
        "owner": lambda: make_coach(studio_of(coach), role="owner"),
        "stranger": make_coach,
        "student": lambda: stop.student.user,
    }[who]()
    assert clear(signed_in(user), stop, "Fine").status_code == 404
    stop.refresh_from_db()
    assert stop.cleared_at is None


def test_the_page_gathers_pain_by_place_with_dates_and_levels(coach_client, student):
    pain(student, 3, day=date(2031, 2, 10), where="Lower back")
    pain(student, 5, day=date(2031, 2, 24), where="lower back", signs=["night"])
    pain(student, 2, day=date(2031, 2, 20), where="lead wrist", is_new=False)
    page = coach_client.get(f"/students/{student.pk}/care/").content.decode()
    assert page.index("Lower back") < page.index("Lead wrist")
    assert page.count("<h3>") == 2
    assert "Mon 24 Feb: 5/10, hurts at night, new" in page
    assert "Thu 20 Feb: 2/10, known before" in page


def test_the_roster_of_care_shows_whoever_has_a_limit(coach_client, coach, stop):
    make_student(coach, "Without")
    page = coach_client.get("/care/").content.decode()
    assert "Sam Sample" in page
    assert "No hard swings" in page
    assert "Without" not in page


def test_the_care_page_says_the_same_limits_as_every_other_page(coach, coach_client):
    """A child's, of whom nothing is stopped."""
    child = make_child(coach, born_year=2018)
    page = coach_client.get(reverse("board:care", args=[child.pk])).content.decode()
    assert "No limits now." not in page
    shown = limits_shown(coach, child)
    assert shown.lines
    assert all(escape(line) in page for line in shown.lines)


# --- what the pages of care list -----------------------------------------------------------


def test_stops_stand_the_newest_first_and_cleared_ones_with_who_and_why(coach, coach_client, stop):
    sam, ladder = stop.student, make_drill(stop.student.studio, "Ladder")
    Stop.objects.create(student=sam, since=MONDAY + timedelta(days=1), drill=ladder)
    shown = care_notes(coach, sam, WEDNESDAY_EVENING)
    assert [(row.limit, row.since, row.told) for row in shown.open] == [
        ("No Ladder", "Tue 25 Feb", ""),
        ("No hard swings", "Mon 24 Feb", "lower back 5/10"),
    ]
    assert (shown.cleared, shown.may_need, shown.has_older) == ((), False, False)
    clear(coach_client, stop, "Physio saw it")
    (row,) = care_notes(coach, sam, WEDNESDAY_EVENING).cleared
    assert row.cleared == "cleared Wed 26 Feb by Coach One: Physio saw it"
    assistant = make_coach(studio_of(coach), role="assistant")
    (row,) = care_notes(assistant, sam, WEDNESDAY_EVENING).cleared
    assert row.cleared == "cleared Wed 26 Feb by Coach One"
    Stop.objects.filter(pk=stop.pk).update(cleared_by=None)
    assert care_notes(assistant, sam, WEDNESDAY_EVENING).cleared[0].cleared == (
        "cleared Wed 26 Feb"
    )


def test_places_stand_by_when_they_last_hurt_and_by_name(coach, student):
    ladder = make_drill(studio_of(coach), "Ladder")
    pain(student, 2, MONDAY, where="wrist ")
    pain(student, 4, MONDAY - timedelta(days=3), where="Wrist", is_new=False, drill=ladder)
    pain(student, 3, MONDAY, where="")
    pain(student, 1, MONDAY + timedelta(days=1), where="hip", is_kept=True)
    pain(student, 0, MONDAY, where="knee")
    shown = care_notes(coach, student, WEDNESDAY_EVENING)
    assert [(place.where, place.told) for place in shown.places] == [
        ("Hip", ("Tue 25 Feb: 1/10, new",)),
        ("Place not named", ("Mon 24 Feb: 3/10, new",)),
        ("Wrist", ("Mon 24 Feb: 2/10, new", "Fri 21 Feb: 4/10, known before, with Ladder")),
    ]
    assert shown.keeps_words


@pytest.mark.parametrize(("many", "older"), [(100, False), (101, True)])
def test_more_notes_than_a_page_holds_are_said_to_be_kept(coach, student, many, older):
    first = pain(student, 1)
    told = {"student": student, "entry": first.entry, "day": MONDAY, "level": 1}
    PainNote.objects.bulk_create(PainNote(where=f"{n}", **told) for n in range(many - 1))
    shown = care_notes(coach, student, WEDNESDAY_EVENING)
    assert (shown.has_older, len(shown.places)) == (older, 100)
    assert not shown.keeps_words


def test_cautions_are_those_on_drills_of_this_week_and_later_ones_sent(coach, student):
    weeks = {
        "Before": make_week(student, MONDAY - timedelta(weeks=1)),
        "Now": make_week(student),
        "Next": make_week(student, MONDAY + timedelta(weeks=1)),
        "Draft": make_week(student, MONDAY + timedelta(weeks=2), sent=False),
    }
    for name, week in weeks.items():
        drill = make_drill(studio_of(coach), name)
        make_part(week, drill)
        drill.cautions.create(when="Back hurts", stop="Stop at once")
    off = make_drill(studio_of(coach), "Off")
    make_part(weeks["Now"], off, removed_at=WEDNESDAY_EVENING)
    off.cautions.create(when="Never", stop="Never")
    read = Caution.objects.get(drill__current__name="Now")
    CautionRead.objects.create(student=student, caution=read)
    found = care_notes(coach, student, WEDNESDAY_EVENING).cautions
    assert {(row.drill, row.is_read) for row in found} == {("Now", True), ("Next", False)}
    assert {row.text for row in found} == {str(read)}


def test_the_roster_has_who_waits_longest_first_and_then_who_rests(coach):
    late, early = (make_student(coach, name) for name in ("Late", "Early"))
    ladder = make_drill(studio_of(coach), "Ladder")
    told = pain(early, 5)
    for drill in (ladder, None):
        Stop.objects.create(student=early, since=MONDAY, pain=told, drill=drill)
    Stop.objects.create(student=late, since=MONDAY + timedelta(days=1))
    for name in ("Rests", "Late"):
        rests = Student.objects.filter(name=name).first() or make_student(coach, name)
        for ago, swings in enumerate((40, 48, 44, 52), start=1):
            past_week(rests, ago, 40, True, hard_swings=swings)
        present_week(rests, left=0, finished=True, hard_swings=128)
        pain(rests, 3)
    make_student(coach, "Well")
    shown = care_roster(coach)
    assert [(row.name, row.limits, row.since, row.told) for row in shown.rows] == [
        ("Early", "No hard swings and no Ladder", "Mon 24 Feb", "lower back 5/10"),
        ("Late", "No hard swings", "Tue 25 Feb", ""),
        ("Rests", "Rest from hard swings", "",
         "Something hurts, after many more hard swings than usual."),
    ]  # fmt: skip
    assert not shown.is_cut
    assistant = make_coach(studio_of(coach), role="assistant")
    assert {row.told for row in care_roster(assistant).rows} == {""}


def test_after_fifty_stops_one_can_still_be_cleared(coach, student):
    """Cleared ones of years took its place: it was shown, and could not be ticked."""
    old = [
        Stop(student=student, since=MONDAY + timedelta(days=n), cleared_at=WEDNESDAY_EVENING)
        for n in range(60)
    ]
    Stop.objects.bulk_create(old)
    stop = Stop.objects.create(student=student, since=MONDAY)
    assert stops_named(student, [str(stop.pk)]) == [stop]
    assert [row.id for row in care_notes(coach, student, WEDNESDAY_EVENING).open] == [stop.pk]


def test_who_waits_since_the_same_day_stands_by_name(coach):
    for name in ("Cleo", "Abe", "Dot", "Ben"):
        Stop.objects.create(student=make_student(coach, name), since=MONDAY)
    assert [row.name for row in care_roster(coach).rows] == ["Abe", "Ben", "Cleo", "Dot"]


def test_what_hurt_is_kept_in_words_or_fades_as_the_coach_chose(coach, coach_client, student):
    pain(student, 3)
    pain(student, 2, MONDAY - timedelta(days=1))
    keep = reverse("board:keep_pain", args=[student.pk])
    page = coach_client.post(keep, {"keep": "yes"}, follow=True)
    assert messages_on(page) == "Kept."
    assert "is kept for good, as a coach chose" in page.content.decode()
    assert set(PainNote.objects.values_list("is_kept", flat=True)) == {True}
    page = coach_client.post(keep, {"keep": "no"}, follow=True)
    assert messages_on(page) == "They fade in their time."
    assert "Keep them if they still matter" in page.content.decode()
    assert set(PainNote.objects.values_list("is_kept", flat=True)) == {False}
    assistant = make_coach(studio_of(coach), role="assistant")
    for user in (assistant, student.user, make_coach()):
        assert signed_in(user).post(keep, {"keep": "yes"}).status_code == 404


def test_who_comes_second_is_told_that_it_was_cleared(coach_client, stop):
    words = {"words": "Fine", "stop": [str(stop.pk)]}
    at = reverse("board:clear_stops", args=[stop.student_id])
    first, second = (coach_client.post(at, words, follow=True) for _ in range(2))
    assert messages_on(first) == "Cleared. Sam Sample sees it with the week."
    assert messages_on(second) == "Somebody cleared it before you."
