import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from shared.people import access, invitation_mail, roster
from shared.people.models import (
    AccountMail,
    Invitation,
    SecurityEvent,
    Student,
    Undelivered,
)
from tests import factories
from tests.conftest import signed_in

EDIT = {
    "name": "Sam Newname",
    "hand": "left",
    "plays_seated": "on",
    "time_zone": "America/New_York",
    "next_lesson": "2031-03-04",
    "next_event": "2031-04-05",
    "next_event_name": "Spring cup",
    "goal": "Straighter",
}


def test_an_adult_is_entered_with_an_invitation(coach_client, coach, studio):
    said = {"name": "Ada", "email": "Ada@Example.org", "hand": "left", "is_adult": "on"}
    page = coach_client.post("/students/new/", said)
    made = Student.objects.get()
    assert (made.name, made.hand, made.lead_coach, made.studio) == ("Ada", "left", coach, studio)
    assert made.user is None
    invitation = Invitation.objects.get(student=made)
    assert invitation.email == "ada@example.org"
    assert page["Location"] == f"/invitations/{invitation.pk}/"


def test_the_student_starts_on_the_studios_clock(coach_client, studio):
    type(studio).objects.update(time_zone="Pacific/Auckland")
    coach_client.post("/students/new/", {"name": "Ada", "hand": "right", "is_adult": "on"})
    assert Student.objects.get().time_zone == "Pacific/Auckland"


@pytest.mark.parametrize(
    ("field", "bad"), [("name", ""), ("name", "x" * 81), ("email", "no"), ("hand", "")]
)
def test_a_wrong_line_is_shown_and_nobody_is_entered(coach_client, field, bad):
    said = {"name": "Ada", "hand": "right", "is_adult": "on"} | {field: bad}
    page = coach_client.post("/students/new/", said)
    assert page.context["form"].errors[field]
    assert not Student.objects.exists()


def test_the_list_says_how_each_stands(coach_client, coach, child, student, invited):
    factories.make_student(coach, "Zed Uninvited", with_user=False)
    rows = coach_client.get("/students/").context["rows"]
    assert [(row.name, row.standing) for row in rows] == [
        ("Ada", "invited, not here yet"),
        ("Kim", ""),
        ("Sam Sample", ""),
        ("Zed Uninvited", "not invited"),
    ]


def test_it_is_searched_by_name_and_by_that_studio_alone(coach_client, coach, student):
    factories.make_student(factories.make_coach(), "Sam Elsewhere")
    factories.make_student(coach, "Ada")
    rows = coach_client.get("/students/", {"name": "sam"}).context["rows"]
    assert [row.name for row in rows] == ["Sam Sample"]
    assert coach_client.get("/students/", {"name": "a\x00%_'"}).status_code == 200


def test_a_sign_in_a_search_stands_for_itself(coach_client, coach, student):
    factories.make_student(coach, "100% Ada")
    rows = coach_client.get("/students/", {"name": "%"}).context["rows"]
    assert [row.name for row in rows] == ["100% Ada"]


def test_it_is_cut_into_pages(coach_client, coach):
    for number in range(roster.PAGE + 3):
        factories.make_student(coach, f"Student {number:03}", with_user=False)
    first = coach_client.get("/students/").context
    assert len(first["rows"]) == roster.PAGE
    rest = coach_client.get("/students/?" + first["more"]).context
    assert [row.name for row in rest["rows"]] == ["Student 060", "Student 061", "Student 062"]
    assert not rest["more"]


@pytest.mark.parametrize("page", ["-1", "x", "9" * 30, "٣", "1e3"])
def test_a_page_that_is_none_is_the_first(coach_client, student, page):
    assert coach_client.get("/students/", {"page": page}).status_code == 200


def test_the_list_costs_the_same_for_one_and_for_many(coach_client, coach, studio):
    def queries() -> list[str]:
        with CaptureQueriesContext(connection) as captured:
            assert coach_client.get("/students/").status_code == 200
        return [query["sql"] for query in captured]

    factories.make_student(coach, "One")
    one = queries()
    for number in range(40):
        factories.make_student(coach, f"More {number}")
        factories.make_child(coach, name=f"Child {number}")
    assert len(queries()) == len(one)
    assert len(one) <= 9, one


