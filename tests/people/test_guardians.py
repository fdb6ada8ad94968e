"""Two parents of one child: who lets whom in, who ends what, and who is told."""

import pytest

from shared.kit.refused import Refused
from shared.people import access, consent, guardians, invitations, services
from shared.people.models import AccountMail, Guardianship, Invitation, SecurityEvent
from tests import factories
from tests.conftest import messages_on, signed_in
from tests.people.conftest import mails, path_of, prove_address

JOINS = {"guardian_name": "Pat Parent", "time_zone": "Europe/Paris", "record": "on"}


@pytest.fixture
def parent_invited(guardian_client, child) -> Invitation:
    said = {"name": "Pat Parent", "email": "pat@example.org"}
    made = guardian_client.post(f"/child/{child.pk}/guardians/", said)
    invitation = Invitation.objects.get()
    assert made["Location"] == f"/invitations/{invitation.pk}/"
    return invitation


@pytest.fixture
def parent(child):
    """Another guardian, who has agreed to all of it."""
    user = factories.make_user("Pat Parent")
    consent.tie(child, user, messages=True, clips=True)
    return user


def tie(user) -> Guardianship:
    return Guardianship.objects.get(user=user)


def test_a_guardian_lets_another_in_who_sees_the_same_child(client, child, parent_invited):
    path = path_of(parent_invited)
    prove_address(client, path, "pat@example.org")
    page = client.get(f"{path}details/")
    assert child.name in page.content.decode()
    assert "born_year" not in page.context["form"].fields
    joined = client.post(f"{path}details/", JOINS | {"messages": "on"})
    assert joined["Location"] == f"/child/{child.pk}/"
    assert client.get(f"/child/{child.pk}/").status_code == 200
    assert access.may_be_recorded(child)
    assert AccountMail.objects.filter(address=child.guardianships.first().user.email).exists()


def test_the_others_are_told_by_mail(child, guardian, parent_invited):
    pat = factories.make_user("Pat Parent")
    guardians.join(parent_invited, pat, messages=True, clips=False)
    guardians.answer(tie(pat), {"record": True, "messages": False, "clips": False})
    told = [(mail.to, mail.body) for mail in mails()]
    assert [to for to, _ in told] == [[guardian.email]] * 2
    assert "Pat Parent is a guardian of Kim now as well." in told[0][1]
    assert "messages: ended" in told[1][1]


def test_an_answer_that_changes_nothing_tells_nobody(child, guardian, parent):
    guardians.answer(tie(guardian), consent.stands(tie(guardian)))
    assert mails() == []


def test_either_may_withdraw_and_it_stays_ended_until_both_agree(child, guardian, parent):
    none = {"record": False, "messages": False, "clips": False}
    all_of_it = {"record": True, "messages": True, "clips": True}
    guardians.answer(tie(guardian), none)
    assert not access.may_be_recorded(child)
    guardians.answer(tie(parent), all_of_it)
    assert not access.may_be_recorded(child)
    guardians.answer(tie(guardian), all_of_it)
    assert access.may_be_recorded(child)


def test_nobody_lifts_what_they_ended_by_leaving_and_no_owner_by_taking_off(
    owner_client, child, guardian, parent
):
    none = {"record": False, "messages": False, "clips": False}
    guardians.answer(tie(guardian), none)
    with pytest.raises(Refused):
        guardians.leave(tie(guardian))
    with pytest.raises(Refused):
        guardians.take_off(tie(guardian), why="a quarrel")
    with pytest.raises(Refused):  # Nobody who stands by it would be left.
        guardians.leave(tie(parent))
    assert not access.may_be_recorded(child)


def test_what_who_leaves_had_refused_is_agreed_to_anew(child, guardian, parent):
    assert access.may_write_to(child)
    guardians.answer(tie(parent), {"record": True, "messages": False, "clips": True})
    assert not access.may_write_to(child)
    guardians.leave(tie(parent))
    assert access.may_be_recorded(child)
    assert not access.may_write_to(child)
    guardians.answer(tie(guardian), {"record": True, "messages": True, "clips": False})
    assert access.may_write_to(child)


def test_who_left_reads_nothing_more(child, parent):
    client = signed_in(parent)
    assert client.get(f"/child/{child.pk}/").status_code == 200
    assert client.post(f"/child/{child.pk}/leave/")["Location"] == "/"
    assert client.get(f"/child/{child.pk}/").status_code == 404
    assert SecurityEvent.objects.get(kind="consent").what == "left as a guardian"


def test_the_last_one_does_not_leave(guardian_client, child):
    page = guardian_client.post(f"/child/{child.pk}/leave/", follow=True)
    assert "Withdraw the consent instead" in messages_on(page)
    assert child.guardianships.get().ended_at is None


