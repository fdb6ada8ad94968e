"""What the pages of groups read. Each function's cost is in its docstring."""

from collections import Counter, defaultdict
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db.models import Count, Q, QuerySet
from django.http import Http404
from django.utils import timezone

from coaching.groups.models import MOST_STUDENTS, Attended, Group, GroupSession
from coaching.groups.ratio import ratio_words
from practice.compliance.models import WeekTally
from practice.compliance.queries import usual_minutes_of
from shared.kit.text import date_words, in_minutes, many
from shared.kit.weeks import practice_day, week_start
from shared.people import access
from shared.people.models import Student, User

MOST_GROUPS = 100
SESSIONS = 8


@dataclass(frozen=True, slots=True)
class MemberRow:
    """One student of the group: the dose of this week, and how often there of late."""

    id: UUID
    name: str
    asked: str
    usual: str
    attended: str


@dataclass(frozen=True, slots=True)
class SessionRow:
    """One meeting, newest first."""

    id: UUID
    day: str
    facts: str
    present: str
    ratio: str
    by: str


@dataclass(frozen=True, slots=True)
class GroupPage:
    members: list[MemberRow]
    sessions: list[SessionRow]
    # Of the group as it is, with as many adults as at the last session.
    ratio: str


def groups_of(user: User, roles: tuple[str, ...] = access.TEACHING) -> QuerySet[Group]:
    """Present groups of the studios in which the user works in one of these roles."""
    return Group.objects.filter(studio__in=access.studios_of(user, roles), ended_at=None)


def group_or_404(user: User, group_id: UUID, roles: tuple[str, ...] = access.TEACHING) -> Group:
    group = groups_of(user, roles).filter(pk=group_id).select_related("studio").first()
    if group is None:
        raise Http404
    return group


def groups_with_counts(user: User) -> list[tuple[Group, str]]:
    """Groups by name, each with how many students are in it. One query."""
    here = Count("students", filter=Q(students__left_on=None))
    rows = groups_of(user).annotate(here=here).order_by("name", "pk")[:MOST_GROUPS]
    return [(group, many(group.here, "student")) for group in rows]


def members_of(group: Group) -> list[access.Recordable]:
    """Present students of the group, by name. One query."""
    found = access.recordable_students().filter(groups=group, studio=group.studio_id)
    return list(found.select_related("studio").order_by("name", "pk")[:MOST_STUDENTS])


def group_page(group: Group, members: list[access.Recordable]) -> GroupPage:
    """Four queries, however many students and sessions."""
    held = GroupSession.objects.filter(group=group, taken_back_at=None).select_related("by")
    sessions = list(held.order_by("-day", "-at")[:SESSIONS])
    there = _there(sessions)
    contact = group.studio.safeguarding_contact
    times = Counter(student.pk for present in there.values() for student in present)
    juniors = sum(student.is_minor for student in members)
    adults = sessions[0].adults if sessions else 1
    return GroupPage(
        members=_members(members, times, len(sessions)),
        sessions=[_session(session, there[session.pk]) for session in sessions],
        ratio=ratio_words(juniors, adults, contact),
    )


def _there(sessions: list[GroupSession]) -> dict[UUID, list[Student]]:
    found: dict[UUID, list[Student]] = defaultdict(list)
    named = Student.objects.filter(access.agreed())
    rows = Attended.objects.filter(session__in=sessions, student__in=named).select_related(
        "student"
    )
    for row in rows.order_by("student__name"):
        found[row.session_id].append(row.student)
    return found


def _members(members: list[access.Recordable], times: Counter[UUID], held: int) -> list[MemberRow]:
    now = timezone.now()
    opens = {
        student.pk: week_start(practice_day(now, student.time_zone), student.studio.first_weekday)
        for student in members
    }
    asked = _asked(opens)
    usual = usual_minutes_of(members, max(opens.values())) if opens else {}
    return [
        MemberRow(
            id=student.pk,
            name=student.name,
            asked=_minutes(asked.get(student.pk)),
            usual=_minutes(usual.get(student.pk)),
            attended=f"{times[student.pk]} of {held}" if held else "",
        )
        for student in members
    ]


def _asked(opens: dict[UUID, date]) -> dict[UUID, float]:
    weeks = WeekTally.objects.filter(student__in=opens, opens__in=set(opens.values()))
    rows = weeks.filter(has_plan=True).values_list("student", "opens", "asked_minutes")
    return {student: minutes for student, day, minutes in rows if opens[student] == day}


def _minutes(amount: float | None) -> str:
    return "" if amount is None else f"{in_minutes(amount)} min"


def _session(session: GroupSession, present: list[Student]) -> SessionRow:
    facts = [f"{session.minutes} min"]
    facts += [f"{session.balls} balls each"] if session.balls else []
    facts += [f"{session.hard} hard swings each"] if session.hard else []
    juniors = sum(student.is_minor for student in present)
    adults = many(session.adults, "adult")
    return SessionRow(
        id=session.pk,
        day=date_words(session.day),
        facts=", ".join(facts),
        present=", ".join(student.name for student in present),
        ratio=f"{many(juniors, 'junior')}, {adults}" if juniors else adults,
        by=str(session.by),
    )


def session_or_404(group: Group, session_id: UUID) -> GroupSession:
    found = GroupSession.objects.filter(group=group, taken_back_at=None, pk=session_id).first()
    if found is None:
        raise Http404
    return found


def group_or_none(user: User, text: str, roles: tuple[str, ...] = access.TEACHING) -> Group | None:
    """The group whose id was sent along, if it is one of the user's; None for any other."""
    try:
        wanted = UUID(text)
    except ValueError:
        return None
    return groups_of(user, roles).filter(pk=wanted).select_related("studio").first()
