"""What is over goes by itself and nothing else does; a student is asked for, never just taken."""

import io
from datetime import timedelta

import pytest
from django.conf import settings
from django.core.files.storage import FileSystemStorage, storages
from django.core.management import call_command
from django.utils import timezone

from coaching.records import asking, ends, retention
from coaching.records.kinds import KINDS
from coaching.records.models import Erased, Erasure
from coaching.records.retention import RULES, forget
from practice.care.models import PainNote, Stop
from practice.flows import stop as care
from practice.flows.take_entry import STORED, Sender, receive_one
from practice.log.models import Entry, LogKey, PhoneOffer
from shared.backups.services import brought_back, is_too_old
from shared.jobs.models import Sweep
from shared.people import access
from shared.people.models import (
    AccountMail,
    Ended,
    Invitation,
    MailedCode,
    SecurityEvent,
    Student,
    User,
    UserSession,
)
from tests import factories
from tests.conftest import messages_on, signed_in
from tests.log.entries import entry

pytestmark = pytest.mark.django_db
KEEP = settings.KEEP_DAYS


def ago(days: float):
    return timezone.now() - timedelta(days=days)


def test_the_name_of_every_rule_fits_its_column():
    """SQLite keeps a longer one; PostgreSQL refuses it, and nothing is forgotten any more."""
    most = Sweep._meta.get_field("name").max_length
    assert [name for rule in RULES if len(name := f"forget {rule.name}") > most] == []


def test_what_the_list_names_has_a_rule():
    named = {kind.kept for kind in KINDS if kind.kept}
    rules = {rule.name for rule in RULES}
    assert named - rules == set()
    of_no_kind = {
        "erasures",
        "records that were closed",
        "grown children who do not answer",
        "offers of a phone",
    }
    assert rules - named == of_no_kind


def test_a_student_who_left_is_asked_for_told_and_then_gone(coach, student, wednesday):
    left_on = ago(KEEP["left"] + 1).date()
    Student.objects.filter(pk=student.pk).update(left_on=left_on)
    lately = factories.make_student(coach, "Lately", left_on=ago(KEEP["left"] - 1).date())
    present = factories.make_student(coach, "Present")
    forget()
    erasure = Erasure.objects.get()
    assert (erasure.student, erasure.asked_by) == (student, None)
    assert "Left more than 730 days ago." in erasure.why
    assert AccountMail.objects.filter(address=student.user.email).exists()
    wednesday.shift(timedelta(days=settings.ERASURE_WAITS_DAYS, minutes=-1))
    forget()
    assert Student.objects.filter(pk=student.pk).exists()
    wednesday.shift(timedelta(minutes=2))
    forget()
    assert set(Student.objects.all()) == {lately, present}
    assert Erased.objects.filter(kind="student").count() == 1


def test_what_was_taken_back_is_not_asked_for_again_at_once(student, wednesday):
    Student.objects.filter(pk=student.pk).update(left_on=ago(KEEP["left"] + 1).date())
    forget()
    asking.take_back(Erasure.objects.get())
    wednesday.shift(timedelta(days=KEEP["left"] - 1))
    forget()
    assert asking.open_of(student) is None
    wednesday.shift(timedelta(days=2))
    forget()
    assert asking.open_of(student) is not None


def test_a_closed_record_is_asked_for_after_a_month(coach, wednesday):
    children = [factories.make_child(coach, name=name) for name in ("Old", "New", "Open")]
    for child, days in zip(children, (KEEP["withdrawn"] + 1, 1), strict=False):
        child.guardianships.update(withdrawn_at=ago(days))
    forget()
    assert Erasure.objects.get().student == children[0]


def test_a_child_whom_nobody_confirms_or_answers_for_is_asked_for(coach, wednesday):
    new, old, alone = (factories.make_child(coach, name=name) for name in ("New", "Old", "Alone"))
    Student.objects.exclude(pk=alone.pk).update(awaits_second_adult=True)
    new.guardianships.update(consented_at=ago(KEEP["withdrawn"] - 1))
    old.guardianships.update(consented_at=ago(KEEP["withdrawn"] + 1))
    alone.guardianships.update(ended_at=ago(KEEP["withdrawn"] + 1))
    forget()
    assert {each.student for each in Erasure.objects.all()} == {old, alone}


@pytest.mark.parametrize("more", [-1, 1])
def test_a_grown_child_who_never_answers_is_asked_for(coach, wednesday, more):
    child = factories.make_child(coach, born_year=2005)
    day = (ago(KEEP["left"] + more) - access.GRACE).date()
    Student.objects.filter(pk=child.pk).update(turns_18_on=day)
    forget()
    assert Erasure.objects.exists() is (more > 0)


