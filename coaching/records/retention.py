"""What ends by itself, and after how long: one rule a kind, done by the worker every hour.

A student goes as if somebody had asked: the family and the owner are told, and can take it
back. Everything else simply ends. `manage.py forget --dry-run` says what would go now.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import partial
from typing import Any

from django.conf import settings
from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils import timezone

from coaching.records import asking, ledger
from coaching.records.erase import GONE, erase_student, erase_user
from coaching.records.models import Erasure
from coaching.reminders.models import Notice
from practice.care import earlier
from practice.care.models import EarlierHurt, PainLook, PainNote, Stop
from practice.clips.models import Clip
from practice.flows.stop import fade
from practice.importing.models import RefusedRow
from practice.log.models import LogKey, PhoneOffer
from shared.jobs.sweep import sweep
from shared.people.access import GRACE, agreed, of_age
from shared.people.models import (
    AccountMail,
    CareNeed,
    Ended,
    Guardianship,
    Invitation,
    MailedCode,
    Membership,
    SecurityEvent,
    Student,
    Undelivered,
    User,
    UserSession,
)

AT_ONCE = 500
KEEP = settings.KEEP_DAYS


@dataclass(frozen=True, slots=True)
class Keeping:
    """`due` finds the rows whose time is over; `do` ends one of them. Without `do` they are
    deleted, some at once. `elsewhere`: another job does it, and this is how it is said."""

    name: str
    words: str
    due: Callable[[], QuerySet[Any]]
    do: Callable[[Any], object] | None = None
    elsewhere: bool = False


def _ago(days: int) -> datetime:
    return timezone.now() - timedelta(days=days)


def _today() -> date:
    return timezone.now().date()


def _unasked(students: QuerySet[Student], days: int) -> QuerySet[Student]:
    """Those of whom nobody asked it, nor took it back within as many days."""
    asked = Erasure.objects.filter(student=OuterRef("pk"))
    lately = Q(taken_back_at=None) | Q(taken_back_at__gt=_ago(days))
    return students.exclude(Exists(asked.filter(lately))).order_by("pk")


def left() -> QuerySet[Student]:
    """Students who left long ago."""
    return _unasked(_left(), KEEP["left"])


def _left() -> QuerySet[Student]:
    return Student.objects.filter(left_on__lt=_ago(KEEP["left"]).date())


def closed() -> QuerySet[Student]:
    """Children whose record has been closed for some time: withdrawn, or never confirmed."""
    return _unasked(_closed(), KEEP["withdrawn"])


def _closed() -> QuerySet[Student]:
    before = _ago(KEEP["withdrawn"])
    ties = Guardianship.objects.filter(student=OuterRef("pk"))
    withdrawn = Exists(ties.filter(withdrawn_at__lt=before))
    without = Exists(ties.filter(ended_at__lt=before)) & ~Exists(ties.filter(ended_at=None))
    unconfirmed = Q(awaits_second_adult=True) & Exists(ties.filter(consented_at__lt=before))
    return Student.objects.filter(withdrawn | without | unconfirmed).exclude(agreed())


def unanswered() -> QuerySet[Student]:
    """Grown children who have not answered for as long as somebody who left is kept."""
    return _unasked(_unanswered(), KEEP["left"])


def _unanswered() -> QuerySet[Student]:
    return Student.objects.filter(of_age(_ago(KEEP["left"]) - GRACE)).exclude(agreed())


def without_place() -> QuerySet[User]:
    """Users who neither work, practise nor answer for anybody here."""
    ties = (
        Membership.objects.filter(user=OuterRef("pk")),
        Student.objects.filter(Q(user=OuterRef("pk")) | Q(lead_coach=OuterRef("pk"))),
        Guardianship.objects.filter(user=OuterRef("pk")),
    )
    users = User.objects.filter(joined_at__lt=_ago(KEEP["over"]), is_superuser=False)
    for tie in ties:
        users = users.exclude(Exists(tie))
    return users.exclude(email__endswith=f"@{GONE}").order_by("pk")


def _invitations() -> QuerySet[Invitation]:
    before = _ago(KEEP["over"])
    over = Q(expires_at__lt=before) | Q(accepted_at__lt=before) | Q(revoked_at__lt=before)
    return Invitation.objects.filter(over)


def _phones() -> QuerySet[LogKey]:
    before = _ago(KEEP["over"])
    return LogKey.objects.filter(Q(expires_at__lt=before) | Q(revoked_at__lt=before))


def pain() -> QuerySet[PainNote]:
    """Notes of pain with words that fade: none that a coach keeps, none of a stop that stands."""
    if not KEEP["pain"]:
        return PainNote.objects.none()
    standing = Stop.objects.filter(pain=OuterRef("pk"), cleared_at=None)
    old = PainNote.objects.filter(day__lt=_ago(KEEP["pain"]).date(), is_kept=False, faded_at=None)
    return old.exclude(Exists(standing)).order_by("day", "pk")


def _ask(student: Student, why: str) -> None:
    asking.ask(student=student, by=None, why=why)


def _erase(erasure: Erasure) -> None:
    """But whoever the house asked for, and who came back or is agreed to again, stays."""
    over = (_left(), _closed(), _unanswered())
    is_over = any(found.filter(pk=erasure.student_id).exists() for found in over)
    if erasure.asked_by_id is None and not is_over:
        asking.take_back(erasure)
    else:
        erase_student(erasure.student, erasure)


def _days(words: str, name: str) -> str:
    return words.format(f"{KEEP[name]} days") if KEEP[name] else words.format("for ever")


RULES = (
    Keeping(
        "erasures",
        f"What was asked to be erased goes {settings.ERASURE_WAITS_DAYS} days later.",
        asking.due,
        _erase,
    ),
    Keeping(
        "students who left",
        _days("A student who left is asked to be erased after {}.", "left"),
        left,
        partial(_ask, why=f"Left more than {KEEP['left']} days ago."),
    ),
    Keeping(
        "records that were closed",
        _days("A child whose record was closed is asked to be erased after {}.", "withdrawn"),
        closed,
        partial(_ask, why=f"The record was closed {KEEP['withdrawn']} days ago."),
    ),
    Keeping(
        "grown children who do not answer",
        _days("A grown child without an answer is asked to be erased after {}.", "left"),
        unanswered,
        partial(_ask, why="Of age, and has not taken the record over."),
    ),
    Keeping(
        "people without a place",
        _days("Somebody without a place here goes after {}.", "over"),
        without_place,
        erase_user,
    ),
    Keeping(
        "words about pain",
        _days(
            "Where it hurt goes after {}. A coach may keep it. What still stops work stays.", "pain"
        ),
        pain,
        fade,
    ),
    Keeping(
        "what hurt before",
        _days("What hurt before goes after {}.", "pain"),
        lambda: (
            earlier.told_before(_ago(KEEP["pain"])) if KEEP["pain"] else EarlierHurt.objects.none()
        ),
    ),
    Keeping(
        "invitations", _days("An invitation that is over goes after {}.", "over"), _invitations
    ),
    Keeping("phones", _days("A phone that logs no more is forgotten after {}.", "over"), _phones),
    Keeping(
        "sign-ins",
        "A sign-in goes when it has run out.",
        lambda: UserSession.objects.filter(expire_date__lt=timezone.now()),
    ),
    Keeping(
        "codes",
        "A code goes when it has run out.",
        lambda: MailedCode.objects.filter(until__lt=timezone.now()),
    ),
    Keeping(
        "offers of a phone",
        "An offer of a phone goes when it has run out.",
        lambda: PhoneOffer.objects.filter(until__lt=_ago(1)),
    ),
    Keeping(
        "addresses out of reach",
        _days("That mail did not reach an address is forgotten after {}.", "events"),
        lambda: Undelivered.objects.filter(at__lt=_ago(KEEP["events"])),
    ),
    Keeping(
        "mails to sign in",
        _days("To whom a mail went goes after {}.", "mails"),
        lambda: AccountMail.objects.filter(planned_at__lt=_ago(KEEP["mails"])),
    ),
    Keeping(
        "reminders sent",
        _days("That a reminder was sent goes after {}.", "events"),
        lambda: Notice.objects.filter(planned_at__lt=_ago(KEEP["events"])),
    ),
    Keeping(
        "refused rows",
        _days("Rows of a file that were refused go after {}.", "mails"),
        lambda: RefusedRow.objects.filter(file__sent_at__lt=_ago(KEEP["mails"])),
    ),
    Keeping(
        "security events",
        _days("Who came in is forgotten after {}.", "events"),
        lambda: SecurityEvent.objects.filter(at__lt=_ago(KEEP["events"])),
    ),
    Keeping(
        "who read of pain",
        _days("Who read of pain is forgotten after {}.", "events"),
        lambda: PainLook.objects.filter(last_at__lt=_ago(KEEP["events"])),
    ),
    Keeping(
        "who needed to read of pain",
        _days("Why they read it is forgotten after {}.", "events"),
        lambda: CareNeed.objects.filter(until__lt=_ago(KEEP["events"])),
    ),
    Keeping(
        "what was ended",
        _days("That something was ended is forgotten after {}.", "ends"),
        lambda: Ended.objects.filter(at__lt=_ago(KEEP["ends"])).order_by("at", "pk"),
        ledger.forget,
    ),
    Keeping(
        "clips",
        "A clip goes after a year, of a child after half a year.",
        lambda: Clip.objects.filter(expires_on__lt=_today()),
        elsewhere=True,
    ),
)


def forget() -> None:
    """Everything whose time is over; the rest of a long list comes with the next hour."""
    for rule in RULES:
        if rule.elsewhere:
            continue
        if rule.do is not None:
            sweep(f"forget {rule.name}", rule.due, rule.do)
        else:
            sweep(f"forget {rule.name}", partial(_whether, rule), partial(_delete, rule), key=str)
    ledger.copy_out()  # A place that was away the last time.


def _whether(rule: Keeping) -> Iterator[str]:
    if rule.due().exists():
        yield "some"


def _delete(rule: Keeping, _some: str) -> None:
    rows = rule.due()
    keys = list(rows.order_by("pk").values_list("pk", flat=True)[:AT_ONCE])
    rows.model._default_manager.filter(pk__in=keys).delete()  # noqa: SLF001 (documented)
