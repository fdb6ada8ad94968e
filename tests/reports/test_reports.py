"""Who reads a report, and what never stands in one."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from coaching.lessons import services as lessons
from coaching.reports import services
from coaching.reports.body import body_of
from coaching.reports.models import Report
from practice.care.models import Stop
from practice.compliance.models import WeekTally
from shared.people.models import Membership
from tests import factories
from tests.conftest import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def report(coach, student):
    today = timezone.localdate()
    return services.draft(
        student=student, by=coach, first=today - timedelta(days=30), last=today - timedelta(days=1)
    )


def written(coach, student, text: str, *, days_ago: int):
    lesson = lessons.open_lesson(student=student, by=coach)
    fields = {"0.fault": (None, text), "private": (None, f"Between coaches: {text}")}
    lessons.keep_typed(lesson=lesson, fields=fields if text else {})
    type(lesson).objects.filter(pk=lesson.pk).update(at=timezone.now() - timedelta(days=days_ago))
    lesson.refresh_from_db()
    return lesson


@pytest.mark.parametrize("first", ["0001-01-01", "1985-06-01"])
def test_a_report_of_another_age_is_refused_in_words(coach_client, student, first):
    address = reverse("reports:of_student", args=[student.pk])
    last = first[:4] + "-07-01"
    answer = coach_client.post(address, {"first": first, "last": last})
    assert answer.status_code == 400
    page = answer.content.decode()
    assert "within the last thirty years" in page
    assert f'value="{first}"' in page, "what was typed is still there"
    assert f'value="{last}"' in page
    assert not Report.objects.exists()


def test_a_draft_is_the_coachs_and_what_was_sent_is_read_by_student_too(coach, student, report):
    address = reverse("reports:show", args=[report.pk])
    reader, other = signed_in(student.user), signed_in(factories.make_student(coach, "Other").user)
    assert reader.get(address).status_code == 404
    services.keep_words(report=report, words="A steady month.")
    services.send(report=report, by=coach, has_read=True)
    assert "A steady month." in reader.get(address).content.decode()
    assert other.get(address).status_code == 404


def test_a_draft_is_dropped_by_its_page(coach_client, student, report):
    answer = coach_client.post(reverse("reports:show", args=[report.pk]), {"do": "discard"})
    assert answer["Location"] == reverse("reports:of_student", args=[student.pk])
    assert not Report.objects.exists()


def test_what_was_sent_is_not_dropped(coach, report):
    services.keep_words(report=report, words="A steady month.")
    services.send(report=report, by=coach, has_read=True)
    services.discard(report=report)
    assert Report.objects.get().words == "A steady month."


def test_an_assistant_neither_reads_nor_sends_one(coach, student, report):
    studio = factories.studio_of(coach)
    assistant = factories.make_coach(studio, Membership.Role.ASSISTANT, name="Helping Hand")
    address = reverse("reports:show", args=[report.pk])
    said = {"do": "send", "read": "1", "words": "Mine."}
    assert signed_in(assistant).get(address).status_code == 404
    assert signed_in(assistant).post(address, said).status_code == 404
    report.refresh_from_db()
    assert report.sent_at is None


def test_it_is_sent_with_words_and_read_to_the_end_or_not_at_all(coach_client, report):
    address = reverse("reports:show", args=[report.pk])
    assert coach_client.post(address, {"do": "send", "read": "1"}).status_code == 400
    answer = coach_client.post(address, {"do": "send", "words": "Well done."})
    assert answer.status_code == 400
    assert "Well done." in answer.content.decode()
    report.refresh_from_db()
    assert report.sent_at is None


def test_only_closed_lessons_are_told_and_never_the_coaches_own_line(
    coach, coach_client, student, report
):
    done = written(coach, student, "early turn", days_ago=9)
    lessons.close_without_week(lesson=done)
    lessons.close_without_week(lesson=written(coach, student, "", days_ago=6))
    written(coach, student, "half a thought", days_ago=3)
    page = coach_client.get(reverse("reports:show", args=[report.pk])).content.decode()
    assert "early turn" in page
    assert "half a thought" not in page
    assert "Between coaches" not in page
    assert page.count("<h3>") == 1


def test_a_week_belongs_to_the_report_it_begins_in_and_an_open_one_is_not_finished(coach, student):
    opens = factories.MONDAY
    for ago, finished in ((2, True), (1, False), (0, True)):
        WeekTally.objects.create(
            student=student,
            opens=opens - timedelta(weeks=ago),
            has_plan=True,
            asked_minutes=60,
            credited_minutes=60,
            credit=1.0,
            finished=finished,
        )
    first, last = opens - timedelta(weeks=2, days=-2), opens + timedelta(days=2)
    body = body_of(student, coach, first, last)
    assert [week[0] for week in body["weeks"]] == ["Mon 17 Feb", "Mon 24 Feb"]
    assert ["Weeks finished", "0 of 1, 1 still open"] in body["sums"]
    whole = body_of(student, coach, opens - timedelta(weeks=2), opens + timedelta(days=6))
    assert ["Weeks finished", "2 of 3"] in whole["sums"]


def test_what_a_student_may_not_do_stands_before_what_was_done_and_never_why(coach_client, report):
    drill = factories.make_drill(report.student.studio, "Speed set")
    Stop.objects.create(
        student=report.student, drill=drill, since=factories.MONDAY, clearing_words="wrist hurt"
    )
    page = coach_client.get(reverse("reports:show", args=[report.pk])).content.decode()
    assert "No Speed set since Mon 24 Feb, until a coach clears it." in page
    assert page.index("No Speed set") < page.index("report-sums")
    assert "wrist" not in page
