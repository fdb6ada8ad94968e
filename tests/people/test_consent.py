"""A minor stands here only on a guardian's consent, whichever form is tried."""

from datetime import date

import pytest
from django.http import Http404
from django.test import Client
from django.utils import timezone

from shared.kit.refused import Refused
from shared.people import access, consent, invitations, services
from shared.people.forms import AdultForm, GuardianInvitationForm, StudentForm
from shared.people.models import ConsentChange, Guardianship, Invitation, Student, User
from tests import factories
from tests.conftest import signed_in
from tests.people.conftest import DETAILS, path_of, prove_address

CHILD = {
    "name": "Kim",
    "born_year": 2018,
    "hand": "left",
    "plays_seated": False,
    "time_zone": "Europe/Paris",
}


@pytest.fixture
def consent_path(client, guardian_invited):
    """The consent page of a guardian whose address is proven, as `client` sees it."""
    path = path_of(guardian_invited)
    prove_address(client, path, "gil@example.org")
    return f"{path}details/"


def test_the_guardian_consents_and_the_child_has_a_place(client, consent_path, coach):
    page = client.post(consent_path, DETAILS["guardian"])
    child = Student.objects.get()
    assert page["Location"] == f"/child/{child.pk}/"
    assert (child.name, child.born_year, child.hand) == ("Kim", 2018, "left")
    assert (child.lead_coach, child.user, child.time_zone) == (coach, None, "Europe/Paris")
    tie = Guardianship.objects.get()
    assert tie.user.email == "gil@example.org"
    assert (tie.consents_to_record, tie.consents_to_messages, tie.consents_to_clips) == (
        True,
        True,
        False,
    )
    change = ConsentChange.objects.get()
    assert (change.text_version, change.record, change.messages, change.clips) == (
        consent.TEXT_VERSION,
        True,
        True,
        False,
    )
    assert access.may_be_recorded(child)
    assert client.get(f"/child/{child.pk}/consents/").status_code == 200


@pytest.mark.parametrize(
    ("field", "bad"),
    [
        ("record", ""),
        ("name", ""),
        ("born_year", ""),
        ("born_year", "1990"),
        ("born_year", "3000"),
        ("born_year", "x"),
        ("hand", "both"),
        ("time_zone", "Mars"),
        ("guardian_name", ""),
    ],
)
def test_without_it_nothing_is_stored(client, consent_path, guardian_invited, field, bad):
    page = client.post(consent_path, DETAILS["guardian"] | {field: bad})
    assert page.context["form"].errors[field]
    assert not Student.objects.exists()
    assert not Guardianship.objects.exists()
    assert not User.objects.filter(email="gil@example.org").exists()
    guardian_invited.refresh_from_db()
    assert guardian_invited.accepted_at is None


def test_each_purpose_is_explained_on_the_page(client, consent_path):
    page = client.get(consent_path).content.decode()
    for purpose in consent.PURPOSES:
        assert purpose.label in page
        assert purpose.text.replace("'", "&#x27;") in page


def test_no_purpose_is_ticked_beforehand(client, consent_path):
    form = client.get(consent_path).context["form"]
    assert not any(form[purpose.field].value() for purpose in consent.PURPOSES)


def test_consent_is_all_or_nothing(guardian_invited, guardian, monkeypatch):
    def fail(_):
        raise RuntimeError("disk full")

    monkeypatch.setattr(consent, "_note", fail)
    with pytest.raises(RuntimeError):
        consent.give(guardian_invited, guardian, child=CHILD, messages=True, clips=True)
    assert not Student.objects.exists()
    guardian_invited.refresh_from_db()
    assert guardian_invited.accepted_at is None


def test_one_invitation_makes_one_child(guardian_invited, guardian):
    consent.give(guardian_invited, guardian, child=CHILD, messages=True, clips=True)
    with pytest.raises(invitations.InvitationOver):
        consent.give(guardian_invited, guardian, child=CHILD, messages=True, clips=True)
    assert Student.objects.count() == 1


# --- not by those who work here ------------------------------------------------


def test_who_invites_cannot_consent_to_themselves(guardian_invited, coach):
    """A coach who took up his own invitation could write to 'his' child."""
    with pytest.raises(Refused):
        consent.give(guardian_invited, coach, child=CHILD, messages=True, clips=True)
    assert not Student.objects.exists()
    guardian_invited.refresh_from_db()
    assert guardian_invited.accepted_at is None


@pytest.mark.parametrize("role", ["owner", "coach", "assistant", "helper"])
def test_nobody_who_works_here_is_a_guardian_here(guardian_invited, coach, role):
    staff = factories.make_coach(factories.studio_of(coach), role)
    with pytest.raises(Refused):
        consent.give(guardian_invited, staff, child=CHILD, messages=True, clips=True)
    assert not Student.objects.exists()


