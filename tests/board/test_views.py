"""The board's pages: owner of the row, a colleague, an assistant, a stranger, a student."""

import pytest
from django.test import Client

from practice.log.models import Line
from tests.board.make import history, present_week
from tests.conftest import signed_in
from tests.factories import (
    make_child,
    make_coach,
    make_student,
    make_user,
    studio_of,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday_evening")]


@pytest.fixture
def week(student):
    history(student, "10- 12- 40+ 9-")
    return present_week(student, left=30)


def pages_of(student) -> list[str]:
    return ["/who/", f"/students/{student.pk}/worked-out/", f"/students/{student.pk}/care/"]


@pytest.mark.parametrize("page", [0, 1, 2])
@pytest.mark.parametrize("role", ["owner", "coach", "assistant"])
def test_everybody_who_teaches_here_sees_the_pages(coach, student, week, page, role):
    client = signed_in(make_coach(studio_of(coach), role=role))
    answer = client.get(pages_of(student)[page])
    assert answer.status_code == 200
    assert "Sam Sample" in answer.content.decode()


@pytest.mark.parametrize("page", [1, 2])
def test_another_studio_s_coach_finds_nothing(student, page):
    assert signed_in(make_coach()).get(pages_of(student)[page]).status_code == 404


def test_another_studio_s_board_does_not_name_the_student(student):
    assert b"Sam Sample" not in signed_in(make_coach()).get("/who/").content


@pytest.mark.parametrize("page", [0, 1, 2])
def test_students_and_strangers_find_nothing(student, student_client, page):
    assert student_client.get(pages_of(student)[page]).status_code == 404
    assert signed_in(make_user()).get(pages_of(student)[page]).status_code == 404
    assert Client().get(pages_of(student)[page]).status_code == 302


def test_the_board_is_read_and_not_posted_to(coach_client, student):
    assert coach_client.post("/who/").status_code == 405


@pytest.mark.parametrize("lesson", ["", "never", "2031-99-99", "2031-02-27"])
def test_any_lesson_day_is_answered(coach_client, student, lesson):
    assert coach_client.get("/who/", {"lesson": lesson}).status_code == 200


def test_the_page_prints_words_bar_and_figures(coach_client, student, week):
    page = coach_client.get("/who/", {"open": str(student.pk)}).content.decode()
    assert "Tight" in page
    assert "From a Wednesday on that was done in 1 of 4 weeks" in page
    assert "<title>30 of 60 minutes done, 17 planned by now</title>" in page
    assert "Write a line" in page
    assert "style=" not in page


def test_every_figure_opens_to_its_arithmetic(coach_client, student, week):
    page = coach_client.get(f"/students/{student.pk}/worked-out/").content.decode()
    assert "(1 + 1) / (4 + 2) = 0.33" in page
    assert "2 × 15 = 30" in page
    assert "Week = 30 of 60 minutes credited = 50 %" in page
    assert "No word begins on day" in page


def test_worked_out_without_any_week(coach_client, student):
    page = coach_client.get(f"/students/{student.pk}/worked-out/")
    assert "No week is sent" in page.content.decode()


# --- a line ---------------------------------------------------------------------------


def write(client: Client, student, text: str, **fields):
    return client.post(f"/students/{student.pk}/line/", {"text": text} | fields)


def test_a_line_is_kept_and_the_row_is_shown_again(coach, coach_client, student):
    answer = write(coach_client, student, "  Part 1 first this week? ")
    assert answer.status_code == 302
    assert answer.url == f"/who/#row-{student.pk}"
    line = Line.objects.get()
    assert (line.student, line.author, line.text) == (student, coach, "Part 1 first this week?")


def test_an_assistant_may_write_a_line(coach, student):
    write(signed_in(make_coach(studio_of(coach), role="assistant")), student, "Well swung")
    assert Line.objects.count() == 1


@pytest.mark.parametrize("text", ["", "   ", "x" * 601])
def test_a_line_that_cannot_be_kept_says_why(coach_client, student, text):
    answer = write(coach_client, student, text)
    page = coach_client.get(answer.url).content.decode()
    assert 'class="message error"' in page
    assert not Line.objects.exists()


def test_a_line_to_a_child_names_its_readers(coach, coach_client):
    child = make_child(coach, name="Robin")
    answer = write(coach_client, child, "Good balance")
    assert "every guardian can read it" in coach_client.get(answer.url).content.decode()


def test_nobody_else_may_write(student, student_client):
    assert write(student_client, student, "Hello").status_code == 404
    assert write(signed_in(make_coach()), student, "Hello").status_code == 404
    assert not Line.objects.exists()


@pytest.mark.parametrize(
    ("next_page", "goes_to"),
    [
        ("/students/", "/students/"),
        ("https://elsewhere.example/", None),
        ("//elsewhere.example/", None),
        ("javascript:alert(1)", None),
    ],
)
def test_back_to_a_page_of_this_site_alone(coach_client, student, next_page, goes_to):
    answer = write(coach_client, student, "Hello", next=next_page)
    assert answer.url == (goes_to or f"/who/#row-{student.pk}")


def test_other_names_are_escaped(coach, coach_client):
    make_student(coach, "<b>Bold</b>")
    assert b"<b>Bold" not in coach_client.get("/who/").content