def test_a_guardian_who_consents_again_stops_it(coach, wednesday):
    child = factories.make_child(coach)
    child.guardianships.update(withdrawn_at=ago(KEEP["withdrawn"] + 1))
    child.guardianships.update(withdrawn_at=None)
    forget()
    assert not Erasure.objects.exists()


def test_who_is_agreed_to_again_while_it_waits_stays(coach, wednesday):
    child = factories.make_child(coach)
    child.guardianships.update(withdrawn_at=ago(KEEP["withdrawn"] + 1))
    forget()
    assert asking.open_of(child) is not None
    child.guardianships.update(withdrawn_at=None)
    wednesday.shift(timedelta(days=settings.ERASURE_WAITS_DAYS + 1))
    forget()
    assert Student.objects.get() == child
    assert asking.open_of(child) is None


def test_who_comes_back_while_it_waits_stays_but_not_whom_the_family_asked_for(coach, wednesday):
    long_ago = ago(KEEP["left"] + 1).date()
    back, gone = (factories.make_student(coach, name, left_on=long_ago) for name in ("Ba", "Go"))
    forget()
    asking.ask(student=gone, by=gone.user)
    Student.objects.update(left_on=None)
    wednesday.shift(timedelta(days=settings.ERASURE_WAITS_DAYS + 1))
    forget()
    assert Student.objects.get() == back


def test_what_is_taken_back_while_the_sweep_runs_is_not_erased(student, wednesday):
    asking.ask(student=student, by=student.user)
    wednesday.shift(timedelta(days=settings.ERASURE_WAITS_DAYS, minutes=1))
    (found,) = asking.due()
    assert asking.take_back(found)
    retention._erase(found)
    assert Student.objects.get() == student


def test_what_a_backup_brings_back_waits_its_whole_days_again_and_is_told(student, wednesday):
    """It may have been taken back after the backup was made."""
    asking.ask(student=student, by=student.user)
    wednesday.shift(timedelta(days=settings.ERASURE_WAITS_DAYS + 2))
    told = AccountMail.objects.filter(address=student.user.email).count()
    for hook in brought_back:
        hook()
    forget()
    assert Student.objects.get() == student
    assert AccountMail.objects.filter(address=student.user.email).count() == told + 1
    wednesday.shift(timedelta(days=settings.ERASURE_WAITS_DAYS, minutes=1))
    forget()
    assert not Student.objects.exists()


def rows_around(coach, student, days: int):
    """Of each kind that simply ends one row a day too old, and one a day younger."""
    for age in (days + 1, days - 1):
        when, now = ago(age), timezone.now()
        SecurityEvent.objects.create(kind="signed_in", at=when)
        AccountMail.objects.create(
            address="a@example.org", planned_at=when, expires_at=now, message_id=f"<{age}>"
        )
        Invitation.objects.create(
            studio=student.studio, kind="coach", invited_by=coach, expires_at=when, nonce="n"
        )
        LogKey.objects.create(student=student, user=student.user, digest=str(age), expires_at=when)
        User.objects.create_user(f"nobody{age}@example.org", joined_at=when)


@pytest.mark.parametrize(
    ("keep", "model"),
    [
        ("events", SecurityEvent),
        ("mails", AccountMail),
        ("over", Invitation),
        ("over", LogKey),
        ("over", User),
    ],
)
def test_the_day_before_it_is_there_and_the_day_after_gone(coach, student, wednesday, keep, model):
    before = model.objects.count()
    rows_around(coach, student, KEEP[keep])
    forget()
    assert model.objects.count() == before + 1


def test_what_ran_out_goes(student, wednesday):
    for hours in (-25, 1):
        until = timezone.now() + timedelta(hours=hours)
        MailedCode.objects.create(purpose="x", email="a@example.org", digest="d", until=until)
        UserSession.objects.create(session_key=str(hours), session_data="", expire_date=until)
        PhoneOffer.objects.create(
            student=student, made_by=student.user, link_digest=str(hours), code_digest="c",
            until=until,
        )  # fmt: skip
    forget()
    for model in (MailedCode, UserSession, PhoneOffer):
        assert model.objects.count() == 1, model


def hurt(student) -> PainNote:
    pain = {"lvl": 6, "where": "left elbow", "signs": ["night"], "new": True, "p": None}
    said = entry(student, note="Stopped early") | {"pain": pain}
    assert receive_one(said, sender=Sender(student, student.user)) == STORED
    return PainNote.objects.get()


