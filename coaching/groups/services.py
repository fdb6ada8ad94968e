"""Writing groups and their sessions. Each command may be repeated."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID, uuid5

from django.db import IntegrityError, transaction
from django.utils import timezone

from coaching.groups.models import MOST_STUDENTS, Attended, Group, GroupSession
from practice.flows.coach_logging import log_beside, take_back_beside
from practice.log.models import Result
from shared.kit.refused import Refused
from shared.people import access
from shared.people.access import Recordable
from shared.people.models import Student, Studio, User

KEPT = {"stored", "had"}


@dataclass(frozen=True, slots=True)
class Meeting:
    """A session as it was told; balls and hard swings are of each student."""

    id: UUID
    day: date
    minutes: int
    balls: int | None = None
    hard: int | None = None
    adults: int = 1


@dataclass(frozen=True, slots=True)
class SessionTold:
    """What became of a session: who was there, and for whom nothing could be logged."""

    session: GroupSession
    present: list[Student]
    problems: list[str]


def make_group(*, studio: Studio, by: User, name: str) -> Group:
    """Raises Refused for a name that is empty or taken."""
    return _kept(Group(studio=studio, name=_name(name), made_by=by))


def change_group(*, group: Group, name: str, students: Iterable[Recordable]) -> Group:
    """A new name, and who is in it from now on. Raises Refused."""
    chosen = list(students)
    if len(chosen) > MOST_STUDENTS:
        raise Refused(f"A group has at most {MOST_STUDENTS} students.")
    group.name = _name(name)
    group = _kept(group)
    group.students.set(chosen)
    return group


def end_group(*, group: Group) -> None:
    """The group is over. Its sessions, and what was logged in them, stay."""
    Group.objects.filter(pk=group.pk, ended_at=None).update(ended_at=timezone.now())


def _name(name: str) -> str:
    words = name.strip()
    if not 0 < len(words) <= 60:
        raise Refused("Give the group a name of 1 to 60 characters.")
    return words


def _kept(group: Group) -> Group:
    try:
        with transaction.atomic():
            group.save()
    except IntegrityError:
        raise Refused("There is a group of that name already.") from None
    return group


def hold_session(
    *, group: Group, by: User, told: Meeting, students: Iterable[Recordable], at: datetime
) -> SessionTold:
    """Keep who was there, and log it for each as practice that nobody asked for.

    A student who has logged a group session of that day keeps that one, and one whose log
    refuses it was not there: each stands alone. Raises Refused if nobody is left.
    """
    present: list[Student] = []
    problems: list[str] = []
    values = {
        "group": group, "day": told.day, "minutes": told.minutes, "balls": told.balls,
        "hard": told.hard, "adults": told.adults, "by": by, "at": at,
    }  # fmt: skip
    with transaction.atomic():
        session, is_new = GroupSession.objects.get_or_create(pk=told.id, defaults=values)
        if not is_new:
            return SessionTold(session, [], [])
        for student in students:
            problem = _attend(session, student, by)
            if problem:
                problems.append(f"{student.name}: {problem}")
            else:
                present.append(student)
        if not present:
            raise Refused(problems[0] if problems else "Tick who was there.")
    return SessionTold(session, present, problems)


def _attend(session: GroupSession, student: Recordable, by: User) -> str:
    """Keep one student's attendance; returns why it could not be, or nothing."""
    entry: UUID | None = None
    if not _has_logged(student, session.day):
        entry = uuid5(session.pk, str(student.pk))
        receipt = log_beside(
            student=student, by=by, entry=entry, day=session.day, at=session.at,
            blocks=[_block(session)], minutes=session.minutes,
        )  # fmt: skip
        if receipt.verdict not in KEPT:
            return receipt.sentence
    Attended.objects.create(session=session, student=student, entry=entry)
    return ""


def _has_logged(student: Student, day: date) -> bool:
    logged = Result.objects.filter(student=student, entry__counts=True, entry__day=day)
    return logged.filter(what="group").exists()


def _block(session: GroupSession) -> dict[str, object]:
    return {
        "p": None,
        "d": None,
        "w": "group",
        "s": [],
        "min": session.minutes,
        "balls": session.balls,
        "hard": session.hard,
    }


@transaction.atomic
def take_session_back(*, session: GroupSession, by: User) -> None:
    """Nobody was there: what was logged for it counts no more. Raises Refused after a week."""
    now = timezone.now()
    for attended in session.attended.select_related("student__studio").exclude(entry=None):
        if attended.entry is None:
            continue
        receipt = take_back_beside(
            student=access.recordable(attended.student),
            by=by,
            entry=attended.entry,
            day=session.day,
            at=now,
        )
        if receipt.verdict not in KEPT:
            raise Refused(f"{attended.student.name}: {receipt.sentence}")
    GroupSession.objects.filter(pk=session.pk).update(taken_back_at=now)
