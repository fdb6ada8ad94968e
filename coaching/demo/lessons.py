"""The demo's lessons: the last one of each student written down, the next one noted, and the
timetable that they come back by."""

from dataclasses import dataclass
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from coaching.demo import cast
from coaching.lessons.models import Finding, Lesson
from coaching.timetable.services import add_series
from practice.drills.models import Drill
from shared.people.access import Recordable
from shared.people.models import User

FIRST_HOUR = time(14)
SLOT = timedelta(minutes=50)


@dataclass(frozen=True, slots=True)
class DemoFinding:
    """The first priority of a lesson, as the coach wrote it down."""

    fault: str
    cause: str
    feel: str
    real: str
    cue: str
    rehearsal: str
    drill: str


LADDER = "effort-ladder"
FOUND = {
    "Tamsin Orlebar": DemoFinding(
        "lead wrist cups at the top",
        "the grip sits in the palm",
        "the back of the hand looks at the sky",
        "flat, two degrees off the forearm",
        "watch face to the sky",
        "three slow ones to the top, look, put it down",
        LADDER,
    ),
    "Ravindu Peshala": DemoFinding(
        "sways off the ball",
        "the trail knee straightens late",
        "turning inside a barrel",
        "head 2 cm off the ball at the top, was 7",
        "stay in the barrel",
        "wall-side turns, ten, no club",
        "sway-gate",
    ),
    "Callum Ferreby": DemoFinding(
        "tired legs in the speed sets",
        "heavy legs the day before each set",
        "fresh, not brave",
        "hard swings twice the usual",
        "rest is the work",
        "three easy swings before each fast one",
        "wall-back-turn",
    ),
    "Wanjiru Kalunde": DemoFinding(
        "throws the club out early",
        "starts down with the hands",
        "the body goes, the club waits",
        "the angle is held to belt height",
        "club waits",
        "stop at the top, count two, go",
        "stop-and-start",
    ),
    "Haewon Tolvane": DemoFinding(
        "face open at waist height",
        "the lead wrist bends back going down",
        "half a swing",
        "84 percent of a full one",
        "face looks at the ball",
        "waist-high stops, look at the face",
        "flat-lead-wrist",
    ),
    "Gerald Umpleby": DemoFinding(
        "hips slide instead of turning",
        "the trail hip is stiff",
        "back pocket to the wall",
        "the hip turns 30 degrees seated, 20 standing",
        "pocket to the wall",
        "seated turns, eight a side, easy",
        LADDER,
    ),
    "Oskar Vennemo": DemoFinding(
        "no stock shot between 60 and 71 m",
        "stretches the 60 m swing",
        "hip to hip",
        "lead arm parallel",
        "same swing, other club",
        "two balls at 60, one at 71, then the new one",
        "same-swing-four-wedges",
    ),
    "Dougal Abernant": DemoFinding(
        "stands up through the strike",
        "hips go to the ball",
        "stay bent over",
        "6 cm rise of the belt line",
        "tail stays on the wall",
        "three turns with the tail on the wall before each ball",
        LADDER,
    ),
}


def load_lessons(
    student: Recordable, coach: User, shelf: dict[str, Drill], now: datetime, slot: int
) -> None:
    """A lesson a week before the next one, closed with the week it led to; the next one noted."""
    if student.next_lesson is None:
        return
    zone = ZoneInfo(cast.TOWN_ZONE)
    begins = datetime.combine(student.next_lesson, FIRST_HOUR, tzinfo=zone) + slot * SLOT
    Lesson.objects.create(student=student, coach=coach, at=begins, place="Bay 1")
    found = FOUND.get(student.name)
    if found is not None:
        # The lesson above is the first of them.
        add_series(
            student=student, coach=coach, first=begins.date(), at=begins.time(),
            rule="FREQ=WEEKLY", place="Bay 1",
        )  # fmt: skip
    last = begins - timedelta(weeks=1)
    while last > now:
        last -= timedelta(weeks=1)
    if found is None:
        return
    lesson = Lesson.objects.create(
        student=student,
        coach=coach,
        at=last,
        place="Bay 1",
        state=Lesson.State.CLOSED,
        ending=Lesson.Ending.SENT,
        opened_at=last,
        closed_at=last + timedelta(minutes=45),
    )
    finding = Finding.objects.create(
        lesson=lesson,
        fault=found.fault,
        cause=found.cause,
        feel=found.feel,
        real=found.real,
        cue=found.cue,
        rehearsal=found.rehearsal,
    )
    finding.drills.add(shelf[found.drill])
