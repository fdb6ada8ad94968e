"""Why work counts as it does: each reason with its days and amounts, and nothing beside them.

The figures are worked by hand from the house's rules of credit.
"""

from practice.compliance.notes import notes_of
from practice.compliance.parts import AskedPart, LoggedBlock, LoggedStep, credit_of
from practice.drills.dose import parse

PART = AskedPart(parse("10 balls"), sessions=2, minutes=5)


def block(day: int, balls: float = 10, **more) -> LoggedBlock:
    return LoggedBlock(day, (LoggedStep(balls),), **more)


def notes(*blocks: LoggedBlock, part: AskedPart = PART) -> list[tuple]:
    found = notes_of(part, part, blocks, credit_of(part, blocks))
    return [(each["kind"], each["days"], each["done"], each["counted"]) for each in found]


def test_what_a_note_has_no_figure_for_is_zero():
    assert notes(block(-1), block(7)) == [("early", [-1], 0, 0), ("make_up", [7], 0, 0)]
    assert notes(block(0, stopped=True), block(3)) == [("stop_rule", [0], 0, 0)]


def test_the_opening_day_and_the_last_are_neither_early_nor_made_up():
    assert notes(block(0), block(6)) == []


def test_a_swap_from_the_list_and_one_that_was_accepted_are_told_apart():
    swapped = block(1, is_swap=True)
    accepted = block(2, is_swap=True, accepted=True)
    assert notes(swapped) == [("swap", [1], 10, 10)]
    assert notes(accepted) == [("accepted", [2], 10, 10)]
    assert notes(accepted, swapped) == [("swap", [1], 10, 10), ("accepted", [2], 10, 10)]


def test_a_day_counts_up_to_one_and_a_half_sessions():
    """15 of 18 count that day; with 5 more the week is full, and nothing is said of it."""
    assert notes(block(2, 15)) == []
    assert notes(block(2, 18), block(3, 5)) == [("day_line", [2], 18, 15)]


def test_more_than_the_week_asks_for_is_beyond():
    assert notes(block(1), block(2), block(3, 4)) == [("beyond", [], 4, 0)]


def test_halves_of_two_days_are_pooled():
    assert notes(block(1, 5), block(4, 5)) == [("pooled", [1, 4], 2, 1)]
    assert notes(block(1, 5)) == []
