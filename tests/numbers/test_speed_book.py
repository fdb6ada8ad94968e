"""The speed book as an answer: what is joined, what is judged, and what is too little.

The verdicts themselves are checked in tests/outside; here it is what reaches them.
"""

import re
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from practice.measures.answers import Evidence, TooLittle
from practice.measures.chart import USUAL_RULES
from practice.numbers.now.told import speed_said
from practice.numbers.speed.book import SpeedBook, SpeedOutlook, speed_book, speed_line
from practice.numbers.speed.pages import own_answer, own_speed_page, speed_page
from practice.numbers.speed.queries import JoinedLine, SpeedDay, read_speeds
from practice.numbers.speed.text import SIGNAL_WORDS, SpeedReader, verdict_words
from practice.shots.models import Sitting
from practice.shots.speed_services import set_block
from shared.kit.units import SPEED
from tests.factories import make_drill
from tests.numbers.make import today_of
from tests.numbers.speeds import CALLUM, INES, OFF, PIET, many_days, one_day, speed_drill

MPH = SPEED["mph"]
LINE = JoinedLine("ball_speed", "box", "ball", "bay", "indoors", "Driver")
COACH = SpeedReader("mph", "Sam", is_minor=False)
OWN = SpeedReader("mph", "", is_minor=False)


def book_of(student):
    return speed_book(read_speeds(student, today_of(student)))


def the_line(student):
    (line,) = book_of(student).lines
    return line


def days_of(figures, start="2026-01-05", apart=6):
    first = date.fromisoformat(start)
    return tuple(
        SpeedDay(first + timedelta(days=apart * i), tuple(MPH.to_si(f + each) for each in OFF))
        for i, f in enumerate(figures)
    )


def mph(speed):
    return round(MPH.from_si(speed), 1)


# --- what is read ---


@pytest.mark.django_db
def test_the_day_figure_is_the_median_mishits_included(student):
    one_day(student, speed_drill(student), 150, off=(-40, -1, -0.5, 0.5, 1, 3))
    (day,) = the_line(student).days
    assert mph(day.figure) == 150.0


@pytest.mark.django_db
def test_two_sittings_of_a_day_are_one_test(student):
    drill = speed_drill(student)
    one_day(student, drill, 150, off=(-1, 0, 1))
    one_day(student, drill, 150, off=(-2, 0, 2))
    (day,) = the_line(student).days
    assert len(day.swings) == 6


@pytest.mark.django_db
@pytest.mark.parametrize(
    "other",
    [{"device": "radar"}, {"ball": "range ball"}, {"place": "bay 2"}, {"indoors": False}],
)
def test_another_device_ball_place_or_roof_is_another_line(student, other):
    drill = many_days(student, INES[:7])
    one_day(student, drill, 190, **other)
    counts = sorted(len(line.days) for line in book_of(student).lines)
    assert counts == [1, 7]


@pytest.mark.django_db
def test_ball_and_club_speed_are_never_one_line(student):
    drill = many_days(student, INES[:2])
    one_day(student, drill, 105, quantity="club_speed")
    assert {line.line.quantity for line in book_of(student).lines} == {"ball_speed", "club_speed"}


@pytest.mark.django_db
def test_only_counting_speed_tests_of_the_last_two_years_are_in_it(student):
    drill = many_days(student, INES[:2])
    one_day(student, drill, 199, counts=False)
    one_day(student, drill, 199, days_ago=740)
    one_day(student, make_drill(student.studio, "Speed set", area="speed"), 199)
    one_day(student, make_drill(student.studio, "Wedges", area="wedges", is_test=True), 199)
    one_day(student, None, 199)
    book = book_of(student)
    assert [len(line.days) for line in book.lines] == [2]
    assert book.elsewhere == 18
    assert mph(book.lines[0].top.speed) < 199


@pytest.mark.django_db
def test_few_swings_and_memory_are_shown_and_feed_no_verdict(student):
    drill = many_days(student, INES)
    before = the_line(student)
    one_day(student, drill, 190, days_ago=1, off=(-1, 0, 1))
    one_day(student, drill, 190, days_ago=2, from_memory=True)
    line = the_line(student)
    assert (line.claim, line.steady) == (before.claim, before.steady)
    assert len(line.days) == 14
    assert len(line.others) == 2
    points = speed_page(book_of(student), COACH).lines[0].chart.points
    assert sum(point.faint for point in points) == 2


