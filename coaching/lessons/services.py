"""Everything that writes a lesson. Each command is atomic and can be repeated."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

from django.core.files.uploadedfile import UploadedFile
from django.db import IntegrityError, transaction
from django.utils import timezone

from coaching.lessons.balls import CountedBalls, read_balls
from coaching.lessons.models import (
    MOST_FINDINGS,
    OF_FINDING,
    OF_LESSON,
    Finding,
    Lesson,
    LessonClip,
)
from practice.care import looks
from practice.care.limits import Limits
from practice.care.work import Work
from practice.clips.models import Clip
from practice.clips.services import choose_model, keep_clip
from practice.coach_counts import services as checked
from practice.compliance.limits import limits_of
from practice.compliance.parts import dose_of
from practice.drills.models import Drill
from practice.flows import set_week as weeks
from practice.log.fields import is_storable
from practice.weeks.models import Week
from practice.weeks.plan import PartSpec
from shared.kit.refused import Refused
from shared.kit.weeks import practice_day
from shared.people import access
from shared.people.access import Recordable
from shared.people.history import remember
from shared.people.models import Student, User

AHEAD = timedelta(days=366)
MOST_PLANNED = 60
NEAR = timedelta(hours=18)
# Whatever was noted longer before it began was planned.
BEGUN_AT_ONCE = timedelta(seconds=10)
# Fields of a finding that are no words: drills ticked, balls counted.
NOT_WORDS = ("drills", "balls")


# --- planned ---------------------------------------------------------------------------


@transaction.atomic
def plan_lesson(*, student: Recordable, coach: User, at: datetime, place: str = "") -> Lesson:
    """Note when the next lesson is. The same again changes nothing. Raises Refused."""
    now = timezone.now()
    if not now - NEAR <= at <= now + AHEAD:
        raise Refused("A lesson is planned for today or a day of the coming year.")
    planned = Lesson.objects.filter(student=student, state=Lesson.State.PLANNED)
    if planned.count() >= MOST_PLANNED:
        raise Refused(f"At most {MOST_PLANNED} lessons are planned ahead for one student.")
    lesson, _ = Lesson.objects.get_or_create(
        student=student,
        at=at,
        state=Lesson.State.PLANNED,
        defaults={"coach": coach, "place": place},
    )
    tell_next_lesson(student)
    return lesson


@transaction.atomic
def cancel_lesson(*, lesson: Lesson) -> None:
    """Take a planned lesson off. One that was begun stays."""
    Lesson.objects.filter(pk=lesson.pk, state=Lesson.State.PLANNED).delete()
    _forget_day_of(lesson)
    tell_next_lesson(lesson.student)


@transaction.atomic
def move_lesson(*, lesson: Lesson, at: datetime) -> None:
    """Another time for a planned lesson. Raises Refused."""
    access.recordable(lesson.student)
    now = timezone.now()
    if not now - NEAR <= at <= now + AHEAD:
        raise Refused("A lesson is planned for today or a day of the coming year.")
    planned = Lesson.objects.filter(pk=lesson.pk, state=Lesson.State.PLANNED)
    if not planned.update(at=at, moved_at=now):
        raise Refused("That lesson has begun already.")
    _forget_day_of(lesson)
    lesson.at, lesson.moved_at = at, now
    tell_next_lesson(lesson.student)


def _forget_day_of(lesson: Lesson) -> None:
    """The day of a lesson that is off is no day of a lesson any more."""
    student = lesson.student
    day = lesson.at.astimezone(ZoneInfo(student.time_zone)).date()
    announced = Student.objects.filter(pk=student.pk, next_lesson=day)
    remember(announced)
    if announced.update(next_lesson=None):
        student.next_lesson = None


def tell_next_lesson(student: Student) -> None:
    """Keep the student's own date of the next lesson in step with what is planned.

    A date somebody entered by hand stays while nothing is planned.
    """
    zone = ZoneInfo(student.time_zone)
    ahead = Lesson.objects.filter(
        student=student, state=Lesson.State.PLANNED, at__gte=timezone.now() - NEAR
    )
    first = ahead.order_by("at").values_list("at", flat=True).first()
    if first is not None:
        day = first.astimezone(zone).date()
        moved = Student.objects.filter(pk=student.pk).exclude(next_lesson=day)
        remember(moved)
        moved.update(next_lesson=day)
        student.next_lesson = day


# --- open, and written -----------------------------------------------------------------


@transaction.atomic
def open_lesson(*, student: Recordable, by: User) -> Lesson:
    """Begin the lesson of now: the one that is open, one planned near now, or a new one."""
    now = timezone.now()
    own = Lesson.objects.filter(student=student)
    lesson = own.filter(state=Lesson.State.OPEN).first()
    if lesson is not None:
        return lesson
    near = own.filter(state=Lesson.State.PLANNED, at__range=(now - NEAR, now + NEAR))
    found = min(near, key=lambda each: abs(each.at - now), default=None)
    if found is None:
        found = Lesson(student=student, coach=by, at=now)
    found.state, found.opened_at, found.coach = Lesson.State.OPEN, now, by
    if by.pk != student.lead_coach_id and student.pk not in by.pain_needs:
        looks.state_need(student=student, user=by, why="gives a lesson")
    try:
        with transaction.atomic():
            found.save()
    except IntegrityError:  # Somebody opened it at the same moment.
        return own.get(state=Lesson.State.OPEN)
    return found


@dataclass(frozen=True, slots=True)
class KeptFields:
    """What became of typed fields, by name: kept, changed elsewhere meanwhile, refused."""

    kept: list[str] = field(default_factory=list)
    elsewhere: dict[str, str] = field(default_factory=dict)
    refused: dict[str, str] = field(default_factory=dict)


@transaction.atomic
def keep_typed(*, lesson: Lesson, fields: Mapping[str, tuple[str | None, str]]) -> KeptFields:
    """Keep fields as they were typed: name → (what it was, what it is now).

    Names are those of the lesson, or a finding's with its position: `0.cue`. A field
    that was changed elsewhere meanwhile is left alone and given back, so that nothing
    is overwritten unseen; None as what it was overwrites.
    """
    access.recordable(lesson.student)
    locked = Lesson.objects.select_for_update().get(pk=lesson.pk)
    findings = {found.position: found for found in locked.findings.prefetch_related("drills")}
    result = KeptFields()
    for name, (was, typed) in fields.items():
        place, _, column = name.rpartition(".")
        target = _target(locked, findings, place, column)
        now = "" if target is None else _read(target, column)
        is_now = typed.replace("\r\n", "\n")  # As a form without a script sends it.
        if target is None:
            result.refused[name] = "There is no such field."
        elif was is not None and now not in (was, is_now):
            result.elsewhere[name] = now
        elif refusal := _write(target, column, is_now):
            result.refused[name] = refusal
        else:
            result.kept.append(name)
    locked.save(update_fields=list(OF_LESSON))
    return result


def _target(
    lesson: Lesson, findings: dict[int, Finding], place: str, column: str
) -> Lesson | Finding | None:
    if not place:
        return lesson if column in OF_LESSON else None
    if column not in {*OF_FINDING, *NOT_WORDS} or place not in map(str, range(MOST_FINDINGS)):
        return None
    position = int(place)
    if position not in findings:
        findings[position] = Finding.objects.create(lesson=lesson, position=position)
    return findings[position]


def _write(target: Lesson | Finding, column: str, text: str) -> str:
    """Set the field; or say why not."""
    if column == "drills" and isinstance(target, Finding):
        _set_drills(target, text)
        return ""
    if column == "balls" and isinstance(target, Finding):
        return _set_balls(target, text)
    if not is_storable(text):
        return "There is a character in it that cannot be kept. Delete it and type it again."
    longest = (OF_FINDING | OF_LESSON)[column]
    if len(text) > longest:
        return f"At most {longest} characters; this has {len(text)}."
    setattr(target, column, text)
    if isinstance(target, Finding):
        target.save(update_fields=[column])
    return ""


def _read(target: Lesson | Finding, column: str) -> str:
    if column == "drills" and isinstance(target, Finding):
        return ",".join(sorted(str(drill.pk) for drill in target.drills.all()))
    return str(getattr(target, column))


def _set_drills(finding: Finding, text: str) -> None:
    """Drills of the studio's own shelf; whatever else is named is left out."""
    ids = [read_id(word) for word in text.split(",")[:20]]
    shelf = Drill.objects.filter(studio=finding.lesson.student.studio_id, archived_at=None)
    finding.drills.set(shelf.filter(pk__in=[each for each in ids if each]))


