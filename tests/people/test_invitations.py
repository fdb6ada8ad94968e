"""Links that let one person in, once: followed, misused, and raced for."""

import json
import threading
from datetime import timedelta
from email.utils import parseaddr

import pytest
import time_machine
from django.conf import settings
from django.core.signing import Signer
from django.db import connection, transaction
from django.test import Client

from shared.outbox import send
from shared.people import access, invitation_mail, invitations, services
from shared.people.models import Invitation, Membership, Student, User
from tests import factories
from tests.conftest import signed_in
from tests.people.conftest import DETAILS, code_in_last_mail, mails, path_of, prove_address


def test_an_adult_joins_by_a_code_and_no_password(client, invited, place):
    path = path_of(invited)
    assert b"Coach One invites you" in client.get(path).content
    prove_address(client, path, "ada@example.org")
    page = client.post(f"{path}details/", DETAILS["student"])
    assert page["Location"] == "/"
    place.refresh_from_db()
    invited.refresh_from_db()
    assert place.user.email == "ada@example.org"
    assert not place.user.has_usable_password()
    assert place.time_zone == place.user.time_zone == "Europe/Paris"
    assert invited.accepted_by == place.user
    assert client.get("/")["Location"] == "/log"


def test_the_code_is_in_the_mail_and_nowhere_else(client, invited):
    path = path_of(invited)
    client.post(path, {"email": "ada@example.org"})
    code = code_in_last_mail()
    assert mails()[-1].to == ["ada@example.org"]
    assert code not in client.get(f"{path}code/").content.decode()
    assert code not in str(dict(client.session))


def test_it_is_mailed_in_the_name_of_who_invites(invited):
    invitation_mail.send_invitation(invited)
    (mail,) = mails()
    name, address = parseaddr(mail.from_email)
    assert name == f"Coach One, {invited.studio.name}"
    assert address == parseaddr(settings.DEFAULT_FROM_EMAIL)[1]


def test_a_mail_sealed_before_the_sender_was_goes_in_ours(invited, monkeypatch):
    seal = json.dumps
    older = ("subject", "body", "more")
    monkeypatch.setattr(
        invitation_mail.json, "dumps", lambda said: seal({name: said[name] for name in older})
    )
    invitation_mail.send_invitation(invited)
    assert mails()[0].from_email == settings.DEFAULT_FROM_EMAIL


def test_reading_a_link_uses_nothing_up(client, invited):
    for _ in range(5):
        assert client.get(path_of(invited)).status_code == 200
        assert client.head(path_of(invited)).status_code == 200
    invited.refresh_from_db()
    assert invited.accepted_at is None
    assert not User.objects.filter(email="ada@example.org").exists()


def test_nothing_is_stored_before_the_last_step(client, guardian_invited):
    people = User.objects.count()
    prove_address(client, path_of(guardian_invited), "gil@example.org")
    assert client.get(f"{path_of(guardian_invited)}details/").status_code == 200
    assert User.objects.count() == people
    assert not Student.objects.exists()


@pytest.mark.parametrize("step", ["", "code/", "details/"])
@pytest.mark.parametrize("spoilt", ["used", "taken back", "too old", "inviter left", "altered"])
def test_a_link_that_is_over_opens_nothing(client, invited, place, spoilt, step):
    path = path_of(invited)
    if spoilt == "used":
        Invitation.objects.update(accepted_at=factories.NOON)
    elif spoilt == "taken back":
        invitations.revoke(invited)
    elif spoilt == "too old":
        Invitation.objects.update(expires_at=invited.invited_at)
    elif spoilt == "inviter left":
        access.end_membership(invited.invited_by.memberships.get())
    else:
        path = path[:-3] + ("aa/" if path[-3:-1] != "aa" else "bb/")
    for page in (client.get(path + step), client.post(path + step, DETAILS["student"])):
        assert page.status_code == 404
        assert b"opens nothing" in page.content
    place.refresh_from_db()
    assert place.user is None
    assert not mails()


def test_it_holds_for_seven_days_and_not_longer(client, invited):
    with time_machine.travel(invited.expires_at - timedelta(minutes=1), tick=False):
        assert client.get(path_of(invited)).status_code == 200
    with time_machine.travel(invited.expires_at, tick=False):
        assert client.get(path_of(invited)).status_code == 404
    assert invited.expires_at - invited.invited_at >= timedelta(days=7) - timedelta(seconds=5)


