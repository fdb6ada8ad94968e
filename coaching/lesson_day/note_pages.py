"""The lesson note as the template prints it."""

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

from coaching.lessons import queries
from coaching.lessons.balls import read_balls
from coaching.lessons.balls import said as balls_said
from coaching.lessons.models import MOST_FINDINGS, OF_FINDING, Finding, Lesson
from coaching.lessons.queries import OwnWords
from coaching.planning.pages import shelf_groups
from coaching.planning.typed import ShelfDrill, shelf_of
from practice.drills.dose import DoseError, parse
from shared.kit.text import date_words
from shared.people import access
from shared.people.models import User

NAMES = {
    "fault": "Fault",
    "cause": "Cause",
    "feel": "Feels like, in the student’s words",
    "real": "Really is",
    "cue": "Cue",
    "rehearsal": "Rehearsal",
    "evidence": "Evidence: numbers, a clip",
}
LISTS = {"fault": "faults", "cause": "causes", "cue": "cues", "rehearsal": "rehearsals"}
USUAL_EFFORTS = (50, 70, 90)
MOST_NEAR = 6


@dataclass(frozen=True, slots=True)
class FieldView:
    name: str
    label: str
    value: str
    longest: int
    list_id: str


@dataclass(frozen=True, slots=True)
class DrillBox:
    id: str
    name: str
    efforts: str
    is_ticked: bool


@dataclass(frozen=True, slots=True)
class FindingView:
    position: int
    number: int
    is_open: bool
    fields: tuple[FieldView, ...]
    # Ticked ones and those that went with this fault before; the rest of the shelf apart.
    near: tuple[DrillBox, ...]
    groups: tuple[tuple[str, tuple[DrillBox, ...]], ...]
    balls: str


@dataclass(frozen=True, slots=True)
class ClipLine:
    id: UUID
    is_model: bool


@dataclass(frozen=True, slots=True)
class LastNote:
    """A finding of a lesson, as it is read."""

    title: str
    lines: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class NotePage:
    id: str
    student_id: str
    student: str
    when: str
    state: str
    ending: str
    place: str
    private: str
    findings: tuple[FindingView, ...]
    words: OwnWords
    last_when: str
    last: tuple[LastNote, ...]
    # Nothing is written yet, and the last lesson has findings to begin with.
    may_repeat: bool
    may_write: bool
    clips: tuple[ClipLine, ...]
    clip_id: UUID


def note_page(user: User, lesson: Lesson) -> NotePage:
    """Thirteen queries at most, whatever the history."""
    student = lesson.student
    words = queries.own_words(student)
    shelf = shelf_of(student.studio)
    last = queries.last_lesson(student, before=lesson)
    written = {finding.position: finding for finding in lesson.findings.all()}
    zone = ZoneInfo(user.time_zone)
    at = lesson.at.astimezone(zone)
    return NotePage(
        id=str(lesson.pk),
        student_id=str(student.pk),
        student=student.name,
        when=f"{date_words(at.date())}, {at:%H:%M}",
        state=lesson.state,
        ending=lesson.get_ending_display(),
        place=lesson.place,
        private=lesson.private,
        findings=tuple(
            _finding(position, written.get(position), shelf, words)
            for position in range(MOST_FINDINGS)
        ),
        words=words,
        last_when=date_words(last.at.astimezone(zone).date()) if last else "",
        last=notes_of(last) if last else (),
        may_repeat=bool(last and last.findings.all()) and not written,
        clips=tuple(ClipLine(clip.pk, clip.is_model) for clip in queries.clips_of_lesson(lesson)),
        clip_id=uuid4(),
        # Of who is taught already whoever plans in the studio writes.
        may_write=access.may_plan_in(user, student.studio),
    )


def _finding(
    position: int, finding: Finding | None, shelf: Mapping[UUID, ShelfDrill], words: OwnWords
) -> FindingView:
    ticked = {drill.pk for drill in finding.drills.all()} if finding else set()
    fault = finding.fault.casefold() if finding else ""
    before = words.drills_of_fault.get(fault, [])
    near = [pk for pk in [*ticked, *before] if pk in shelf]
    near = list(dict.fromkeys(near))[: max(MOST_NEAR, len(ticked))]
    rest = [drill for pk, drill in shelf.items() if pk not in near]
    return FindingView(
        position=position,
        number=position + 1,
        is_open=position == 0 or finding is not None,
        fields=tuple(_field(position, column, finding) for column in OF_FINDING),
        near=tuple(_box(shelf[pk], ticked) for pk in near),
        groups=tuple(
            (area, tuple(_box(drill, ticked) for drill in drills))
            for area, drills in shelf_groups({drill.pk: drill for drill in rest})
        ),
        balls=finding.balls if finding else "",
    )


def _field(position: int, column: str, finding: Finding | None) -> FieldView:
    return FieldView(
        name=f"{position}.{column}",
        label=NAMES[column],
        value=getattr(finding, column) if finding else "",
        longest=OF_FINDING[column],
        list_id=LISTS.get(column, ""),
    )


def _box(drill: ShelfDrill, ticked: set[UUID]) -> DrillBox:
    efforts = ",".join(map(str, _efforts(drill.dose)))
    return DrillBox(str(drill.pk), drill.name, efforts, drill.pk in ticked)


def _efforts(dose: str) -> list[int]:
    """The steps that balls of a drill may be counted at: its own, else the usual ones."""
    try:
        steps = parse(dose).steps
    except DoseError:
        steps = ()
    found = {100 if step.as_hard_as_you_can else step.effort for step in steps}
    return sorted(effort for effort in found if effort) or list(USUAL_EFFORTS)


def notes_of(lesson: Lesson) -> tuple[LastNote, ...]:
    """What was found, without what was left empty."""
    return tuple(
        LastNote(finding.fault or f"Priority {finding.position + 1}", _lines(finding))
        for finding in lesson.findings.all()
    )


def _lines(finding: Finding) -> tuple[tuple[str, str], ...]:
    columns = [column for column in OF_FINDING if column != "fault"]
    said = [(NAMES[column].split(",")[0], getattr(finding, column)) for column in columns]
    names = {drill.pk: str(drill) for drill in finding.drills.all()}
    balls = balls_said(read_balls(finding.balls), names)
    said += [("Counted", balls), ("Drills", ", ".join(sorted(names.values())))]
    return tuple((name, text) for name, text in said if text)