def test_a_guardian_here_does_not_work_here(coach, guardian):
    factories.make_child(coach, guardian)
    made = invitations.invite(
        by=coach, studio=factories.studio_of(coach), kind=Invitation.Kind.COACH
    )
    with pytest.raises(Refused):
        services.join_as_staff(invitation=made, user=guardian)
    assert not guardian.memberships.exists()


def test_it_is_said_on_the_page(client, guardian_invited, coach):
    Invitation.objects.update(email="")
    client.force_login(coach)
    page = client.post(f"{path_of(guardian_invited)}details/", DETAILS["guardian"], follow=True)
    assert "somebody else has to take it up" in page.content.decode()
    assert not Student.objects.exists()


def test_the_page_of_a_withdrawn_child_tells_what_is_still_there(guardian_client, child):
    guardian_client.post(f"/child/{child.pk}/consents/", {})
    page = guardian_client.get(f"/child/{child.pk}/consents/").content.decode()
    assert "Nothing more is kept" not in page
    assert "is still stored" in page
    assert guardian_client.get(f"/child/{child.pk}/").status_code == 200


# --- no other door ------------------------------------------------------------


@pytest.mark.parametrize("form", [AdultForm, GuardianInvitationForm, StudentForm])
def test_no_coachs_form_asks_for_an_age(form):
    assert not {"born_year", "user"} & set(form.base_fields)


def test_entering_an_adult_cannot_make_a_minor(coach_client):
    said = {"name": "Ada", "hand": "right", "is_adult": "on", "born_year": "2018"}
    coach_client.post("/students/new/", said)
    assert Student.objects.get().born_year is None


def test_a_student_not_said_to_be_adult_is_not_entered(coach_client):
    page = coach_client.post("/students/new/", {"name": "Kim", "hand": "right"})
    assert page.context["form"].errors["is_adult"]
    assert not Student.objects.exists()


def test_entering_a_minor_stores_the_guardian_and_no_child(coach_client):
    said = {"name": "Gil", "email": "gil@example.org", "child": "Kim", "born_year": "2018"}
    coach_client.post("/students/new/under-18/", said)
    assert not Student.objects.exists()
    made = Invitation.objects.get()
    assert (made.kind, made.name, made.email, made.student) == (
        "guardian",
        "Gil",
        "gil@example.org",
        None,
    )


def test_editing_cannot_make_an_adult_a_minor_or_a_minor_an_adult(coach_client, student, child):
    for person, born in ((student, "2018"), (child, "")):
        before = person.born_year
        page = coach_client.get(f"/students/{person.pk}/edit/")
        said = {k: v for k, v in page.context["form"].initial.items() if v not in (None, False)}
        answer = coach_client.post(f"/students/{person.pk}/edit/", said | {"born_year": born})
        assert answer.status_code == 302
        person.refresh_from_db()
        assert person.born_year == before


def test_an_adults_invitation_needs_the_word_that_they_are(client, invited, place):
    path = path_of(invited)
    prove_address(client, path, "ada@example.org")
    page = client.post(f"{path}details/", {"time_zone": "UTC"})
    assert page.context["form"].errors["is_adult"]
    place.refresh_from_db()
    assert place.user is None


# --- changing one's mind ------------------------------------------------------


def test_withdrawing_the_record_stops_everything(guardian_client, coach_client, child):
    page = guardian_client.post(f"/child/{child.pk}/consents/", {"messages": "on", "clips": "on"})
    assert page.status_code == 302
    tie = Guardianship.objects.get()
    assert tie.withdrawn_at is not None
    assert not tie.consents_to_messages
    assert not tie.consents_to_clips
    assert not access.may_be_recorded(child)
    assert not access.may_write_to(child)
    assert access.children_of(tie.user).get() == child  # To read, until it is erased.
    assert not access.students_logged_by(tie.user).exists()
    assert guardian_client.get("/")["Location"] == f"/child/{child.pk}/consents/"
    assert b"withdrawn" in guardian_client.get("/settings/").content
    name = child.name
    said = {"name": "Other", "hand": "left", "time_zone": "UTC", "lead_coach": child.lead_coach_id}
    assert coach_client.post(f"/students/{child.pk}/edit/", said).status_code == 404
    child.refresh_from_db()
    assert child.name == name
    roster = coach_client.get("/students/")
    assert roster.context["rows"] == []
    assert "away by a guardian’s wish" in roster.content.decode()
    assert str(child.pk) not in roster.content.decode()


def test_it_can_be_given_again_and_every_answer_is_kept(guardian_client, child):
    address = f"/child/{child.pk}/consents/"
    guardian_client.post(address, {})
    guardian_client.post(address, {"record": "on", "clips": "on"})
    assert access.may_be_recorded(child)
    assert not access.may_write_to(child)
    answers = ConsentChange.objects.order_by("pk").values_list("record", "messages", "clips")
    assert list(answers) == [(False, False, False), (True, False, True)]
    assert len(guardian_client.get(address).context["changes"]) == 2