def test_a_link_followed_to_its_end_does_not_work_again(client, invited):
    path = path_of(invited)
    prove_address(client, path, "ada@example.org")
    client.post(f"{path}details/", DETAILS["student"])
    assert client.post(f"{path}details/", DETAILS["student"]).status_code == 404
    assert Client().get(path).status_code == 404


def test_it_is_taken_back_between_the_code_and_the_last_step(client, invited, place):
    path = path_of(invited)
    prove_address(client, path, "ada@example.org")
    invitations.revoke(invited)
    assert client.post(f"{path}details/", DETAILS["student"]).status_code == 404
    place.refresh_from_db()
    assert place.user is None
    assert not User.objects.filter(email="ada@example.org").exists()


def test_one_that_names_an_address_is_for_that_address(client, invited):
    page = client.post(path_of(invited), {"email": "eve@example.org"})
    assert page.context["form"].errors["email"]
    assert not mails()


def test_somebody_else_who_is_signed_in_is_sent_out_first(invited, student_client, place):
    path = path_of(invited)
    assert b"made for another address" in student_client.get(path).content
    assert student_client.post(path, {"email": "ada@example.org"}).status_code == 200
    assert student_client.post(f"{path}details/", DETAILS["student"])["Location"] == path
    assert not mails()


def test_one_without_an_address_is_for_whoever_holds_it(client, coach, studio, place):
    shown = invitations.invite(by=coach, studio=studio, kind="student", student=place)
    path = path_of(shown)
    prove_address(client, path, "Anybody@Example.org")
    client.post(f"{path}details/", DETAILS["student"])
    place.refresh_from_db()
    assert place.user.email == "anybody@example.org"


def test_details_need_a_proven_address_for_this_very_invitation(client, coach, studio, place):
    open_to_all = invitations.invite(by=coach, studio=studio, kind="guardian")
    prove_address(client, path_of(open_to_all), "gil@example.org")
    other = invitations.invite(by=coach, studio=studio, kind="student", student=place)
    page = client.post(f"{path_of(other)}details/", DETAILS["student"])
    assert page["Location"] == path_of(other)
    place.refresh_from_db()
    assert place.user is None


def test_role_and_studio_come_from_the_row_not_from_the_form(
    client, owner, studio, stranger_client
):
    made = invitations.invite(
        by=owner, studio=studio, kind="assistant", email="new@example.org", name="New"
    )
    prove_address(client, path_of(made), "new@example.org")
    other = factories.make_studio("Other")
    said = DETAILS["coach"] | {"kind": "owner", "role": "owner", "studio": str(other.pk)}
    page = client.post(f"{path_of(made)}details/", said)
    assert page["Location"] == "/account/password/set/"
    new = User.objects.get(email="new@example.org")
    assert [(m.studio, m.role) for m in new.memberships.all()] == [(studio, "assistant")]


def test_a_coach_cannot_invite_staff_even_by_a_row_of_theirs(client, coach, studio):
    forged = invitations.invite(by=coach, studio=studio, kind="coach", email="new@example.org")
    assert client.get(path_of(forged)).status_code == 404


def test_random_and_altered_tokens_hit_nothing_and_are_slowed_down(client, invited):
    real = invitations.token_of(invited)
    body = real.rpartition(".")[0]
    forged = [
        "",
        "x",
        "x.y",
        body,
        f"{body}.",
        f"{body}.{'A' * 43}",
        real[:-1],
        real + "A",
        real.upper(),
        Signer(salt="another", sep=".").sign(body),
        invitations._signer.sign(f"{invited.pk.hex}-{'A' * 22}"),
        invitations._signer.sign("not-a-uuid"),
        invitations._signer.sign(f"{'0' * 32}-{invited.nonce}"),
    ]
    for token in forged:
        with pytest.raises(invitations.InvitationOver):
            invitations.read(token)
    answers = [client.get(f"/join/x{n}.y/") for n in range(25)]
    assert [page.status_code for page in answers] == [404] * 20 + [429] * 5
    assert answers[-1]["Retry-After"]
    assert client.get(path_of(invited)).status_code == 200


def test_a_new_invitation_into_a_place_takes_the_older_one_back(coach_client, invited, place):
    page = coach_client.post(f"/students/{place.pk}/invite/")
    newer = Invitation.objects.get(revoked_at=None)
    assert page["Location"] == f"/invitations/{newer.pk}/"
    assert newer.email == "ada@example.org"
    assert Client().get(path_of(invited)).status_code == 404
    assert Client().get(path_of(newer)).status_code == 200