@pytest.mark.parametrize("who", ["student_client", "guardian_client"])
def test_it_is_for_those_who_teach(request, who):
    client = request.getfixturevalue(who)
    for address in ("/students/", "/students/new/", "/students/new/under-18/", "/people/"):
        assert client.get(address).status_code == 404


def test_an_assistant_reads_and_does_not_enter(assistant_client, student):
    page = assistant_client.get("/students/")
    assert [row.name for row in page.context["rows"]] == ["Sam Sample"]
    assert b"Enter a student" not in page.content
    for address in ("/students/new/", "/students/new/under-18/", f"/students/{student.pk}/edit/"):
        assert assistant_client.get(address).status_code == 404
        assert assistant_client.post(address, EDIT).status_code == 404
    assert Student.objects.count() == 1


def test_a_coach_changes_a_student(coach_client, coach, student):
    page = coach_client.post(f"/students/{student.pk}/edit/", EDIT | {"lead_coach": coach.pk})
    assert page.status_code == 302
    student.refresh_from_db()
    assert (student.name, student.hand, student.plays_seated) == ("Sam Newname", "left", True)
    assert student.time_zone == "America/New_York"
    assert str(student.next_lesson) == "2031-03-04"
    assert (student.next_event_name, student.goal) == ("Spring cup", "Straighter")


def test_who_is_given_the_lead_and_so_reads_of_pain_is_told_and_written_down(
    coach_client, coach, owner, student
):
    other = factories.make_coach(student.studio, name="Second")
    for lead in (coach, other, other):
        coach_client.post(f"/students/{student.pk}/edit/", EDIT | {"lead_coach": lead.pk})
    event = SecurityEvent.objects.get(kind="pain")
    assert (event.by, event.whom) == (coach.pk, student.pk)
    assert event.what == "new lead coach: Second"
    told = AccountMail.objects.values_list("address", flat=True)
    assert sorted(told) == sorted([owner.email, student.user.email])


def test_nobody_takes_the_lead(student):
    """Or whoever plans could read of pain without saying why."""
    other = factories.make_coach(student.studio, name="Second")
    lead = student.lead_coach
    page = signed_in(other).post(f"/students/{student.pk}/edit/", EDIT | {"lead_coach": other.pk})
    assert page.status_code == 302
    student.refresh_from_db()
    assert (student.name, student.lead_coach) == ("Sam Newname", lead)
    assert not access.students_cared_for_by(other).exists()


def test_the_owner_gives_the_lead_of_a_child_and_its_guardian_is_told(owner_client, owner, child):
    owner_client.post(f"/students/{child.pk}/edit/", EDIT | {"lead_coach": owner.pk})
    child.refresh_from_db()
    assert child.lead_coach == owner
    (told,) = AccountMail.objects.all()
    assert told.address == child.guardianships.get().user.email
    text = invitation_mail.build(told).body
    assert "Owner has made Owner the lead coach of Sam Newname." in text


def test_only_a_coach_of_the_studio_leads(coach_client, student, studio):
    elsewhere = factories.make_coach()
    assistant = factories.make_coach(studio, "assistant")
    for other in (elsewhere, assistant, student.user):
        said = EDIT | {"lead_coach": other.pk}
        page = coach_client.post(f"/students/{student.pk}/edit/", said)
        assert page.context["form"].errors["lead_coach"]
    student.refresh_from_db()
    assert student.name == "Sam Sample"


def test_a_coach_shares_a_student_with_a_strength_coach(coach_client, coach, student, studio):
    edit = f"/students/{student.pk}/edit/"
    assert "strength_coaches" not in coach_client.get(edit).context["form"].fields
    gym = factories.make_coach(studio, "helper", name="Gym Coach")
    elsewhere = factories.make_coach(role="helper")
    said = EDIT | {"lead_coach": coach.pk}
    for other in (elsewhere, coach, student.user):
        page = coach_client.post(edit, said | {"strength_coaches": [other.pk]})
        assert page.context["form"].errors["strength_coaches"]
    assert not access.students_in_gym_of(gym)
    assert coach_client.post(edit, said | {"strength_coaches": [gym.pk]}).status_code == 302
    assert list(access.students_in_gym_of(gym)) == [student]
    assert coach_client.post(edit, said).status_code == 302
    assert not access.students_in_gym_of(gym)


