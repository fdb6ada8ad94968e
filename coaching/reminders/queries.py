"""What the pages about reminders read."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from django.db.models import Q

from coaching.reminders.models import EveningRule, Notice, SummaryRule
from shared.health import Health, check
from shared.people import access
from shared.people.models import Student, Studio, User

MOST_NOTICES = 50
TROUBLED = (Notice.State.FAILED, Notice.State.UNKNOWN)


@dataclass(frozen=True, slots=True)
class Choice:
    """One student whose reminders this person may set."""

    url_id: str
    name: str
    is_self: bool


@dataclass(frozen=True, slots=True)
class TroubleRow:
    """A mail that was refused, or of which it is not known whether it arrived."""

    when: str
    kind: str
    to: str
    state: str
    why: str


@dataclass(frozen=True, slots=True)
class Running:
    health: Health
    trouble: tuple[TroubleRow, ...]
    is_cut: bool


def students_to_set(user: User) -> list[Choice]:
    """Oneself and one's children. One query."""
    students = access.students_logged_by(user).order_by("name")[:MOST_NOTICES]
    return [Choice(str(s.pk), s.name, s.user_id == user.pk) for s in students]


def summary_is_on(user: User) -> bool:
    return not SummaryRule.objects.filter(user=user, on=False).exists()


def evening_is_on(user: User) -> bool:
    return EveningRule.objects.filter(user=user, next_due_utc__isnull=False).exists()


def running(user: User, studio: Studio) -> Running:
    """Whether reminders tick, and the studio's mails in trouble, latest first."""
    members = Q(student=None, recipient__memberships__studio=studio)
    mine = Q(student__in=Student.objects.filter(studio=studio)) | members
    notices = Notice.objects.filter(mine, state__in=TROUBLED).select_related("recipient")
    found = list(notices.distinct().order_by("-planned_at")[: MOST_NOTICES + 1])
    clock = ZoneInfo(user.time_zone)
    rows = tuple(_row(notice, clock) for notice in found[:MOST_NOTICES])
    return Running(check(), rows, len(found) > MOST_NOTICES)


def _row(notice: Notice, clock: ZoneInfo) -> TroubleRow:
    ended: datetime = notice.ended_at or notice.planned_at
    return TroubleRow(
        ended.astimezone(clock).strftime("%d.%m. %H:%M"),
        notice.get_kind_display(),
        notice.recipient.email,
        notice.get_state_display(),
        notice.why,
    )
