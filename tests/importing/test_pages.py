"""The pages of a file: who sees them, what they ask, what they refuse."""

from datetime import UTC, date, datetime

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from practice.importing import services, work
from practice.importing.columns import Plan
from practice.importing.days import DateOrder
from practice.importing.models import ShotFile
from practice.shots.models import Shot
from shared.people.models import Guardianship, Membership
from tests import factories
from tests.conftest import signed_in
from tests.importing.files import CSV, many, workbook

pytestmark = pytest.mark.django_db
State = ShotFile.State


def at(student, *more) -> str:
    return f"/students/{student.pk}/files/" + "".join(f"{each}/" for each in more)


def post_file(client, student, content=CSV, name="shots.csv", **more):
    file = SimpleUploadedFile(name, content, content_type="text/html")
    return client.post(at(student, "new"), {"file": file}, **more)


def sent(student, content=CSV):
    return services.take(
        student=student,
        by=student.lead_coach,
        name="shots.csv",
        size=len(content),
        chunks=[content],
    )


BRING = {
    "field-0": "day", "field-1": "club", "field-2": "carry", "unit-2": "yd",
    "field-3": "total", "unit-3": "yd", "field-4": "side", "unit-4": "yd",
    "field-5": "ball_speed", "unit-5": "mph", "field-6": "spin",
    "decimal": ".", "order": "ymd", "device": "radar A", "bring": "yes",
}  # fmt: skip


def test_from_the_file_to_the_shots(student, coach_client):
    answer = post_file(coach_client, student)
    file = ShotFile.objects.get()
    assert answer.status_code == 302
    assert answer.url == at(student, file.pk)
    page = coach_client.get(answer.url).content.decode()
    assert "3 of the first 3 rows" in page
    assert "UTF-8" in page
    assert '<option value="carry" selected>' in page
    assert "unit not in the file" not in page
    answer = coach_client.post(at(student, file.pk), BRING)
    assert answer.status_code == 302
    assert "Waiting for its turn" in coach_client.get(at(student, file.pk)).content.decode()
    assert Shot.objects.count() == 0
    work.read_waiting()
    page = coach_client.get(at(student, file.pk)).content.decode()
    assert "3 shots brought in" in page
    assert Shot.objects.count() == 3
    assert "data-over" in coach_client.get(at(student, file.pk, "progress")).content.decode()
    assert "3 shots brought in" in coach_client.get(at(student)).content.decode()


def test_the_page_shows_that_plus_is_left_and_keeps_what_is_ticked(student, coach_client):
    content = b"Club,Carry (m),Side m (+ = left)\nPW,90,-3.0\nPW,91,2.5\n"
    post_file(coach_client, student, content)
    page = at(student, ShotFile.objects.get().pk)
    assert 'name="left-2" value="yes" checked' in coach_client.get(page).content.decode()
    named = {"field-0": "club", "field-1": "carry", "unit-1": "m", "field-2": "side", "unit-2": "m",
             "device": "A", "day": "2026-02-20"}  # fmt: skip
    coach_client.post(page, named | {"left-2": "yes", "bring": "yes"})
    work.read_waiting()
    assert sorted(Shot.objects.values_list("side", flat=True)) == [-2.5, 3.0]


def test_a_student_and_a_guardian_may_send_and_a_stranger_may_not(student, coach, student_client):
    assert post_file(student_client, student).status_code == 302
    file = ShotFile.objects.get()
    assistant = factories.make_coach(student.studio, Membership.Role.ASSISTANT)
    assert signed_in(assistant).get(at(student, file.pk)).status_code == 200
    child = factories.make_child(coach)
    guardian = child.guardianships.get().user
    assert post_file(signed_in(guardian), child).status_code == 302
    assert signed_in(guardian).get(at(student)).status_code == 404
    stranger = signed_in(factories.make_coach())
    for path in (at(student), at(student, file.pk), at(student, file.pk, "progress")):
        assert stranger.get(path).status_code == 404
    assert stranger.get(at(student, file.pk)[:-1] + "/refused.csv").status_code == 404
    assert post_file(stranger, student).status_code == 404
    for what in ("back", "drop"):
        assert stranger.post(at(student, file.pk, what)).status_code == 404
    assert stranger.post(at(student, file.pk), BRING).status_code == 404
    assert Client().get(at(student)).status_code == 302
    file.refresh_from_db()
    assert file.state == State.COLUMNS


