"""A note on a session, its answer, seen or not; guardians read everything."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from coaching.messages import queries, services
from coaching.messages.models import KeptWords
from practice.care.models import PainNote
from practice.log.models import Entry, Line, Result
from shared.people.models import Membership
from tests import factories
from tests.conftest import signed_in

pytestmark = pytest.mark.django_db


def note(student, text="Is the ball too far back?", ago=1, drill=None):
    at = timezone.now() - timedelta(days=ago)
    entry = Entry(
        student=student, writer=student.user, day=at.date(), at=at, received_at=at, note=text,
        document={}, fingerprint="0" * 64,
    )  # fmt: skip
    entry.root = entry.pk
    entry.save()
    if drill:
        Result.objects.create(entry=entry, student=student, opens=at.date(), drill=drill)
    return entry


def act(client, entry, do, text=""):
    return client.post(reverse("words:act", args=[entry.pk]), {"do": do, "text": text})


def test_questions_come_first_and_the_oldest_before_the_newer(coach, student):
    note(student, "Felt good.", ago=5)
    note(student, "Why the wall?", ago=1)
    note(student, "Which club?", ago=3)
    waiting = queries.unanswered(coach, timezone.now())
    assert [each.text for each in waiting] == ["Which club?", "Why the wall?", "Felt good."]


@pytest.mark.parametrize("do", ["answer", "seen", "keep"])
def test_what_is_answered_ticked_or_kept_waits_no_more(coach, coach_client, student, do):
    entry = note(student)
    act(coach_client, entry, do, "Two balls forward.")
    assert queries.unanswered(coach, timezone.now()) == []


def answered(entry, coach, hours, text="Yes."):
    line = services.answer(entry=entry, by=coach, text=text)
    Line.objects.filter(pk=line.pk).update(at=entry.received_at + timedelta(hours=hours))


def test_how_long_a_first_answer_took_is_told_in_hours(coach, coach_client, student):
    now = timezone.now()
    assert queries.answered_words(coach, now) == ""
    first = note(student, ago=9)
    answered(first, coach, 2.5)
    answered(first, coach, 100, "And another thing.")
    said = "Usually answered within three hours."
    assert queries.answered_words(coach, now) == said
    for hours in (30, 20):
        answered(note(student, ago=5), coach, hours)
    said = "Usually answered within 20 hours."
    assert queries.answered_words(coach, now) == said
    assert said in coach_client.get(reverse("words:waiting")).content.decode()
    for hours in (219, 219, 219):
        answered(note(student, ago=12), coach, hours)
    assert queries.answered_words(coach, now) == "Usually answered within six days."


def test_an_answer_of_longer_ago_or_to_somebody_elses_student_is_not_counted(coach, student):
    answered(note(student, ago=40), coach, 2)
    other = factories.make_coach()
    answered(note(factories.make_student(other, "Other"), ago=3), other, 2)
    assert queries.answered_words(coach, timezone.now()) == ""


def test_the_student_reads_the_answer_and_the_coach_sees_that_it_was_read(
    coach, coach_client, student, student_client
):
    act(coach_client, note(student), "answer", "Two balls forward.")
    own = reverse("words:own", args=[student.pk])
    assert "Two balls forward." in student_client.get(own).content.decode()
    seen = lambda: queries.of_student(coach, student)[0].answers[0].is_seen  # noqa: E731
    assert not seen()
    student_client.post(reverse("words:read", args=[student.pk]))
    assert seen()


def test_a_changed_session_asks_nothing_anew(coach, student):
    entry = note(student)
    services.answer(entry=entry, by=coach, text="Yes.")
    Entry.objects.filter(pk=entry.pk).update(counts=False)
    changed = note(student, "Is the ball too far back? I think so.")
    Entry.objects.filter(pk=changed.pk).update(root=entry.root)
    assert queries.unanswered(coach, timezone.now()) == []


def test_kept_words_become_the_cue_of_their_drill(coach, coach_client, student):
    drill = factories.make_drill(factories.studio_of(coach))
    act(coach_client, note(student, "“tail on the fence”", drill=drill), "keep")
    kept = KeptWords.objects.get()
    assert (kept.text, kept.drill) == ("tail on the fence", drill)
    assert queries.cues_kept_asked(student).answer == {drill.pk: "tail on the fence"}


def test_words_too_long_for_a_cue_are_refused_and_nothing_is_lost(coach, coach_client, student):
    entry = note(student, "x" * 300)
    answer = coach_client.post(
        reverse("words:act", args=[entry.pk]), {"do": "keep", "text": ""}, follow=True
    )
    assert "Shorten it" in answer.content.decode()
    assert len(queries.unanswered(coach, timezone.now())) == 1


def test_a_guardian_reads_all_and_nobody_writes_in_private(coach, coach_client):
    guardian = factories.make_user("Guardian")
    child = factories.make_child(coach, guardian)
    entry = note(child)
    act(coach_client, entry, "answer", "Two balls forward.")
    page = signed_in(guardian).get(reverse("words:own", args=[child.pk])).content.decode()
    assert "Is the ball too far back?" in page
    assert "Two balls forward." in page
    child.guardianships.update(consents_to_messages=False)
    answer = act(coach_client, entry, "answer", "Only for you.")
    assert answer.status_code == 302
    assert Line.objects.count() == 1


def test_notes_are_for_those_who_read_pain(coach, student):
    entry = note(student)
    studio = factories.studio_of(coach)
    assistant = signed_in(factories.make_coach(studio, Membership.Role.ASSISTANT))
    assert "too far back" not in assistant.get(reverse("words:waiting")).content.decode()
    assert assistant.get(reverse("words:of_student", args=[student.pk])).status_code == 404
    for client in (assistant, signed_in(factories.make_coach()), signed_in(student.user)):
        assert act(client, entry, "answer", "x").status_code == 404


@pytest.mark.parametrize("name", ["waiting", "of_student"])
def test_many_notes_cost_no_more_questions(
    coach, coach_client, student, name, django_assert_max_num_queries
):
    address = reverse(f"words:{name}", args=[] if name == "waiting" else [student.pk])
    note(student)
    coach_client.get(address)
    with django_assert_max_num_queries(20) as few:
        coach_client.get(address)
    for n in range(60):
        services.keep_words(entry=note(student, ago=n % 20), by=coach, text=f"words {n}")
        note(student, ago=n % 20)
    with django_assert_max_num_queries(len(few)):
        coach_client.get(address)


def test_a_note_of_pain_becomes_no_cue_by_one_tap(coach, coach_client, student):
    entry = note(student, "Sharp in the back after the turn")
    PainNote.objects.create(student=student, entry=entry, day=entry.day, level=2)
    page = coach_client.get(reverse("words:waiting")).content.decode()
    assert "Make it a cue</button>" not in page
    answer = coach_client.post(
        reverse("words:act", args=[entry.pk]), {"do": "keep", "text": ""}, follow=True
    )
    assert "This note tells of pain." in answer.content.decode()
    assert not KeptWords.objects.exists()
    # Words of the coach's own are a cue.
    act(coach_client, entry, "keep", "slow turn")
    assert KeptWords.objects.get().text == "slow turn"


def test_a_note_of_a_day_with_pain_comes_first_bears_the_mark_and_becomes_no_cue(
    coach, coach_client, student
):
    """The pain was told beside the visit, not with the note; a question can wait."""
    note(student, "Which club?", ago=3)
    sore = note(student, "wrist a bit sore after", ago=1)
    other = note(student, ago=1)
    PainNote.objects.create(student=student, entry=other, day=sore.day, level=3)
    waiting = queries.unanswered(coach, timezone.now())
    assert waiting[-1].text == "Which club?"
    page = coach_client.get(reverse("words:waiting")).content.decode()
    assert page.index("Pain was told that day.") < page.index("wrist a bit sore after")
    act(coach_client, sore, "keep")
    assert not KeptWords.objects.exists()
