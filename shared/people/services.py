"""What people change about students, studios and themselves."""

from collections.abc import Collection, Iterable
from typing import Any
from uuid import UUID, uuid4

from django.contrib.auth.hashers import make_password
from django.db import transaction
from django.utils import timezone

from shared.kit.refused import Refused
from shared.people import access, coming_of_age, ends, events, invitations
from shared.people.history import KEPT, remember
from shared.people.models import (
    WITHOUT_MAIL,
    Guardianship,
    Invitation,
    Membership,
    Student,
    Studio,
    User,
)
from shared.people.today import today_of

KEPT_SET = frozenset(KEPT)


class LastOwner(Exception):
    """A studio keeps at least one owner."""


class AlreadyHere(Exception):
    """The user has a place in this studio already."""


@transaction.atomic
def enter_adult(
    *, studio: Studio, by: User, name: str, email: str, hand: str, plays_seated: bool
) -> Invitation:
    """A place for an adult, and the invitation into it."""
    student = Student.objects.create(
        studio=studio,
        lead_coach=by,
        name=name,
        hand=hand,
        plays_seated=plays_seated,
        time_zone=studio.time_zone,
        joined_on=today_of(studio),
    )
    return invitations.invite(
        by=by,
        studio=studio,
        kind=Invitation.Kind.STUDENT,
        student=student,
        email=email,
        name=name,
    )


def invite_again(*, student: Student, by: User, email: str) -> Invitation:
    """Another invitation into a place that nobody has taken yet."""
    return invitations.invite(
        by=by,
        studio=student.studio,
        kind=Invitation.Kind.STUDENT,
        student=student,
        email=email,
        name=student.name,
    )


@transaction.atomic
def join_as_student(*, invitation: Invitation, user: User, time_zone: str) -> Student:
    """Take an adult's place. Raises InvitationOver or AlreadyHere; then nothing changed."""
    place = _take_place(invitation, user)
    if place.born_year is not None:  # They consent first: see join_as_grown.
        raise invitations.InvitationOver
    move_zone(user=user, time_zone=time_zone)
    return place


@transaction.atomic
def join_as_grown(
    *, invitation: Invitation, user: User, time_zone: str, readers: Collection[UUID]
) -> Student:
    """Take the place of a grown child, who consents by this call. Besides raises Refused."""
    place = _take_place(invitation, user)
    if place.born_year is None or place.is_minor:
        raise invitations.InvitationOver
    coming_of_age.check_grown(place, user)
    coming_of_age.hand_over(place, readers)
    move_zone(user=user, time_zone=time_zone)
    return place


def _take_place(invitation: Invitation, user: User) -> Student:
    invitations.take(invitation, user)
    if Student.objects.filter(studio=invitation.studio, user=user).exists():
        raise AlreadyHere
    place = invitation.student
    if place is None:
        raise invitations.InvitationOver
    waiting = Student.objects.filter(pk=place.pk, user=None, left_on=None)
    if waiting.update(user=user) != 1:
        raise invitations.InvitationOver
    place.refresh_from_db()
    return place


@transaction.atomic
def join_as_staff(*, invitation: Invitation, user: User) -> Membership:
    """Take up work in the studio, in the role of the stored row.

    Raises InvitationOver, or Refused for a guardian of a child here.
    """
    # Also of a child who has left, and may come back.
    ties = Guardianship.objects.filter(user=user, ended_at=None)
    if ties.filter(student__studio=invitation.studio_id).exists():
        raise Refused("You are a guardian here, so you cannot work here as well.")
    invitations.take(invitation, user)
    membership, _ = Membership.objects.get_or_create(
        studio=invitation.studio, user=user, role=invitation.kind, ended_at=None
    )
    return membership


def user_for(*, email: str, name: str, time_zone: str) -> User:
    """The user with this proven address; a new one if there is none.

    Raises InvitationOver for a user whose sign-in is closed.
    """
    new = {"name": name, "time_zone": time_zone, "password": make_password(None)}
    user, _ = User.objects.get_or_create(email=email.strip().lower(), defaults=new)
    if not user.is_active:
        raise invitations.InvitationOver
    return user


@transaction.atomic
def user_of_child(student: Student) -> User:
    """The child's own sign-in, made with the first phone: it has no address and no password."""
    place = Student.objects.select_for_update().get(pk=student.pk)
    if place.user is None:
        place.user = User.objects.create_user(
            f"{uuid4().hex}@{WITHOUT_MAIL}", name=place.name, time_zone=place.time_zone
        )
        place.save(update_fields=["user"])
    return place.user


@transaction.atomic
def move_zone(*, user: User, time_zone: str) -> None:
    """The user lives on this clock now, and so do the user's own places as a student."""
    user.time_zone = time_zone
    user.save(update_fields=["time_zone"])
    moving = Student.objects.filter(user=user).exclude(time_zone=time_zone)
    remember(moving)
    moving.update(time_zone=time_zone)


@transaction.atomic
def change_settings(*, user: User, changed: dict[str, Any]) -> None:
    """Keep the named fields; a new time zone moves the user's places along."""
    zone = changed.pop("time_zone", user.time_zone)
    for name, value in changed.items():
        setattr(user, name, value)
    user.save(update_fields=list(changed))
    move_zone(user=user, time_zone=zone)


def change_studio(*, studio: Studio, changed: dict[str, Any]) -> None:
    """Keep what the owner changed; passkeys are asked for from now on, or no longer."""
    if not changed.pop("passkeys"):
        studio.passkeys_since = None
    elif studio.passkeys_since is None:
        studio.passkeys_since = timezone.now()
    studio.save(update_fields=[*changed, "passkeys_since"])


@transaction.atomic
def change_student(
    *,
    student: access.Recordable,
    changed: Collection[str],
    strength_coaches: Iterable[User] | None = None,
) -> None:
    """Keep the named fields of this row and what they said before, and let others follow."""
    if not KEPT_SET.isdisjoint(changed):
        remember(Student.objects.filter(pk=student.pk))
    student.save(update_fields=list(changed))
    if strength_coaches is not None:
        student.strength_coaches.set(strength_coaches)
    for hook in events.student_changed:
        hook(student)


@transaction.atomic
def student_left(*, student: Student) -> None:
    """Close the place. What was logged stays; open invitations into it end."""
    Student.objects.filter(pk=student.pk).update(left_on=today_of(student.studio))
    ends.note(ends.What.PLACE, student.pk, stands=False)
    invitations.revoke_for(student)


@transaction.atomic
def student_returned(*, student: Student) -> None:
    Student.objects.filter(pk=student.pk).update(left_on=None)
    ends.note(ends.What.PLACE, student.pk, stands=True)
    student.left_on = None


@transaction.atomic
def end_membership(*, membership: Membership) -> None:
    """End somebody's work in one role. Raises LastOwner."""
    if membership.role == Membership.Role.OWNER:
        owners = Membership.objects.select_for_update().filter(
            studio=membership.studio, role=Membership.Role.OWNER, ended_at=None
        )
        if not [owner for owner in owners if owner.pk != membership.pk]:
            raise LastOwner
    access.end_membership(membership)
    if membership.role == Membership.Role.HELPER:  # Hired again, nobody is theirs unasked.
        shares = Student.strength_coaches.through.objects
        shares.filter(student__studio=membership.studio, user=membership.user).delete()
    ends.note(ends.What.WORK, membership.pk, stands=False, whose=membership.user_id)