@pytest.mark.django_db
def test_a_conclusion_prints_the_weakest_evidence(student):
    drill = many_days(student, INES)
    assert the_line(student).evidence is Evidence.MEASURED
    one_day(student, drill, 152, evidence=Sitting.Evidence.SEEN)
    assert the_line(student).evidence is Evidence.COUNTED
    assert speed_page(book_of(student), COACH).lines[0].basis.startswith("Counted; ")


@pytest.mark.django_db
@pytest.mark.parametrize("count", [1, 40])
def test_queries_do_not_grow_with_the_history(student, count, django_assert_num_queries):
    many_days(student, (INES * 3)[:count])
    # 1 sittings, 2 shots, 3 clubs, 4 the block, 5 swings outside a test
    with django_assert_num_queries(6):
        book_of(student)


@pytest.mark.django_db
def test_a_block_starts_anew_and_shows_what_was_before(student, coach):
    many_days(student, INES)
    start = today_of(student) - timedelta(days=6 * 6)
    set_block(student=student, by=coach, starts_on=start, ball_speed=None, club_speed=None)
    line = the_line(student)
    assert len(line.days) == 7
    assert MPH.from_si(line.claim.before) == pytest.approx(sum(INES[7:11]) / 4)
    assert len(line.others) == 7


# --- what is concluded ---


def test_up_and_held():
    line = speed_line(LINE, days_of(INES))
    assert verdict_words(line) == "Up, held"
    page = speed_page_of(line)
    assert page.answer == (
        "Up 6.9 mph, held. The start was 146.9 mph; since then it is 153.8. A real change "
        "begins at 5.2 mph."
    )
    assert own_answer(line, OWN) == (
        "Your usual is 155.1 mph, up from 146.9 mph at the start. It is more than days differ, "
        "and it has held."
    )


def test_a_report_says_your_as_its_other_sentences_do():
    """Between two sentences that said *Your move* stood *Ines Calderao's usual*."""
    book = SpeedBook((speed_line(LINE, days_of(INES)),), 0, None, 0, is_cut=False)
    reader = SpeedReader("mph", "Ines", is_minor=False)
    ((_, words),) = speed_said(book, reader, to_student=True)
    assert words.startswith("Your usual is 155.1 mph")


def test_a_best_day_tells_nothing_yet():
    line = speed_line(LINE, days_of(PIET))
    assert verdict_words(line).startswith("Cannot tell yet")
    assert own_answer(line, OWN) == (
        "Your usual is 153.3 mph. Whether it has moved is too soon to say."
    )


def test_days_that_hardly_differ_did_not_move():
    line = speed_line(LINE, days_of([150.0, 150.2] * 20))
    assert verdict_words(line) == "Did not move"
    assert "as at the start" in own_answer(line, OWN)
    assert speed_page_of(line).answer.startswith("Level at 150.1 mph. ")


def test_a_recent_fall_that_held_comes_first():
    line = speed_line(LINE, days_of(CALLUM))
    assert verdict_words(line) == "Down, held"
    assert speed_page_of(line).answer.startswith(
        "Down 6.7 mph, held. Three test days were 162.6 mph; the last three are 155.9. A real "
        "change begins at 5.3 mph."
    )
    assert "down on the three test days before" in own_answer(line, OWN)
    drawn = speed_page_of(line).chart.trend
    assert [round(point.value, 1) for point in drawn] == [162.6] * 3 + [155.9] * 3
    assert [point.day for point in drawn] == [each.day for each in line.days[-6:]]


def test_the_student_sees_nothing_that_has_not_held():
    up_once = speed_line(LINE, days_of([150] * 6 + [153] * 3))
    assert not up_once.claim.better
    assert verdict_words(up_once).startswith("Cannot tell yet: about ")
    assert own_answer(up_once, OWN).endswith("Whether it has moved is too soon to say.")


@pytest.mark.parametrize("figures", [INES, CALLUM, PIET])
def test_a_child_is_neither_praised_nor_blamed_for_growing(figures):
    line = speed_line(LINE, days_of(figures))
    words = own_answer(line, SpeedReader("mph", "Kim", is_minor=True))
    assert words.startswith("Kim's usual is ")
    assert words.endswith("Speed changes with growing: up or down is neither good nor bad news.")
    notes = speed_page_of(line, SpeedReader("mph", "Kim", is_minor=True)).notes
    assert any("growth may be why speed changes" in note for note in notes)


