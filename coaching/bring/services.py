"""Bringing a list: places, weekly lessons and invitations at once; sent and taken back at once."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import time
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils import timezone

from coaching.bring.models import Batch, Listed
from coaching.bring.rows import ListedPerson
from coaching.timetable import recurrence
from coaching.timetable.services import add_series
from shared.jobs.sweep import sweep
from shared.kit.refused import Refused
from shared.kit.text import plain
from shared.people import access, invitation_mail, invitations, services
from shared.people.models import Guardianship, Invitation, Student, Studio, User
from shared.people.today import today_of

MOST_PEOPLE = 200
SETTLED_AT_ONCE = 500
# What bringing somebody makes, and may take back.
BROUGHT = frozenset({
    "people.Invitation", "people.StudentWas", "bring.Listed", "timetable.Series",
    "lessons.Lesson", "reminders.ReminderRule",
})  # fmt: skip


@dataclass(frozen=True, slots=True)
class RowOutcome:
    """What becomes of one row, in a sentence. `brings` is False for what is left out."""

    person: ListedPerson
    words: str
    brings: bool


def coaches_of(studio: Studio) -> dict[str, str]:
    """Those who may lead students here: plain name to id."""
    return {plain(str(user)): str(user.pk) for user in access.planners_in(studio)}


def outcomes(studio: Studio, people: Sequence[ListedPerson]) -> list[RowOutcome]:
    """What would become of every row now. Two queries."""
    mails = {each.email for each in people} | {each.guardian_email for each in people}
    invited = invitations.open_ones().filter(studio=studio, email__in=mails - {""})
    waiting = {(each.kind, each.email) for each in invited}
    here = Student.objects.filter(studio=studio, left_on=None)
    known = {(plain(name), mail or "") for name, mail in here.values_list("name", "user__email")}
    names = {name for name, _ in known}
    return [_outcome(each, waiting, known, names) for each in people]


def _outcome(
    person: ListedPerson,
    waiting: set[tuple[str, str]],
    known: set[tuple[str, str]],
    names: set[str],
) -> RowOutcome:
    if person.faults:
        return RowOutcome(person, " ".join(person.faults), False)
    lesson = ""
    if person.weekday is not None and person.at is not None:
        lesson = f" Lesson {recurrence.words(recurrence.weekly(person.weekday), person.at)}."
    if person.is_minor:
        if (Invitation.Kind.GUARDIAN, person.guardian_email) in waiting:
            return RowOutcome(person, "The guardian is invited already. Left out.", False)
        words = f"Under 18: {person.guardian_email} is invited as the guardian."
        if lesson:
            words += f"{lesson[:-1]}, once the guardian has entered the child."
        if person.phone:
            words += f" For calls: {person.phone}, as the guardian’s number."
        return RowOutcome(person, words, True)
    is_here = any(mail == person.email for _, mail in known if mail) or plain(person.name) in names
    if is_here or (Invitation.Kind.STUDENT, person.email) in waiting:
        return RowOutcome(person, "Is on the list already. Left out.", False)
    invited = f"{person.email} is invited." if person.email else "Invited on your screen: no mail."
    return RowOutcome(person, invited + lesson, True)


@transaction.atomic
def bring(*, studio: Studio, by: User, people: Sequence[ListedPerson]) -> Batch:
    """A place and an invitation for each adult, an invitation for each guardian.

    Nobody is mailed yet. What became unfit since the preview is left out.
    """
    batch = Batch.objects.create(studio=studio, by=by)
    fit = [each.person for each in outcomes(studio, people) if each.brings]
    leads = {str(user.pk): user for user in User.objects.filter(pk__in=_ids(fit))}
    for person in fit:
        lead = leads.get(person.coach, by)
        if person.is_minor:
            _bring_guardian(batch, person, lead)
        else:
            _bring_adult(batch, person, lead)
    return batch


def _ids(people: Sequence[ListedPerson]) -> set[UUID]:
    return {UUID(each.coach) for each in people if each.coach}


def _bring_adult(batch: Batch, person: ListedPerson, lead: User) -> None:
    invitation = services.enter_adult(
        studio=batch.studio, by=batch.by, name=person.name, email=person.email, hand="right",
        plays_seated=False,
    )  # fmt: skip
    student = invitation.student
    if student is None:
        return
    place = access.recordable(student)
    place.lead_coach, place.goal, place.phone = lead, person.aim, person.phone
    services.change_student(student=place, changed=("lead_coach", "goal", "phone"))
    Listed.objects.create(batch=batch, invitation=invitation, student=student)
    if person.weekday is not None and person.at is not None:
        _weekly(place, lead, person.weekday, person.at)


def _weekly(student: access.Recordable, coach: User, weekday: int, at: time) -> None:
    first = recurrence.first_on(weekday, today_of(student.studio))
    add_series(student=student, coach=coach, first=first, at=at, rule=recurrence.weekly(weekday))


def _bring_guardian(batch: Batch, person: ListedPerson, lead: User) -> None:
    """Nothing of the child: the hour alone waits, who gives it, and the guardian's number."""
    invitation = invitations.invite(
        by=batch.by, studio=batch.studio, kind=Invitation.Kind.GUARDIAN,
        email=person.guardian_email, name=person.guardian or person.guardian_email[:80],
    )  # fmt: skip
    Listed.objects.create(
        batch=batch, invitation=invitation, coach=lead, weekday=person.weekday, at=person.at,
        phone=person.phone,
    )  # fmt: skip