def _set_balls(finding: Finding, text: str) -> str:
    """Keep the line, and each step of it as a count of the coach's; or say why not."""
    try:
        before, counted = read_balls(finding.balls), read_balls(text)
    except Refused as error:
        return str(error)
    lesson = finding.lesson
    ids = {each.drill for each in counted}
    shelf = {
        drill.pk: drill
        for drill in Drill.objects.filter(studio=lesson.student.studio_id, pk__in=ids)
    }
    if ids - set(shelf):
        return "The drill of a count is not on your shelf."
    now = {_count_id(finding, each) for each in counted}
    for each in before:
        if _count_id(finding, each) not in now:
            checked.take_back(count_id=_count_id(finding, each))
    for each in counted:
        checked.put_count(
            student=access.recordable(lesson.student),
            by=lesson.coach,
            count_id=_count_id(finding, each),
            drill=shelf[each.drill],
            effort=each.effort,
            reps=each.reps,
            clean_reps=each.clean,
            day=practice_day(lesson.at, lesson.student.time_zone),
        )
    finding.balls = text
    finding.save(update_fields=["balls"])
    return ""


def _count_id(finding: Finding, each: CountedBalls) -> UUID:
    """The same step of the same finding is the same count, however often it is kept."""
    return uuid5(finding.pk, f"{each.drill} {each.effort}")


