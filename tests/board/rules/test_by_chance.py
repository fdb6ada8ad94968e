"""How many of the flags on a board chance alone would make."""

import pytest

from coaching.board.rules.by_chance import ByChance, Looked, by_chance, looked_at
from coaching.board.rules.trend import CreditTrend, Word
from tests.board.rules.make import facts

SLIDE, FLAT = CreditTrend(word=Word.SLIDE, p=0.001), CreditTrend(word=Word.NEITHER, p=0.4)


def students(slides, flat, young=0):
    trends = [SLIDE] * slides + [FLAT] * flat + [CreditTrend()] * young
    return [looked_at(facts(trend=each)) for each in trends]


@pytest.mark.parametrize(
    ("slides", "flat", "young", "words"),
    [
        (6, 14, 9, "Six lines rest on a trend or a test. About one may be chance."),
        (6, 34, 0, "Six lines rest on a trend or a test. About two may be chance."),
        (3, 2, 40, "Three lines rest on a trend or a test. Fewer than one is likely to be chance."),
        # Chance alone would make more than there are.
        (1, 99, 0, "One line rests on a trend or a test. That can be chance."),
        (0, 60, 0, ""),
    ],
)
def test_one_in_twenty_of_those_who_can_be_told_of_a_slide(slides, flat, young, words):
    assert by_chance(students(slides, flat, young)).words == words


def test_nobody_has_no_flags():
    assert by_chance([]) == ByChance(0, 0.0)


@pytest.mark.parametrize(
    ("looked", "flags", "expected"),
    [
        (Looked(slides=False, moved=None, drill=False), 0, 0.05),
        (Looked(slides=None, moved=False, drill=False), 0, 0.05),
        (Looked(slides=None, moved=True, drill=False), 1, 0.05),
        (Looked(slides=True, moved=True, drill=True), 3, 0.2),
        (Looked(slides=None, moved=None, drill=True), 1, 0.1),
        (Looked(slides=None, moved=None, drill=False), 0, 0),
    ],
)
def test_each_verdict_is_wrong_as_often_as_it_says(looked, flags, expected):
    found = by_chance([looked])
    assert (found.flags, found.expected) == (flags, pytest.approx(expected))
    assert looked.is_flagged is (flags > 0)