def test_a_minor_s_own_page_has_no_verdict_at_all():
    book = speed_book_of(speed_line(LINE, days_of(INES)))
    (view,) = own_speed_page(book, SpeedReader("mph", "", is_minor=True)).lines
    for word in ("Up", "Down", "Level", "held"):
        assert word not in f"{view.answer} {view.chart.desc}"


def test_one_swing_says_what_is_missing():
    line = speed_line(LINE, (SpeedDay(days_of([150])[0].day, (67.0,)),))
    assert verdict_words(line) == "Too soon to say"
    assert line.evidence is None
    page = speed_page_of(line)
    assert page.answer == "Too soon to say: 0 of 5 test days."
    assert "six swings" in page.basis
    assert own_answer(line, OWN) == "3 more test days until there is a usual speed."


@pytest.mark.parametrize("count", range(1, 15))
def test_every_length_of_history_has_an_answer_and_a_figure(count):
    page = speed_page_of(speed_line(LINE, days_of(INES[:count]), aim=MPH.to_si(160)))
    assert page.answer
    assert len(page.chart.points) == count
    assert len(page.facts) >= 5


def test_days_that_are_all_the_same_have_an_answer():
    same = tuple(SpeedDay(each.day, (67.0,) * 6) for each in days_of(INES))
    line = speed_line(LINE, same, aim=70.0)
    assert line.claim.answer != "moved"
    assert isinstance(line.limits, TooLittle)
    assert isinstance(line.spreads, TooLittle)
    assert line.goal.outlook is SpeedOutlook.NOT_ON_TREND
    assert speed_page_of(line).answer


def test_a_dip_below_the_limits_is_ringed():
    line = speed_line(LINE, days_of([150, 151] * 5 + [130, 150, 151]))
    day = days_of(range(13))[10].day
    assert (day, "one session beyond three sigma") in line.signals
    ringed = [p for p in speed_page_of(line).chart.points if p.ringed]
    assert [p.day for p in ringed] == [day]
    assert "far off the other days" in ringed[0].note
    assert set(SIGNAL_WORDS) == set(USUAL_RULES)


# --- the aim ---


def test_an_aim_on_the_trend_has_three_days_in_order():
    line = speed_line(LINE, days_of(INES), aim=MPH.to_si(158))
    goal = line.goal
    assert goal.outlook is SpeedOutlook.ON_TREND
    assert days_of(INES)[-1].day <= goal.earliest <= goal.likely
    assert goal.secure is None or goal.likely <= goal.secure
    assert "A straight line is optimistic." in dict(speed_page_of(line).facts)["Aim"]


@pytest.mark.parametrize(
    ("figures", "aim", "outlook"),
    [
        (INES, 150, SpeedOutlook.REACHED),
        (INES, 190, SpeedOutlook.TOO_FAR),
        ([*INES, 150.0, 148.0], 153.0, SpeedOutlook.AT_THE_LINE),
        (PIET, 160, SpeedOutlook.NOT_ON_TREND),
        (INES[:5], 160, SpeedOutlook.TOO_SOON),
        (tuple(reversed(INES)), 160, SpeedOutlook.NOT_ON_TREND),
    ],
)
def test_what_is_said_of_an_aim(figures, aim, outlook):
    assert speed_line(LINE, days_of(figures), aim=MPH.to_si(aim)).goal.outlook is outlook


# --- units ---


@given(st.lists(st.floats(60, 200), min_size=1, max_size=20), st.floats(60, 220))
def test_the_unit_of_the_reader_changes_no_verdict(figures, aim):
    line = speed_line(LINE, days_of(figures), aim=MPH.to_si(aim))
    views = [speed_page_of(line, SpeedReader(unit, "Sam", is_minor=False)) for unit in SPEED]
    assert len({re.sub(r"[\d.]+|m/s|km/h|mph", "", view.answer) for view in views}) == 1
    assert len({tuple(p.ringed for p in view.chart.points) for view in views}) == 1
    assert [view.chart.axis.unit for view in views] == ["m/s", "km/h", "mph"]
    for unit, view in zip(SPEED.values(), views, strict=True):
        assert view.chart.points[0].value == pytest.approx(unit.from_si(line_days(line)[0].figure))


def line_days(line):
    return sorted([*line.days, *line.others], key=lambda each: each.day)


def speed_book_of(line):
    return SpeedBook((line,), 0, None, 0, is_cut=False)


def speed_page_of(line, reader=COACH):
    return speed_page(speed_book_of(line), reader).lines[0]