def read_id(text: str) -> UUID | None:
    """The id that a text spells, if it spells one."""
    try:
        return UUID(text.strip())
    except ValueError:
        return None


def take_clip(
    *, lesson: Lesson, by: User, upload: "UploadedFile[bytes]", ident: UUID, drill: Drill | None
) -> Clip:
    """Keep a clip or picture as evidence of the lesson. Raises Refused."""
    student = access.recordable(lesson.student)
    clip = keep_clip(student=student, author=by, upload=upload, ident=ident, drill=drill)
    LessonClip.objects.get_or_create(clip=clip, defaults={"lesson": lesson})
    return clip


@transaction.atomic
def choose_clip(*, lesson: Lesson, clip: Clip) -> None:
    """Mark a clip of the lesson as the one to copy; the student finds it beside its drill.

    One taken before a drill was ticked belongs to the first that is ticked now.
    """
    access.recordable(lesson.student)
    if clip.drill is None:
        named = [drill for finding in lesson.findings.all() for drill in finding.drills.all()]
        clip.drill = named[0] if named else None
        clip.save(update_fields=["drill"])
    choose_model(clip=clip, is_model=True)


@transaction.atomic
def as_last_time(*, lesson: Lesson, last: Lesson) -> None:
    """Begin with what the last lesson found: its words and its drills, but for those that are
    not for now. What is evidence stays there. Raises Refused once something is written.
    """
    student = access.recordable(lesson.student)
    locked = Lesson.objects.select_for_update().get(pk=lesson.pk)
    if locked.state != Lesson.State.OPEN or locked.findings.exists():
        raise Refused("Something is written already. It stays as it is.")
    limits = limits_of(student)
    for was in last.findings.all():
        words = {name: getattr(was, name) for name in OF_FINDING if name != "evidence"}
        found = Finding.objects.create(lesson=locked, position=was.position, **words)
        found.drills.set(drill for drill in was.drills.all() if not _is_held(drill, limits))


def _is_held(drill: Drill, limits: Limits) -> bool:
    now = drill.current
    return now is None or limits.holds(Work(drill.pk, dose_of(now.dose), now.area))