def test_somebody_elses_student_does_not_exist(stranger_client, student):
    stranger = Student.objects.get(pk=student.pk)
    for action in ("edit", "left", "returned", "invite"):
        address = f"/students/{student.pk}/{action}/"
        assert stranger_client.post(address, EDIT).status_code == 404
    student.refresh_from_db()
    assert (student.name, student.left_on) == (stranger.name, None)


def test_a_student_leaves_and_comes_back(coach_client, student, place, invited):
    assert coach_client.post(f"/students/{place.pk}/left/").status_code == 302
    invited.refresh_from_db()
    assert invited.revoked_at is not None
    assert [r.name for r in coach_client.get("/students/").context["rows"]] == ["Sam Sample"]
    former = coach_client.get("/students/?left=1").context["rows"]
    assert [(row.name, row.standing[:7]) for row in former] == [("Ada", "left on")]
    assert coach_client.get(f"/students/{place.pk}/edit/").status_code == 404
    coach_client.post(f"/students/{place.pk}/returned/")
    assert len(coach_client.get("/students/").context["rows"]) == 2


def test_leaving_is_not_done_by_a_link(coach_client, student):
    assert coach_client.get(f"/students/{student.pk}/left/").status_code == 405
    student.refresh_from_db()
    assert student.left_on is None


def test_who_has_left_cannot_be_seen_by_an_assistant_or_a_stranger(
    assistant_client, stranger_client, coach_client, student
):
    coach_client.post(f"/students/{student.pk}/left/")
    for client in (assistant_client, stranger_client):
        assert client.get("/students/?left=1").context["rows"] == []
        assert client.post(f"/students/{student.pk}/returned/").status_code == 404


def test_a_name_is_one_line(coach_client):
    said = {"name": "Sam\r\nBcc: x@example.org", "email": "", "hand": "right", "is_adult": "on"}
    coach_client.post("/students/new/", said)
    assert Student.objects.get().name == "Sam Bcc: x@example.org"


def test_the_list_says_whose_mails_do_not_arrive(coach, coach_client, invited, student):
    """Among forty-five nobody opens every invitation to see which was refused."""
    guardian = factories.make_user("Gail Guardian")
    child = factories.make_child(coach, guardian, name="Kim Kid", with_user=False)
    for address in (invited.email, student.user.email, guardian.email):
        Undelivered.objects.create(address=address.lower(), why="550")
    page = coach_client.get("/students/")
    said = {row.id: (row.standing, row.needs_look) for row in page.context["rows"]}
    assert said[invited.student_id] == ("invited, but the mail did not arrive", True)
    assert said[student.pk] == said[child.pk] == ("mails do not arrive", True)


def test_mails_to_a_guardian_who_was_taken_off_are_nobodys_trouble(coach, coach_client):
    gone = factories.make_user("Gone Guardian")
    child = factories.make_child(coach, gone, name="Kim Kid", with_user=False)
    factories.make_guardian_of(child)
    child.guardianships.filter(user=gone).update(ended_at=factories.NOON, ended_why="Moved away.")
    Undelivered.objects.create(address=gone.email.lower(), why="550")
    (row,) = coach_client.get("/students/").context["rows"]
    assert (row.standing, row.needs_look) == ("", False)


def test_an_invitation_that_was_refused_is_a_mail_in_trouble(owner_client, invited):
    house = owner_client.get("/house/").text
    assert "No mail of the last seven days was refused." in house
    AccountMail.objects.create(
        address=invited.email, invitation=invited, state="failed", why="550 no such user",
        message_id="<1@a>", expires_at="2099-01-01T00:00Z",
    )  # fmt: skip
    assert "Mails refused or lost in the last seven days: 1." in owner_client.get("/house/").text
    trouble = owner_client.get("/reminders/running/").text
    assert f"<strong>{invited.email}</strong>: Invitation, refused" in trouble
    assert "550 no such user" in trouble