def test_a_file_is_not_found_under_another_student(student, coach, coach_client):
    other = factories.make_student(coach, "Other")
    file = sent(student)
    assert coach_client.get(at(other, file.pk)).status_code == 404


def test_nothing_is_taken_of_a_child_whose_guardian_withdrew(coach, coach_client):
    child = factories.make_child(coach)
    Guardianship.objects.filter(student=child).update(withdrawn_at=factories.NOON)
    assert coach_client.get(at(child)).status_code == 404
    assert post_file(coach_client, child).status_code == 404


@pytest.mark.parametrize(
    ("content", "word"),
    [
        (b"", "Choose a file"),
        (b"%PDF-1.7 and so on", "PDF"),
        (b"PK\x03\x04zip", "damaged"),
        (b"\x00\x01\x02\x03" * 99, "not a table"),
    ],
)
def test_what_is_no_table_is_said_whatever_its_name_and_type(student, coach_client, content, word):
    answer = post_file(coach_client, student, content)
    assert answer.status_code == 400
    # Django leaves out an empty file, so there is none.
    assert word in answer.content.decode() or "empty" in answer.content.decode()
    assert not ShotFile.objects.exists()


def test_this_one_address_takes_thirty_megabytes_and_says_so(student, coach_client):
    answer = coach_client.post(at(student, "new"), CONTENT_LENGTH=str(300 * 1024 * 1024))
    assert answer.status_code == 413
    assert "30 MB" in answer.content.decode()
    other = coach_client.post(at(student), CONTENT_LENGTH=str(300 * 1024 * 1024))
    assert other.status_code == 413
    assert "2 MB" in other.content.decode()
    big = b"Date,Carry (m)\n" + b"2026-02-20,60.5\n" * 200_000
    assert len(big) > 3_000_000
    assert post_file(coach_client, student, big).status_code == 302


def test_without_the_token_nothing_is_taken(student):
    client = Client(enforce_csrf_checks=True)
    client.force_login(
        student.lead_coach, backend="allauth.account.auth_backends.AuthenticationBackend"
    )
    assert post_file(client, student).status_code == 403
    assert not ShotFile.objects.exists()


def test_whose_student_it_is_not_is_told_before_the_body_is_read(student, monkeypatch):
    from django.http import HttpRequest

    def read(self):
        raise AssertionError("The body was read.")

    stranger = signed_in(factories.make_coach())
    monkeypatch.setattr(HttpRequest, "_load_post_and_files", read)
    assert post_file(stranger, student).status_code == 404
    assert post_file(Client(), student).status_code == 302


def test_every_bad_cell_of_the_first_rows_is_marked_with_its_reason(student, coach_client):
    content = b"Date,Club,Carry (m)\n2026-02-20,54,60.5\nsomeday,54,sixty\n2026-02-20,54,\n"
    page = coach_client.get(at(student, sent(student, content).pk)).content.decode()
    assert "1 of the first 3 rows" in page
    assert page.count('class="is-bad"') == 2
    assert "“sixty” is not a number" in page
    assert "no carry, total, speed" in page


def test_scripts_in_cells_and_names_are_inert(student, coach_client):
    evil = "<script>alert(1)</script>"
    content = f"Date,{evil},Carry\n2026-02-20,{evil},{evil}\n".encode()
    post_file(coach_client, student, content, name=evil + ".csv")
    page = coach_client.get(at(student, ShotFile.objects.get().pk)).content.decode()
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert" in page
    assert "<script>alert" not in coach_client.get(at(student)).content.decode()


def test_the_first_rows_are_bounded(student, coach_client):
    wide = ",".join(f"Column{i}" for i in range(60))
    content = (wide + "\n" + (",".join(["x" * 500] * 60) + "\n") * 200).encode()
    page = coach_client.get(at(student, sent(student, content).pk)).content
    assert len(page) < 200_000


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"device": ""}, "Say what measured these"),
        ({"field-0": ""}, "No column is the day"),
        ({"field-0": "", "day": "someday"}, "That is not a day"),
        ({"field-3": "carry"}, "Carry is named twice"),
        ({"field-2": "", "field-3": "", "field-5": ""}, "at least one column"),
        ({"ball": "x" * 61}, "at most 60 letters"),
    ],
)
def test_what_is_missing_is_said_and_nothing_is_brought_in(student, coach_client, change, word):
    file = sent(student)
    answer = coach_client.post(at(student, file.pk), BRING | change)
    assert answer.status_code == 400
    assert word in answer.content.decode()
    file.refresh_from_db()
    assert file.state == State.COLUMNS


