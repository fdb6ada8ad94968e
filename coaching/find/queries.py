"""What *Find* answers: students, drills and pages whose words begin with what was typed."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Q, QuerySet
from django.urls import reverse

from practice.drills.models import Drill
from shared.people import access
from shared.people.access import PLANNING, roles_by_studio
from shared.people.models import Membership, Student, User

MOST_OF_A_KIND = 8
MOST_LETTERS = 60

# Pages in the words that somebody looks for them by; the roles that may open them.
PAGES: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("Today’s lessons", "lessons:next_up", access.TEACHING),
    ("Who needs me", "board:who", access.TEACHING),
    ("Call list", "board:calls", access.TEACHING),
    ("Care notes of everybody", "board:care_roster", access.TEACHING),
    ("How often the warnings were right", "kept:score", access.TEACHING),
    ("When a word is used", "board:borders", PLANNING),
    ("Notes to answer", "words:waiting", (Membership.Role.COACH,)),
    ("Students", "students", access.TEACHING),
    ("New student", "student_new", PLANNING),
    ("Drills", "drills:shelf", access.TEACHING),
    ("New drill", "drills:new", PLANNING),
    ("Week for several", "plans:several", PLANNING),
    ("Week templates", "plans:templates", PLANNING),
    ("Groups", "groups:all", PLANNING),
    ("Reminders and mail", "reminders:running", (Membership.Role.OWNER,)),
    ("People of the studio", "people", (Membership.Role.OWNER,)),
    ("Settings", "settings", access.TEACHING),
)
# What else somebody looks for them by.
OTHER_WORDS = {
    "students": "invite",
    "student_new": "invite add",
    "people": "invite team coach",
    "settings": "passkey password recovery units",
    "words:waiting": "messages questions",
    "drills:new": "write add",
    "plans:several": "send",
    "board:care_roster": "pain hurts injury",
}


@dataclass(frozen=True, slots=True)
class SearchHit:
    """One answer. `kind` is said beside it, so that a drill is not taken for a student."""

    words: str
    kind: str
    url: str


def find(user: User, text: str) -> list[SearchHit]:
    """Students first, then drills, then pages. Two queries and the roles."""
    typed = text.strip()[:MOST_LETTERS]
    if not typed:
        return []
    return [*_students(user, typed), *_drills(user, typed), *_pages(user, typed)]


def _beginning(rows: QuerySet[Any], column: str, typed: str) -> QuerySet[Any]:
    """Rows in which a word of the column begins with what was typed, the first word first."""
    first = Q(**{f"{column}__istartswith": typed})
    later = Q(**{f"{column}__icontains": f" {typed}"})
    return rows.filter(first | later).order_by(column, "pk")[:MOST_OF_A_KIND]


def _students(user: User, typed: str) -> Iterable[SearchHit]:
    rows: QuerySet[Student] = _beginning(access.students_taught_by(user), "name", typed)
    return (SearchHit(s.name, "student", reverse("board:student", args=[s.pk])) for s in rows)


def _drills(user: User, typed: str) -> Iterable[SearchHit]:
    shelf = Drill.objects.filter(studio__in=roles_by_studio(user), archived_at=None)
    rows: QuerySet[Drill] = _beginning(shelf, "current__name", typed)
    named = rows.select_related("current")
    return (
        SearchHit(drill.current.name, "drill", reverse("drills:show", args=[drill.pk]))
        for drill in named
        if drill.current
    )


def _pages(user: User, typed: str) -> Iterable[SearchHit]:
    mine = {role for roles in roles_by_studio(user).values() for role in roles}
    wanted = typed.lower()
    return (
        SearchHit(words, "page", reverse(route))
        for words, route, roles in PAGES
        if not mine.isdisjoint(roles)
        and any(word.startswith(wanted) for word in _begins(words, route))
    )


def _begins(words: str, route: str) -> Iterable[str]:
    return (*_tails(words.lower()), *OTHER_WORDS.get(route, "").split())


def _tails(words: str) -> Iterable[str]:
    """'who needs me', 'needs me', 'me': every place at which somebody may begin to type."""
    parts = words.split()
    return (" ".join(parts[at:]) for at in range(len(parts)))