@transaction.atomic
def throw_away(*, lesson: Lesson) -> None:
    """Undo a lesson begun by mistake: what is written in it goes with it, the balls counted
    too. One that was planned is planned again. Raises Refused for one that is closed.
    """
    locked = Lesson.objects.select_for_update().get(pk=lesson.pk)
    if locked.state != Lesson.State.OPEN or locked.opened_at is None:
        raise Refused("Only a lesson that is open can be thrown away.")
    for finding in locked.findings.all():
        for each in read_balls(finding.balls):
            checked.take_back(count_id=_count_id(finding, each))
    if locked.made_at >= locked.opened_at - BEGUN_AT_ONCE:
        locked.delete()
        return
    locked.findings.all().delete()
    locked.state, locked.opened_at, locked.private = Lesson.State.PLANNED, None, ""
    locked.save(update_fields=["state", "opened_at", "private"])
    tell_next_lesson(locked.student)


# --- closed ----------------------------------------------------------------------------


@transaction.atomic
def close_and_send(
    *,
    lesson: Lesson,
    by: User,
    opens: date,
    specs: Sequence[PartSpec],
    note: str | None = None,
    in_spite: bool = False,
) -> Week:
    """Send the week that follows from the lesson, and close it. Raises Refused, and AskOnce as
    `send_week` does."""
    student = access.recordable(lesson.student)
    sent = Week.objects.filter(student=student, opens=opens, state=Week.State.SENT).first()
    if sent is not None:
        week = weeks.amend_week(week=sent, specs=specs, by=by, note=note, in_spite=in_spite)
    else:
        week = _draft_of(student, opens, by, specs, note)
        week = weeks.send_week(week=week, by=by, in_spite=in_spite)
    _close(lesson, Lesson.Ending.SENT, week)
    return week


@transaction.atomic
def close_for_later(
    *, lesson: Lesson, by: User, opens: date, specs: Sequence[PartSpec] | None = None
) -> None:
    """Close it with the week still to be sent; what was chosen is kept as a draft."""
    student = access.recordable(lesson.student)
    sent = Week.objects.filter(student=student, opens=opens, state=Week.State.SENT)
    if specs and not sent.exists():
        _draft_of(student, opens, by, specs, None)
    _close(lesson, Lesson.Ending.LATER, None)


@transaction.atomic
def close_without_week(*, lesson: Lesson) -> None:
    _close(lesson, Lesson.Ending.NONE, None)


def _draft_of(
    student: Recordable, opens: date, by: User, specs: Sequence[PartSpec], note: str | None
) -> Week:
    week = weeks.start_draft(student=student, opens=opens, by=by)
    return weeks.save_parts(
        week=week, specs=[replace(spec, id=None) for spec in specs], by=by, note=note
    )


def wait_for_week(*, week: Week) -> None:
    """The week that closed a lesson was taken back: it is still to be sent."""
    closed = Lesson.objects.filter(week=week, ending=Lesson.Ending.SENT)
    closed.update(ending=Lesson.Ending.LATER, week=None)


def _close(lesson: Lesson, ending: str, week: Week | None) -> None:
    access.recordable(lesson.student)
    fields: dict[str, Any] = {"state": Lesson.State.CLOSED, "ending": ending, "week": week}
    Lesson.objects.filter(pk=lesson.pk).update(**fields, closed_at=timezone.now())
    lesson.refresh_from_db()


@transaction.atomic
def reopen(*, lesson: Lesson) -> Lesson:
    """Write on in a closed lesson. Raises Refused while another one is open."""
    student = access.recordable(lesson.student)
    others = Lesson.objects.filter(student=student, state=Lesson.State.OPEN)
    if others.exclude(pk=lesson.pk).exists():
        raise Refused("Another lesson of this student is open. Close that one first.")
    Lesson.objects.filter(pk=lesson.pk, state=Lesson.State.CLOSED).update(
        state=Lesson.State.OPEN, ending="", closed_at=None
    )
    lesson.refresh_from_db()
    return lesson
