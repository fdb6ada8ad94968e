"""The week on paper, what its codes open, and writing in what was ticked."""

import re
from datetime import timedelta
from uuid import uuid4

import pytest
import time_machine
from django.core import signing
from django.test import Client
from django.urls import reverse

from practice.care.models import Stop
from practice.compliance.models import WeekTally
from practice.log.models import Entry
from practice.phone import paper
from practice.phone.reading import day_words
from shared.people import access
from tests import factories
from tests.conftest import signed_in
from tests.factories import MONDAY, NOON

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def wednesday():
    with time_machine.travel(NOON, tick=False) as clock:
        yield clock


@pytest.fixture
def part(student):
    drill = factories.make_drill(student.studio, "Wall-back turns", dose="12@40")
    week = factories.make_week(student)
    return factories.make_part(week, drill, sessions=3, minutes=12, cue="tail on the fence")


def codes_of(client, student):
    page = client.get(reverse("log:paper", args=[student.pk]))
    assert page.status_code == 200
    return page.content.decode()


def test_the_sheet_has_part_cue_dose_boxes_and_a_code(student, part, coach):
    page = codes_of(signed_in(coach), student)
    assert "Wall-back turns" in page
    assert "tail on the fence" in page
    assert "12 reps at 40 percent, about 12 min each time" in page
    assert page.count('class="paper-box"') == 3
    assert page.count('class="qr"') == 1


@pytest.mark.parametrize(
    ("address", "is_said"), [("http://localhost:8000", True), ("https://studio.example.org", False)]
)
def test_codes_that_no_phone_can_open_are_said_before_they_are_printed(
    student, part, coach, settings, address, is_said
):
    settings.SITE_URL = address
    assert ("No phone can open these codes yet" in codes_of(signed_in(coach), student)) == is_said


def test_minutes_are_said_once(student, coach):
    drill = factories.make_drill(student.studio, "Hip routine", dose="10 min")
    factories.make_part(factories.make_week(student), drill, sessions=3, minutes=10)
    page = codes_of(signed_in(coach), student)
    assert "10 minutes, each time" in page
    assert "about 10 min" not in page


def test_a_week_that_begins_tomorrow_is_printed_today(student, coach, client):
    """The evening after a lesson: what was just sent is what is handed over."""
    drill = factories.make_drill(student.studio, "Gate putts", dose="3x10")
    coming = factories.make_week(student, MONDAY + timedelta(days=7))
    part = factories.make_part(coming, drill, sessions=3, minutes=12)
    page = codes_of(signed_in(coach), student)
    assert "Gate putts" in page
    assert f"{day_words(coming.opens)} to" in page
    token = signing.dumps(str(part.pk), salt=paper.SALT)
    assert client.get(reverse("log:part_card", args=[token])).status_code == 200


def test_of_two_weeks_this_one_comes_first_and_the_next_is_a_tap_away(student, part, coach):
    drill = factories.make_drill(student.studio, "Gate putts", dose="3x10")
    coming = factories.make_week(student, MONDAY + timedelta(days=7))
    factories.make_part(coming, drill, sessions=3, minutes=12)
    client, at = signed_in(coach), reverse("log:paper", args=[student.pk])
    first, second = client.get(at).text, client.get(at + "?week=next").text
    assert ("Wall-back turns" in first, "Gate putts" in first) == (True, False)
    assert ("Wall-back turns" in second, "Gate putts" in second) == (False, True)
    assert 'href="?week=next"' in first
    assert 'href="?week=next"' not in second


def test_the_code_opens_the_part_without_a_sign_in_and_without_a_name(student, part, client):
    token = signing.dumps(str(part.pk), salt=paper.SALT)
    answer = client.get(reverse("log:part_card", args=[token]))
    assert answer.status_code == 200
    page = answer.content.decode()
    assert "Wall-back turns" in page
    assert student.name not in page
    assert client.get(reverse("log:part_card", args=[token + "x"])).status_code == 404


