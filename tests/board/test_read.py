"""What is read of a student and what is left out: the edges of each look back."""

from datetime import UTC, date, datetime, timedelta
from types import SimpleNamespace
from uuid import uuid4

import pytest

from coaching.board.kept import standings
from coaching.board.models import KeptLine
from coaching.board.queries import one_student
from coaching.board.read import Raw, add_counted, standing_parts
from coaching.board.weighing import parts_of
from coaching.forecast.models import StudioRhythm
from coaching.forecast.rhythm import HOUSE
from coaching.lessons.models import Lesson
from practice.coach_counts.models import CheckedCount
from practice.log.models import Entry, Line, LogKey
from practice.shots.models import Sitting
from practice.weeks.models import Excusal
from shared.people.models import Student
from tests.board.make import history, opened, part_row, past_week, present_week
from tests.board.test_care import pain
from tests.factories import MONDAY, WEDNESDAY_EVENING, make_drill, make_student, studio_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday_evening")]
TODAY = WEDNESDAY_EVENING.date()
DAY, WEEK = timedelta(days=1), timedelta(weeks=1)


@pytest.fixture
def sam(coach):
    return make_student(coach, "Sam")


def raw_of(coach, student) -> Raw:
    return one_student(coach, student, WEDNESDAY_EVENING)[1]


def facts_of(coach, student):
    return one_student(coach, student, WEDNESDAY_EVENING)[0].facts


