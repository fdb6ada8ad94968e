"""A child who turns 18 answers alone: reading, sign-in and consent pass over, on their own day."""

import re
from datetime import UTC, date, datetime, timedelta

import pytest
import time_machine
from django.db.models import F
from django.test import Client

from shared.people import access, coming_of_age, consent, invitations, services
from shared.people.local_day import LocalDay
from shared.people.models import Guardianship, SecurityEvent, Student, User
from tests import factories
from tests.conftest import signed_in
from tests.people.conftest import code_in_last_mail, mails, path_of, prove_address

BIRTHDAY = date(2031, 5, 17)
BEFORE = datetime(2031, 5, 16, 12, tzinfo=UTC)
AFTER = datetime(2031, 5, 18, 12, tzinfo=UTC)
OVER = AFTER + access.GRACE


@pytest.fixture
def young(coach, guardian):
    """Turns 18 on the birthday, and came by a phone of their own."""
    child = factories.make_child(
        coach, guardian, name="Kim", born_year=2013, time_zone="Europe/Paris", with_user=False
    )
    Student.objects.filter(pk=child.pk).update(turns_18_on=BIRTHDAY)
    services.user_of_child(child)
    child.refresh_from_db()
    return child


def at(moment):
    return time_machine.travel(moment, tick=False)


# --- on which day ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("zone", "moment", "is_of_age"),
    [
        ("Pacific/Kiritimati", datetime(2031, 5, 16, 9, 59, tzinfo=UTC), False),
        ("Pacific/Kiritimati", datetime(2031, 5, 16, 10, 0, tzinfo=UTC), True),  # UTC+14
        ("Europe/Paris", datetime(2031, 5, 16, 21, 59, tzinfo=UTC), False),
        ("Europe/Paris", datetime(2031, 5, 16, 22, 0, tzinfo=UTC), True),  # UTC+2 in summer
        ("America/Los_Angeles", datetime(2031, 5, 17, 6, 59, tzinfo=UTC), False),
        ("America/Los_Angeles", datetime(2031, 5, 17, 7, 0, tzinfo=UTC), True),  # UTC-7
    ],
)
def test_it_is_the_birthday_on_the_students_own_calendar(young, zone, moment, is_of_age):
    """The offsets are those of the IANA time zone database. The object and the query agree."""
    Student.objects.update(time_zone=zone)
    young.refresh_from_db()
    with at(moment):
        assert young.is_minor != is_of_age
    assert Student.objects.filter(access.of_age(moment)).exists() == is_of_age


def test_without_the_birthday_it_is_the_first_day_without_doubt(young):
    Student.objects.update(turns_18_on=None)
    young.refresh_from_db()
    assert young.of_age_on == date(2032, 1, 1)
    for moment, is_of_age in (
        (datetime(2031, 12, 31, 22, 59, tzinfo=UTC), False),
        (datetime(2031, 12, 31, 23, 0, tzinfo=UTC), True),  # Midnight in Paris.
    ):
        with at(moment):
            assert young.is_minor != is_of_age
        assert Student.objects.filter(access.of_age(moment)).exists() == is_of_age


def test_the_database_knows_the_day_of_each_row(young, coach):
    factories.make_student(coach, "Far", time_zone="Pacific/Kiritimati")
    day = LocalDay(datetime(2031, 5, 16, 12, tzinfo=UTC), "time_zone")
    found = dict(Student.objects.annotate(day=day).values_list("name", "day"))
    assert found == {"Kim": date(2031, 5, 16), "Far": date(2031, 5, 17)}
    assert Student.objects.filter(turns_18_on=F("turns_18_on")).count() == 1


# --- what changes on it ------------------------------------------------------------------------


def test_the_guardians_reading_ends_and_the_record_stands_for_four_weeks(young, guardian, coach):
    with at(BEFORE):
        client = signed_in(guardian)
        assert client.get(f"/child/{young.pk}/").status_code == 200
    with at(AFTER):
        client = signed_in(guardian)
        for page in ("", "consents/", "guardians/", "phones/", "read-by/"):
            assert client.get(f"/child/{young.pk}/{page}").status_code == 404, page
        assert client.get(f"/records/{young.pk}/").status_code == 404
        assert not access.students_handed_out_to(guardian).exists()
        assert not access.students_logged_by(guardian).exists()
        assert access.may_be_recorded(young)
        assert access.students_taught_by(coach).filter(pk=young.pk).exists()
        assert access.students_handed_out_to(young.user).exists()
        assert not access.may_write_to(young)  # Their own yes is still to come.
    with at(OVER):
        assert not access.may_be_recorded(young)
        assert not access.students_taught_by(coach).filter(pk=young.pk).exists()
        assert access.own_places(young.user).exists()