def test_a_unit_nobody_has_seen_yet_is_shown_first(student, coach_client):
    file = sent(student, b"Tag,Weite\n2026-02-20,60\n")
    form = {"field-0": "day", "field-1": "carry", "device": "radar A", "bring": "yes"}
    answer = coach_client.post(at(student, file.pk), form)
    assert answer.status_code == 200
    assert "Look at the units" in answer.content.decode()
    assert coach_client.post(at(student, file.pk), form | {"unit-1": "m"}).status_code == 302


def test_looking_again_brings_nothing_in(student, coach_client):
    file = sent(student)
    form = {name: value for name, value in BRING.items() if name != "bring"} | {"unit-2": "m"}
    page = coach_client.post(at(student, file.pk), form).content.decode()
    assert "3 of the first 3 rows" in page
    file.refresh_from_db()
    assert file.state == State.COLUMNS


def test_the_units_of_whoever_sends_stand_where_the_file_names_none(student, coach, coach_client):
    coach.distance_unit, coach.speed_unit = "yd", "kmh"
    coach.save()
    content = b"Date,Carry,Ball Speed\n2026-02-20,60,100\n"
    file = sent(student, content)
    plan = Plan.from_json(file.plan)
    assert (plan.columns[1].unit, plan.columns[2].unit) == ("yd", "kmh")
    page = coach_client.get(at(student, file.pk)).content.decode()
    assert page.count("unit not in the file") == 2


def test_a_day_that_may_be_read_two_ways_is_asked_and_nothing_comes_in_before(
    student, coach_client
):
    file = sent(student, b"Date,Carry (m)\n02/03/2026 10:12 AM,60.5\n02/03/2026 10:15 AM,61\n")
    page = coach_client.get(at(student, file.pk)).content.decode()
    assert "What day is 02/03/2026?" in page
    assert "2 Mar</option>" in page
    assert "3 Feb</option>" in page
    named = {"field-0": "day", "field-1": "carry", "unit-1": "m", "device": "A", "bring": "yes"}
    answer = coach_client.post(at(student, file.pk), named | {"order": ""})
    assert answer.status_code == 400
    assert "Say what day 02/03/2026 is." in answer.content.decode()
    work.read_waiting()
    assert not Shot.objects.exists()
    assert coach_client.post(at(student, file.pk), named | {"order": "mdy"}).status_code == 302
    work.read_waiting()
    assert {*Shot.objects.values_list("sitting__day", flat=True)} == {date(2026, 2, 3)}
    # The next file with this header is read as this one was.
    again = sent(student, b"Date,Carry (m)\n04/03/2026,70.5\n")
    page = coach_client.get(at(student, again.pk)).content.decode()
    assert "What day is" not in page
    assert '<option value="mdy" selected>' in page


@time_machine.travel(datetime(2026, 6, 1, 12, tzinfo=UTC), tick=False)
def test_the_year_of_days_without_one_is_that_of_the_order_that_was_said(student, coach_client):
    """In June the third of December was last year's, and the twelfth of March this one's."""
    file = sent(student, b"Date,Carry (m)\n03/12,60.5\n01/02,61\n")
    named = {"field-0": "day", "field-1": "carry", "unit-1": "m", "device": "A", "bring": "yes"}
    page = coach_client.get(at(student, file.pk)).text
    assert "What day is 03/12?" in page
    assert 'name="year"' not in page
    for order, year in (("dmy", 2025), ("mdy", 2026)):
        answer = coach_client.post(at(student, file.pk), named | {"order": order})
        assert answer.status_code == 400
        assert "Look at this year." in answer.text
        assert answer.context["plan"].year == year
    named |= {"order": "mdy", "year": "2026"}
    assert coach_client.post(at(student, file.pk), named).status_code == 302
    work.read_waiting()
    found = {*Shot.objects.values_list("sitting__day", flat=True)}
    assert found == {date(2026, 1, 2), date(2026, 3, 12)}


