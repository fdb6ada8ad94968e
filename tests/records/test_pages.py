"""Who may take a copy or ask for the end, what they are asked, and how it is taken back."""

import csv
import io
import json
from datetime import timedelta
from zipfile import ZipFile

import pytest
from django.core import mail
from django.urls import reverse

from coaching.forecast.interventions import write_tried
from coaching.lessons.models import Lesson
from coaching.records import asking, export
from coaching.records.export import cell, copy_of
from coaching.records.kinds import OF_STUDENT, OF_USER
from coaching.records.models import Erasure
from coaching.records.text import TITLES
from practice.care.models import PainLook, PainNote
from practice.log.services import write_line
from shared.outbox import send
from shared.people import consent, guardians
from shared.people.models import AccountMail, Membership, SecurityEvent, Student
from tests import factories
from tests.compliance.logs import make_entry
from tests.conftest import messages_on, signed_in
from tests.records.canaries import plant

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(coach):
    return factories.make_coach(factories.studio_of(coach), Membership.Role.OWNER, name="Owner")


@pytest.fixture
def proved(monkeypatch):
    """They have just entered a code."""
    monkeypatch.setattr("shared.people.prove_views.proved_lately", lambda request: True)


def copy_page(student) -> str:
    return reverse("records:export", args=[student.pk])


def erase_page(student) -> str:
    return reverse("records:erase", args=[student.pk])


# --- the copy -----------------------------------------------------------------------------


def opened(answer) -> ZipFile:
    content = b"".join(answer.streaming_content)
    for close in answer._resource_closers:
        close()
    return ZipFile(io.BytesIO(content))


def records(box: ZipFile, name: str) -> list[dict]:
    return [json.loads(line) for line in box.read(f"{name}.jsonl").decode().splitlines()]


def test_who_asks_must_say_again_who_they_are(student, owner):
    for client in (signed_in(student.user), signed_in(owner)):
        for page in (copy_page(student), erase_page(student)):
            for answer in (client.get(page), client.post(page, {"sure": "on"})):
                assert answer.status_code == 302
                assert answer["Location"].startswith("/account/")
    assert not Erasure.objects.exists()


def test_the_copy_holds_what_is_kept_and_is_written_down(student, coach, proved):
    write_line(student=student, author=coach, text="Slower back, Sam.")
    answer = signed_in(student.user).post(copy_page(student))
    assert answer["Content-Disposition"].startswith("attachment")
    assert "no-store" in answer["Cache-Control"] or "private" in answer["Cache-Control"]
    box = opened(answer)
    assert box.testzip() is None
    (line,) = records(box, "line")
    assert (line["text"], line["author"]) == ("Slower back, Sam.", "somebody of the studio")
    (sheet,) = csv.DictReader(io.StringIO(box.read("line.csv").decode()))
    assert sheet["text"] == "Slower back, Sam."
    assert "messages from coaches" in box.read("README.txt").decode()
    event = SecurityEvent.objects.get(kind="copied")
    assert (event.by, event.whom) == (student.user_id, student.pk)


def test_nothing_of_others_is_in_the_copy(coach, wednesday):
    student = factories.make_student(coach, "Sam Sample")
    mate = factories.make_student(coach, "Group Mate")
    group = factories.studio_of(coach).groups.create(name="Juniors", made_by=coach)
    group.students.add(student, mate)
    met = group.sessions.create(day=factories.MONDAY, minutes=60, by=coach)
    met.attended.create(student=student)
    met.attended.create(student=mate)
    Lesson.objects.create(student=student, coach=coach, at=factories.NOON, private="Between us")
    write_tried(student=student, by=coach, what="called", note="His father answered")
    with copy_of(student, factories.MONDAY) as file:
        box = ZipFile(file)
        said = b"".join(box.read(name) for name in box.namelist()).decode()
        assert [row["session__day"] for row in records(box, "attended")] == ["2031-02-24"]
    for word in ("Group Mate", "Between us", "His father", coach.name, coach.email, str(mate.pk)):
        assert word not in said, word


def test_the_studios_copy_leaves_out_sign_ins_and_the_look_at_pain_is_kept(
    student, owner, proved, coach
):
    told = make_entry(student)
    PainNote.objects.create(student=student, entry=told, day=told.day, where="knee", level=3)
    theirs = opened(signed_in(student.user).post(copy_page(student)))
    assert {"user.jsonl", "session.jsonl", "pain_note.jsonl"} <= set(theirs.namelist())
    assert not PainLook.objects.exists()
    studios = opened(signed_in(owner).post(copy_page(student)))
    of_user = {f"{kind.name}.{end}" for kind in OF_USER for end in ("csv", "jsonl")}
    assert not of_user & set(studios.namelist())
    look = PainLook.objects.get()
    assert (look.student, look.by, look.page) == (student, owner, "A copy of everything")


def test_every_kind_that_is_copied_is_in_it():
    """With the planted words in it, and a title for each in the README."""
    copied = [kind for kind in (*OF_STUDENT, *OF_USER) if not kind.not_copied]
    assert {kind.name for kind in copied} == set(TITLES), "say in text.py what a file holds"
    planted = plant()
    with copy_of(Student.objects.get(pk=planted["student"]), factories.MONDAY) as file:
        box = ZipFile(file)
        names = set(box.namelist())
        said = b"".join(box.read(name) for name in names).decode()
        readme = box.read("README.txt").decode()
    for kind in copied:
        assert {f"{kind.name}.jsonl", f"{kind.name}.csv"} <= names, kind.name
        assert f"{kind.name}: {TITLES[kind.name]}" in readme
        for field in kind.model._meta.concrete_fields:
            word = planted["fields"].get(f"{kind.label}.{field.name}")
            if word and not field.name.startswith(("still",)):
                left_out = field.name in kind.hidden | kind.secret
                assert (word in said) != left_out, f"{kind.name}.{field.name}"


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_a_sheet_takes_no_text_for_a_formula(start):
    """OWASP, CSV Injection: these begin one in common sheets."""
    assert cell(f"{start}1+1") == f"'{start}1+1"
    assert cell(-3) == -3
    assert cell("1") == "1"