def test_a_wrong_address_is_put_right_with_a_new_invitation(coach_client, invited, place):
    """The page said that no more goes there until it is changed, and nothing changed it."""
    edit, invite = f"/students/{place.pk}/edit/", f"/students/{place.pk}/invite/"
    assert 'name="email" value="ada@example.org"' in coach_client.get(edit).text
    page = coach_client.post(invite, {"email": "no address"}, follow=True).text
    assert "Write an e-mail address, such as ann@example.org." in page
    assert Invitation.objects.filter(revoked_at=None).get() == invited
    coach_client.post(invite, {"email": "Ada.Hill@example.org"})
    assert Invitation.objects.get(revoked_at=None).email == "ada.hill@example.org"


def test_a_taken_place_is_not_offered_again(coach_client, student, child):
    for taken in (student, child):
        assert coach_client.post(f"/students/{taken.pk}/invite/").status_code == 404


def test_somebody_with_a_place_here_gets_no_second_one(student, coach, studio, place):
    shown = invitations.invite(by=coach, studio=studio, kind="student", student=place)
    client = signed_in(student.user)
    page = client.post(f"{path_of(shown)}details/", DETAILS["student"])
    assert page["Location"] == "/"
    shown.refresh_from_db()
    assert shown.accepted_at is None


def test_a_closed_sign_in_does_not_open_by_invitation(client, invited, place):
    factories.make_user("Ada", email="ada@example.org", is_active=False)
    prove_address(client, path_of(invited), "ada@example.org")
    page = client.post(f"{path_of(invited)}details/", DETAILS["student"])
    assert page.status_code == 404
    place.refresh_from_db()
    assert place.user is None


@pytest.mark.django_db(transaction=True)
def test_of_twenty_who_accept_at_once_exactly_one_gets_in():
    coach = factories.make_coach()
    studio = factories.studio_of(coach)
    place = factories.make_student(coach, with_user=False)
    shown = invitations.invite(by=coach, studio=studio, kind="student", student=place)
    users = [factories.make_user() for _ in range(20)]
    start = threading.Barrier(20)
    outcomes = []

    def accept(user: User) -> None:
        start.wait()
        try:
            services.join_as_student(
                invitation=Invitation.objects.get(pk=shown.pk), user=user, time_zone="UTC"
            )
            outcomes.append(user.pk)
        except invitations.InvitationOver:
            outcomes.append(None)
        finally:
            connection.close()

    threads = [threading.Thread(target=accept, args=(user,)) for user in users]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(outcomes) == 20
    assert [pk for pk in outcomes if pk] == [Student.objects.get().user_id]
    assert Invitation.objects.get().accepted_by_id == Student.objects.get().user_id


def test_failing_after_the_invitation_is_taken_gives_it_back(invited, place, monkeypatch):
    def fail(**_):
        raise RuntimeError("disk full")

    monkeypatch.setattr(services, "move_zone", fail)
    with pytest.raises(RuntimeError), transaction.atomic():
        services.join_as_student(invitation=invited, user=factories.make_user(), time_zone="UTC")
    invited.refresh_from_db()
    place.refresh_from_db()
    assert invited.accepted_at is None
    assert place.user is None


def test_codes_end_after_five_wrong_tries(client, invited):
    path = path_of(invited)
    client.post(path, {"email": "ada@example.org"})
    right = code_in_last_mail()
    wrong = "000000" if right != "000000" else "111111"
    for _ in range(4):
        assert client.post(f"{path}code/", {"code": wrong}).context["form"].errors["code"]
    assert client.post(f"{path}code/", {"code": wrong})["Location"] == path
    assert client.post(f"{path}code/", {"code": right})["Location"] == path


def test_codes_end_after_ten_minutes(client, invited):
    path = path_of(invited)
    client.post(path, {"email": "ada@example.org"})
    code = code_in_last_mail()
    with time_machine.travel(invited.invited_at + timedelta(minutes=11), tick=False):
        page = client.post(f"{path}code/", {"code": code})
        assert page["Location"] == path
        assert client.get(f"{path}details/")["Location"] == path


def test_codes_may_be_asked_for_five_times_an_hour(client, invited):
    path = path_of(invited)
    answers = [client.post(path, {"email": "ada@example.org"}).status_code for _ in range(6)]
    assert answers == [302] * 5 + [429]
    assert len(mails()) == 5


@pytest.mark.parametrize("code", ["", "12345", "1234567", "abcdef", "１２３４５６ "])
def test_what_is_no_code_is_said_so(client, invited, code):
    path = path_of(invited)
    client.post(path, {"email": "ada@example.org"})
    page = client.post(f"{path}code/", {"code": code})
    assert page.status_code == 200
    assert page.context["form"].errors["code"] != ["That is not the code. Look at the newest mail."]


