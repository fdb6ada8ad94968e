"""Bring your list, by its pages: looked at, brought, sent at once, taken back at once."""

import io
from datetime import UTC, datetime, time

import pytest
import time_machine
from django.core.cache import cache

from coaching.bring import services
from coaching.bring.models import Batch
from coaching.lessons.models import Lesson
from coaching.timetable.models import Series
from practice.shots.models import Sitting
from shared.outbox import send
from shared.people import invitations
from shared.people.models import Guardianship, Invitation, Student
from tests import factories
from tests.conftest import signed_in
from tests.importing.files import workbook
from tests.people.conftest import mails

PAGE = "/students/list/"
NOON = datetime(2031, 2, 26, 12, tzinfo=UTC)  # A Wednesday.
LIST = """\
Name\tMail\tDay\tTime\tGoal\tGuardian\tGuardian mail
Ada Hill\tada@example.org\tTuesday\t16:30\tBreak 90\t\t
Bo Lund\tbo@example.org\tWed\t5 pm\t\t\t
Kim Ray\t\tThu\t17:15\t\tGil Ray\tgil@example.org
Cy Moor\tcy@\tThu\t18:00\t\t\t"""


@pytest.fixture(autouse=True)
def _now(db):
    cache.clear()
    with time_machine.travel(NOON, tick=False):
        yield


@pytest.fixture
def coach():
    studio = factories.make_studio(time_zone="Europe/Paris")
    return factories.make_coach(studio, name="Mara Lindgren", time_zone="Europe/Paris")


@pytest.fixture
def coach_client(coach):
    return signed_in(coach)


def bring(client, text=LIST, **more):
    page = client.post(PAGE, {"list": text, "bring": "1", "is_adult": "on"} | more)
    assert page.status_code == 302, page.text
    return page["Location"]


@pytest.mark.parametrize(
    ("headings", "is_said"), [("Xyzzy\tSurname", True), ("First name\tSurname", False)]
)
def test_last_names_alone_are_said(coach_client, headings, is_said):
    page = coach_client.post(PAGE, {"list": f"{headings}\tDay\n1\tHill\tTue\n2\tLund\tWed"})
    assert ("These are last names alone." in page.text) == is_said
    assert "The time is missing. Write it like 16:30." in page.text


def test_a_look_says_what_becomes_of_every_row_and_keeps_nothing(coach_client):
    page = coach_client.post(PAGE, {"list": LIST})
    said = [each.words for each in page.context["outcomes"]]
    assert said == [
        "ada@example.org is invited. Lesson every Tuesday at 16:30.",
        "bo@example.org is invited. Lesson every Wednesday at 17:00.",
        (
            "Under 18: gil@example.org is invited as the guardian. Lesson every Thursday at 17:15,"
            " once the guardian has entered the child."
        ),
        "“cy@” is no mail. Write one, as in ada@example.org.",
    ]
    assert "3 to bring, 1 left out" in page.text
    assert "Cy Moor\tcy@" in page.text  # What was typed stays, to be mended.
    assert not Student.objects.exists()
    assert not Invitation.objects.exists()


def test_one_tap_brings_places_lessons_and_invitations_and_mails_nobody(coach_client, coach):
    bring(coach_client)
    ada, bo = Student.objects.order_by("name")
    assert (ada.name, ada.goal, ada.lead_coach) == ("Ada Hill", "Break 90", coach)
    assert [each.rule for each in ada.series.all()] == ["FREQ=WEEKLY;BYDAY=TU"]
    first = Lesson.objects.filter(student=ada).order_by("at").first()
    assert first.at == datetime(2031, 3, 4, 15, 30, tzinfo=UTC)  # 16:30 in Paris, in winter.
    assert Lesson.objects.filter(student=bo).order_by("at").first().at.day == 26
    assert Invitation.objects.count() == 3
    assert not mails()


def test_nothing_of_a_child_is_kept_but_the_hour(coach_client):
    bring(coach_client)
    for model in (Student, Invitation, Batch, Series):
        for row in model.objects.values():
            assert "Kim" not in str(row)


def test_the_hour_that_waits_becomes_the_lesson_of_the_child_once_the_record_begins(
    coach_client, coach
):
    bring(coach_client)
    invitation = Invitation.objects.get(kind="guardian")
    guardian = factories.make_user("Gil", email="gil@example.org")
    invitations.take(invitation, guardian)
    child = factories.make_child(coach, guardian, name="Kim")
    Guardianship.objects.update(consented_at=NOON)
    Student.objects.filter(pk=child.pk).update(awaits_second_adult=True)
    assert services.settle_waiting() == 0
    Student.objects.filter(pk=child.pk).update(awaits_second_adult=False)
    assert services.settle_waiting() == 1
    series = child.series.get()
    assert (series.rule, series.at) == ("FREQ=WEEKLY;BYDAY=TH", time(17, 15))
    assert services.settle_waiting() == 0


