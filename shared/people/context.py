"""What the page frame needs to know about the person looking at it."""

from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import Any

from django.http import HttpRequest
from django.utils import timezone
from django.utils.functional import SimpleLazyObject

from shared.kit.weeks import practice_day, week_start
from shared.people import access, second_factor
from shared.people.models import Membership, Student, User
from shared.people.requests import followed

MOST_CHILDREN = 5


@dataclass
class Frame:
    """Asked only for what is printed: of those who teach the roles, of others one query more."""

    user: User
    request: HttpRequest

    @property
    def keeps_gym(self) -> bool:
        """Whether the user is a strength coach somewhere."""
        return access.is_strength_coach(self.user)

    @property
    def roles(self) -> set[str]:
        return {role for roles in access.roles_by_studio(self.user).values() for role in roles}

    @property
    def is_teaching(self) -> bool:
        return bool(self.roles)

    @property
    def is_owner(self) -> bool:
        return Membership.Role.OWNER in self.roles

    @property
    def plans(self) -> bool:
        """Whether the user sets weeks."""
        return not self.roles.isdisjoint(access.PLANNING)

    @property
    def cares(self) -> bool:
        """Whether what a student wrote may be the user's to read; pain may be in it."""
        return Membership.Role.COACH in self.roles

    @cached_property
    def passkey_by(self) -> datetime | None:
        """By when the user must have added a passkey; None if none is asked or there is one."""
        return second_factor.needed_from(self.user) if second_factor.is_missing(self.user) else None

    @property
    def _followed(self) -> list[Student]:
        return followed(self.request, self.user)

    @property
    def own_place(self) -> Student | None:
        own = [student for student in self._followed if student.user_id == self.user.pk]
        return min(own, key=lambda student: student.pk, default=None)

    @property
    def own_week(self) -> str:
        """The first day of the user's own practice week; empty for who is no student."""
        if self.own_place is None:
            return ""
        today = practice_day(timezone.now(), self.own_place.time_zone)
        return week_start(today, self.own_place.studio.first_weekday).isoformat()

    @property
    def children(self) -> list[Student]:
        others = [student for student in self._followed if student.user_id != self.user.pk]
        return others[:MOST_CHILDREN]

    @property
    def logs_for_children(self) -> bool:
        """Whether the phone's page has a week of a child for the user."""
        return any(child.is_minor for child in self.children)

    @property
    def followed(self) -> list[Student]:
        """Whose practice the user follows: the own, and the children's."""
        return [*([self.own_place] if self.own_place else []), *self.children]

    @property
    def studio_name(self) -> str:
        """The name over the page of who teaches nowhere; empty where there are several."""
        names = {student.studio.name for student in self.followed}
        return names.pop() if len(names) == 1 else ""


def place(request: HttpRequest) -> dict[str, object]:
    """`is_teaching`, and `frame` for the rest."""
    user: Any = getattr(request, "user", None)
    if user is None or not user.is_authenticated:
        return {"is_teaching": False, "frame": None}
    frame = Frame(user, request)
    return {"is_teaching": SimpleLazyObject(lambda: frame.is_teaching), "frame": frame}
