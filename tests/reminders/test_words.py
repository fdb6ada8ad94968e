"""What the mails say, and the words they never use."""

import re
from datetime import date

import pytest

from coaching.reminders import text
from coaching.reminders.text import PartWords

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