def test_never_more_than_one_chunk_is_held(student, coach, monkeypatch):
    for number in range(7):
        write_line(student=student, author=coach, text=f"Line {number}")
    monkeypatch.setattr(export, "CHUNK", 3)
    with copy_of(student, factories.MONDAY) as file:
        assert len(records(ZipFile(file), "line")) == 7


def test_a_full_disk_is_said(student, proved, monkeypatch):
    def full(*_, **__):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("coaching.records.views.copy_of", full)
    answer = signed_in(student.user).post(copy_page(student))
    assert answer.status_code == 507
    assert "no room on the disk" in answer.content.decode()


# --- its end ------------------------------------------------------------------------------


def test_asked_told_and_taken_back(student, coach, owner, proved, wednesday):
    client = signed_in(student.user)
    refused = client.post(erase_page(student), {"why": "I move away"})
    assert "Tick this line first" in refused.content.decode()
    assert "I move away" in refused.content.decode()
    client.post(erase_page(student), {"why": "I move away", "sure": "on"})
    page = client.get(erase_page(student)).content.decode()
    assert "will be erased on Wednesday, 5 March 2031" in page
    wednesday.shift(timedelta(seconds=1))
    send.send_due()
    assert {to for each in mail.outbox for to in each.to} == {student.user.email, owner.email}
    assert "Sam" not in mail.outbox[0].subject
    assert reverse("records:erase", args=[student.pk]) in mail.outbox[0].body
    answer = client.post(reverse("records:take_back", args=[student.pk]), follow=True)
    assert "Nothing is erased" in messages_on(answer)
    assert asking.open_of(student) is None
    assert list(SecurityEvent.objects.filter(kind="erasing").values_list("what", flat=True)) == [
        "asked for",
        "taken back",
    ]


def test_what_the_family_asked_the_studio_cannot_take_back(coach, owner, proved):
    guardian = factories.make_user("Guardian")
    child = factories.make_child(coach, guardian)
    signed_in(guardian).post(erase_page(child), {"sure": "on"})
    back = reverse("records:take_back", args=[child.pk])
    assert signed_in(owner).post(back).status_code == 404
    assert "only the family" in signed_in(owner).get(erase_page(child)).content.decode()
    assert signed_in(guardian).post(back).status_code == 302


def test_what_the_owner_asked_the_family_can_take_back(coach, owner, proved):
    guardian = factories.make_user("Guardian")
    child = factories.make_child(coach, guardian)
    signed_in(owner).post(erase_page(child), {"sure": "on"})
    signed_in(guardian).post(reverse("records:take_back", args=[child.pk]))
    assert asking.open_of(child) is None


def test_what_the_family_asks_is_the_familys_even_if_the_studio_asked_before(coach, owner, proved):
    guardian = factories.make_user("Guardian")
    child = factories.make_child(coach, guardian)
    signed_in(owner).post(erase_page(child), {"sure": "on"})
    signed_in(guardian).post(erase_page(child), {"sure": "on"})
    back = reverse("records:take_back", args=[child.pk])
    assert signed_in(owner).post(back).status_code == 404
    assert asking.open_of(child).asked_by == guardian


def test_taking_the_guardian_off_takes_nothing_back(coach, owner, proved):
    """Else the studio could undo what the family asked, guardian by guardian."""
    child = factories.make_child(coach)
    asker = child.guardianships.get()
    consent.tie(child, factories.make_user("Other"), messages=True, clips=False)
    signed_in(asker.user).post(erase_page(child), {"sure": "on", "why": "We move."})
    guardians.take_off(asker, why="They moved away.")
    page = f"/students/{child.pk}/erase/back/"
    waiting = asking.open_of(child)
    assert waiting is not None
    assert not asking.may_take_back(owner, waiting)
    assert signed_in(owner).post(page).status_code == 404


def test_the_family_is_told_of_a_copy_that_the_studio_took(coach, owner, proved):
    child = factories.make_child(coach, with_user=False)
    opened(signed_in(owner).post(copy_page(child)))
    (told,) = AccountMail.objects.all()
    assert told.address == child.guardianships.get().user.email
    opened(signed_in(child.guardianships.get().user).post(copy_page(child)))
    assert AccountMail.objects.count() == 1


def test_asked_twice_the_first_stands(student, coach):
    first = asking.ask(student=student, by=student.user)
    assert asking.ask(student=student, by=coach) == first


def test_a_child_alone_cannot_and_a_coach_cannot(coach, proved):
    child = factories.make_child(coach, factories.make_user("Guardian"))
    for user in (child.user, coach, factories.make_coach(name="Elsewhere")):
        for page in (copy_page(child), erase_page(child)):
            assert signed_in(user).get(page).status_code == 404


def test_a_guardian_who_withdrew_and_a_student_who_left_still_can(coach, proved):
    guardian = factories.make_user("Guardian")
    child = factories.make_child(coach, guardian)
    child.guardianships.update(withdrawn_at=factories.NOON)
    left = factories.make_student(coach, "Left", left_on=factories.MONDAY)
    assert opened(signed_in(guardian).post(copy_page(child))).testzip() is None
    assert opened(signed_in(left.user).post(copy_page(left))).testzip() is None
    assert copy_page(left) in signed_in(left.user).get(reverse("settings")).content.decode()