def test_words_about_pain_fade_and_the_level_stays(student, wednesday_evening):
    note = hurt(student)
    wednesday_evening.shift(timedelta(days=KEEP["pain"] + 5))
    forget()
    note.refresh_from_db()
    assert note.where == "left elbow", "what still stops something keeps its words"
    Stop.objects.update(cleared_at=timezone.now(), cleared_on=factories.MONDAY)
    forget()
    note.refresh_from_db()
    assert (note.where, note.signs, note.level) == ("", [], 6)
    document = Entry.objects.get().document
    assert document["pain"]["lvl"] == 6
    assert "elbow" not in str(document)
    assert Entry.objects.get().note == "Stopped early"


def test_a_coach_keeps_the_words(coach, student, wednesday_evening):
    note = hurt(student)
    Stop.objects.update(cleared_at=timezone.now(), cleared_on=factories.MONDAY)
    client = signed_in(coach)
    care_page = f"/students/{student.pk}/care/"
    assert "a note keeps its level and loses its words" in client.get(care_page).content.decode()
    answer = client.post(f"{care_page}keep/", {"keep": "yes"}, follow=True)
    assert "Kept." in messages_on(answer)
    assert "kept for good" in answer.content.decode()
    wednesday_evening.shift(timedelta(days=KEEP["pain"] + 5))
    forget()
    note.refresh_from_db()
    assert note.where == "left elbow"
    care.keep_words(student=student, is_kept=False)
    forget()
    note.refresh_from_db()
    assert note.where == ""


def test_a_dry_run_says_it_and_touches_nothing(student, wednesday):
    Student.objects.filter(pk=student.pk).update(left_on=ago(KEEP["left"] + 1).date())
    SecurityEvent.objects.create(kind="signed_in", at=ago(KEEP["events"] + 1))
    out = io.StringIO()
    call_command("forget", "--dry-run", stdout=out)
    said = out.getvalue()
    assert "      1  A student who left is asked to be erased after 730 days." in said
    assert "      1  Who came in is forgotten after 365 days." in said
    assert "Nothing was touched." in said
    assert SecurityEvent.objects.count() == 1
    assert not Erasure.objects.exists()


def test_one_that_fails_holds_up_no_other(coach, student, wednesday, monkeypatch):
    other = factories.make_student(coach, "Other")
    for each in (student, other):
        asking.ask(student=each, by=coach)
    wednesday.shift(timedelta(days=settings.ERASURE_WAITS_DAYS, minutes=1))
    whole = retention.erase_student

    def fails_once(found, asked):
        if found == student:
            raise OSError("the store is away")
        whole(found, asked)

    monkeypatch.setattr(retention, "erase_student", fails_once)
    forget()
    assert list(Student.objects.all()) == [student]
    monkeypatch.setattr(retention, "erase_student", whole)
    wednesday.shift(timedelta(hours=1))
    forget()
    assert not Student.objects.exists()


def test_the_owner_reads_it(coach, student, wednesday):
    owner = factories.make_coach(factories.studio_of(coach), "owner", name="Owner")
    asking.ask(student=student, by=coach)
    page = signed_in(owner).get("/house/").content.decode()
    assert "Everything of Sam Sample goes on 5 March 2031." in page
    for rule in RULES:
        assert rule.words in page
    assert factories.make_coach(name="Elsewhere")


def test_many_go_some_at_once(wednesday, monkeypatch):
    monkeypatch.setattr(retention, "AT_ONCE", 3)
    for _ in range(5):
        SecurityEvent.objects.create(kind="signed_in", at=ago(KEEP["events"] + 1))
    forget()
    assert SecurityEvent.objects.count() == 2


def test_that_something_ended_is_forgotten_when_nothing_so_old_can_be_brought_back(settings):
    """In the database, in DATA_DIR and in the store; and it does not come back from there."""
    old = Ended.objects.create(what="key", row="0" * 64, stands=False, at=ago(KEEP["ends"] + 1))
    new = Ended.objects.create(what="key", row="1" * 64, stands=False, at=ago(KEEP["ends"] - 1))
    ends.bring_outside()
    places = (FileSystemStorage(settings.DATA_DIR), storages["backups"])
    assert all(set(place.listdir("ends")[1]) == {old.name, new.name} for place in places)
    forget()
    assert [line.name for line in Ended.objects.all()] == [new.name]
    assert all(place.listdir("ends")[1] == [new.name] for place in places)
    assert not is_too_old(new.at)
    assert is_too_old(old.at)
