"""What the mails say, and the words they never use."""

import re
from dataclasses import dataclass, replace
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


@dataclass
class Wrote:
    what: str
    text: str = ""
    by: str = "Ana Coach"


@pytest.mark.parametrize(
    ("what", "words", "child", "said"),
    [
        ("line", "Both feet.", "", "Ana Coach wrote: “Both feet.”"),
        ("answer", "Both feet.", "", "Ana Coach answered: “Both feet.”"),
        (
            "answer",
            "",
            "",
            "Ana Coach has answered. The words are on the page, not in this mail.",
        ),
        ("report", "", "", "Ana Coach has sent a report."),
        ("report", "", "Kim", "Ana Coach has sent a report about Kim."),
        ("clip", "", "", "Ana Coach has sent a clip."),
        ("clip", "Hands", "", "Ana Coach has sent a clip: “Hands”"),
        ("change", "The week was changed.", "", "The week was changed."),
    ],
)
def test_what_was_written_is_said_or_where_it_is(what, words, child, said):
    assert text.written(Wrote(what, words), child=child) == said


@pytest.mark.parametrize(
    ("items", "child", "subject", "by", "button"),
    [
        ([Wrote("line")], "", "A few words from your coach", "Ana Coach", "Read it on the page"),
        ([Wrote("line")], "Kim", "A few words from the coach", "Ana Coach", "Read it on the page"),
        ([Wrote("clip"), Wrote("line", by="B")], "", "From your coach", "", "Read it on the page"),
        ([Wrote("change", by="")], "", "A changed week from your coach", "", "Look at the week"),
        ([Wrote("change", by=""), Wrote("line", by="")], "Kim", "From the coach", "",
         "Read it on the page"),
    ],
)  # fmt: skip
def test_a_mail_of_the_coachs_is_in_one_name_and_says_what_it_is(items, child, subject, by, button):
    letter = text.from_the_coach(items, child=child)
    assert (letter.subject, letter.by, letter.link_words) == (subject, by, button)
    assert (letter.paragraphs[0] == "For Kim:") is bool(child)
    assert len(letter.paragraphs) == len(items) + bool(child)


def test_what_a_locked_screen_shows_names_nobody():
    call = text.practice_call(PART, child="Kim")
    assert call.short == "Part 1, 12 minutes: wall-back turns."
    assert text.with_plan(call, "") == call
    assert text.with_plan(call, "After school.").short == "After school."
    assert text.with_written(call, [], child="Kim").short == call.short
    more = text.with_written(call, [Wrote("line", "Both feet.")], child="Kim")
    assert more.short == f"{call.short} There is something new from the coach too."
    assert more.paragraphs == (*call.paragraphs, "Ana Coach wrote: “Both feet.”")
    assert (
        text.midweek_offer(PART, visits_left=1, child="").short == "Part 1 alone takes 12 minutes."
    )
    said = " ".join(text.midweek_offer(PART, visits_left=1, child="").paragraphs)
    assert said.startswith("1 visit is left this week.")


def test_a_part_without_a_cue_says_no_words_and_one_with_a_place_says_it():
    bare = PartWords(2, 8, "gate", "", "in the garage")
    assert text.part_sentence(bare) == "Part 2, 8 minutes, in the garage: gate."


def test_a_new_week_says_it_differently_for_a_child_and_without_a_note():
    own = text.new_week(date(2031, 2, 24), "", [PART], child="")
    assert (own.subject, len(own.paragraphs)) == ("Your new week is here", 1)
    assert LETTERS["new week"].subject == "The new week is here"
    assert LETTERS["new week"].paragraphs[2] == "Your coach’s words: “Slowly.”"


def test_the_summary_begins_with_the_week_before_where_there_was_one():
    assert len(LETTERS["coach"].paragraphs) == 1
    assert text.coach_monday([], "Last week 1.").paragraphs[0] == "Last week 1."


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
