"""The week that a lesson suggests begins from what the student usually does in one.

House rule (common practice, no source): it fits up to 1.2 times the usual minutes."""

from uuid import uuid4

import pytest

from coaching.lesson_day.proposal import PartChoice, ProposalRow, within_usual
from coaching.lessons.carry import Carry, carried
from practice.drills.dose import parse
from practice.weeks.plan import PartSpec


def row(name, minutes, sessions=2, suggested=Carry.KEEP, *, is_new=False):
    spec = PartSpec(uuid4(), parse("20 balls"), sessions, minutes)
    choices = tuple(
        PartChoice(each, carried(spec, each), each is suggested)
        for each in (Carry.RAISE, Carry.KEEP, Carry.LOWER, Carry.SHRINK, Carry.DROP)
    )
    return ProposalRow(str(spec.drill), name, is_new, "", "As it was.", "", choices)


def suggested(rows, usual):
    return [each.choice("").carry for each in within_usual(rows, usual)]


def minutes(rows):
    return sum(each.choice("").minutes for each in rows)


def test_a_new_drill_on_top_of_a_usual_week_asks_the_last_parts_less_often():
    """148.5 minutes were proposed to one who usually does 90."""
    rows = [row("New", 19.5, 3, is_new=True), row("Gate", 20, 3), row("Wedges", 15, 2)]
    assert minutes(rows) == 148.5
    found = within_usual(rows, 90)
    assert [each.choice("").carry for each in found] == [Carry.KEEP, Carry.SHRINK, Carry.SHRINK]
    assert minutes(found) <= 1.2 * 90 + 6
    assert found[2].reason == "The whole week is above the usual. Fewer times would fit."
    assert found[0].reason == "As it was."


@pytest.mark.parametrize(
    ("usual", "carries"),
    [
        (None, [Carry.RAISE, Carry.RAISE]),  # No usual yet.
        (90, [Carry.RAISE, Carry.RAISE]),
        (70, [Carry.RAISE, Carry.KEEP]),  # 44 + 40 of 84.
        (66.7, [Carry.KEEP, Carry.KEEP]),  # 80 of 80.
        (55, [Carry.KEEP, Carry.SHRINK]),  # 40 + 20 of 66.
        (10, [Carry.SHRINK, Carry.SHRINK]),  # Nothing is left out by this.
    ],
)
def test_no_more_is_asked_before_the_week_fits(usual, carries):
    rows = [row("Gate", 20, 2, Carry.RAISE), row("Wedges", 20, 2, Carry.RAISE)]
    assert suggested(rows, usual) == carries


def test_what_was_lowered_left_out_or_swapped_stays():
    rows = [row("Gate", 20, 2, Carry.LOWER), row("Wedges", 20, 2, Carry.DROP)]
    assert suggested(rows, 5) == [Carry.LOWER, Carry.DROP]


def test_every_choice_is_still_there_and_one_is_suggested():
    found = within_usual([row("Gate", 20, 3)], 10)
    assert len(found[0].choices) == 5
    assert sum(each.is_suggested for each in found[0].choices) == 1