def test_a_guardian_of_a_grown_child_reads_what_is_true(young, guardian):
    stranger = factories.make_user("Nobody Known")
    said = {}
    for when, moment in (("grown", AFTER), ("over", OVER)):
        with at(moment):
            said[when] = signed_in(guardian).get("/").content.decode()
            assert "no studio knows" in signed_in(stranger).get("/").content.decode()
    with at(AFTER):
        coming_of_age.take_over(young, young.user, email="kim@example.org", readers=[])
        said["taken over"] = signed_in(guardian).get("/").content.decode()
    for when, page in said.items():
        assert "Your child is of age now and answers alone here" in page, when
        assert not re.search(r"\bKim\b", page), when
        assert "no studio knows" not in page, when


def test_a_guardian_who_left_a_minor_reads_nothing_of_the_child(young, guardian):
    Guardianship.objects.update(ended_at=BEFORE)
    with at(BEFORE):
        assert not re.search(r"\bKim\b", signed_in(guardian).get("/").content.decode())
    # Nor when the child has grown: whoever was let go before is told nothing of it.
    with at(AFTER):
        assert not re.search(r"\bKim\b", signed_in(guardian).get("/").content.decode())


def test_both_are_told_beforehand(young, guardian):
    with at(BEFORE):
        for client, page in (
            (signed_in(guardian), f"/child/{young.pk}/consents/"),
            (signed_in(young.user), f"/of-age/{young.pk}/"),
        ):
            said = client.get(page).content.decode()
            assert "17 May 2031" in said
            assert "14 June 2031" in said
    with at(datetime(2030, 12, 30, tzinfo=UTC)):
        assert signed_in(young.user).get(f"/of-age/{young.pk}/").status_code == 404


def test_the_phone_leads_there(young):
    with at(AFTER):
        pages = signed_in(young.user).get("/api/week").json()["pages"]
    assert ("You are 18: make it yours", f"/of-age/{young.pk}/") in [
        (page["text"], page["at"]) for page in pages
    ]


@pytest.mark.parametrize("who", ["guardian", "child"])
def test_the_birthday_is_told_in_its_year_and_no_other(young, guardian, who):
    Student.objects.update(turns_18_on=None)
    user = guardian if who == "guardian" else young.user
    with at(BEFORE):
        client = signed_in(user)
        client.post(f"/child/{young.pk}/birthday/", {"day": "2030-05-17"})
        assert Student.objects.get().turns_18_on is None
        client.post(f"/child/{young.pk}/birthday/", {"day": "2031-05-20"})
        assert Student.objects.get().turns_18_on == date(2031, 5, 20)
    with at(BEFORE - timedelta(days=400)):
        late = signed_in(user).post(f"/child/{young.pk}/birthday/", {"day": "2031-05-20"})
        assert late.status_code == 404


def test_a_day_that_the_child_tells_holds_when_the_guardians_could_put_it_right(young, guardian):
    Student.objects.update(turns_18_on=None)
    with at(BEFORE):
        client = signed_in(young.user)
        client.post(f"/child/{young.pk}/birthday/", {"day": "2031-01-02"})
        (told,) = mails()
        assert told.to == [guardian.email]
        assert "of age from Mon 19 May" in told.body
        client.post(f"/of-age/{young.pk}/", {"record": "on"})
        assert access.answers_for(guardian, Student.objects.get())
        signed_in(guardian).post(f"/child/{young.pk}/birthday/", {"day": "2031-11-30"})
    with at(AFTER):
        assert Student.objects.get().is_minor


# --- taking it over ----------------------------------------------------------------------------


def take(client, child, **said):
    address = f"/of-age/{child.pk}/"
    client.post(address, {"email": "kim@example.org"})
    client.post(address, {"code": code_in_last_mail()})
    return client.post(address, {"record": "on"} | said)


@pytest.mark.parametrize("moment", [AFTER, OVER])
def test_by_the_phone_and_a_proven_address_it_becomes_their_own(young, guardian, moment):
    """Also after the four weeks: the record was closed, and opens with their yes."""
    with at(moment):
        client = signed_in(young.user)
        assert take(client, young)["Location"] == "/settings/"
        young.refresh_from_db()
        assert (young.born_year, young.turns_18_on) == (None, None)
        assert User.objects.get(pk=young.user_id).email == "kim@example.org"
        assert access.may_be_recorded(young)
        assert access.may_write_to(young)
        assert Guardianship.objects.get().ended_at is not None
        assert not access.children_of(guardian).exists()
        assert SecurityEvent.objects.get(kind="consent").by == young.user_id
        told = [mail for mail in mails() if mail.to == [guardian.email]]
        assert "You read nothing more of it." in told[-1].body


def test_who_is_let_read_on_reads_and_changes_nothing_until_it_is_ended(young, guardian):
    tie = Guardianship.objects.get()
    with at(AFTER):
        client, guardians = signed_in(young.user), signed_in(guardian)
        take(client, young, readers=[str(tie.pk)])
        assert guardians.get(f"/child/{young.pk}/").status_code == 200
        assert guardians.get(f"/child/{young.pk}/consents/").status_code == 404
        assert not access.students_logged_by(guardian).exists()
        assert not access.students_handed_out_to(guardian).exists()
        for page in ("files/", "files/new/", "clips/", "paper/", "write-in/"):
            assert guardians.post(f"/students/{young.pk}/{page}").status_code in {404, 405}, page
        assert 'id="send-clip"' not in guardians.get(f"/students/{young.pk}/clips/").text
        assert "Who reads what is yours" in client.get("/settings/").content.decode()
        client.post(f"/of-age/{young.pk}/readers/", {"tie": str(tie.pk)})
        assert guardians.get(f"/child/{young.pk}/").status_code == 404


