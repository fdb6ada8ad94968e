"""The demo's lessons: written down, noted, and gone with the demo."""

from django.utils import timezone

from coaching.demo.remove import remove
from coaching.lessons.models import Finding, Lesson
from coaching.reports.models import Report
from coaching.timetable.models import Series
from shared.people.models import Student, User


def test_the_timetable_and_the_reports_show_what_a_studio_shows(demo):
    """Eight lessons come back, none of them stands twice in the diary, and two reports went out."""
    assert Series.objects.count() == 8
    noted = Lesson.objects.filter(state=Lesson.State.PLANNED).values_list("student", "at")
    assert len(noted) == len(set(noted))
    assert len(noted) > 14
    days = [(student, at.date()) for student, at in noted]
    assert len(days) == len(set(days))
    assert Report.objects.exclude(sent_at=None).count() == 2


def test_every_student_has_a_next_lesson_and_most_a_last_one(demo):
    now = timezone.now()
    planned = Lesson.objects.filter(state=Lesson.State.PLANNED)
    assert planned.values("student").distinct().count() == Student.objects.count() == 14
    written = Lesson.objects.filter(state=Lesson.State.CLOSED)
    assert written.count() == Finding.objects.count() == 8
    assert all(lesson.at <= now for lesson in written)
    remove()
    assert not User.objects.exists()
    assert not Lesson.objects.exists()