@transaction.atomic
def send(*, batch: Batch) -> int:
    """Mail every open invitation of the batch that was not mailed yet; how many."""
    if batch.taken_back_at:
        return 0
    open_ones = invitations.open_ones().filter(listed__batch=batch, mails=None)
    waiting = list(open_ones.exclude(email="").select_related("studio", "invited_by"))
    for invitation in waiting:
        invitation_mail.send_invitation(invitation)
    Batch.objects.filter(pk=batch.pk).update(sent_at=timezone.now())
    return len(waiting)


@transaction.atomic
def take_back(*, batch: Batch) -> tuple[int, int]:
    """Everybody of the batch who has not come in, with lessons and invitation, as if never
    brought. Whoever has come in, or has a week, stays. Returns how many went, and stayed."""
    went = stayed = 0
    for each in batch.listed.select_related("invitation", "student"):
        student = each.student
        if each.invitation.accepted_at or (student and _has_begun(student)):
            stayed += 1
            continue
        invitations.revoke(each.invitation)
        if student is not None:
            student.delete()
        went += 1
    Batch.objects.filter(pk=batch.pk).update(taken_back_at=timezone.now())
    return went, stayed


def _has_begun(student: Student) -> bool:
    """Whether somebody came in, or anything is kept that bringing the list did not make."""
    if student.user_id is not None or student.lessons.exclude(state="planned").exists():
        return True
    relations: list[Any] = Student._meta.get_fields(include_hidden=True)  # noqa: SLF001 (documented)
    kept = (each for each in relations if each.auto_created and not each.concrete)
    return any(
        model._default_manager.filter(**{each.field.name: student}).exists()  # noqa: SLF001 (documented)
        for each in kept
        if (model := each.related_model)._meta.label not in BROUGHT  # noqa: SLF001 (documented)
    )


def settle_waiting() -> int:
    """Put the hour that waits on the timetable, and the number to call with the child, once a
    guardian has entered it and the record has begun; how many were settled."""
    return sum(sweep("hours that wait", _to_settle, _settle, most=SETTLED_AT_ONCE))


def _to_settle() -> QuerySet[Listed]:
    has_hour = Q(weekday__isnull=False, at__isnull=False)
    waiting = Listed.objects.filter(has_hour | ~Q(phone=""), student=None)
    ties = _ties(
        OuterRef("invitation__accepted_by"),
        OuterRef("invitation__studio"),
        OuterRef("invitation__accepted_at"),
    )
    found = waiting.filter(Exists(ties), invitation__accepted_at__isnull=False)
    return found.select_related("invitation", "coach", "batch__by").order_by("pk")


def _ties(guardian: Any, studio: Any, since: Any) -> QuerySet[Guardianship]:
    """Of children whom the guardian entered since: none that a list or a timetable has already."""
    ties = Guardianship.objects.filter(
        user=guardian, student__studio=studio, student__listed=None, consented_at__gte=since
    )
    return ties.exclude(Q(student__series__isnull=False))


@transaction.atomic
def _settle(brought: Listed) -> bool:
    """The child that was entered with this very invitation: tied in the same transaction."""
    invitation = brought.invitation
    ties = _ties(invitation.accepted_by, invitation.studio, invitation.accepted_at)
    tie = ties.select_related("student").order_by("consented_at").first()
    student = access.recordable_or_none(tie.student) if tie else None
    if student is None:
        return False
    if brought.weekday is not None and brought.at is not None:
        try:
            _weekly(student, brought.coach or brought.batch.by, brought.weekday, brought.at)
        except Refused:
            return False
    if brought.phone and not student.phone:
        student.phone = brought.phone
        services.change_student(student=student, changed=("phone",))
    brought.student, brought.weekday, brought.at, brought.phone = student, None, None, ""
    brought.save(update_fields=["student", "weekday", "at", "phone"])
    return True