def test_weeks_of_half_a_year_are_read_and_long_columns_of_the_last_four(coach, sam):
    for ago in (0, 1, 2, 3, 4, 5, 26, 27):
        past_week(sam, ago, 40, True, parts=[part_row()])
    past_week(sam, -1, 0, False)
    raw = raw_of(coach, sam)
    assert [(MONDAY - tally.opens).days // 7 for tally in raw.tallies] == [26, 5, 4, 3, 2, 1, 0]
    assert [tally.minutes_by_day is None for tally in raw.tallies] == [True] * 2 + [False] * 5
    assert [bool(raw.parts[t.opens]) for t in raw.tallies] == [False] * 4 + [True] * 3
    assert raw.is_sent_ahead
    sam.tallies.filter(opens__gt=MONDAY).update(has_plan=False)
    assert not raw_of(coach, sam).is_sent_ahead


def test_days_excused_are_read_from_the_oldest_week_to_two_months_ahead(coach, sam):
    first, last = MONDAY - 26 * WEEK, MONDAY + timedelta(days=60)
    Excusal.objects.create(student=sam, first=first - 9 * DAY, last=first)
    Excusal.objects.create(student=sam, first=last, last=last + 9 * DAY)
    Excusal.objects.create(student=sam, first=first - 9 * DAY, last=first - DAY)
    assert raw_of(coach, sam).excused == {first, last}


def test_memory_of_a_day_adds_up_and_pain_ends_after_twelve_weeks(coach, sam):
    first = MONDAY - 26 * WEEK
    for day, minutes in ((first, 15), (first, 15), (first + DAY, 20), (first - DAY, 40)):
        sam.remembered.create(day=day, minutes=minutes, made_at=WEDNESDAY_EVENING)
    assert raw_of(coach, sam).remembered == {first: 30, first + DAY: 20}
    edge = MONDAY - 12 * WEEK
    for day, level in ((edge - DAY, 5), (edge, 1), (MONDAY, 0)):
        pain(sam, level, day)
    assert [(pain.day, pain.level) for pain in raw_of(coach, sam).pains] == [(edge, 1)]


def test_lessons_are_those_held_in_three_weeks_the_newest_first(coach, sam):
    def lesson(at, opened_at=None):
        Lesson.objects.create(
            student=sam,
            coach=coach,
            at=at,
            opened_at=opened_at or at,
            state="closed",
            ending="none",
        )

    edge = datetime(2031, 2, 5, 3, tzinfo=UTC)
    for at in (edge - timedelta(minutes=1), edge, WEDNESDAY_EVENING - DAY):
        lesson(at)
    lesson(WEDNESDAY_EVENING, WEDNESDAY_EVENING)
    lesson(WEDNESDAY_EVENING - DAY / 2, WEDNESDAY_EVENING + timedelta(minutes=1))
    lesson(WEDNESDAY_EVENING + timedelta(minutes=1), WEDNESDAY_EVENING - DAY)
    assert raw_of(coach, sam).lessons == [TODAY, TODAY - DAY, date(2031, 2, 5)]


@pytest.mark.parametrize(("weeks", "is_checked"), [(8, True), (9, False)])
def test_measured_shots_speak_for_the_counts_for_eight_weeks(coach, sam, weeks, is_checked):
    shots = {"student": sam, "at": WEDNESDAY_EVENING, "counts": True}
    day = TODAY - timedelta(weeks=weeks)
    Sitting.objects.create(day=day, evidence=Sitting.Evidence.MEASURED, **shots)
    assert raw_of(coach, sam).is_checked is is_checked
    Sitting.objects.update(counts=False)
    assert not raw_of(coach, sam).is_checked


def test_what_a_coach_counted_is_evidence_for_half_a_year_and_trust_for_four_weeks():
    def counted(ago, test=None, reps=10):
        raw = Raw()
        day = TODAY - timedelta(weeks=ago)
        add_counted(raw, ("drill", day, 50, 6, reps, test), TODAY)
        return bool(raw.counted), raw.is_checked

    assert [counted(ago) for ago in (4, 5, 26, 27)] == [
        (True, True), (True, False), (True, False), (False, False),
    ]  # fmt: skip
    # A drill with a test of its own is judged by that; no reps are no count.
    assert counted(4, test="other") == counted(4, reps=0) == (False, True)


def test_counts_of_one_day_and_effort_are_one(coach, sam):
    drill = make_drill(studio_of(coach))
    for clean, counts in ((5, True), (7, True), (9, False)):
        CheckedCount.objects.create(
            student=sam, drill=drill, day=MONDAY, effort=50, reps=10, clean_reps=clean, by=coach,
            counts=counts,
        )  # fmt: skip
    (step,) = raw_of(coach, sam).counted[str(drill.pk)]
    assert (step.day, step.effort, step.clean, step.reps) == (MONDAY, 50, 12, 20)


def test_words_are_the_last_of_each_kind_and_of_fourteen_days(coach, sam):
    def line(text, ago):
        Line.objects.create(student=sam, author=coach, text=text, at=WEDNESDAY_EVENING - ago)

    line("Too old", timedelta(days=14, seconds=1))
    assert raw_of(coach, sam).line is None
    line("Old", timedelta(days=14))
    assert raw_of(coach, sam).line[0] == "Old"
    line("New", timedelta(hours=1))
    sam.tried.create(opens=MONDAY, what="called", by=coach, at=WEDNESDAY_EVENING - DAY)
    for n, (text, counts) in enumerate((("Said", True), ("", True), ("Gone", False))):
        Entry.objects.create(
            student=sam, root=uuid4(), day=TODAY, at=WEDNESDAY_EVENING - DAY / (n + 2), note=text,
            counts=counts, document={},
        )  # fmt: skip
    key = {"student": sam, "user": sam.user, "expires_at": WEDNESDAY_EVENING + WEEK}
    LogKey.objects.create(digest="d", last_used_at=WEDNESDAY_EVENING - 2 * DAY, **key)
    LogKey.objects.create(
        digest="e", last_used_at=WEDNESDAY_EVENING, revoked_at=WEDNESDAY_EVENING, **key
    )
    raw = raw_of(coach, sam)
    assert (raw.line[0], raw.note[0], raw.tried[0]) == ("New", "Said", "called")
    assert raw.seen == WEDNESDAY_EVENING - 2 * DAY


def test_parts_stand_in_their_order_without_those_taken_off():
    rows = [part_row("Third", priority=3), part_row("First"), part_row("Off", removed=True)]
    assert [part["name"] for part in standing_parts(rows)] == ["First", "Third"]
    assert standing_parts(None) == []
    raw = SimpleNamespace(parts={MONDAY: rows})
    assert [part.name for part in parts_of(raw, MONDAY)] == ["Third", "First", "Off"]
    assert parts_of(raw, MONDAY + WEEK) == ()


# --- weighed ------------------------------------------------------------------------


def test_away_is_said_from_its_first_day_to_its_last(coach, sam):
    present_week(sam, left=60, open_days=0)
    Excusal.objects.create(student=sam, first=TODAY - 4 * DAY, last=TODAY + 9 * DAY)
    Excusal.objects.create(student=sam, first=TODAY + 11 * DAY, last=TODAY + 12 * DAY)
    known = facts_of(coach, sam)
    assert known.excused
    assert (known.excused_since, known.excused_until) == (TODAY - 4 * DAY, TODAY + 9 * DAY)
    Excusal.objects.filter(first__lt=TODAY).update(first=TODAY)
    assert not facts_of(coach, sam).excused
    Excusal.objects.filter(first=TODAY).update(first=TODAY + DAY)
    known = facts_of(coach, sam)
    assert (known.excused_since, known.excused_until) == (None, None)


def test_a_finished_week_was_done_on_the_last_day_that_earned_anything(coach, sam):
    present_week(sam, left=0, finished=True, credited_by_day=[20, 0, 40, 0, 0, 0, 0])
    known = facts_of(coach, sam)
    assert (known.finished, known.done_on, known.asked, known.credited) == (True, TODAY, 60, 60)
    sam.tallies.update(credited_by_day=[0] * 7, unplanned_minutes=12)
    known = facts_of(coach, sam)
    assert (known.done_on, known.unasked) == (None, 12)


def test_the_trend_is_that_of_eight_weeks_from_the_first_that_is_known(coach, sam):
    for ago, late in ((9, 60), (8, 54), (6, 48), (2, 30)):
        past_week(sam, ago, late, late > 40)
    past_week(sam, 5, 0, False, open_days=0)
    past_week(sam, 1, 0, False, has_plan=False)
    found = facts_of(coach, sam).trend
    assert found.shares == (0.9, None, 0.8, None, None, None, 0.5, None)
    assert (found.excused, found.finished) == (frozenset({3}), 2)
    sam.tallies.filter(opens__lt=MONDAY - 7 * WEEK).delete()
    assert facts_of(coach, sam).trend.shares[0] == 0.8


def test_hard_swings_are_beside_four_weeks_and_the_counts_are_of_four(coach, sam):
    for ago, swings in ((1, 40), (2, 50), (3, 60), (4, 70), (5, 900)):
        past_week(sam, ago, 40, True, hard_swings=swings, counts_as_asked=1, counts_given=2)
    present_week(sam, left=30, hard_swings=30, counts_as_asked=3, counts_given=4, counts_tapped=2)
    known = facts_of(coach, sam)
    assert (known.load.now, known.load.usual) == (30, 55)
    assert (known.counts.as_asked, known.counts.given, known.counts.tapped) == (6, 10, 0)


def test_minutes_that_would_mend_the_week_and_since_when_it_is_so(coach, sam):
    """On Thursdays 30 minutes came: of 60 left by Wednesday 30 must be done today."""
    history(sam, "30- 30- 30- 30- 30- 30-")
    present_week(sam, left=60, entries=[[0, 0]])
    known = facts_of(coach, sam)
    assert known.outlook.pace == "Unlikely"
    assert (known.outlook_since, known.to_step) == (MONDAY, 30)
    # With something done today what is left counts from tomorrow on.
    sam.tallies.filter(opens=MONDAY).update(minutes_by_day=[0, 0, 5, 0, 0, 0, 0])
    assert facts_of(coach, sam).outlook.weeks[0].week.late == 30
    sam.tallies.filter(opens__lt=MONDAY).update(credited_by_day=[0, 0, 30, 0, 0, 0, 0])
    assert facts_of(coach, sam).outlook.weeks[0].week.late == 0


def test_a_line_stands_until_the_day_turns_the_lesson_begins_or_the_evening_comes(coach, sam):
    history(sam, "40- 40- 40- 40- 40- 40- 40- 40-")
    present_week(sam, left=41)
    everyone = Student.objects.filter(pk=sam.pk)

    def until(now=WEDNESDAY_EVENING):
        KeptLine.objects.update(judged=None)
        standings(everyone, now)
        return KeptLine.objects.get().until

    turn = datetime(2031, 2, 27, 3, tzinfo=UTC)
    assert until() == turn
    lesson = {"student": sam, "coach": coach, "state": "open"}
    soon = WEDNESDAY_EVENING + timedelta(hours=2)
    Lesson.objects.create(at=soon, opened_at=WEDNESDAY_EVENING, **lesson)
    assert until() == soon
    Lesson.objects.all().delete()
    record = {"cases": 100, "students": 20, "forecast": 0.1, "count": 0.2, "evidence": 50.0}
    noon = datetime(2031, 2, 26, 12, tzinfo=UTC)
    StudioRhythm.objects.create(
        studio=studio_of(coach), opens=MONDAY, figures=HOUSE.as_json(), record=record,
        made_at=noon - DAY,
    )  # fmt: skip
    # The chance gives the word, and a day without a log says more once its evening comes.
    assert noon < until(noon) < turn
    evening = until(noon)
    assert until(evening) == turn


def test_the_opened_line_says_what_was_written_and_tried(coach, sam):
    present_week(sam, left=30)
    Line.objects.create(student=sam, author=coach, text="Slow first.", at=WEDNESDAY_EVENING - DAY)
    sam.tried.create(opens=MONDAY, what="no_answer", by=coach, at=WEDNESDAY_EVENING - DAY)
    row = opened(coach, "Sam", WEDNESDAY_EVENING)
    assert row.line == "“Slow first.” (Tue 20:00)"
    assert row.tried == "tried to call, no answer, Tue 20:00"
    assert row.note == ""