def test_the_coach_sees_link_and_picture_and_the_link_is_the_sites(coach_client, invited, settings):
    settings.SITE_URL = "https://practice.example.org"
    page = coach_client.get(f"/invitations/{invited.pk}/", headers={"host": "localhost"})
    assert page.context["link"].startswith("https://practice.example.org/join/")
    assert "<svg" in page.content.decode()


def test_the_page_says_what_became_of_a_mailed_invitation(coach_client, invited, settings, sink):
    settings.SITE_URL = "https://practice.example.org"
    address = f"/invitations/{invited.pk}/send/"
    page = coach_client.post(address, follow=True, headers={"host": "localhost"})
    assert "The mail to ada@example.org is on its way." in page.text
    sink.rcpt_answers = ["550 no such mailbox"]
    send.send_due()
    page = coach_client.post(address, headers={"host": "localhost"})
    refused = "The mail server refused the mail: 550 no such mailbox. The link works all the same."
    Invitation.objects.get().mails.order_by("planned_at").last().delete()
    page = coach_client.get(f"/invitations/{invited.pk}/", headers={"host": "localhost"})
    assert refused in page.text
    assert page.context["link"]
    coach_client.post(address, headers={"host": "localhost"})
    send.send_due()
    page = coach_client.get(f"/invitations/{invited.pk}/", headers={"host": "localhost"})
    assert "The mail server took the mail to ada@example.org." in page.text
    assert sink.taken[0]["To"] == "ada@example.org"
    body = sink.taken[0].get_payload(0).get_payload(decode=True).decode()
    assert f"https://practice.example.org{path_of(invited)}" in body.replace("=\n", "")


def test_an_invitation_that_is_taken_back_is_not_mailed_any_more(coach_client, invited):
    coach_client.post(f"/invitations/{invited.pk}/send/")
    invitations.revoke(invited)
    assert mails() == []


def test_mails_to_one_address_are_few(coach_client, invited):
    answers = [coach_client.post(f"/invitations/{invited.pk}/send/").status_code for _ in range(6)]
    assert answers == [302] * 5 + [429]


def test_a_studio_name_cannot_break_the_mails_head(coach_client, invited, studio):
    type(studio).objects.update(name="Nice\r\nBcc: all@example.org")
    coach_client.post(f"/invitations/{invited.pk}/send/")
    assert mails()[0].subject == "Nice Bcc: all@example.org invites you"
    assert mails()[0].recipients() == ["ada@example.org"]


@pytest.mark.parametrize("who", ["assistant_client", "stranger_client", "student_client"])
@pytest.mark.parametrize("action", ["", "send/", "revoke/"])
def test_only_those_who_plan_see_a_students_invitation(request, invited, who, action):
    client = request.getfixturevalue(who)
    ask = client.post if action else client.get
    assert ask(f"/invitations/{invited.pk}/{action}").status_code == 404
    invited.refresh_from_db()
    assert invited.revoked_at is None


def test_a_staff_invitation_is_the_owners_alone(owner_client, coach_client, owner, studio):
    made = invitations.invite(by=owner, studio=studio, kind="coach", email="new@example.org")
    assert owner_client.get(f"/invitations/{made.pk}/").status_code == 200
    assert coach_client.get(f"/invitations/{made.pk}/").status_code == 404
    assert coach_client.post(f"/invitations/{made.pk}/revoke/").status_code == 404


def test_taking_back_ends_the_link(coach_client, invited):
    assert coach_client.post(f"/invitations/{invited.pk}/revoke/")["Location"] == "/students/"
    assert Client().get(path_of(invited)).status_code == 404
    page = coach_client.get(f"/invitations/{invited.pk}/")
    assert page.context["standing"] == "It was taken back."
    assert not page.context["link"]
    assert Membership.objects.count() == 1


def test_a_strength_coach_who_is_hired_again_has_nobody_unasked(coach):
    here = factories.studio_of(coach)
    helper = factories.make_coach(here, role="helper")
    student = factories.make_student(coach)
    student.strength_coaches.add(helper)
    assert list(access.students_in_gym_of(helper)) == [student]
    services.end_membership(membership=helper.memberships.get())
    Membership.objects.create(studio=here, user=helper, role=Membership.Role.HELPER)
    assert not access.students_in_gym_of(User.objects.get(pk=helper.pk)).exists()
