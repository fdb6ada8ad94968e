"""The call list of a week: whom to call, with the reason and what was tried already."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from coaching.board.queries import everybody, viewer_of
from coaching.board.rows import TONES, JudgedStudent, group_of, said
from coaching.board.rules.drafts import tried_words
from coaching.board.rules.order import OrderGroup, in_order
from coaching.board.rules.states import state_words
from coaching.forecast.models import Tried
from shared.kit.text import date_words
from shared.people import access
from shared.people.models import Guardianship, Student, User

MOST_TRIED = 500
CALLED_FOR = {OrderGroup.CARE, OrderGroup.ACT}


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
    roles = access.roles_by_studio(user)
    judged, _ = everybody(user, now, roles)
    needing = {str(each.person.id): each for each in judged if group_of(each) in CALLED_FOR}
    ordered = [needing[place.who] for place in in_order(e.place for e in needing.values())]
    tried, guardians = _tried(ordered, user), _guardians(ordered)
    called = Student.objects.only("phone").in_bulk([each.person.id for each in ordered])
    today = now.astimezone(ZoneInfo(user.time_zone)).date()
    rows = []
    for each in ordered:
        reads = viewer_of(user, roles, each.person).reads_pain
        words = said(each, reads_pain=reads)
        rows.append(
            CallRow(
                id=each.person.id,
                name=each.person.name,
                guardians=", ".join(guardians[each.person.id]),
                state=state_words(each.state, reads_pain=reads),
                tone=TONES.get(group_of(each), ""),
                reason=words.reason,
                since=words.since,
                action=words.action,
                tried="; ".join(tried[each.person.id]),
                url=f"/students/{each.person.id}/",
                phone=called[each.person.id].phone,
                call_link=called[each.person.id].call_link,
            )
        )
    return CallList(date_words(today), tuple(rows))


def _tried(judged: list[JudgedStudent], user: User) -> dict[UUID, list[str]]:
    """Of this week, each student's own."""
    opens = {each.person.id: each.facts.opens for each in judged}
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


def _guardians(judged: list[JudgedStudent]) -> dict[UUID, list[str]]:
    """Names of the guardians whose consent stands."""
    ties = Guardianship.objects.filter(
        student__in=[each.person.id for each in judged], withdrawn_at=None
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
