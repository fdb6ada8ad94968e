"""What was suggested when a lesson was closed, what was chosen, and what followed."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from coaching.lessons.models import CarryKept
from coaching.lessons.taken import otherwise, taken
from practice.compliance.models import WeekTally
from tests.conftest import signed_in
from tests.factories import MONDAY, make_coach
from tests.lessons.test_pages import NEXT_MONDAY, found_and_last_week

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday")]


@pytest.fixture
def last_week(coach, student, lesson, ladder, putting):
    """A lesson about the ladder, and a week before in which putting was asked."""
    found_and_last_week(coach, student, lesson, ladder, putting)


def close(client, lesson, do="send", **fields):
    return client.post(reverse("lessons:close", args=[lesson.pk]), {"do": do} | fields)


@pytest.mark.usefixtures("last_week")
def test_a_suggestion_that_was_taken_is_kept_and_a_new_part_is_none(
    coach_client, lesson, ladder, putting
):
    close(coach_client, lesson, why="No reason is needed.")
    (kept,) = CarryKept.objects.all()
    assert (kept.drill, kept.opens, kept.suggested, kept.why) == (
        putting,
        NEXT_MONDAY,
        kept.chosen,
        "",
    )
    assert kept.reason


@pytest.mark.usefixtures("last_week")
def test_another_choice_is_kept_with_why_and_told_to_the_next_coach(
    coach, coach_client, student, lesson, putting
):
    page = coach_client.get(reverse("lessons:close", args=[lesson.pk])).context["page"]
    suggested = next(
        choice.value for row in page.rows if row.key == str(putting.pk)
        for choice in row.choices if choice.is_chosen
    )  # fmt: skip
    other = "lower" if suggested != "lower" else "keep"
    close(coach_client, lesson, "later", **{f"do-{putting.pk}": other, "why": " A long trip. "})
    kept = CarryKept.objects.get()
    assert (kept.suggested, kept.chosen, kept.why) == (suggested, other, "A long trip.")
    (told,) = otherwise(student, coach)
    assert told.endswith(f"Putting: {other}, not {suggested}: “A long trip.”")
    handover = coach_client.get(reverse("lessons:handover", args=[student.pk]))
    assert told in handover.content.decode()
    own = reverse("lessons:own", args=[student.pk])
    assert "A long trip" not in signed_in(student.user).get(own).content.decode()


@pytest.mark.usefixtures("last_week")
def test_no_practice_keeps_no_choice(coach_client, lesson):
    close(coach_client, lesson, "none")
    assert not CarryKept.objects.exists()


@pytest.mark.usefixtures("last_week")
def test_closed_again_from_its_own_draft_nothing_is_suggested_anew(coach_client, lesson, putting):
    for chosen in ("lower", "keep"):
        close(coach_client, lesson, "later", **{f"do-{putting.pk}": chosen})
        coach_client.post(reverse("lessons:write_on", args=[lesson.pk]))
    assert CarryKept.objects.get().chosen == "lower"


def test_how_often_they_were_taken_and_what_followed(coach, coach_client, lesson, ladder, putting):
    student = lesson.student
    before = MONDAY - timedelta(weeks=1)
    CarryKept.objects.bulk_create([
        CarryKept(lesson=lesson, drill=ladder, opens=before, suggested="raise", chosen="raise"),
        CarryKept(lesson=lesson, drill=putting, opens=before, suggested="raise", chosen="keep"),
    ])  # fmt: skip
    parts = [
        {"drill": str(ladder.pk), "credit": 0.85, "removed": False},
        {"drill": str(putting.pk), "credit": 0.5, "removed": False},
    ]
    WeekTally.objects.create(student=student, opens=before, parts=parts)
    found = taken(coach, timezone.now())
    assert found.rows == ["Raise: suggested two times, taken 1."]
    assert "done of 1 of 1 parts as suggested. Of those chosen otherwise it was 0 of 1." in (
        found.followed
    )
    body = coach_client.get("/who/score/").content.decode()
    assert "Raise: suggested two times, taken 1." in body
    stranger = taken(make_coach(), timezone.now())
    assert (stranger.rows, stranger.followed) == ([], "")


def test_of_a_week_that_still_runs_nothing_follows(coach, lesson, ladder):
    CarryKept.objects.create(
        lesson=lesson, drill=ladder, opens=MONDAY, suggested="keep", chosen="keep"
    )
    WeekTally.objects.create(
        student=lesson.student,
        opens=MONDAY,
        parts=[{"drill": str(ladder.pk), "credit": 1.0, "removed": False}],
    )
    assert taken(coach, timezone.now()).followed == ""
