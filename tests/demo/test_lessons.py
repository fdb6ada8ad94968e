"""The demo's lessons: written down, noted, and gone with the demo."""

from django.utils import timezone

from coaching.demo.remove import remove
from coaching.lessons.models import Finding, Lesson
from shared.people.models import Student, User


def test_every_student_has_a_next_lesson_and_most_a_last_one(demo):
    now = timezone.now()
    planned = Lesson.objects.filter(state=Lesson.State.PLANNED)
    assert planned.count() == Student.objects.count() == 14
    written = Lesson.objects.filter(state=Lesson.State.CLOSED)
    assert written.count() == Finding.objects.count() == 8
    assert all(lesson.at <= now for lesson in written)
    remove()
    assert not User.objects.exists()
    assert not Lesson.objects.exists()
