"""What a file does not say is asked on its page: the year, lengths, and empty cells."""

from django.urls import reverse

from practice.importing import work
from practice.importing.models import ShotFile
from practice.shots.models import Shot
from tests.importing.test_bringing_in import send

NOTES = (
    b"Date;Club;Swing;Carry (m)\n"
    b"3 Nov;7i;7:30;60.1\n;;full;120.2\n;PW;7:30;40.3\n5 Nov;PW;full;99.4\n;;7:30;41.5\n"
)


def page_of(client, file):
    return reverse("importing:file", args=[file.student_id, file.pk])


def test_the_page_asks_the_year_the_lengths_and_whether_empty_is_as_above(student, coach_client):
    file = send(student, NOTES)
    page = coach_client.get(page_of(coach_client, file)).content.decode()
    assert "Year of the days without one" in page
    assert page.count("empty means as above") == 2
    assert page.count('name="down-0" value="yes" checked') == 1
    assert "7:30" in page
    assert 'name="length-0"' in page


def test_what_is_answered_is_what_comes_out(student, coach_client):
    file = send(student, NOTES)
    asked = {
        "field-0": "day", "field-1": "club", "field-2": "length", "field-3": "carry", "unit-3": "m",
        "down-0": "yes", "down-1": "yes", "year": "2025", "length-of-0": "7:30",
        "length-0": "chest", "device": "radar", "order": "dmy", "decimal": ".", "bring": "yes",
    }  # fmt: skip
    answer = coach_client.post(page_of(coach_client, file), asked)
    assert answer.status_code == 302, answer.content
    work.read_waiting()
    found = Shot.objects.filter(student=student).order_by("sitting__day", "number")
    assert [(s.sitting.day.isoformat(), s.club.name, s.length) for s in found] == [
        ("2025-11-03", "7i", "chest"), ("2025-11-03", "7i", "full"), ("2025-11-03", "PW", "chest"),
        ("2025-11-05", "PW", "full"), ("2025-11-05", "PW", "chest"),
    ]  # fmt: skip


def test_a_length_that_nobody_said_stays_out_with_its_reason(student, coach_client):
    file = send(student, NOTES)
    page = coach_client.get(page_of(coach_client, file)).content.decode()
    assert "“7:30” is no swing length" in page


def test_a_year_that_is_none_is_refused_with_an_example(student, coach_client):
    file = send(student, NOTES)
    answer = coach_client.post(page_of(coach_client, file), {"field-3": "carry", "year": "24"})
    assert answer.status_code == 400
    assert "like 2026" in answer.content.decode()
    assert ShotFile.objects.get(pk=file.pk).state == ShotFile.State.COLUMNS
