"""The student's page: weeks back, session by session, at a cost that does not grow."""

from datetime import UTC, date, datetime, timedelta
from uuid import uuid4

import pytest
import time_machine
from django.urls import reverse

from coaching.board.student_pages import student_page
from coaching.board.student_text import amount_done, share_of
from practice.care.models import PainNote
from practice.compliance import tally
from practice.log.models import Entry, Line, Result
from practice.weeks.models import Excusal
from shared.kit.weeks import day_starts_at, practice_day
from shared.people.models import Membership, Student
from tests.conftest import signed_in
from tests.factories import (
    MONDAY,
    NOON,
    make_coach,
    make_drill,
    make_part,
    make_studio,
    make_week,
    studio_of,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday")]
WEEK = timedelta(weeks=1)
DAY = timedelta(days=1)
STEPS = [
    {"n": 10, "clean": 9, "effort": 50},
    {"n": 8, "clean": 6, "effort": 70},
    {"n": 6, "clean": None, "effort": 90},
]


@pytest.fixture
def drill(coach):
    return make_drill(studio_of(coach))


@pytest.fixture
def part(student, drill):
    return make_part(make_week(student), drill)


def log(student, part, day=MONDAY, *, steps=STEPS, root=None, counts=True, **fields):
    """An entry as the phone's door leaves it, and the tally of its week."""
    at = datetime(day.year, day.month, day.day, 18, tzinfo=UTC)
    entry = Entry(
        student=student,
        day=day,
        **({"writer": student.user, "at": at, "received_at": at} | fields),
        document={},
        fingerprint="x",
    )
    entry.root, entry.counts = root or entry.pk, counts
    entry.save()
    Result.objects.create(
        entry=entry,
        student=student,
        opens=part.week.opens,
        filed=Result.Filed.IN_WEEK,
        part=part,
        drill=part.drill,
        steps=steps,
        minutes=15,
    )
    tally.recompute(student, part.week.opens)
    return entry


def page_of(coach, student, **fields):
    return student_page(coach, student, NOON, **fields)


def this_week(coach, student):
    return page_of(coach, student).weeks[0]


@pytest.mark.parametrize(
    ("part", "whole", "words"),
    [
        (9, 11, "9 of 11 reps"),
        (26, 30, "26 of 30 reps (86 %)"),
        (29.96, 30, "29.9 of 30 reps (99 %)"),
        (30, 30, "30 of 30 reps (100 %)"),
        (0, 12, "0 of 12 reps (0 %)"),
    ],
)
def test_a_share_stands_with_its_counts_and_is_rounded_down(part, whole, words):
    # House rule: whole percents rounded down, none under 12.
    assert share_of(part, whole, "reps") == words


@pytest.mark.parametrize(
    ("part", "words"),
    [
        (29.9, "29 of 30 min (99 %)"),
        (30 - 1e-12, "30 of 30 min (100 %)"),
        (7, "7 of 30 min (23 %)"),
    ],
)
def test_a_share_of_minutes_goes_by_whole_ones(part, words):
    """What a sum of parts loses in floating point is no minute."""
    assert share_of(part, 30, "min") == words


def test_a_week_shows_each_part_step_by_step(coach, student, part):
    log(student, part)
    week = this_week(coach, student)
    shown = week.parts[0]
    # One of three sessions of 24: 24 of 72 reps, 33.3 percent.
    assert (shown.sessions, shown.counted) == ("1 of 3 times", "24 of 72 reps (33 %) counted")
    assert [(step.label, step.asked, step.done, step.clean) for step in shown.steps] == [
        ("10, felt 50", "30 reps", "10", "9 of 10 reps"),
        ("8, felt 70", "24 reps", "8", "6 of 8 reps"),
        ("6, felt 90", "18 reps", "6", "not counted"),
    ]
    assert ("Week", "33 % (15 of 45 asked minutes)") in week.figures
    assert week.bar_words == "15 of 45 minutes done"


def test_a_session_shows_its_note_and_what_was_done_of_what_was_asked(coach, student, part):
    log(student, part, note="felt loose", felt=6, minutes=15)
    session = this_week(coach, student).sessions[0]
    assert session.day == "Mon 24 Feb"
    assert session.note == "felt loose"
    assert session.facts == "15 min, felt 6 of 10 hard"
    assert session.blocks[0].steps == [
        "10, felt 50: 10 of 10, 9 clean",
        "8, felt 70: 8 of 8, 6 clean",
        "6, felt 90: 6 of 6",
        "15 min",
    ]


def test_a_changed_session_counts_once_and_keeps_what_it_said(coach, student, part):
    few = [{"n": 5, "clean": None, "effort": 50}]
    first = log(student, part, steps=few, counts=False)
    log(student, part, root=first.pk, kind=Entry.Kind.CHANGE, received_at=NOON)
    sessions = this_week(coach, student).sessions
    assert len(sessions) == 1
    assert sessions[0].marks == ["changed"]
    assert sessions[0].blocks[0].steps[0] == "10, felt 50: 10 of 10, 9 clean"
    assert sessions[0].history == ["Written Mon 24 Feb 18:00. Ladder; 10, felt 50: 5 of 10; 15 min"]


def test_a_session_taken_back_stays_as_history(coach, student, part):
    first = log(student, part, steps=[{"n": None}], counts=False)
    change = {"kind": Entry.Kind.CHANGE, "received_at": NOON - DAY}
    log(student, part, root=first.pk, steps=[{"n": 7}], counts=False, **change)
    Entry.objects.create(
        student=student,
        kind=Entry.Kind.TAKE_BACK,
        root=first.pk,
        counts=False,
        day=first.day,
        at=NOON,
        received_at=NOON,
        document={},
        fingerprint="x",
    )
    session = this_week(coach, student).sessions[0]
    assert session.is_taken_back
    assert session.marks == ["taken back", "changed"]
    assert session.blocks[0].steps[0] == "10, felt 50: 7 of 10"
    assert "10, felt 50: 0 of 10" in session.history[0]
    assert this_week(coach, student).bar_words == "0 of 45 minutes done"


def test_what_was_written_later_or_by_another_says_so(coach, student, part):
    late = datetime(2031, 2, 26, 20, 30, tzinfo=UTC)
    log(student, part, from_memory=True, at=late, utc_offset_minutes=60, writer=coach)
    assert this_week(coach, student).sessions[0].marks == [
        "from memory, written Wed 26 Feb 21:30",
        "written by Coach One",
    ]


def test_practice_nobody_asked_for_stands_under_its_day(coach, student, part):
    entry = log(student, part)
    Result.objects.filter(entry=entry).update(
        part=None, drill=None, what="range", steps=[], balls=60, filed=Result.Filed.UNPLANNED
    )
    session = this_week(coach, student).sessions[0]
    assert session.marks == ["not asked for"]
    assert (session.blocks[0].name, session.blocks[0].steps) == (
        "range balls",
        ["15 min", "60 balls"],
    )


def test_a_swap_names_what_it_stands_for(coach, student, part):
    entry = log(student, part, steps=[{"n": 24, "clean": None, "effort": None}])
    other = make_drill(studio_of(coach), "Seated turn")
    Result.objects.filter(entry=entry).update(drill=other)
    block = this_week(coach, student).sessions[0].blocks[0]
    assert block.name == "Seated turn, instead of Ladder"
    assert block.steps == ["24", "15 min"]


def test_excused_days_and_lines_stand_in_their_week(coach, student, part):
    Excusal.objects.create(student=student, first=MONDAY + 3 * DAY, last=MONDAY + 4 * DAY)
    Line.objects.create(student=student, author=coach, text="Nice turn.", at=NOON)
    week = this_week(coach, student)
    assert week.excused == "Excused: Thu 27 Feb and Fri 28 Feb."
    assert [(line.by, line.text) for line in week.lines] == [("Coach One", "Nice turn.")]


def test_a_line_at_one_at_night_belongs_to_the_week_before(coach, student, part):
    # A practice day turns over at 03:00, so 01:20 on Monday is still Sunday.
    at = datetime(2031, 2, 24, 1, 20, tzinfo=UTC)
    student.time_zone = "UTC"
    student.save(update_fields=["time_zone"])
    Line.objects.create(student=student, author=coach, text="Late.", at=at)
    weeks = page_of(coach, student).weeks
    assert [len(week.lines) for week in weeks[:2]] == [0, 1]


def test_a_line_before_the_first_week_by_a_clock_put_back_stands_in_it(coach, student):
    """On Chatham it is put back over the turn of the day: one moment has the day before."""
    first = date(2031, 4, 6)
    student.time_zone, student.studio.first_weekday = "Pacific/Chatham", first.weekday()
    student.save()
    student.studio.save()
    at = day_starts_at(first, student.time_zone) + timedelta(minutes=50)
    assert practice_day(at, student.time_zone) < first
    Line.objects.create(student=student, author=coach, text="Twice.", at=at)
    now = datetime(2031, 5, 27, 12, tzinfo=UTC)
    with time_machine.travel(now, tick=False):
        weeks = student_page(coach, student, now).weeks
    assert [line.text for line in weeks[-1].lines] == ["Twice."]


def test_pain_and_notes_are_for_coaches_and_not_for_assistants(coach, student, part):
    entry = log(student, part, note="back is stiff")
    PainNote.objects.create(
        student=student, entry=entry, day=entry.day, where="lower back", level=3
    )
    assistant = make_coach(studio_of(coach), Membership.Role.ASSISTANT)
    url = reverse("board:weeks", args=[student.pk])
    seen, hidden = (signed_in(user).get(url) for user in (coach, assistant))
    for words in (b"back is stiff", b"lower back 3 of 10, new"):
        assert words in seen.content
        assert words not in hidden.content
    assert reverse("board:care", args=[student.pk]) not in hidden.content.decode()
    assert b"Set next week" not in hidden.content


def test_eight_weeks_a_page_and_the_older_ones_behind_it(coach, student, drill):
    for ago in range(10):
        log(student, make_part(make_week(student, MONDAY - ago * WEEK), drill), MONDAY - ago * WEEK)
    page = page_of(coach, student)
    assert [week.opens for week in page.weeks] == [MONDAY - n * WEEK for n in range(8)]
    assert (page.older, page.newer) == (MONDAY - 8 * WEEK, None)
    older = page_of(coach, student, until=page.older)
    assert [len(week.sessions) for week in older.weeks] == [1, 1, 0, 0, 0, 0, 0, 0]
    assert (older.older, older.newer) == (None, MONDAY)


def test_a_week_stands_where_it_opened_when_the_studio_moves_its_first_day(
    coach, student, drill, part
):
    log(student, make_part(make_week(student, MONDAY - WEEK), drill), MONDAY - WEEK)
    log(student, part)
    studio = studio_of(coach)
    studio.first_weekday = 6
    studio.save(update_fields=["first_weekday"])
    weeks = page_of(coach, student).weeks
    assert {week.opens for week in weeks if week.sessions} == {MONDAY, MONDAY - WEEK}


@pytest.mark.parametrize("address", ["", "?until=2031-02-24", "?until=x", "?until=9999-12-31"])
def test_the_page_opens_on_any_address(coach_client, student, part, address):
    log(student, part)
    page = coach_client.get(reverse("board:weeks", args=[student.pk]) + address)
    assert page.status_code == 200
    assert b"Mon 24 Feb to Sun 2 Mar" in page.content


def test_a_student_without_anything_has_a_page(coach_client, student):
    page = coach_client.get(reverse("board:weeks", args=[student.pk]))
    assert b"No week was sent" in page.content
    assert b"Nothing older is kept" in page.content


def test_what_students_write_is_never_markup(coach_client, student, part):
    log(student, part, note="<script>alert(1)</script>")
    page = coach_client.get(reverse("board:weeks", args=[student.pk]))
    assert b"<script>alert" not in page.content


def test_somebody_elses_student_does_not_exist(student, part):
    url = reverse("board:weeks", args=[student.pk])
    stranger = signed_in(make_coach(make_studio("Elsewhere")))
    assert stranger.get(url).status_code == 404
    assert signed_in(student.user).get(url).status_code == 404
    assert signed_in(make_coach()).get(reverse("board:weeks", args=[uuid4()])).status_code == 404


@pytest.mark.parametrize("weeks", [1, 8])
def test_the_page_costs_the_same_whatever_the_history(
    coach, student, drill, weeks, django_assert_num_queries
):
    sessions = 4 if weeks > 1 else 1
    for ago in range(weeks):
        opens = MONDAY - ago * WEEK
        part = make_part(make_week(student, opens), drill)
        for day in range(sessions):
            entry = log(student, part, opens + day * DAY, note="fine")
            PainNote.objects.create(student=student, entry=entry, day=entry.day, level=1)
            Line.objects.create(student=student, author=coach, text="Good.", at=entry.at)
    # 10: standing (coaching.board.queries.one_student); 1 tallies, 2 weeks, 3 entries,
    # 4 results, 5 pain, 6 lines, 7 swaps, 8 names, 9 excused days, 10 an older week;
    # 1 what was tried.
    with django_assert_num_queries(5):
        page = page_of(coach, student)
    assert sum(len(week.sessions) for week in page.weeks) == weeks * sessions


@pytest.mark.parametrize(("came", "weeks"), [(MONDAY, 1), (MONDAY - 2 * WEEK, 3), (None, 8)])
def test_no_week_is_shown_from_before_a_student_came(coach, student, part, came, weeks):
    """Nothing was asked then because nobody was there to ask."""
    Student.objects.filter(pk=student.pk).update(joined_on=came or MONDAY - 20 * WEEK)
    student.refresh_from_db()
    assert len(student_page(coach, student, NOON).weeks) == weeks


@pytest.mark.parametrize(
    ("done", "asked", "words"),
    [
        (2.5, 4, "2 of 4"),
        (0.5, 1, "less than 1 of 1"),
        (0.01, 2, "0 of 2"),
        (0.05, 2, "0 of 2"),
        (3.5, 3.5, "3.5 of 3.5"),
        (1.999, 2, "1 of 2"),
        (5, 4, "5 of 4"),
    ],
)
def test_times_are_whole_ones_and_never_too_many(done, asked, words):
    assert amount_done({"sessions_done": done, "asked_sessions": asked}) == words


# --- weeks without a plan, and what is beyond it ----------------------------------------------


def test_a_week_that_nobody_sent_shows_what_was_written_and_no_figures(coach, student, part):
    for hour in (9, 12, 15):
        at = datetime(2031, 2, 19, hour, tzinfo=UTC)
        Line.objects.create(student=student, author=coach, text=f"At {hour}.", at=at)
    week = page_of(coach, student).weeks[1]
    assert (week.sent, week.bar_words) == ("No week was sent.", "nothing asked")
    assert (week.figures, week.holds) == ([], "0 parts, 0 visits")
    assert [(line.at, line.text) for line in week.lines] == [
        ("Wed 19 Feb 09:00", "At 9."),
        ("Wed 19 Feb 12:00", "At 12."),
        ("Wed 19 Feb 15:00", "At 15."),
    ]


def test_work_that_was_not_asked_for_is_beyond_the_bar(coach, student, part):
    entry = log(student, part)
    free = Result.objects.filter(entry=entry)
    free.update(part=None, drill=None, what="range", filed=Result.Filed.UNPLANNED)
    tally.recompute(student, MONDAY)
    week = this_week(coach, student)
    assert week.bar_words == "0 of 45 minutes done, 15 beyond what was asked"
    assert ("Not asked for", "15 min") in week.figures
    assert week.holds == "1 part, 1 visit"
    # The longest bar of the page fills its width; a shorter one is as much shorter.
    assert 'd="M1 5h238v14H1z"' in week.bar


def test_who_sent_a_week_when_and_when_it_was_changed(coach, student, part):
    assert this_week(coach, student).sent == "Sent Mon 24 Feb 08:00 by Coach One."
    student.weeks.update(amended_at=datetime(2031, 2, 25, 7, 5, tzinfo=UTC), note="Slow first.")
    week = this_week(coach, student)
    assert week.sent == "Sent Mon 24 Feb 08:00 by Coach One, changed Tue 25 Feb 07:05."
    assert (week.note, week.is_now) == ("Slow first.", True)


def test_facts_say_hand_chair_and_what_is_to_come(coach, student, part):
    assert page_of(coach, student).facts == ["right-handed, lead coach Coach One"]
    today = NOON.date()
    student.next_lesson = student.next_event = today
    student.plays_seated = True
    student.save()
    assert page_of(coach, student).facts[1:] == [
        "plays seated", "next lesson Wed 26 Feb", "an event Wed 26 Feb",
    ]  # fmt: skip
    student.next_event, student.next_event_name = today + DAY, "Spring cup"
    student.next_lesson = today - DAY
    student.save()
    assert page_of(coach, student).facts[1:] == ["plays seated", "Spring cup Thu 27 Feb"]


def test_an_excuse_before_the_page_is_no_older_week(coach, student, part):
    first = MONDAY - 7 * WEEK
    Excusal.objects.create(student=student, first=first - 3 * DAY, last=first)
    page = page_of(coach, student)
    assert page.older is None
    assert page.weeks[-1].excused == "Excused: Mon 6 Jan."
    assert page.weeks[-2].excused == ""


def test_lines_of_the_last_evening_are_on_an_older_page_and_of_the_morning_after_not(
    coach, student, part
):
    newest = MONDAY - WEEK
    for text, at in (
        ("First", datetime(2030, 12, 30, 3, tzinfo=UTC)),
        ("Last", datetime(2031, 2, 24, 2, 59, tzinfo=UTC)),
        ("After", datetime(2031, 2, 24, 3, tzinfo=UTC)),
        ("Days after", datetime(2031, 2, 25, 12, tzinfo=UTC)),
    ):
        Line.objects.create(student=student, author=coach, text=text, at=at)
    page = page_of(coach, student, until=newest)
    assert not page.is_latest
    assert [[line.text for line in week.lines] for week in page.weeks] == [
        ["Last"], [], [], [], [], [], [], ["First"],
    ]  # fmt: skip


@pytest.mark.parametrize(("many", "is_cut"), [(400, False), (401, True)])
def test_more_than_a_page_holds_is_said(coach, student, part, many, is_cut):
    at = datetime(2031, 2, 24, 18, tzinfo=UTC)
    entries = [
        Entry(student=student, day=MONDAY, at=at, received_at=at, document={}, fingerprint="x")
        for _ in range(many)
    ]
    for entry in entries:
        entry.root = entry.pk
    Entry.objects.bulk_create(entries)
    page = page_of(coach, student)
    assert page.is_cut is is_cut
    assert len(page.weeks[0].sessions) == 400


# --- sessions in words ---------------------------------------------------------------------


def test_slight_pain_is_told_with_its_signs_and_none_is_no_pain(coach, student, part, drill):
    entry = log(student, part)
    told = {"student": student, "day": entry.day}
    PainNote.objects.create(
        entry=entry, level=1, where="hip", signs=["night"], is_new=False, drill=drill, **told
    )
    PainNote.objects.create(entry=log(student, part, MONDAY + DAY), level=0, **told)
    first, second = this_week(coach, student).sessions
    assert first.pain == ["hip 1 of 10, known, hurts at night, at Ladder"]
    assert second.pain == []


def test_a_visit_partly_asked_for_says_so_and_balls_stand_where_no_steps_do(coach, student, part):
    entry = log(student, part, steps=STEPS[:1])
    Result.objects.update(balls=10, hard_swings=4, as_asked=True, stopped=True)
    free = {"entry": entry, "student": student, "opens": MONDAY, "what": "range"}
    Result.objects.create(position=1, balls=40, hard_swings=6, **free)
    Result.objects.create(position=2, minutes=5, filed=Result.Filed.EARLY, **free)
    session = this_week(coach, student).sessions[0]
    assert session.marks == ["in part not asked for"]
    asked, balls, none = session.blocks
    assert asked.steps == ["10, felt 50: 10 of 10, 9 clean", "15 min"]
    assert asked.marks == ["done as asked", "ended by the stop rule"]
    assert balls.steps == ["40 balls", "6 of them hard"]
    assert (none.steps, none.marks) == (["5 min"], ["early start"])


def test_a_mended_note_is_no_change_of_what_was_done(coach, student, part):
    """The tally is the same: what the student wrote beside it, and the order, are not counted."""
    first = log(student, part, counts=False, note="fine")
    log(student, part, root=first.pk, kind=Entry.Kind.CHANGE, received_at=NOON, note="very fine")
    assert this_week(coach, student).sessions[0].marks == []
    Result.objects.filter(entry=first).update(stopped=True)
    assert this_week(coach, student).sessions[0].marks == ["changed"]


def test_only_who_plans_is_offered_to_let_other_work_count(coach, student, part):
    entry = log(student, part)
    other = make_drill(studio_of(coach), "Mirror")
    Result.objects.update(part=None, drill=other, filed=Result.Filed.UNPLANNED)
    assistant = make_coach(studio_of(coach), Membership.Role.ASSISTANT)
    blocks = [this_week(user, student).sessions[0].blocks[0] for user in (coach, assistant)]
    assert [block.may_accept for block in blocks] == [True, False]
    assert blocks[0].root == str(entry.root)
    Entry.objects.update(counts=False)
    assert not this_week(coach, student).sessions[0].blocks[0].may_accept


def test_parts_with_two_units_count_by_minutes_and_say_what_became_of_them(coach, student):
    mixed = make_drill(studio_of(coach), "Mixed", "10@50, 5min")
    part = make_part(make_week(student), mixed, sessions=2, minutes=15, by_total=True)
    log(student, part, steps=[{"n": 10, "clean": None}, {"n": 5, "clean": None}])
    shown = this_week(coach, student).parts[0]
    assert shown.counted == "50 % of 30 minutes"
    assert (shown.minutes, shown.marks, shown.priority) == ("15 min", ["by total"], 1)
    excused = {"first": MONDAY, "last": MONDAY + 6 * DAY}
    Excusal.objects.create(student=student, **excused)
    tally.recompute(student, MONDAY)
    assert this_week(coach, student).parts[0].counted == "left out: neither done nor missing"


def test_what_was_tried_in_these_weeks_the_last_first(coach, student, part):
    for opens, note in (
        (MONDAY - 8 * WEEK, "before"), (MONDAY - 7 * WEEK, "first"), (MONDAY, "last"),
        (MONDAY + WEEK, "ahead"),
    ):  # fmt: skip
        at = datetime(opens.year, opens.month, opens.day, 10, tzinfo=UTC)
        student.tried.create(opens=opens, what="called", note=note, by=coach, at=at)
    assert page_of(coach, student).tried == [
        "Mon 24 Feb: called (Coach One): last", "Mon 6 Jan: called (Coach One): first",
    ]  # fmt: skip
