"""The cues that stand for a student, read from the lessons."""

from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from django.db.models import UUIDField

from coaching.lessons.cues import CurrentCue, SaidCue, current_cues
from coaching.lessons.models import Finding
from shared.kit.text import day_words
from shared.people.models import Student, User
from shared.site.prepared import Prepared
from shared.site.together import Question, Rows

MOST_CUES = 200


@dataclass(frozen=True, slots=True)
class CueLine:
    title: str
    cue: str
    whose: str


def cues_of(student: Student, reader: User, today: date) -> list[CurrentCue]:
    """The student's current cues. One query."""
    return cues_asked(student, reader, today).answer


def cues_asked(student: Student, reader: User, today: date) -> Question[list[CurrentCue]]:
    """The same, to be asked with others."""
    zone = ZoneInfo(reader.time_zone)

    def made(rows: list[Finding]) -> list[CurrentCue]:
        said = [
            SaidCue(
                place=row.position,
                fault=row.fault,
                cue=row.cue,
                by=str(row.lesson.coach),
                # A lesson may begin before the hour it was planned for.
                day=(row.lesson.opened_at or row.lesson.at).astimezone(zone).date(),
            )
            for row in rows
        ]
        return current_cues(said[::-1], today)

    return Question(made, Rows(_said, student=student.pk))


_said = Prepared(
    lambda student: (
        Finding.objects.filter(lesson__student=student, lesson__opened_at__isnull=False)
        .exclude(cue="")
        .select_related("lesson__coach")
        .order_by("-lesson__at")[:MOST_CUES]
    ),
    student=UUIDField,
)


def cue_line(cue: CurrentCue, today: date) -> CueLine:
    title = f"Priority {cue.place + 1}" + (f": {cue.fault}" if cue.fault else "")
    return CueLine(title, cue.cue, f"{cue.by}, since {day_words(cue.since, today)}")
