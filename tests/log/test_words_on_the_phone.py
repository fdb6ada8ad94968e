"""Words on the phone: what an answer is under, what is new, and a question about a part."""

from uuid import uuid4

import pytest

from coaching.messages.queries import unanswered
from practice.clips.models import Clip
from practice.log.models import Entry, Line, LogKey
from tests import factories
from tests.conftest import signed_in
from tests.factories import NOON
from tests.log.entries import entry

pytestmark = pytest.mark.django_db


def read(phone, *ids):
    body = {"lines": [str(each) for each in ids]}
    return phone.client.post("/api/read", body, content_type="application/json")


def test_an_answer_names_what_it_is_under_and_is_new_until_it_was_read(phone, student, part, coach):
    one = entry(student, part, note="Is it the hips?")
    phone.receipt(one)
    about = Entry.objects.get(pk=one["id"])
    line = Line.objects.create(student=student, author=coach, text="Yes.", about=about)
    other = Line.objects.create(student=student, author=coach, text="See you.")
    told = {row["id"]: row for row in phone.week().json()["lines"]}
    assert (told[str(line.pk)]["about"], told[str(line.pk)]["new"]) == (one["id"], True)
    assert told[str(other.pk)]["about"] is None
    assert read(phone, line.pk).status_code == 204
    told = {row["id"]: row["new"] for row in phone.week().json()["lines"]}
    assert told == {str(line.pk): False, str(other.pk): True}


def test_nobody_reads_for_another_student_and_a_link_reads_nothing(phone, student, coach):
    other = factories.make_student(coach)
    line = Line.objects.create(student=other, author=coach, text="Yes.")
    assert read(phone, line.pk).status_code == 204
    line.refresh_from_db()
    assert line.seen_at is None
    assert read(phone, "no id").status_code == 400
    assert read(phone, *[uuid4() for _ in range(11)]).status_code == 400
    own = Line.objects.create(student=student, author=coach, text="Yes.")
    LogKey.objects.filter(pk=phone.key.pk).update(is_lasting=False)
    assert read(phone, own.pk).status_code == 403
    own.refresh_from_db()
    assert own.seen_at is None


@pytest.mark.parametrize("has_phone", [True, False])
def test_what_a_guardian_has_read_the_child_has_not(coach, has_phone):
    guardian = factories.make_user("Guardian")
    child = factories.make_child(coach, guardian, with_user=has_phone)
    line = Line.objects.create(student=child, author=coach, text="Yes.")
    client = signed_in(guardian)
    body = {"lines": [str(line.pk)]}
    here = {"HTTP_SEC_FETCH_SITE": "same-origin"}
    address = f"/api/read?student={child.pk}"
    assert client.post(address, body, content_type="application/json", **here).status_code == 204
    client.post(f"/students/{child.pk}/own-words/read/")
    line.refresh_from_db()
    assert bool(line.seen_at) is not has_phone


def test_a_clip_that_was_played_on_the_phone_was_looked_at(phone, student, coach):
    mine, others = (
        Clip.objects.create(
            student=one, author=coach, kind=Clip.Kind.MP4, size=1, digest="0" * 64,
            expires_on="2030-01-01",
        )
        for one in (student, factories.make_student(coach))
    )  # fmt: skip
    body = {"lines": [], "clips": [str(mine.pk), str(others.pk)]}

    def played() -> int:
        sent = phone.client.post("/api/read", body, content_type="application/json")
        for clip in (mine, others):
            clip.refresh_from_db()
        return sent.status_code

    LogKey.objects.filter(pk=phone.key.pk).update(is_lasting=False)
    assert (played(), mine.seen_at) == (403, None)
    LogKey.objects.filter(pk=phone.key.pk).update(is_lasting=True)
    assert played() == 204
    assert mine.seen_at is not None
    assert others.seen_at is None


def test_a_question_about_a_part_comes_with_its_drill_and_is_no_practice(
    phone, student, part, coach
):
    asked = entry(student, b=[], min=None, felt=None, note="Which foot?", about=str(part.pk))
    assert phone.receipt(asked)[0] == "stored"
    (note,) = unanswered(coach, NOON)
    assert (note.text, note.drills) == ("Which foot?", str(part.revision))
    row = phone.week().json()["weeks"][0]["parts"][0]
    assert row["done"] == 0
    assert phone.week().json()["entries"][0]["about"] == str(part.pk)


def test_of_another_students_part_no_name_is_told(phone, student, coach):
    other = factories.make_student(coach)
    theirs = factories.make_part(factories.make_week(other), factories.make_drill(student.studio))
    phone.receipt(entry(student, b=[], min=None, felt=None, note="?", about=str(theirs.pk)))
    assert unanswered(coach, NOON)[0].drills == ""
