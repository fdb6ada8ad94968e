"""After a backup was brought back: what was ended since then ends again.

Nothing is opened by this: what stood again since then, whoever it concerns says once more.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from allauth.mfa.models import Authenticator
from django.db import transaction
from django.db.models import QuerySet

from coaching.records import asking, ledger
from coaching.timetable.models import Feed
from practice.log.models import LogKey, PhoneOffer
from practice.strength import services as strength
from practice.strength.models import StrengthConsent
from shared.jobs.sweep import sweep
from shared.people import consent, invitation_mail, invitations, lost_passkey
from shared.people.ends import What, digest_of, print_of
from shared.people.models import (
    Ended,
    Guardianship,
    Invitation,
    MailedCode,
    Membership,
    Student,
    User,
    UserSession,
)

CONSENTS = {What.RECORD, What.MESSAGES, What.CLIPS}
TAKEN_OFF = "It was ended before a backup was brought back; the reason was not kept."
CLOSED = (
    "An older backup was brought back. Another guardian, whom it does not hold, had ended"
    " something: {what}. It stays ended until every guardian has agreed anew."
)
Standing = dict[tuple[str, str], Ended]


@dataclass(frozen=True, slots=True)
class End:
    """Rows that stand though they may have ended, by id, and how one of them ends."""

    what: str
    standing: Callable[[], QuerySet[Any]]
    end: Callable[[UUID, datetime], object]
    key: str = "pk"


def _ended_at(model: Any, field: str) -> Callable[[UUID, datetime], object]:
    return lambda pk, at: model.objects.filter(pk=pk).update(**{field: at})


def _withdraw(**purposes: bool) -> Callable[[UUID, datetime], object]:
    def end(pk: UUID, at: datetime) -> None:
        consent.end_again(Guardianship.objects.get(pk=pk), at, **purposes)

    return end


def _take_off(pk: UUID, at: datetime) -> None:
    Guardianship.objects.filter(pk=pk).update(ended_at=at, ended_why=TAKEN_OFF)


def _grown(pk: UUID, _at: datetime) -> None:
    """Whose own address the backup does not hold takes the place by an invitation."""
    student = Student.objects.select_related("user").get(pk=pk)
    if student.user is not None and not student.user.has_mail:
        student.user = None
    student.born_year = student.turns_18_on = None
    student.awaits_second_adult = False
    student.save()


def _left(pk: UUID, at: datetime) -> None:
    Student.objects.filter(pk=pk).update(left_on=at.date())


def _passkey_lost(pk: UUID, at: datetime) -> None:
    """But not one that was added after the loss."""
    Authenticator.objects.filter(user=pk, created_at__lt=at).delete()


def _strength(pk: UUID, _at: datetime) -> None:
    strength.withdraw(student=Student.objects.get(pk=pk))


def _open(model: Any, field: str) -> Callable[[], QuerySet[Any]]:
    return lambda: model.objects.filter(**{field: None})


ENDS = (
    End(What.GROWN, lambda: Student.objects.filter(born_year__isnull=False), _grown),
    End(What.RECORD, _open(Guardianship, "withdrawn_at"), _withdraw(record=False)),
    End(What.MESSAGES, lambda: Guardianship.objects.filter(consents_to_messages=True),
        _withdraw(messages=False)),
    End(What.CLIPS, lambda: Guardianship.objects.filter(consents_to_clips=True),
        _withdraw(clips=False)),
    End(What.TIE, _open(Guardianship, "ended_at"), _ended_at(Guardianship, "ended_at")),
    End(What.TAKEN_OFF, _open(Guardianship, "ended_at"), _take_off),
    End(What.PLACE, _open(Student, "left_on"), _left),
    End(What.WORK, _open(Membership, "ended_at"), _ended_at(Membership, "ended_at")),
    End(What.PASSKEY, lambda: User.objects.filter(pk__in=Authenticator.objects.values("user")),
        _passkey_lost),
    End(What.INVITED, invitations.open_ones, _ended_at(Invitation, "revoked_at")),
    End(What.KEY, _open(LogKey, "revoked_at"), _ended_at(LogKey, "revoked_at")),
    End(What.CALENDAR, _open(Feed, "ended_at"), _ended_at(Feed, "ended_at")),
    End(What.STRENGTH, _open(StrengthConsent, "withdrawn_at"), _strength, key="student"),
)  # fmt: skip


def end_after_restore() -> None:
    """And everybody signs in anew: a sign-in that was ended since stands in the backup.

    So does a code that was used since, or ran out.
    """
    end_again()
    UserSession.objects.all().delete()
    MailedCode.objects.all().delete()
    PhoneOffer.objects.all().delete()
    Authenticator.objects.filter(type=Authenticator.Type.RECOVERY_CODES).delete()
    ledger.copy_out()


@transaction.atomic
def end_again() -> None:
    """Everything the ledger knows to have ended. May be repeated."""
    last: Standing = {(line.what, line.row): line for line in ledger.ends()}
    for kind in ENDS:
        for pk in list(kind.standing().values_list(kind.key, flat=True)):
            line = last.get((kind.what, digest_of(pk)))
            if line is not None and not line.stands:
                kind.end(pk, line.at)
    _end_passwords(last)
    _end_passkeys(last)
    _close_for_unknown(last)
    _ask_again(last)


def _end_passwords(last: Standing) -> None:
    """Whoever has another one by now sets it anew, by a code or a link to their address."""
    if not any(what == What.PASSWORD for what, _ in last):
        return
    for user in User.objects.only("password").iterator():
        line = last.get((What.PASSWORD, digest_of(user.pk)))
        if line is not None and line.whose != print_of(user.pk, user.password):
            user.set_unusable_password()
            user.save(update_fields=["password"])


def _end_passkeys(last: Standing) -> None:
    gone = {row for what, row in last if what == What.REMOVED}
    for passkey in Authenticator.objects.all() if gone else ():
        if lost_passkey.passkey_print(passkey) in gone:
            passkey.delete()


def _close_for_unknown(last: Standing) -> None:
    """What a guardian ended whom the backup does not hold, all others have to agree to anew."""
    known = {digest_of(pk) for pk in Guardianship.objects.values_list("pk", flat=True)}
    refused: dict[str, set[str]] = defaultdict(set)
    for (what, row), line in last.items():
        gone = last.get((What.TIE, row)) or last.get((What.TAKEN_OFF, row))
        is_over = gone is not None and not gone.stands
        if what in CONSENTS and not line.stands and row not in known and not is_over:
            refused[line.whose].add(what)
    for student in Student.objects.filter(born_year__isnull=False) if refused else ():
        purposes = refused.get(digest_of(student.pk))
        if purposes:
            _close(student, purposes, last)


def _close(student: Student, purposes: Iterable[str], last: Standing) -> None:
    ties = student.guardianships.filter(ended_at=None).select_related("user")
    at = max(line.at for line in last.values())
    for tie in ties:
        consent.end_again(tie, at, **dict.fromkeys(purposes, False))
    words = [each.label.lower() for each in consent.PURPOSES if each.field in purposes]
    text = CLOSED.format(what=", ".join(words))
    invitation_mail.send_about_child(student, text, [tie.user for tie in ties])


def _ask_again(last: Standing) -> None:
    """An erasure that was asked for is asked for again, by whom it was."""
    asked = {row: line for (what, row), line in last.items()
             if what == What.KEPT and not line.stands}  # fmt: skip
    people = (
        {digest_of(pk): pk for pk in User.objects.values_list("pk", flat=True)} if asked else {}
    )
    for student in Student.objects.all() if asked else ():
        line = asked.get(digest_of(student.pk))
        if line is not None and line.whose in people:
            asking.ask(student=student, by=User.objects.get(pk=people[line.whose]))


def bring_outside() -> None:
    """The tick's: what was ended a moment ago is known outside soon."""
    sweep(
        "ends", lambda: Ended.objects.filter(is_outside=False).order_by("pk"), ledger.put_outside,
        most=500,
    )  # fmt: skip