def test_without_their_yes_nothing_passes_over(young):
    with at(AFTER):
        page = take(signed_in(young.user), young, record="")
        assert page.context["form"].errors["record"]
        young.refresh_from_db()
        assert young.born_year == 2013


def test_an_address_of_somebody_else_is_not_taken(young):
    factories.make_user("Other", email="kim@example.org")
    with at(AFTER):
        take(signed_in(young.user), young)
    young.refresh_from_db()
    assert young.born_year == 2013
    assert not User.objects.get(pk=young.user_id).has_mail


def test_nobody_takes_over_before_the_day_nor_for_somebody_else(young, guardian):
    with at(BEFORE):
        signed_in(young.user).post(f"/of-age/{young.pk}/", {"record": "on"})
    with at(AFTER):
        answer = signed_in(guardian).post(f"/of-age/{young.pk}/", {"record": "on"})
        assert answer.status_code == 404
    assert Student.objects.get().born_year == 2013


@pytest.fixture
def unsigned(coach, guardian):
    """A child who turns 18 on the birthday and has no phone here."""
    child = factories.make_child(coach, guardian, name="Kim", born_year=2013, with_user=False)
    Student.objects.update(turns_18_on=BIRTHDAY)
    return child


def invited(client, child) -> str:
    client.post(f"/students/{child.pk}/invite/")
    return path_of(invitations.open_ones().get())


def test_who_had_no_phone_comes_by_the_coachs_invitation_and_consents(coach, unsigned):
    with at(BEFORE):
        assert signed_in(coach).post(f"/students/{unsigned.pk}/invite/").status_code == 404
    with at(AFTER):
        page = signed_in(coach).get(f"/students/{unsigned.pk}/edit/").content.decode()
        assert "send an invitation" in page
        path, client = invited(signed_in(coach), unsigned), Client()
        prove_address(client, path, "kim@example.org")
        said = {"time_zone": "Europe/Paris", "is_adult": "on"}
        page = client.post(f"{path}details/", said).content.decode()
        assert "Tick this to go on" in page
        assert Student.objects.get().user is None
        client.post(f"{path}details/", said | {"record": "on"})
    grown = Student.objects.get()
    assert (grown.born_year, grown.user.email) == (None, "kim@example.org")
    assert Guardianship.objects.get().ended_at is not None
    assert SecurityEvent.objects.filter(what="of age: agrees to the record").exists()


def test_without_the_consent_no_call_takes_a_grown_childs_place(coach, unsigned):
    with at(AFTER):
        invited(signed_in(coach), unsigned)
        grown = factories.make_user("Kim")
        with pytest.raises(invitations.InvitationOver):
            services.join_as_student(
                invitation=invitations.open_ones().get(), user=grown, time_zone="UTC"
            )
    assert Student.objects.get().user is None


@pytest.mark.parametrize("who", ["guardian", "coach"])
def test_no_guardian_and_nobody_who_works_here_consents_for_the_grown(
    coach, guardian, unsigned, who
):
    with at(AFTER):
        path = invited(signed_in(coach), unsigned)
        client = signed_in({"guardian": guardian, "coach": coach}[who])
        client.post(f"{path}details/", {"time_zone": "UTC", "record": "on"})
    assert Student.objects.get().user is None
    assert Student.objects.get().born_year == 2013


def test_a_closed_grown_record_is_opened_by_the_owners_invitation(coach, unsigned):
    with at(OVER):
        owner = signed_in(factories.make_coach(unsigned.studio, "owner"))
        assert signed_in(coach).post(f"/students/{unsigned.pk}/invite/").status_code == 404
        page = owner.get(f"/students/{unsigned.pk}/closed/").content.decode()
        assert f"/students/{unsigned.pk}/invite/" in page
        path, client = invited(owner, unsigned), Client()
        prove_address(client, path, "kim@example.org")
        client.post(f"{path}details/", {"time_zone": "UTC", "record": "on"})
        assert access.may_be_recorded(Student.objects.get())


def test_a_withdrawn_record_stays_closed_until_the_grown_child_answers(young, guardian):
    consent.change(Guardianship.objects.get(), record=False, messages=False, clips=False)
    with at(AFTER):
        assert not access.may_be_recorded(young)
        take(signed_in(young.user), young)
        young.refresh_from_db()
        assert access.may_be_recorded(young)


def test_a_birthday_of_another_year_is_refused(young):
    with pytest.raises(ValueError, match="2030"):
        coming_of_age.tell_birthday(young, date(2030, 5, 17))
