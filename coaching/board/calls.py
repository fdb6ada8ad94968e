"""The call list of a week: whom to call, with the reason and what was tried already."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from coaching.board.kept import Standing
from coaching.board.queries import everybody
from coaching.board.rows import TONES
from coaching.board.rules.drafts import tried_words
from coaching.board.rules.order import CALLED_FOR, GROUP_OF
from coaching.forecast.models import Tried
from shared.kit.text import date_words
from shared.people.models import Guardianship, Student, User

MOST_TRIED = 500


@dataclass(frozen=True, slots=True)
class CallRow:
    id: UUID
    name: str
    guardians: str
    state: str
    tone: str
    reason: str
    since: str
    action: str
    tried: str
    url: str
    # The number as it was written, and as a link that calls; empty without one.
    phone: str = ""
    call_link: str = ""


@dataclass(frozen=True, slots=True)
class CallList:
    day: str
    rows: tuple[CallRow, ...]


def call_list(user: User, now: datetime) -> CallList:
    """Everybody in care or to act on, in the order of the board; three queries more than it."""
    listed = [pair for pair in everybody(user, now) if GROUP_OF[pair[0].line.need] in CALLED_FOR]
    needing = [each for each, _ in listed]
    tried, guardians = _tried(needing, user), _guardians(needing)
    called = Student.objects.only("phone").in_bulk([each.id for each in needing])
    today = now.astimezone(ZoneInfo(user.time_zone)).date()
    rows = [
        CallRow(
            id=each.id,
            name=each.name,
            guardians=", ".join(guardians[each.id]),
            state=said.state,
            tone=TONES.get(GROUP_OF[each.line.need], ""),
            reason=said.reason,
            since=said.since,
            action=said.action,
            tried="; ".join(tried[each.id]),
            url=f"/students/{each.id}/",
            phone=called[each.id].phone,
            call_link=called[each.id].call_link,
        )
        for each, said in listed
    ]
    return CallList(date_words(today), tuple(rows))


def _tried(needing: list[Standing], user: User) -> dict[UUID, list[str]]:
    """Of this week, each student's own."""
    opens = {each.id: each.line.opens for each in needing}
    since = min(opens.values(), default=date.max)
    rows = Tried.objects.filter(student__in=opens, opens__gte=since).select_related("by")
    found: dict[UUID, list[str]] = defaultdict(list)
    for row in rows.order_by("-at")[:MOST_TRIED]:
        if row.opens == opens[row.student_id]:
            found[row.student_id].append(words_of(row, user))
    return found


def words_of(row: Tried, user: User) -> str:
    day = date_words(row.at.astimezone(ZoneInfo(user.time_zone)).date())
    return tried_words(row.get_what_display(), str(row.by), day, row.note)


def _guardians(needing: list[Standing]) -> dict[UUID, list[str]]:
    """Names of the guardians, each of whom stands by a child that is listed."""
    ties = Guardianship.objects.filter(
        student__in=[each.id for each in needing], ended_at=None
    ).select_related("user")
    found: dict[UUID, list[str]] = defaultdict(list)
    for tie in ties.order_by("user__name"):
        found[tie.student_id].append(str(tie.user))
    return found


def tried_for(student: Student, user: User, newest: date, weeks: int) -> list[str]:
    """What was tried in the weeks of a student's page, newest first. One query."""
    since = newest - timedelta(weeks=weeks - 1)
    rows = Tried.objects.filter(student=student, opens__range=(since, newest))
    return [words_of(row, user) for row in rows.select_related("by").order_by("-at")[:50]]