@pytest.mark.parametrize(
    "content",
    [
        b"Date,Carry (m)\n20/03/2026,60.5\n02/03/2026,60\n",
        b"Date;Carry (m)\n02/03/2026;60,5\n02/03/2026;61,5\n",
        b"fecha,Carry (m)\n02/03/2026,60.5\n02/03/2026,61.5\n",
    ],
)
def test_nothing_is_asked_where_the_days_the_decimals_or_the_language_say_it(
    student, coach_client, content
):
    file = sent(student, content)
    assert "What day is" not in coach_client.get(at(student, file.pk)).content.decode()
    assert Plan.from_json(file.plan).order == DateOrder.DMY


def test_days_that_are_the_same_either_way_are_asked_too(student, coach_client):
    """Rows further down may differ."""
    file = sent(student, b"Date,Carry (m)\n03/03/2026,60.5\n03/03/2026,61\n")
    page = coach_client.get(at(student, file.pk)).content.decode()
    assert "What day is 03/03/2026?" in page
    assert "month, day, year" in page


def test_a_workbook_is_shown_like_a_table(student, coach_client):
    content = workbook([["Date", "Carry (m)"], ["2026-02-20", 60.5], ["2026-02-20", "x"]])
    post_file(coach_client, student, content, name="shots.bin")
    page = coach_client.get(at(student, ShotFile.objects.get().pk)).content.decode()
    assert "a workbook (XLSX)" in page
    assert "1 of the first 2 rows" in page


def test_taking_back_and_dropping_by_hand(student, coach_client):
    file = sent(student)
    coach_client.post(at(student, file.pk), BRING)
    work.read_waiting()
    assert coach_client.get(at(student, file.pk, "back")).status_code == 405
    assert coach_client.post(at(student, file.pk, "back")).status_code == 302
    assert Shot.objects.count() == 0
    assert "Taken back" in coach_client.get(at(student, file.pk)).content.decode()
    other = sent(student)
    coach_client.post(at(student, other.pk, "drop"))
    assert not ShotFile.objects.filter(pk=other.pk).exists()


def test_the_number_of_queries_does_not_grow(student, coach_client):
    def queries(path):
        with CaptureQueriesContext(connection) as seen:
            assert coach_client.get(path).status_code == 200
        return len(seen)

    file = sent(student, many(5))
    few = queries(at(student)), queries(at(student, file.pk))
    more = [sent(student, many(400, start=1000 * i)) for i in range(1, 6)]
    assert (queries(at(student)), queries(at(student, more[-1].pk))) == few


def test_the_heavy_library_waits_until_a_workbook_comes():
    import subprocess
    import sys

    code = (
        "import os, django; os.environ['DJANGO_SETTINGS_MODULE'] = 'tests.settings';"
        "django.setup();"
        "import shared.urls, practice.importing.work, practice.importing.tasks, sys;"
        "print('openpyxl' in sys.modules, 'numpy' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split()[-2:] == ["False", "False"]


@pytest.mark.parametrize(("label", "name"), [("Player: ", "Noud Kuiper"), ("Speler: ", "Saar")])
def test_a_file_that_names_another_player_above_is_asked_about(student, coach_client, label, name):
    def content(who):
        return f"{label}{who}\n\n".encode() + CSV

    own = sent(student, content(student.name))
    assert "above the table" not in coach_client.get(at(student, own.pk)).content.decode()
    file = sent(student, content(name))
    assert f"<strong>{name}</strong> above the table" in (
        coach_client.get(at(student, file.pk)).content.decode()
    )
    answer = coach_client.post(at(student, file.pk), BRING)
    assert answer.status_code == 400
    page = answer.content.decode()
    assert f"{name} is named" in page
    assert page.index("above the table") < page.index('id="field-0"')
    answer = coach_client.post(at(student, file.pk), BRING | {"own": "yes", "device": ""})
    assert 'name="own" value="yes" checked' in answer.content.decode()
    file.refresh_from_db()
    assert file.state == State.COLUMNS
    assert coach_client.post(at(student, file.pk), BRING | {"own": "yes"}).status_code == 302
