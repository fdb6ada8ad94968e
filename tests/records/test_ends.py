"""What was ended after a backup was made is ended in what the backup brings back."""

from datetime import timedelta

import pytest
from allauth.account import adapter
from allauth.mfa.models import Authenticator
from django.core.files.storage import FileSystemStorage, storages
from django.utils import timezone

from coaching.records import asking, ends, ledger
from coaching.records.models import Erasure
from coaching.timetable import feeds
from coaching.timetable.models import Feed
from practice.log.models import LogKey, PhoneOffer
from practice.phone import keys
from practice.strength import services as strength
from practice.strength.models import StrengthConsent
from shared.backups.services import brought_back
from shared.people import (
    access,
    coming_of_age,
    consent,
    guardians,
    invitations,
    lost_passkey,
    services,
)
from shared.people.models import (
    AccountMail,
    Ended,
    Guardianship,
    MailedCode,
    Membership,
    Student,
    User,
    UserSession,
)
from tests import factories
from tests.conftest import signed_in

pytestmark = pytest.mark.django_db
FIRST, SECOND = "driver wedge putter", "putter wedge driver"


@pytest.fixture
def child(coach):
    return factories.make_child(coach)


def tie_of(child) -> Guardianship:
    return child.guardianships.get()


def is_open(child) -> bool:
    return access.students_planned_by(child.lead_coach).filter(pk=child.pk).exists()


def bring_back(*rows, gone=()) -> None:
    """As after a restore: rows as they were, later ones away, the ledger outside alone."""
    ends.bring_outside()
    Ended.objects.all().delete()
    for row in gone:
        type(row).objects.filter(pk=row.pk).delete()
    for row in rows:
        row.save(force_update=True)
    for hook in brought_back:
        hook()


def test_a_consent_that_was_withdrawn_stays_withdrawn(child, wednesday):
    before = tie_of(child)
    guardians.answer(tie_of(child), {"record": False, "messages": False, "clips": False})
    bring_back(before)
    assert not is_open(child)
    assert tie_of(child).withdrawn_at == timezone.now()
    assert [change.record for change in tie_of(child).changes.all()] == [False, False]


def test_one_purpose_stays_ended_and_the_rest_stands(child):
    before = tie_of(child)
    guardians.answer(tie_of(child), {"record": True, "messages": False, "clips": False})
    bring_back(before)
    assert is_open(child)
    assert not access.may_write_to(child)


def test_who_agreed_again_before_the_backup_stays_agreed(child):
    guardians.answer(tie_of(child), {"record": False, "messages": False, "clips": False})
    guardians.answer(tie_of(child), {"record": True, "messages": True, "clips": False})
    bring_back(tie_of(child))
    assert is_open(child)
    assert access.may_write_to(child)


def test_nothing_that_was_ended_is_opened(child):
    guardians.answer(tie_of(child), {"record": False, "messages": False, "clips": False})
    before = tie_of(child)
    guardians.answer(tie_of(child), {"record": True, "messages": True, "clips": False})
    bring_back(before)
    assert not is_open(child)


def test_what_a_guardian_ended_whom_the_backup_does_not_hold_all_agree_to_anew(child):
    other = factories.make_user("Other parent")
    tie = consent.tie(child, other, messages=True, clips=False)
    guardians.answer(tie, {"record": False, "messages": False, "clips": False})
    told = AccountMail.objects.count()
    bring_back(gone=[tie])
    assert not is_open(child)
    assert AccountMail.objects.count() == told + 1


def test_a_guardian_who_came_and_left_closes_nothing(child):
    other = factories.make_user("Other parent")
    tie = consent.tie(child, other, messages=True, clips=False)
    guardians.answer(tie, {"record": True, "messages": False, "clips": False})
    guardians.leave(tie)
    first = child.guardianships.exclude(user=other).get()
    consent.change(first, record=True, messages=True, clips=False)
    bring_back(gone=[tie])
    assert is_open(child)
    assert access.may_write_to(child)


@pytest.mark.parametrize("why", ["", "A court decided it."])
def test_a_guardian_who_left_or_was_taken_off_reads_nothing_again(child, why):
    other = factories.make_user("Other parent")
    consent.tie(child, other, messages=True, clips=False)
    before = child.guardianships.get(user=other)
    guardians._end(child.guardianships.get(user=other), why=why)
    bring_back(before)
    assert not access.children_of(other).exists()
    assert bool(Guardianship.objects.get(user=other).ended_why) is bool(why)


def test_who_took_over_at_18_is_nobodys_child_again(child):
    guardian = tie_of(child).user
    before, tie = Student.objects.get(), tie_of(child)
    coming_of_age.hand_over(child)
    bring_back(before, tie)
    back = Student.objects.get()
    assert (back.born_year, access.children_of(guardian).exists()) == (None, False)
    assert back.user == child.user


def test_whose_address_the_backup_does_not_hold_is_invited_again(coach):
    child = factories.make_child(coach, with_user=False)
    services.user_of_child(child)
    before = Student.objects.get()
    coming_of_age.take_over(before, before.user, email="own@example.org", readers=())
    before.user.email = "1@child.invalid"
    before.user.save()
    before.born_year = child.born_year
    bring_back(before)
    assert Student.objects.get().user is None


