"""What the mails say, and the words they never use."""

import re
from dataclasses import replace
from datetime import date

import pytest

from coaching.reminders import text
from coaching.reminders.text import PartWords
from tests import factories
from tests.conftest import signed_in

PART = PartWords(1, 12.0, "wall-back turns", "tail stays on the fence")
LETTERS = {
    "call": text.practice_call(PART, child=""),
    "call for a child": text.practice_call(PART, child="Kim"),
    "offer": text.midweek_offer(PART, visits_left=2, child=""),
    "new week": text.new_week(date(2031, 2, 24), "Slowly.", [PART], child="Kim"),
    "lesson": text.lesson_tomorrow(child="Kim"),
    "test": text.test_tomorrow("nine balls", child="Kim"),
    "coach": text.coach_monday(["Kim: no word"], ""),
    "pain": text.pain_told_to_coach("Kim Kid"),
    "pain, guardian": text.pain_told_to_guardian("Kim"),
}
# From the list of words to avoid: failure, blame, games, clinical tone.
NEVER = {
    "failed",
    "missed",
    "behind",
    "lazy",
    "poor",
    "only",
    "still",
    "streak",
    "badge",
    "compliance",
    "score",
    "overdue",
    "risk",
}


@pytest.mark.parametrize("which", LETTERS)
def test_no_word_of_blame_and_no_minors_name_in_the_subject(which):
    letter = LETTERS[which]
    said = " ".join([letter.subject, *letter.paragraphs, *letter.lines, letter.link_words])
    assert not NEVER & set(re.findall(r"[a-z]+", said.lower()))
    assert "!" not in said
    assert "Kim" not in letter.subject


def test_the_call_is_as_the_sample_has_it():
    assert text.part_sentence(PART) == (
        "Part 1, 12 minutes: wall-back turns. Your words: “tail stays on the fence”."
    )


def test_minutes_are_whole_and_never_none():
    assert text.practice_call(PartWords(2, 0.5, "x", ""), child="").subject.endswith("1 minute")


def test_pain_cannot_be_stopped_and_carries_no_detail():
    assert LETTERS["pain"].must
    assert LETTERS["pain, guardian"].must


def test_the_minutes_of_a_visit_are_one_figure_everywhere(coach, db, wednesday):
    """Ten and a half were ten in the mail, eleven for the coach and 10.5 for a guardian."""
    guardian = factories.make_user("Gail Guardian")
    child = factories.make_child(coach, guardian, name="Ada Child")
    week = factories.make_week(child)
    factories.make_part(week, factories.make_drill(child.studio, "Gate"), minutes=10.5)
    read, plan = signed_in(guardian), signed_in(coach)
    assert "11 min each" in read.get(f"/child/{child.pk}/").text
    assert "about 11 min each time" in read.get(f"/students/{child.pk}/paper/").text
    assert "3 visits of 11 min" in plan.get(f"/students/{child.pk}/week/{week.opens}/").text
    (line,) = text.new_week(week.opens, "", [replace(PART, minutes=10.5)], child="").lines
    assert "11 minutes each time" in line