def test_the_owner_takes_one_off_for_a_reason_that_all_read(owner_client, child, guardian, parent):
    address = f"/students/{child.pk}/guardians/"
    assert address in owner_client.get(f"/students/{child.pk}/edit/").content.decode()
    asked = {"tie": str(tie(parent).pk)}
    assert owner_client.post(address, asked).context["form"].errors["why"]
    assert tie(parent).ended_at is None
    owner_client.post(address, asked | {"why": "By a decision of the family court."})
    assert tie(parent).ended_at is not None
    told = {mail.to[0]: mail.body for mail in mails()}
    assert set(told) == {guardian.email, parent.email}
    assert all("By a decision of the family court." in body for body in told.values())


def test_who_was_taken_off_does_not_come_back_by_a_guardians_invitation(child, guardian, parent):
    guardians.take_off(tie(parent), why="a decision")
    student = access.recordable(child)
    made = guardians.invite(student=student, by=guardian, name="Pat", email=parent.email)
    with pytest.raises(Refused):
        guardians.join(made, parent, messages=True, clips=True)
    assert tie(parent).ended_at is not None
    made.refresh_from_db()
    assert made.accepted_at is None


def test_who_left_may_come_back(child, guardian, parent):
    guardians.leave(tie(parent))
    student = access.recordable(child)
    made = guardians.invite(student=student, by=guardian, name="Pat", email=parent.email)
    guardians.join(made, parent, messages=False, clips=False)
    assert tie(parent).ended_at is None
    assert not tie(parent).consents_to_messages


@pytest.mark.parametrize("who", ["owner_client", "coach_client", "stranger_client"])
def test_the_invitation_is_the_guardians_alone(request, parent_invited, who):
    """A coach who saw its link could take it up as 'the other parent'."""
    client = request.getfixturevalue(who)
    assert client.get(f"/invitations/{parent_invited.pk}/").status_code == 404
    assert client.post(f"/invitations/{parent_invited.pk}/revoke/").status_code == 404


def test_nobody_who_works_here_is_let_in_by_a_guardian(coach, parent_invited):
    with pytest.raises(Refused):
        guardians.join(parent_invited, coach, messages=True, clips=True)


def test_an_invitation_ends_with_what_let_it_out(child, guardian, parent_invited):
    token = invitations.token_of(parent_invited)
    assert invitations.read(token) == parent_invited
    guardians.answer(tie(guardian), {"record": False, "messages": False, "clips": False})
    with pytest.raises(invitations.InvitationOver):
        invitations.read(token)


def test_a_child_has_four_guardians_at_most(guardian_client, child, guardian):
    for name in ("Ann", "Ben", "Cas"):
        consent.tie(child, factories.make_user(name), messages=True, clips=True)
    said = {"name": "Pat Parent", "email": "pat@example.org"}
    page = guardian_client.post(f"/child/{child.pk}/guardians/", said)
    assert "at most 4 guardians" in page.content.decode()
    assert not Invitation.objects.exists()


def test_while_the_record_is_closed_nobody_is_let_in(guardian_client, child):
    child.guardianships.update(withdrawn_at=factories.NOON)
    page = guardian_client.get(f"/child/{child.pk}/guardians/")
    assert "Let another guardian in" not in page.content.decode()
    guardian_client.post(f"/child/{child.pk}/guardians/", {"name": "P", "email": "p@example.org"})
    assert not Invitation.objects.exists()


def test_a_child_answers_for_no_child_not_even_for_itself(coach, child, guardian):
    """The parent's link may be opened on the child's own phone."""
    own, sister = services.user_of_child(child), factories.make_child(coach, name="Fay")
    invitation = guardians.invite(student=child, by=guardian, name="Pat", email="")
    for user in (own, sister.user):
        with pytest.raises(Refused, match="under 18"):
            guardians.join(invitation, user, messages=True, clips=True)
    assert Guardianship.objects.filter(student=child).count() == 1


def test_who_withdraws_while_they_are_taken_off_stays_bound(child, guardian, parent):
    """The owner's page was read before the guardian's answer came."""
    read_before = tie(parent)
    guardians.answer(tie(parent), {"record": False, "messages": False, "clips": False})
    with pytest.raises(Refused):
        guardians.take_off(read_before, why="A mistake")
    assert not access.may_be_recorded(child)


def test_a_guardian_of_a_child_who_left_does_not_come_to_work_here(coach, owner, child, guardian):
    """The child may come back, and nobody is guardian and coach of one child."""
    services.student_left(student=child)
    asked = invitations.invite(by=owner, studio=child.studio, kind="coach", email=guardian.email)
    with pytest.raises(Refused):
        services.join_as_staff(invitation=asked, user=guardian)