def test_who_left_has_left(coach, student):
    before = Student.objects.get()
    services.student_left(student=student)
    bring_back(before)
    assert not is_open(student)
    services.student_returned(student=student)
    bring_back(Student.objects.get())
    assert is_open(student)


def test_who_works_here_no_more_a_phone_and_a_calendar_stay_out(coach, student):
    work, link = Membership.objects.get(), feeds.make(user=student.user, student=student)
    secret, key = keys.make_key(user=student.user, student=student)
    feed = Feed.objects.get()
    keys.end(LogKey.objects.all())
    feeds.end(user=student.user, student=student)
    services.end_membership(membership=work)
    UserSession.objects.create(
        session_key="k", expire_date=timezone.now() + timedelta(days=1), user=student.user
    )
    bring_back(work, key, feed)
    assert not access.teaches(type(coach).objects.get(pk=coach.pk))
    assert keys.find_key(secret) is None
    assert feeds.read(link.rsplit("/", 2)[-1].strip("/"), timezone.now()) is None
    assert Feed.objects.get().ended_at
    assert not UserSession.objects.exists()


def test_a_lost_passkey_stays_away_and_a_newer_one_stays(coach):
    def passkey(at):
        kept = Authenticator(user=coach, type="webauthn", data={}, created_at=at)
        kept.save()
        return kept

    now = timezone.now()
    lost = passkey(now - timedelta(days=1))
    lost_passkey.take_away(coach, "Owner")
    lost.pk, new = None, passkey(timezone.now())
    lost.save()
    bring_back()
    assert list(Authenticator.objects.all()) == [new]


def change_password(user, new) -> None:
    said = {"oldpassword": FIRST, "password1": new, "password2": new}
    assert signed_in(user).post("/account/password/change/", said).status_code == 302


def test_a_password_that_was_changed_since_opens_nothing(coach):
    coach.set_password(FIRST)
    coach.save()
    before, other = User.objects.get(pk=coach.pk), factories.make_user("Another")
    other.set_password(FIRST)
    other.save()
    change_password(coach, SECOND)
    bring_back(before)
    back = User.objects.get(pk=coach.pk)
    assert (back.check_password(FIRST), back.has_usable_password()) == (False, False)
    assert User.objects.get(pk=other.pk).check_password(FIRST), "it was never changed"
    adapter.get_adapter().set_password(back, SECOND)
    bring_back()
    assert User.objects.get(pk=coach.pk).check_password(SECOND)


def test_a_password_of_before_the_backup_stands(coach):
    coach.set_password(FIRST)
    coach.save()
    change_password(coach, SECOND)
    bring_back(User.objects.get(pk=coach.pk))
    assert User.objects.get(pk=coach.pk).check_password(SECOND)


def test_a_passkey_that_was_taken_away_stays_away_and_its_neighbour_stays(coach):
    old, good = (Authenticator(user=coach, type="webauthn", data={}) for _ in range(2))
    old.save()
    good.save()
    Authenticator.objects.get(pk=old.pk).delete()
    old.pk = None
    old.save()
    bring_back()
    assert list(Authenticator.objects.all()) == [good]


def test_no_code_of_before_is_valid(coach, student):
    """Used since then, or run out: nobody can tell from the backup."""
    until = timezone.now() + timedelta(minutes=9)
    MailedCode.objects.create(purpose="x", email=coach.email, digest="0" * 64, until=until)
    PhoneOffer.objects.create(student=student, made_by=coach, until=until)
    Authenticator.objects.create(user=coach, type="recovery_codes", data={})
    bring_back()
    for model in (MailedCode, PhoneOffer, Authenticator):
        assert not model.objects.exists()


@pytest.mark.parametrize("how", ["used", "taken back"])
def test_an_invitation_lets_nobody_in_a_second_time(coach, how):
    def asked():
        return invitations.invite(by=coach, studio=factories.studio_of(coach), kind="student")

    over, still = asked(), asked()
    if how == "used":
        invitations.take(over, factories.make_user())
    else:
        invitations.revoke(over)
    bring_back(over)
    assert list(invitations.open_ones()) == [still]


def test_a_no_to_strength_holds(student):
    strength.agree(student=student)
    before = StrengthConsent.objects.get()
    strength.withdraw(student=student)
    bring_back(before)
    assert StrengthConsent.objects.get().withdrawn_at


def test_an_erasure_that_was_asked_for_is_asked_for_again(coach, student):
    asking.ask(student=student, by=student.user, why="We move.")
    bring_back(gone=[Erasure.objects.get()])
    (again,) = Erasure.objects.all()
    assert again.asked_by == student.user
    asking.take_back(again)
    bring_back(gone=[again])
    assert not Erasure.objects.exists()


def test_lines_go_out_soon_name_nobody_and_come_back(child, settings):
    guardians.answer(tie_of(child), {"record": False, "messages": False, "clips": False})
    ends.bring_outside()
    assert not Ended.objects.filter(is_outside=False).exists()
    for place in (FileSystemStorage(settings.DATA_DIR), storages["backups"]):
        _, names = place.listdir("ends")
        assert len(names) == 3
        for name in names:
            with place.open(f"ends/{name}") as file:
                said = file.read().decode()
            assert str(child.pk) not in said
            assert child.pk.hex not in said
    Ended.objects.all().delete()
    ledger.copy_out()
    assert Ended.objects.count() == 3