def test_no_adult_writes_to_a_minor_without_a_guardian_who_sees_it(coach, guardian):
    child = factories.make_child(coach, guardian)
    assert access.may_write_to(child)
    Guardianship.objects.update(consents_to_messages=False)
    assert not access.may_write_to(child)
    Guardianship.objects.update(consents_to_messages=True, withdrawn_at=factories.NOON)
    assert not access.may_write_to(child)
    Guardianship.objects.all().delete()
    assert not access.may_write_to(child)


def test_adults_are_written_to_until_they_leave(student):
    assert access.may_write_to(student)
    student.left_on = factories.MONDAY
    assert not access.may_write_to(student)


@pytest.mark.parametrize("who", ["coach_client", "student_client", "stranger_client"])
def test_the_consents_are_the_guardians_alone(request, child, who):
    client = request.getfixturevalue(who)
    address = f"/child/{child.pk}/consents/"
    assert client.get(address).status_code == 404
    assert client.post(address, {}).status_code == 404
    assert Guardianship.objects.get().withdrawn_at is None


def test_another_guardian_is_a_stranger(child):
    other = factories.make_user("Other Guardian")
    factories.make_child(factories.make_coach(), other)
    assert signed_in(other).get(f"/child/{child.pk}/consents/").status_code == 404
    assert Client().get(f"/child/{child.pk}/consents/").status_code == 302


def test_who_may_log_is_said_alike_of_one_and_in_the_list(coach):
    guardian = factories.make_user("Reads and logs")
    adult, left = (
        factories.make_student(coach, "Adult"),
        factories.make_student(coach, "Left", left_on=date(2031, 1, 1)),
    )
    child = factories.make_child(coach, guardian, name="Child")
    closed = factories.make_child(coach, factories.make_user("Withdrew"), name="Closed")
    closed.guardianships.update(withdrawn_at=timezone.now())
    nobody = factories.make_student(coach, "No phone", with_user=False)
    students = Student.objects.filter(pk__in=[s.pk for s in (adult, left, child, closed, nobody)])
    found = set()
    for user in User.objects.all():
        listed = set(access.students_logged_by(user))
        assert {who for who in students if access.logged_for(user, who)} == listed
        found |= {(user.pk, who.name) for who in listed}
    assert found == {
        (adult.user_id, "Adult"), (child.user_id, "Child"), (guardian.pk, "Child")
    }  # fmt: skip


@pytest.mark.parametrize("clips", [True, False])
@pytest.mark.parametrize("version", [access.NAMES_VOICE - 1, access.NAMES_VOICE])
@pytest.mark.parametrize("withdrawn", [True, False])
def test_what_is_taken_is_said_alike_together_and_one_by_one(child, clips, version, withdrawn):
    child.guardianships.update(
        consents_to_clips=clips,
        consent_text_version=version,
        withdrawn_at=timezone.now() if withdrawn else None,
    )
    film = clips and not withdrawn
    voice = film and version == access.NAMES_VOICE
    expected = access.Taken(words=not withdrawn, film=film, voice=voice)
    assert access.taken_asked(child).answer == expected
    one_by_one = (access.may_be_recorded, access.may_be_seen, access.may_be_heard)
    assert access.Taken(*(may(child) for may in one_by_one)) == expected


def test_who_left_is_taken_of_nothing(student):
    assert access.taken_asked(student).answer == access.Taken(words=True, film=True, voice=True)
    student.left_on = factories.MONDAY
    assert access.taken_asked(student).answer == access.Taken(words=False, film=False, voice=False)


def test_one_who_is_taught_is_one_of_the_list(coach):
    withdrew = factories.make_child(coach, factories.make_user("Withdrew"), name="Closed")
    withdrew.guardianships.update(withdrawn_at=timezone.now())
    factories.make_child(coach, factories.make_user("Agrees"), name="Child")
    factories.make_student(coach, "Left", left_on=date(2031, 1, 1))
    factories.make_student(factories.make_coach(), "Elsewhere")
    helper = factories.make_coach(factories.studio_of(coach), access.Role.ASSISTANT)
    found = []
    for user in User.objects.all():
        for name, listed in (
            ("student_taught_or_404", access.students_taught_by(user)),
            ("student_planned_or_404", access.students_planned_by(user)),
        ):
            one, mine = getattr(access, name), set(listed)
            for student in Student.objects.all():
                try:
                    shown = {one(user, student.pk)}
                except Http404:
                    shown = set()
                assert shown == mine & {student}
                found += [(user.pk, name, who.studio.name) for who in shown]
    mine = {(who, name) for who, name, _ in found}
    assert (coach.pk, "student_planned_or_404") in mine
    assert (helper.pk, "student_taught_or_404") in mine
    assert (helper.pk, "student_planned_or_404") not in mine
