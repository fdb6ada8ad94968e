"""What the pages about reminders read."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Count, Min, Q, QuerySet
from django.utils import timezone

from coaching.reminders import chance
from coaching.reminders.models import EveningRule, Notice, SummaryRule
from shared.checkup import CheckFinding
from shared.jobs.models import Retry
from shared.people import access
from shared.people.models import AccountMail, Student, Studio, User
from shared.site.health import Health, check
from shared.site.metrics import Gauge

MOST_NOTICES = 50
TROUBLED = (Notice.State.FAILED, Notice.State.UNKNOWN)


@dataclass(frozen=True, slots=True)
class ReminderChoice:
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
class WaitingWork:
    """How much of one job waits after an error. Whose it is, and why, stays in the log."""

    job: str
    many: int
    since: str


@dataclass(frozen=True, slots=True)
class Running:
    health: Health
    waiting: tuple[WaitingWork, ...]
    trouble: tuple[TroubleRow, ...]
    is_cut: bool


def students_to_set(user: User) -> list[ReminderChoice]:
    """Oneself and one's children. One query."""
    students = access.students_logged_by(user).order_by("name")[:MOST_NOTICES]
    return [ReminderChoice(str(s.pk), s.name, s.user_id == user.pk) for s in students]


def summary_is_on(user: User) -> bool:
    return not SummaryRule.objects.filter(user=user, on=False).exists()


def evening_is_on(user: User) -> bool:
    return EveningRule.objects.filter(user=user, next_due_utc__isnull=False).exists()


def calls_drawn(user: User) -> chance.ChanceCounts:
    """Of everybody that this coach teaches: do practice calls help?"""
    return chance.counted(access.students_taught_by(user), timezone.now())


def running(user: User, studio: Studio) -> Running:
    """Whether reminders tick, and the studio's mails in trouble, latest first."""
    members = Q(student=None, recipient__memberships__studio=studio)
    mine = Q(student__in=Student.objects.filter(studio=studio)) | members
    notices = Notice.objects.filter(mine, state__in=TROUBLED).select_related("recipient")
    found: list[Notice | AccountMail] = [
        *notices.distinct().order_by("-planned_at")[: MOST_NOTICES + 1],
        *_invitations_in_trouble(studio).order_by("-planned_at")[: MOST_NOTICES + 1],
    ]
    found.sort(key=lambda mail: mail.planned_at, reverse=True)
    clock = ZoneInfo(user.time_zone)
    rows = tuple(_row(mail, clock) for mail in found[:MOST_NOTICES])
    return Running(check(), _waiting(clock), rows, len(found) > MOST_NOTICES)


def _invitations_in_trouble(studio: Studio) -> QuerySet[AccountMail]:
    return AccountMail.objects.filter(invitation__studio=studio, state__in=TROUBLED)


def mails_in_trouble(studio: Studio) -> Iterable[CheckFinding]:
    """For the house page: how many of the studio's mails were refused lately."""
    since = timezone.now() - timedelta(days=7)
    mine = Q(student__studio=studio) | Q(student=None, recipient__memberships__studio=studio)
    found = Notice.objects.filter(mine, state__in=TROUBLED, planned_at__gt=since)
    invited = _invitations_in_trouble(studio).filter(planned_at__gt=since)
    if many := found.values_list("pk").union(invited.values_list("pk")).count():
        words = f"Mails refused or lost in the last seven days: {many}."
        yield CheckFinding("Mails", words, "Look at the addresses under Mails in trouble.")
    else:
        yield CheckFinding("Mails", "No mail of the last seven days was refused.")


def gauges() -> Iterable[Gauge]:
    """Notices of the last day by what became of them."""
    lately = Notice.objects.filter(planned_at__gt=timezone.now() - timedelta(days=1))
    for state, many in lately.values_list("state").annotate(Count("pk")).order_by("state"):
        words = "Notices planned in the last day, by state."
        yield Gauge("house_notices", words, many, ("state", state))


def _waiting(clock: ZoneInfo) -> tuple[WaitingWork, ...]:
    """Work of this installation that failed and is tried again, by job. One query."""
    jobs = Retry.objects.values("sweep").annotate(many=Count("pk"), first=Min("since"))
    found = jobs.order_by("sweep").values_list("sweep", "many", "first")
    return tuple(WaitingWork(job, many, _clock(first, clock)) for job, many, first in found)


def _clock(at: datetime, clock: ZoneInfo) -> str:
    return at.astimezone(clock).strftime("%d.%m. %H:%M")


def _row(mail: Notice | AccountMail, clock: ZoneInfo) -> TroubleRow:
    ended: datetime = mail.ended_at or mail.planned_at
    if isinstance(mail, Notice):
        kind, to = mail.get_kind_display(), mail.recipient.email
    else:
        kind, to = "Invitation", mail.address
    return TroubleRow(_clock(ended, clock), kind, to, mail.get_state_display(), mail.why)
