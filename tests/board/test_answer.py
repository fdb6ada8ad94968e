"""A question that waits for an answer: its student is among those who need the coach."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from coaching.board.queries import board, everybody
from coaching.messages import services
from practice.log.models import Entry
from tests.messages.test_words import note

pytestmark = pytest.mark.django_db


def group_of(coach, student):
    shown = board(coach, timezone.now())
    [title] = [g.title for g in shown.groups for row in g.rows if row.id == str(student.pk)]
    return str(title)


def line_of(coach, student):
    [(_, said)] = [pair for pair in everybody(coach, timezone.now()) if pair[0].id == student.pk]
    return said


@pytest.fixture
def sent(coach, student):
    """A student whose week leaves nothing to do."""
    today = timezone.now().date()
    first, last = today - timedelta(days=7), today + timedelta(days=14)
    student.excusals.create(first=first, last=last, told_by=coach)
    return student


def test_a_question_puts_its_student_among_those_to_act_for(coach, sent):
    assert group_of(coach, sent) == "Nothing needed"
    note(sent, "It felt good.")
    assert group_of(coach, sent) == "Nothing needed"
    note(sent)
    assert group_of(coach, sent) == "Act"
    said = line_of(coach, sent)
    assert said.because.startswith("a question waits since ")
    assert len(said.because.split()) <= 9
    assert said.reason.startswith("A question waits for an answer. Excused")
    assert said.action == "Answer the question."


@pytest.mark.parametrize("do", ["answer", "tick"])
def test_answered_or_ticked_nothing_is_needed(coach, sent, do):
    entry = note(sent)
    assert group_of(coach, sent) == "Act"
    if do == "answer":
        services.answer(entry=entry, by=coach, text="Two balls forward.")
    else:
        services.tick(entry=entry, by=coach)
    assert group_of(coach, sent) == "Nothing needed"


def test_a_question_of_a_month_ago_waits_no_more(coach, sent):
    note(sent, ago=29)
    assert group_of(coach, sent) == "Act"
    Entry.objects.all().delete()
    note(sent, ago=31)
    assert group_of(coach, sent) == "Nothing needed"


def test_without_a_word_for_days_the_question_is_said_first(coach, student):
    note(student, ago=20)
    said = line_of(coach, student)
    assert said.because.startswith("a question waits since ")
    assert said.since.startswith("since ")


def test_its_one_tap_leads_to_the_words(coach, coach_client, sent):
    note(sent)
    page = coach_client.get(reverse("board:who")).content.decode()
    assert f'href="{reverse("words:of_student", args=[sent.pk])}">Answer' in page
    assert "Is the ball too far back?" not in page