def test_an_hour_that_cannot_be_settled_stops_no_other(coach_client, coach, monkeypatch):
    bring(coach_client, "Name\tGuardian mail\tLesson\nKim\tgil@example.org\tThu 17:15"
          "\nLou\thal@example.org\tFri 17:15")  # fmt: skip
    for name, mail in (("Kim", "gil@example.org"), ("Lou", "hal@example.org")):
        guardian = factories.make_user(f"Guardian of {name}", email=mail)
        invitations.take(Invitation.objects.get(email=mail), guardian)
        factories.make_child(coach, guardian, name=name)
    Guardianship.objects.update(consented_at=NOON)
    real = services._weekly

    def fails_for_kim(student, *rest):
        if student.name == "Kim":
            raise ZeroDivisionError
        return real(student, *rest)

    monkeypatch.setattr(services, "_weekly", fails_for_kim)
    assert services.settle_waiting() == 1
    assert [each.student.name for each in Series.objects.all()] == ["Lou"]


def test_the_invitations_go_out_as_one_and_no_one_twice(coach_client):
    page = bring(coach_client)
    assert "Send 3 invitations" in coach_client.get(page).text
    coach_client.post(f"{page}send/")
    send.send_due()
    assert sorted(mail.to[0] for mail in mails()) == [
        "ada@example.org", "bo@example.org", "gil@example.org",
    ]  # fmt: skip
    coach_client.post(f"{page}send/")
    send.send_due()
    assert len(mails()) == 3
    assert "Send" not in coach_client.get(page).context["rows"][0][1]
    assert "mailed" in coach_client.get(page).text


def test_where_mail_is_a_file_no_page_says_that_it_went_out(coach_client, settings, tmp_path):
    settings.EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
    settings.EMAIL_FILE_PATH = tmp_path
    page = bring(coach_client)
    told = coach_client.post(f"{page}send/", follow=True).text
    assert "3 invitations are written to files: no mail server is set." in told
    send.send_due()
    assert "· mailed" not in coach_client.get(page).text
    assert "written to a file, as no mail server is set" in coach_client.get(page).text


def test_one_tap_takes_all_of_it_back_but_who_came_in(coach_client):
    page = bring(coach_client)
    Student.objects.filter(name="Bo Lund").update(user=factories.make_user("Bo"))
    told = coach_client.post(f"{page}take-back/", follow=True).text
    assert "Taken back: 2. 1 had come in already, or have something kept, and stay." in told
    assert list(Student.objects.values_list("name", flat=True)) == ["Bo Lund"]
    assert set(Lesson.objects.values_list("student__name", flat=True)) == {"Bo Lund"}
    assert not invitations.open_ones().exclude(student__name="Bo Lund").exists()
    assert "It was taken back." in coach_client.get(page).text


def test_whoever_has_something_kept_is_not_taken_back(coach_client, coach):
    page = bring(coach_client)
    ada, bo = Student.objects.order_by("name")
    Sitting.objects.create(student=ada, day=NOON.date())
    group = ada.studio.groups.create(name="Evening", made_by=coach)
    group.students.add(bo)
    coach_client.post(f"{page}take-back/")
    assert set(Student.objects.all()) == {ada, bo}


def test_a_second_time_the_same_list_brings_nobody(coach_client):
    bring(coach_client)
    page = coach_client.post(PAGE, {"list": LIST})
    assert page.context["count"] == 0
    assert "Is on the list already. Left out." in page.text
    assert "The guardian is invited already. Left out." in page.text
    page = coach_client.post(PAGE, {"list": LIST, "bring": "1", "is_adult": "on"})
    assert "No row can be brought yet" in page.text


def test_adults_are_said_to_be_adults(coach_client):
    page = coach_client.post(PAGE, {"list": LIST, "bring": "1"})
    assert "Tick this, or write a guardian’s mail for who is under 18." in page.text
    assert not Student.objects.exists()


