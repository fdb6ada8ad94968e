"""The lists of a studio's people, each bounded and in a number of queries that never grows."""

from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import Exists, F, OuterRef, QuerySet
from django.db.models.functions import Lower

from shared.people import access, invitations
from shared.people.models import Guardianship, Membership, Student, Studio, Undelivered, User

PAGE = 60
# What the list may be sorted by; those without a lesson stand last.
SORTED = {
    "name": ("name", "pk"),
    "lesson": (F("next_lesson").asc(nulls_last=True), "name", "pk"),
}
MOST_STAFF = 200
MOST_CLOSED = 60


@dataclass(frozen=True, slots=True)
class Row:
    """One student on the list."""

    id: UUID
    name: str
    plays: str
    lead: str
    next_lesson: str
    standing: str
    needs_look: bool


def students(
    found: QuerySet[Student], *, search: str = "", start: int = 0, sort: str = "name"
) -> tuple[list[Row], bool]:
    """A page of these students in a sort of SORTED, and whether there are more. One query."""
    if search:
        found = found.filter(name__icontains=search)
    standing = Guardianship.objects.filter(student=OuterRef("pk"), ended_at=None, withdrawn_at=None)
    waiting = invitations.open_ones().filter(student=OuterRef("pk"))
    page = (
        found.select_related("lead_coach")
        .annotate(
            has_guardian=Exists(standing),
            is_invited=Exists(waiting),
            invited_in_vain=Exists(waiting.filter(_in_vain("email"))),
            mailed_in_vain=_in_vain("user__email")
            | Exists(standing.filter(_in_vain("user__email"))),
        )
        .order_by(*SORTED[sort])[start : start + PAGE + 1]
    )
    rows = [_row(student) for student in page]
    return rows[:PAGE], len(rows) > PAGE


def _in_vain(field: str) -> Exists:
    """Whether mails to the address in this field did not arrive."""
    return Exists(Undelivered.objects.filter(address=Lower(OuterRef(field))))


@dataclass(frozen=True, slots=True)
class Closed:
    """A child of whom nothing may be kept now: a name and why, and what the reader may open."""

    id: UUID
    name: str
    why: str
    may_confirm: bool
    may_open: bool


def closed(user: User) -> list[Closed]:
    """Those whom the user would miss on the list, at most MOST_CLOSED. Three queries where
    there are any, else one."""
    found = list(access.closed_children_near(user).order_by("name", "pk")[:MOST_CLOSED])
    if not found:
        return []
    confirms = set(access.children_to_confirm(user).values_list("pk", flat=True)[:MOST_CLOSED])
    owned = set(access.students_closed_to(user).values_list("pk", flat=True)[:MOST_CLOSED])
    return [
        Closed(
            id=student.pk,
            name=student.name,
            why="new: waits until a second adult confirms the child"
            if student.awaits_second_adult
            else _why(student),
            may_confirm=student.pk in confirms,
            may_open=student.pk in owned,
        )
        for student in found
    ]


def _why(student: Student) -> str:
    if student.is_minor:
        return "away by a guardian’s wish"
    return "of age, and has not answered for the record yet"


def _row(student: Any) -> Row:
    words, needs_look = _standing(student)
    lesson = student.next_lesson
    return Row(
        id=student.pk,
        name=student.name,
        plays=student.get_hand_display() + (", seated" if student.plays_seated else ""),
        lead=str(student.lead_coach),
        next_lesson=f"{lesson:%a} {lesson.day} {lesson:%b}" if lesson else "no date",
        standing=words,
        needs_look=needs_look,
    )


def _standing(student: Any) -> tuple[str, bool]:
    """What keeps the student from logging, and whether the coach has something to do.

    Nothing is said of whoever is here.
    """
    if student.left_on:
        return f"left on {student.left_on.isoformat()}", False
    in_vain = ("mails do not arrive", True) if student.mailed_in_vain else ("", False)
    if student.is_minor:
        if student.has_guardian:
            return in_vain
        return "guardian has withdrawn: nothing more is kept", True
    if student.user_id:
        return in_vain
    if student.invited_in_vain:
        return "invited, but the mail did not arrive", True
    return ("invited, not here yet", False) if student.is_invited else ("not invited", True)


def staff(studio: Studio) -> list[Membership]:
    """Who works in the studio now, by name. One query."""
    found = Membership.objects.filter(studio=studio, ended_at=None).select_related("user")
    return list(found.order_by("user__name", "role")[:MOST_STAFF])