def test_the_code_ends_with_the_week(student, part, client, wednesday):
    at = reverse("log:part_card", args=[signing.dumps(str(part.pk), salt=paper.SALT)])
    wednesday.move_to(NOON + timedelta(days=8))
    assert client.get(at).status_code == 404


def ticks(part, *days):
    return [f"{part.pk}:{MONDAY + timedelta(days=n)}" for n in days]


def test_ten_taps_write_in_a_week_and_twice_is_once(student, part, coach):
    client, at = signed_in(coach), reverse("log:write_in", args=[student.pk])
    form = str(re.search(r'name="form" value="([^"]+)"', client.get(at).content.decode())[1])
    for _ in range(2):
        client.post(at, {"form": form, "done": ticks(part, 0, 1, 2)})
    assert Entry.objects.filter(counts=True).count() == 3
    tally = WeekTally.objects.get(student=student)
    assert (tally.sessions_left, tally.finished) == (0, True)
    first = Entry.objects.order_by("day").first()
    assert first.writer_words(student) == f"written in by {coach}, from paper"
    page = client.get(reverse("board:weeks", args=[student.pk])).content.decode()
    assert "from paper" in page


def test_a_day_that_is_written_in_cannot_be_written_in_again(student, part, coach):
    """A paper is looked at on Wednesday and again on Sunday: Monday counted twice."""
    client, at = signed_in(coach), reverse("log:write_in", args=[student.pk])
    client.post(at, {"form": str(uuid4()), "done": ticks(part, 0)})
    monday, tuesday = (re.search(f'value="{tick}"([^>]*)', client.get(at).text)[1]
                       for tick in ticks(part, 0, 1))  # fmt: skip
    assert ("checked" in monday, "disabled" in monday) == (True, True)
    assert tuesday == ""
    told = client.post(at, {"form": str(uuid4()), "done": ticks(part, 0, 1)}, follow=True).text
    assert "1 day is written in" in told
    assert Entry.objects.filter(counts=True).count() == 2
    told = client.post(at, {"form": str(uuid4()), "done": ticks(part, 0)}, follow=True).text
    assert "Nothing new was ticked" in told


def test_days_to_come_and_parts_that_stopped_are_not_written_in(student, part, coach):
    recordable = access.recordable(student)
    said = {"student": recordable, "by": coach, "form_id": uuid4(), "now": NOON}
    assert paper.write_in(ticked=ticks(part, 5), **said) == (0, [])
    assert Entry.objects.count() == 0
    assert paper.write_in(ticked=["nonsense", f"{uuid4()}:{MONDAY}"], **said) == (0, [])


def test_a_guardian_writes_in_for_a_child(coach):
    guardian = factories.make_user("Guardian")
    child = factories.make_child(coach, guardian, with_user=False, name="Kim Kid")
    drill = factories.make_drill(child.studio, dose="12@40")
    part = factories.make_part(factories.make_week(child), drill, minutes=5)
    at = reverse("log:write_in", args=[child.pk])
    assert signed_in(guardian).post(at, {"form": str(uuid4()), "done": ticks(part, 0)}).status_code
    assert Entry.objects.get().writer_words(child) == "written in by Guardian, from paper"


def test_a_stop_stands_on_the_sheet_in_place_of_the_part_and_is_not_written_in(
    student, part, coach
):
    Stop.objects.create(student=student, drill=part.drill, since=MONDAY)
    page = codes_of(signed_in(coach), student)
    assert "12 reps at 40 percent" not in page
    assert 'class="paper-box"' not in page
    code = signing.dumps(str(part.pk), salt=paper.SALT)
    card = Client().get(reverse("log:part_card", args=[code])).text
    form = signed_in(coach).get(reverse("log:write_in", args=[student.pk])).text
    for shown in (page, card, form):
        assert "Not for now. Ask your coach" in shown
        assert "because it hurt" not in shown
    said = {"student": access.recordable(student), "by": coach, "form_id": uuid4(), "now": NOON}
    assert paper.write_in(ticked=ticks(part, 0), **said) == (0, [])


def test_the_call_list_calls(student, coach):
    student.phone = "+44 (0)20 7946-0000"
    assert student.call_link == "tel:+4402079460000"