def test_a_sheet_comes_through_the_jail_into_the_box(coach_client):
    import openpyxl

    book, file = openpyxl.Workbook(), io.BytesIO()
    for row in LIST.splitlines():
        book.active.append(row.split("\t"))
    book.active["D2"] = time(16, 30)
    book.save(file)
    file.seek(0)
    file.name = "students.xlsx"
    page = coach_client.post(PAGE, {"file": file, "list": ""})
    assert page.context["count"] == 3
    assert "Ada Hill\tada@example.org\tTuesday\t16:30" in page.text


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "Paste your list, or choose a file."),
        ("x\n" * 300, "Bring at most 200 people at once."),
        ("x" * 300_000, "That is too long."),
    ],
)
def test_a_list_that_cannot_be_read_is_said_and_stays(coach_client, text, words):
    page = coach_client.post(PAGE, {"list": text})
    assert page.status_code == 400
    assert words in page.text
    assert text[:20] in page.text


def test_a_column_that_was_taken_wrongly_is_put_right(coach_client):
    text = "Ada Hill\tBreak 90\tada@example.org\nBo Lund\tPlay more\tbo@example.org"
    page = coach_client.post(PAGE, {"list": text, "column-1": "aim"})
    assert [each["chosen"] for each in page.context["columns"]] == ["name", "aim", "email"]
    bring(coach_client, text, **{"column-1": "aim"})
    assert Student.objects.get(name="Ada Hill").goal == "Break 90"


def test_of_another_studio_there_is_no_batch(coach_client):
    page = bring(coach_client)
    stranger = signed_in(factories.make_coach(name="Stranger"))
    assert stranger.get(page).status_code == 404
    assert stranger.post(f"{page}take-back/").status_code == 404
    assert Student.objects.count() == 2


def test_its_queries_do_not_grow_with_the_batch(coach_client, django_assert_max_num_queries):
    page = bring(coach_client)
    with django_assert_max_num_queries(22):
        coach_client.get(page)
    more = "\n".join(f"Student {n}\ts{n}@example.org\tMon\t{8 + n % 10}:00" for n in range(30))
    page = bring(coach_client, more)
    with django_assert_max_num_queries(22):
        coach_client.get(page)


def test_a_phone_number_is_kept_with_the_place_and_a_wrong_one_is_asked_about(coach_client):
    rows = "Name\tMail\tPhone\nAda Hill\tada@example.org\t+44 20 7946 0011\nBo Lund\t\tcall him"
    page = coach_client.post(PAGE, {"list": rows})
    assert "“call him” is no phone number." in page.context["outcomes"][1].words
    bring(coach_client, rows.replace("call him", ""))
    assert dict(Student.objects.values_list("name", "phone")) == {
        "Ada Hill": "+44 20 7946 0011",
        "Bo Lund": "",
    }


def test_the_guardians_number_waits_for_the_child_and_stands_where_calls_are_made(
    coach_client, coach
):
    """A number in a child's row is the guardian's; of the child itself nothing is kept before."""
    rows = (
        "Name\tMail\tPhone\tGuardian mail\tGuardian phone\n"
        "Kim Ray\t\t\tgil@example.org\t+44 20 7946 0022\n"
        "Lou Ray\t\t+44 20 7946 0033\thal@example.org\t"
    )
    page = coach_client.post(PAGE, {"list": rows})
    assert "For calls: +44 20 7946 0022, as the guardian’s number." in page.text
    bring(coach_client, rows)
    assert not Student.objects.exists()
    for name, mail in (("Kim", "gil@example.org"), ("Lou", "hal@example.org")):
        guardian = factories.make_user(f"Guardian of {name}", email=mail)
        invitations.take(Invitation.objects.get(email=mail), guardian)
        factories.make_child(coach, guardian, name=name)
    Guardianship.objects.update(consented_at=NOON)
    assert services.settle_waiting() == 2
    assert dict(Student.objects.values_list("name", "phone")) == {
        "Kim": "+44 20 7946 0022",
        "Lou": "+44 20 7946 0033",
    }
    assert services.settle_waiting() == 0


def test_a_workbook_looked_at_is_brought_as_it_was_shown(coach_client):
    """A comma in each name, and cells missing at the end: the box was read as split by commas."""
    rows = [["Unterrichtsliste"], ["Name, Vorname", "Mail", "Termin", "Ziel"],
            ["Hügel, Ada", "ada@example.org", "Di 16:30", "90"],
            ["Lund, Bo", "bo@example.org", "Mi 9:00"], ["Strahl, Kim", "kim@example.org"],
            ["Moor, Cy", "cy@example.org"]]  # fmt: skip
    file = io.BytesIO(workbook(rows))
    shown = coach_client.post(PAGE, {"file": file, "list": ""})
    bring(coach_client, shown.context["text"])
    assert sorted(Invitation.objects.values_list("name", flat=True)) == [
        "Ada Hügel", "Bo Lund", "Cy Moor", "Kim Strahl",
    ]  # fmt: skip
