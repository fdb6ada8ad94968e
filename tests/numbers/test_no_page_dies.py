"""No page of the numbers dies of a measure: whatever was logged, it has an answer in words."""

from datetime import date, timedelta
from uuid import UUID

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from practice.measures.usual import HOUSE, DaySpread, UsualPrior
from practice.numbers.ladder.pages import ladder_page
from practice.numbers.ladder.queries import DrillFacts, LadderFacts
from practice.numbers.ladder.steps import Count
from practice.numbers.ladder.table import ladders
from practice.numbers.moved.answer import moved_parts
from practice.numbers.moved.pages import MovedReader, moved_page, own_moved_page
from practice.numbers.moved.queries import AskedDrill, AskedWeek, DayCount, DayMiss, MovedFacts
from practice.numbers.now.numbers_of import numbers_of
from practice.numbers.speed.book import speed_book
from practice.numbers.speed.pages import own_speed_page, speed_page
from practice.numbers.speed.queries import JoinedLine, SpeedDay, SpeedFacts
from practice.numbers.speed.text import SpeedReader
from practice.numbers.wedges.card import wedge_card, what_to_hit
from practice.numbers.wedges.facts import Ball, BallSeries, WedgeFacts
from practice.numbers.wedges.pages import Reader as WedgeReader
from practice.numbers.wedges.pages import wedge_page
from practice.shots.models import LENGTHS, Club

TODAY = date(2031, 2, 26)
ONE = UUID(int=1)
LINE = JoinedLine("ball_speed", "box", "", "bay", "", "Driver")
# Many alike, few, or none: what makes a spread zero or a fit run off.
speeds = st.floats(5, 95) | st.sampled_from([60.0, 60.5])
carries = st.floats(1, 250) | st.sampled_from([60.0, 61.0])
counts = st.integers(0, 12).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))
spreads = st.builds(
    DaySpread, st.floats(0, 5), st.floats(0.5, 500), st.floats(0, 0.9), st.integers(0, 60)
)
# The house's own always has a part in it (`spread_of_days`), so that of speeds is above zero.
of_speeds = st.builds(DaySpread, st.floats(0.01, 5), st.floats(0.5, 500), st.floats(0, 0.9))
usuals = st.just(HOUSE) | st.builds(UsualPrior, of_speeds, of_speeds, spreads, spreads, spreads)


def back(days: int) -> date:
    return TODAY - timedelta(days=days)


@st.composite
def speed_facts(draw):
    swings = draw(st.lists(st.lists(speeds, min_size=1, max_size=8), min_size=1, max_size=20))
    apart = draw(st.integers(1, 20))
    days = tuple(
        SpeedDay(back(apart * ago), tuple(each), draw(st.booleans()) and ago == 2)
        for ago, each in zip(range(len(swings) - 1, -1, -1), swings, strict=True)
    )
    aims = draw(st.just({}) | st.builds(lambda aim: {"ball_speed": aim}, speeds))
    return SpeedFacts(((LINE, days),), None, aims, 0, False, draw(usuals))


@st.composite
def wedge_facts(draw):
    clubs = (Club(pk=ONE, name="54°", loft=54.0), Club(pk=UUID(int=2), name="50°", loft=None))
    rows = draw(st.lists(st.tuples(carries, st.integers(0, 120), st.integers(0, 5)), max_size=60))
    balls = [
        Ball(
            clubs[kind % 2].pk,
            ("", *LENGTHS)[kind % 4],
            carry,
            draw(st.none() | st.floats(-30, 30) | st.just(0.0)),
            (None, 60.0, 80.0, 100.0, 40.0, 60.0)[kind],
            back(ago),
            kind == 3,
        )
        for carry, ago, kind in rows
    ]
    newest_first = tuple(sorted(balls, key=lambda ball: -ball.day.toordinal()))
    series = BallSeries("box", "", "", "") if balls else None
    return WedgeFacts(clubs, series, (), newest_first, 0, False, draw(usuals).carries)


@st.composite
def ladder_facts(draw):
    def some():
        rows = st.lists(
            st.tuples(st.sampled_from(range(0, 105, 5)), counts, st.integers(0, 20)), max_size=25
        )
        return [Count(effort, k, n, back(ago)) for effort, (k, n), ago in draw(rows)]

    pairs = [(k, n - k, n) for k, n in draw(st.lists(counts, max_size=4))]
    line = draw(st.integers(0, 100))
    facts = DrillFacts(
        ONE, "Ladder", line, some(), some(), pairs, [[True] * 7] * draw(st.integers(0, 9))
    )
    return LadderFacts((facts,), draw(usuals).reps)


@st.composite
def moved_facts(draw):
    weeks = [AskedWeek(back(7 * n), 40.0, 40.0 * draw(st.floats(0, 1))) for n in range(4, 0, -1)]
    part = AskedDrill(ONE, "Turn", 1, weeks, ONE, "Ten balls", test_is_speed=False)
    part.minutes = {back(n): float(n % 50) for n in range(draw(st.integers(0, 90)))}
    if draw(st.booleans()):
        part.counts = [
            DayCount(back(ago), str(step), k, n, is_checked=ago % 2 == 0)
            for ago, step, (k, n) in draw(
                st.lists(st.tuples(st.integers(0, 100), st.integers(0, 2), counts), max_size=30)
            )
            if n
        ]
    else:
        found = draw(
            st.dictionaries(st.integers(0, 100), st.lists(carries, min_size=1), max_size=20)
        )
        part.misses = [
            DayMiss(back(ago), tuple(each), is_seen=False) for ago, each in found.items()
        ]
    return MovedFacts((part,), None, draw(usuals))


@settings(max_examples=15, deadline=None)
@given(speed_facts(), st.booleans())
def test_speed(facts, is_minor):
    book = speed_book(facts)
    reader = SpeedReader("mph", "Sam", is_minor)
    assert all(line.answer for line in speed_page(book, reader).lines)
    assert all(line.answer for line in own_speed_page(book, reader).lines)
    assert numbers_of(
        book, wedge_card(WedgeFacts((), None, (), (), 0, False, HOUSE.carries), TODAY)
    )


@settings(max_examples=40, deadline=None)
@given(wedge_facts(), st.floats(1, 300))
def test_wedges(facts, metres):
    card = wedge_card(facts, TODAY)
    found = what_to_hit(facts, card, metres)
    for is_own in (True, False):
        assert wedge_page(card, found, WedgeReader("yd", is_own=is_own)).answer


@settings(max_examples=40, deadline=None)
@given(ladder_facts())
def test_ladder(facts):
    found = ladders(facts, TODAY)
    for is_own in (True, False):
        for drill in ladder_page(found, is_own=is_own).drills:
            assert drill.answer


@settings(max_examples=40, deadline=None)
@given(moved_facts())
def test_what_moved(facts):
    parts = moved_parts(facts, is_minor=False)
    reader = MovedReader(SpeedReader("mph", "", False), "m")
    assert moved_page(parts, reader).answer
    assert all(part.answer for part in own_moved_page(parts, reader).parts)


@pytest.mark.parametrize("clean", [(8, 8, 50), (10, 10, 70), (2, 4, 90), (0, 20, 100)])
def test_what_once_ended_a_ladder_has_an_answer(clean):
    k, n, effort = clean
    rows = [Count(effort, k, n, back(1)), Count(40, 12, 12, back(2))]
    facts = LadderFacts((DrillFacts(ONE, "Ladder", 80, rows),), HOUSE.reps)
    assert ladder_page(ladders(facts, TODAY), is_own=False).drills[0].answer
