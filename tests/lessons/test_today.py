"""Today's lessons, and a lesson begun by mistake."""

from datetime import timedelta

import pytest
from django.urls import reverse

from coaching.lesson_day.next_up import lesson_lines, next_up_of
from coaching.lessons import services
from coaching.lessons.models import Finding, Lesson
from practice.care.models import Stop
from practice.coach_counts.models import CheckedCount
from tests import factories
from tests.factories import MONDAY, NOON

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday")]


def plan(student, coach, hours):
    at = NOON + timedelta(hours=hours)
    return services.plan_lesson(student=student, coach=coach, at=at)


def test_the_next_lesson_stands_large_with_its_point_cue_and_limits(coach, coach_client, student):
    past = Lesson.objects.create(
        student=student, coach=coach, at=NOON - timedelta(days=7), state="closed", ending="none",
        opened_at=NOON - timedelta(days=7),
    )  # fmt: skip
    Finding.objects.create(lesson=past, fault="sways", cue="tail on the wall")
    Stop.objects.create(student=student, since=MONDAY)
    plan(student, coach, 1)
    other = factories.make_student(coach, "Other")
    plan(other, coach, 2)
    page = next_up_of(coach, NOON)
    assert (page.next.row.name, page.next.row.priority) == ("Sam Sample", "sways")
    assert page.next.cue == "tail on the wall"
    assert [row.name for row in page.today] == ["Other"]
    shown = coach_client.get(reverse("lessons:next_up")).content.decode()
    large = shown[shown.index("lesson-next") : shown.index("The rest of today")]
    for words in ("sways", "tail on the wall", "No hard swings since", "Begin the lesson"):
        assert words in large
    # A later one is a line: time, name and word; the rest of it is folded.
    line = shown[shown.index("lesson-line") : shown.index("<details>", shown.index("lesson-line"))]
    assert "Begin" not in line


def test_on_a_day_without_lessons_the_first_of_the_next_day_stands_large(
    coach, coach_client, student
):
    other = factories.make_student(coach, "Other")
    third = factories.make_student(coach, "Third")
    plan(other, coach, 26)
    plan(student, coach, 25)
    plan(third, coach, 49)
    page = next_up_of(coach, NOON)
    assert (page.next.row.name, page.next.day) == ("Sam Sample", "Tomorrow")
    assert [[row.name for row in day.rows] for day in page.later] == [["Other"], ["Third"]]
    assert [day.is_rest for day in page.later] == [True, False]
    shown = coach_client.get(reverse("lessons:next_up")).content.decode()
    # That today has none stands before it: what is large is of tomorrow.
    assert shown.index('id="today"') < shown.index("lesson-next")
    large = shown[shown.index("lesson-next") : shown.index('class="lesson-later"')]
    # It cannot begin today: what begins is another lesson, of now.
    assert "Tomorrow" in large
    assert "Begin" not in large
    assert "Door note" in large
    assert "No lesson is noted for today." in shown
    assert "1 more lesson" in shown


def test_a_closed_day_names_who_may_not_do_everything(coach, coach_client, student):
    Stop.objects.create(student=student, since=MONDAY)
    plan(factories.make_student(coach, "Other"), coach, 25)
    plan(student, coach, 49)
    shown = coach_client.get(reverse("lessons:next_up")).content.decode()
    later = shown[shown.index('class="lesson-later"') :]
    day = later[later.index("<summary>") : later.index("</summary>")]
    assert 'class="care">Sam Sample: ' in day
    assert "Other" not in day


def test_the_timetable_is_one_tap_away(coach_client, student):
    shown = coach_client.get(reverse("lessons:next_up")).content.decode()
    assert f'href="{reverse("timetable:timetable")}"' in shown


def test_one_that_is_over_is_not_next(coach, student):
    plan(student, coach, -3)
    page = next_up_of(coach, NOON)
    assert page.next is None
    assert len(page.today) == 1


def test_no_mail_says_what_hurts(coach, student):
    Stop.objects.create(student=student, since=MONDAY)
    plan(student, coach, 1)
    (line,) = lesson_lines(coach, NOON.date(), NOON)
    assert "pain" not in line
    assert "Stopped" in line


def test_a_lesson_begun_by_mistake_leaves_nothing(coach_client, lesson, ladder):
    finding = Finding.objects.create(lesson=lesson, fault="sways")
    fields = {"0.balls": ("", f"{ladder.pk}=70:1110")}
    assert services.keep_typed(lesson=lesson, fields=fields).kept == ["0.balls"]
    assert CheckedCount.objects.exists()
    coach_client.post(reverse("lessons:throw_away", args=[lesson.pk]))
    assert not Lesson.objects.exists()
    assert not Finding.objects.filter(pk=finding.pk).exists()
    assert not CheckedCount.objects.filter(counts=True).exists()


def test_one_that_was_planned_is_planned_again(coach, coach_client, student, wednesday):
    planned = plan(student, coach, 1)
    wednesday.shift(timedelta(minutes=30))
    lesson = services.open_lesson(student=student, by=coach)
    assert lesson.pk == planned.pk
    Finding.objects.create(lesson=lesson, fault="sways")
    coach_client.post(reverse("lessons:throw_away", args=[lesson.pk]))
    planned.refresh_from_db()
    assert (planned.state, planned.opened_at) == ("planned", None)
    assert not planned.findings.exists()


def test_a_closed_lesson_is_not_thrown_away(coach_client, lesson):
    services.close_without_week(lesson=lesson)
    answer = coach_client.post(reverse("lessons:throw_away", args=[lesson.pk]), follow=True)
    assert "Only a lesson that is open" in answer.content.decode()
    assert Lesson.objects.get().state == "closed"


def test_as_last_time_begins_with_its_words_and_leaves_out_what_is_stopped(
    coach, coach_client, student, ladder, putting
):
    last = Lesson.objects.create(
        student=student, coach=coach, at=NOON - timedelta(days=7), state="closed", ending="none",
        opened_at=NOON - timedelta(days=7),
    )  # fmt: skip
    found = Finding.objects.create(lesson=last, fault="sways", cue="tail", evidence="clip 3")
    found.drills.set([ladder, putting])
    Stop.objects.create(student=student, drill=ladder, since=MONDAY)
    lesson = services.open_lesson(student=student, by=coach)
    note = reverse("lessons:note", args=[lesson.pk])
    assert "As last time</button>" in coach_client.get(note).content.decode()
    again = reverse("lessons:as_last_time", args=[lesson.pk])
    coach_client.post(again)
    copied = lesson.findings.get()
    assert (copied.fault, copied.cue, copied.evidence) == ("sways", "tail", "")
    assert list(copied.drills.all()) == [putting]
    copied.cue = "slow hands"
    copied.save()
    refused = coach_client.post(again, follow=True).content.decode()
    assert "Something is written already." in refused
    assert "As last time</button>" not in refused
    assert lesson.findings.get().cue == "slow hands"
