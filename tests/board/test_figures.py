"""How was this worked out? Each section's arithmetic, as a coach can check it by hand."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from coaching.board import figures, rows
from coaching.board.read import Raw, Tally
from coaching.board.rows import JudgedStudent, bar_of, figures_of, last_of
from coaching.board.rules.facts import (
    Counts,
    CrammingFacts,
    Favourite,
    LoadBeside,
    PlanSizeFacts,
)
from coaching.board.rules.no_word import NoWordSpell
from coaching.board.rules.order import Need
from coaching.board.rules.states import State
from coaching.forecast.deciding import Decided, Record
from coaching.forecast.forecast import Forecast
from coaching.forecast.outlook import Pace, unlikely_by_arithmetic
from coaching.forecast.panel import By
from tests.board.rules.make import MONDAY, WEDNESDAY, facts, part

UTC_CLOCK = ZoneInfo("UTC")
NOBODY = "00000000-0000-0000-0000-000000000000"


def tally(**fields) -> Tally:
    """A week of 60 minutes asked, 30 of them done on Monday."""
    nothing = dict.fromkeys(Tally._fields, 0)
    given = {
        "student": NOBODY,
        "opens": MONDAY,
        "has_plan": True,
        "asked_minutes": 60,
        "credited_minutes": 30,
        "credit": 0.5,
        "open_days": 7,
        "minutes": 30,
        "credited_by_day": [30, 0, 0, 0, 0, 0, 0],
        "minutes_by_day": [30, 0, 0, 0, 0, 0, 0],
        "planned_by_day": [10, 10, 10, 10, 10, 10, 0],
        "entries": [[0, 0]],
        "last_written_at": datetime(2031, 2, 24, 19, 40, tzinfo=UTC),
    }
    return Tally(**nothing | given | fields)


class Someone:
    """All of a person that the drawn figures ask."""

    id = NOBODY


def judged(known, week: Tally | None) -> JudgedStudent:
    return JudgedStudent(Someone, known, State.IN_STEP, None, Need.NOTHING, week)


# --- this week ----------------------------------------------------------------------


def test_a_week_is_its_parts_without_what_dropped_out():
    known = facts(parts=(
        part("Ladder", 1, left=2),
        part("Chips", 2, left=1.5, by_total=True, sessions_asked=2, session_minutes=12.25,
             sessions_done=0.5, credit=0.25, minutes_left=18.4),
        part("Putting", 3, credit=None),
    ))  # fmt: skip
    found = figures.credit_section(known, tally(credited_minutes=36.19, open_days=5))
    assert found.lines == (
        "A day counts at most 1.5 times the dose of a part, unless any day will do.",
        "Week = 36.1 of 84.5 minutes credited = 50 %, rounded down.",
        "Two days excused: visits asked are those of the plan × 5 / 7, a half rounded up.",
    )
    assert found.table.rows == (
        ("1. Ladder", "2 of 4", "50 %", "2 × 15 = 30"),
        ("2. Chips (by total)", "0.5 of 2", "25 %", "0.5 × 12.25 = 6.1"),
        ("3. Putting", "excused or stopped", "not counted", "0"),
    )
    assert figures.left_section(known).lines == ("30 (Ladder) + 18.4 (Chips) = 36 minutes.",)


def test_of_a_whole_week_no_day_is_said_to_be_excused_and_without_credit_no_share():
    assert len(figures.credit_section(facts(), tally()).lines) == 2
    assert len(figures.credit_section(facts(), tally(credit=None)).lines) == 1
    assert "One day excused" in figures.credit_section(facts(), tally(open_days=6)).lines[-1]


@pytest.mark.parametrize("known", [facts(has_week=False), facts()])
def test_where_nothing_is_sent_nothing_is_credited(known):
    week = tally() if not known.has_week else None
    found = figures.credit_section(known, week)
    assert found.lines == ("No week is sent for these days, so there is nothing to credit.",)
    assert found.table is None


@pytest.mark.parametrize("gone", [{"credit": None}, {"stopped": True}])
def test_of_what_is_stopped_or_excused_nothing_is_left(gone):
    found = figures.left_section(facts(parts=(part(**gone),)))
    assert found.lines == ("Nothing is asked now, so nothing is left.",)


def test_minutes_stand_under_their_days():
    (said,) = figures.spread_section(facts(), tally()).lines
    assert said == "Minutes by day: Mon 30 · Tue 0 · Wed 0"
    for week in (None, tally(minutes_by_day=None), tally(minutes_by_day=[0] * 7)):
        assert figures.spread_section(facts(), week).lines == ("Nothing logged this week.",)


def test_notes_come_part_by_part_or_are_said_to_be_none():
    none = ("Nothing more to say: done is what counts.",)
    assert figures.notes_section(Raw(), MONDAY).lines == none
    note = {"kind": "added", "days": [3]}
    said = Raw(parts={MONDAY: [{"name": "Gate", "notes": [note]}]})
    assert figures.notes_section(said, MONDAY).lines == (
        "Gate: Put on the week on Thu 27 Feb; nothing was expected before that.",
    )


# --- outlook ------------------------------------------------------------------------


def test_weeks_are_counted_by_the_rule_of_succession_and_those_that_tell_nothing_left_out():
    found = figures.outlook_section(facts(36, "42+ 30+ 20- 44+ 38-"))
    assert "at least 36 minutes were credited" in found.lines[0]
    # Three of four came through: (3 + 1) / (4 + 2).
    assert found.lines[1:] == (
        (
            "(3 + 1) / (4 + 2) = 0.67. 0.60 and more is In step, 0.30 and more Tight, "
            "less is Unlikely. Lines of the studio."
        ),
    )
    assert [cells[2:] for cells in found.table.rows] == [
        ("yes", "came through"),
        ("yes", "left out: less was left, all done"),
        ("no", "did not"),
        ("yes", "came through"),
        ("no", "came through"),
    ]
    assert found.table.rows[0][:2] == ("Mon 20 Jan", "42")


def test_too_few_weeks_and_days_that_cannot_hold_the_rest_are_said():
    few = facts(36, "42+")
    assert figures.outlook_section(few).lines[1:] == (
        "One week to count; at least 4 are needed, so it is too soon to say.",
    )
    lost = replace(few, outlook=unlikely_by_arithmetic(few.outlook, ("Ladder", "Chips")))
    assert figures.outlook_section(lost).lines[-1] == (
        "Whatever the weeks say: more of Ladder and Chips is left than 1.5 a day can hold, "
        "unless the part is made shorter."
    )


def test_the_chance_says_from_today_to_the_last_day_what_comes_and_which_of_both_decides():
    said = Forecast(0.35, 12.0, 9, 0.6, 2.0, 19.0, 0.8, By.MINUTES)
    both = Decided(said, Pace.TIGHT, Pace.TIGHT, forecast_decides=False, record=Record())
    lines = figures.chance_lines(facts(decided=both))
    assert lines[0] == (
        "12 minutes are left to reach 80 %. Wednesday to Sunday usually bring two days of "
        "about 19 minutes."
    )
    # Nothing is said of a disagreement where there is none.
    assert len(lines) == 3
    assert figures.chance_lines(facts()) == []
    assert figures.chance_lines(facts(decided=replace(both, forecast=None))) == []


# --- silence, load, habits ------------------------------------------------------------


def test_silence_is_the_larger_of_two_lines():
    known = facts(silence=NoWordSpell(1, date(2031, 2, 25), 6, 1, 4))
    assert figures.silence_section(known).lines == (
        "One day since Tue 25 Feb, excused days left out.",
        (
            "The longest gap between days of writing in six weeks was 4, so No word begins on day "
            "6: the larger of 4 and 1.5 times that gap, rounded up."
        ),
    )
    without = facts(silence=NoWordSpell(2, MONDAY, 4, None, None), write_up_weekday=0)
    _, gap, late = figures.silence_section(without).lines
    assert gap.startswith("There is no gap to go by yet, so No word begins on day 4")
    assert late.endswith("Logs later.")


def test_hard_swings_stand_beside_four_weeks_the_oldest_first():
    weeks = [
        tally(opens=MONDAY - timedelta(weeks=ago), hard_swings=swings)
        for ago, swings in ((0, 9), (1, 10), (2, 20), (4, 40), (5, 50))
    ]
    known = facts(load=LoadBeside(128, 46.4))
    assert figures.load_section(known, Raw(tallies=weeks)).lines == (
        "128 this week; the four weeks before: 40, not known, 20, 10; usual 46 (the mean).",
        "A jump is 1.5 times the usual and at least 40 more. A reason to ask, nothing else.",
    )
    first, second = figures.load_section(facts(minor=True), Raw()).lines
    assert first.endswith("no usual yet: three known weeks are needed.")
    assert "at least 40 (25 under 16) more" in second


def test_habits_with_their_lines():
    known = facts(
        cramming=CrammingFacts(1, 2, 0.8),
        counts=Counts(11, 14, tapped=3),
        size=PlanSizeFacts(147, 92.4, half_twice=True),
        favourite=Favourite("Putting", 0.785, "Ladder", 0),
    )
    lines = figures.habits_section(known).lines
    assert lines == (
        (
            "60 % of the minutes or more in the two days before the lesson, and 30 points more "
            "than planned: 1 of the last 2 lessons."
        ),
        (
            "Counts exactly as asked in four weeks: 11 of 14. 90 % of twelve or more is a "
            "question. 3 taps of Done as asked on the day itself are set aside: counts were "
            "measured or checked in these weeks."
        ),
        (
            "Plan 147 minutes, usual 92 (the median of the last six open weeks): 1.59 times. "
            "Above 1.5 is more than the usual."
        ),
        "Less than half was credited two weeks running.",
        (
            "Putting: 78 % of the minutes, more than twice its planned share, with part 1 "
            "under half, two weeks running."
        ),
    )
    plain = figures.habits_section(facts(cramming=CrammingFacts(weekly_assumed=True))).lines
    assert plain[0].endswith(
        "0 of the last 3 lessons; none is written down, so one a week is assumed."
    )
    assert plain[1:] == (
        "Counts exactly as asked in four weeks: 0 of 0. 90 % of twelve or more is a question.",
    )


# --- the bar and the figures side by side -----------------------------------------------------


def test_the_bar_shows_more_than_was_asked_and_what_was_planned_for_the_days_over():
    week = tally(minutes=42, planned_by_day=[30, 20, 10, 0, 0, 0, 0], open_days=5)
    bar = bar_of(judged(facts(), week))
    assert (bar.asked, bar.done, bar.extra, bar.pin) == (60, 30, 12, 50)
    assert bar.label == (
        "30 of 60 minutes done, 12 beyond what was asked, 50 planned by now; two days excused"
    )
    # Never more than is asked, and nothing of a finished week, of none, or without a plan.
    steep = tally(planned_by_day=[60, 60, 0, 0, 0, 0, 0], minutes=20)
    assert bar_of(judged(facts(), steep)).pin == 60
    assert bar_of(judged(facts(), steep)).extra == 0
    assert bar_of(judged(facts(finished=True), steep)).pin is None
    assert bar_of(judged(facts(), tally(planned_by_day=None))).pin == 0
    for week in (None, tally(asked_minutes=0, credited_minutes=0, minutes=0)):
        assert (bar_of(judged(facts(), week)).pin, bar_of(judged(facts(), week)).label) == (
            None,
            "nothing asked",
        )


def test_figures_stand_side_by_side_and_what_is_not_known_is_left_out():
    week = tally(
        priority_sessions_done=1.99, priority_sessions_asked=4, days_done=2, days_asked=3,
        minutes=30.9, balls=24,
    )  # fmt: skip
    known = facts(load=LoadBeside(12, 46.4))
    assert figures_of(judged(known, week)) == (
        ("Priority 1", "1.9 of 4"),
        ("Week", "50 %"),
        ("Days", "2 of 3"),
        ("Minutes", "30 of 60"),
        ("Balls", "24"),
        ("Hard swings", "12 (usual 46)"),
    )
    bare = tally(credit=None)
    assert figures_of(judged(facts(load=LoadBeside(7)), bare)) == (
        ("Minutes", "30 of 60"),
        ("Balls", "0"),
        ("Hard swings", "7"),
    )
    assert figures_of(judged(facts(), bare))[-1] == ("Balls", "0")
    assert figures_of(judged(facts(), None)) == ()


@pytest.mark.parametrize(
    ("ago", "words"),
    [(0, "Wed 19:40"), (6, "Thu 19:40"), (7, "Wed 19 Feb"), (-6, "Tue 19:40"), (-7, "Wed 5 Mar")],
)
def test_a_moment_of_the_last_days_has_its_hour(ago, words):
    at = datetime(2031, 2, 26, 18, 40, tzinfo=UTC) - timedelta(days=ago)
    clock = ZoneInfo("Europe/Berlin")  # An hour ahead of UTC.
    assert rows._moment(at, WEDNESDAY, clock) == words


def test_a_long_note_is_quoted_by_its_first_words():
    at = datetime(2031, 2, 26, 18, 40, tzinfo=UTC)
    assert rows._quoted(None, WEDNESDAY, UTC_CLOCK) == ""
    whole = "word " * 27 + "wordy"  # 140 signs.
    assert rows._quoted((whole, at), WEDNESDAY, UTC_CLOCK) == f"“{whole}” (Wed 18:40)"
    longer = rows._quoted((f"{whole} more", at), WEDNESDAY, UTC_CLOCK)
    assert longer == f"“{whole[:-6]} …” (Wed 18:40)"


def test_the_last_word_is_the_newest_of_all_weeks_and_old_ones_are_no_news():
    weeks = [
        tally(opens=MONDAY - timedelta(weeks=1), entries=[[6, 6]],
              last_written_at=datetime(2031, 2, 23, 9, tzinfo=UTC)),
        tally(),
    ]  # fmt: skip
    quiet = facts(silence=NoWordSpell(2, MONDAY, 4, None, None))
    assert last_of(quiet, Raw(tallies=weeks), UTC_CLOCK) == "Last word Mon 19:40"
    old = Raw(tallies=weeks[:1], seen=datetime(2031, 2, 25, 23, 30, tzinfo=UTC))
    assert last_of(quiet, old, UTC_CLOCK) == (
        "No news since Sun 09:00; the phone fetched the week on Tuesday"
    )
    assert last_of(quiet, Raw(), UTC_CLOCK) == "No entry yet"


def test_amounts_go_down_to_a_tenth_and_factors_to_the_nearest_hundredth():
    assert (figures._one(None), figures._one(36.99), figures._one(2.9999999)) == ("0", "36.9", "3")
    assert figures._two(12.256) == "12.26"
