"""Where somebody's work is: the coach's pages, one's own week, a child's."""

from dataclasses import dataclass

from django.urls import NoReverseMatch, reverse

from shared.people import access, events
from shared.people.models import Guardianship, User

MOST_CHILDREN = 20


@dataclass(frozen=True, slots=True)
class Place:
    url: str
    text: str


def places_of(user: User) -> list[Place]:
    """Every page that somebody with these roles starts from."""
    found = []
    if access.teaches(user):
        first = events.landing_of(user) or first_page_of("board:who", "students")
        found.append(Place(first, "Coaching"))
    if access.is_strength_coach(user):
        found.append(Place(first_page_of("season:gym", "settings"), "Gym strips"))
    if access.own_places(user).exists():
        found.append(Place(first_page_of("log:shell", "settings"), "My own practice"))
    ties = access.guardianships_of(user)[:MOST_CHILDREN]
    return found + [_childs_place(tie) for tie in ties]


def _childs_place(tie: Guardianship) -> Place:
    """The child's practice; without a consent that stands, the page to give it again."""
    if tie.withdrawn_at is None:
        return Place(reverse("log:child", args=[tie.student_id]), f"{tie.student.name}’s practice")
    words = f"What you agreed to for {tie.student.name}"
    return Place(reverse("consents", args=[tie.student_id]), words)


def first_page_of(*names: str) -> str:
    """The address of the first of these pages that exists."""
    for name in names[:-1]:
        try:
            return reverse(name)
        except NoReverseMatch:
            continue
    return reverse(names[-1])
