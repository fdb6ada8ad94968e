"""Why a part is asked, as the student reads it: what the last lesson with its drill found."""

from collections.abc import Set
from functools import partial
from uuid import UUID

from coaching.lessons.models import Finding, Lesson
from practice.log.beside_parts import Sentences
from shared.kit.text import date_words
from shared.kit.weeks import practice_day
from shared.people.models import Student, User
from shared.site.together import Question

MOST_FINDINGS_READ = 60
SAID = (("Cause", "cause"), ("Feels like", "feel"), ("Really is", "real"))


def why_asked(student: Student, reader: User) -> Question[Sentences]:
    return Question(lambda: partial(why_of, student))


def why_of(student: Student, drills: Set[UUID]) -> dict[UUID, str]:
    """Of each of these drills the latest finding of a closed lesson. Two queries at most."""
    found = Finding.objects.filter(
        lesson__student=student, lesson__state=Lesson.State.CLOSED, drills__in=drills
    )
    rows = found.distinct().order_by("-lesson__at", "position")[:MOST_FINDINGS_READ]
    told: dict[UUID, str] = {}
    for finding in rows.select_related("lesson").prefetch_related("drills"):
        words = _words(finding, student)
        for drill in finding.drills.all():
            if words and drill.pk in drills:
                told.setdefault(drill.pk, words)
    return told


def _words(finding: Finding, student: Student) -> str:
    """'From your lesson of Mon 24 Feb. The hip slides. Feels like: turn in a barrel.'"""
    said = [
        finding.fault,
        *(f"{name}: {text}" for name, key in SAID if (text := _of(finding, key))),
    ]
    if not any(said):
        return ""
    day = practice_day(finding.lesson.opened_at or finding.lesson.at, student.time_zone)
    texts = [text.strip().rstrip(".") for text in said if text.strip()]
    sentences = [f"{text[0].upper()}{text[1:]}." for text in texts if text]
    return " ".join([f"From your lesson of {date_words(day)}.", *sentences])


def _of(finding: Finding, key: str) -> str:
    words: str = getattr(finding, key)
    return words
