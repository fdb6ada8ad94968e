"""Who read of a student's pain: each look is kept, and the guardian and the owner see it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db.models import DateField, DateTimeField, UUIDField
from django.utils import timezone

from practice.care.limits import HURT_DAYS
from practice.care.models import EarlierHurt, PainLook, PainNote
from shared.people import access
from shared.people.models import CareNeed, Student, User
from shared.site.prepared import Prepared, PreparedRows
from shared.site.together import Question, Rows

NEEDED_FOR = timedelta(days=30)
MOST_SHOWN = 100


@dataclass(frozen=True, slots=True)
class LookRow:
    by: str
    page: str
    at: datetime
    last_at: datetime


@dataclass(frozen=True, slots=True)
class NeedRow:
    by: str
    why: str
    at: datetime
    until: datetime


def keep(user: User, students: Iterable[UUID], page: str, *, is_told: bool = False) -> None:
    """Keep that this user read the page, of those students of whom any pain was told.

    At most two statements. For pages about one student; `is_told` where pain of each was read
    for the page already: one statement.
    """
    asked = list(students)
    if is_told:
        _keep(user, set(asked), page)
        return
    notes = PainNote.objects.filter(student__in=asked, level__gt=0).values_list("student")
    before = EarlierHurt.objects.filter(student__in=asked).values_list("student")
    _keep(user, {pk for (pk,) in notes.union(before)}, page)


def keep_of_list(user: User, page: str) -> None:
    """The same of a page about all students: it shows pain of the last two weeks."""
    keep_told(user, told_asked(user, timezone.now()), page)


def told_asked(user: User, now: datetime) -> Question[set[UUID]]:
    """Of whom such a page shows pain to this user, to be asked with others before `keep_told`."""
    # The page counts in each student's own days, which turn up to one after the calendar here.
    since = now.date() - timedelta(days=HURT_DAYS + 1)
    who = access.who_cares(user, now)
    if not who["studios"]:
        return Question(set)
    return Question(
        lambda rows: {student for (student,) in rows}, Rows(_told_lately, **who, since=since)
    )


def keep_told(user: User, told: Question[set[UUID]], page: str) -> None:
    """What `keep_of_list` keeps, of what was asked. One statement, where pain was told."""
    _keep(user, told.answer, page)


_told_lately = Prepared(
    lambda *, studios, since, **who: (
        PainNote.objects.filter(
            student__in=access.cared_for(studios=[studios], **who).values("pk"),
            level__gt=0,
            day__gte=since,
        )
        .values_list("student")
        .distinct()
    ),
    user=UUIDField,
    studios=UUIDField,
    now=DateTimeField,
    grown=DateTimeField,
    since=DateField,
)
_look_again = PreparedRows(
    PainLook, instead=("student", "by", "page", "day"), changing=("last_at",)
)


def _keep(user: User, students: Iterable[UUID], page: str) -> None:
    now = timezone.now()
    _look_again(
        [
            PainLook(student_id=pk, by=user, page=page, day=now.date(), at=now, last_at=now)
            for pk in students
        ]
    )


def state_need(*, student: access.Recordable, user: User, why: str) -> CareNeed:
    """From now on and for 30 days the user reads this student's pain notes, for a reason."""
    now = timezone.now()
    return CareNeed.objects.create(
        student=student, user=user, why=why, at=now, until=now + NEEDED_FOR
    )


def looks_of(student: Student) -> list[LookRow]:
    """Who read of this student's pain, latest first. One query."""
    found = PainLook.objects.filter(student=student).select_related("by").order_by("-last_at")
    return [LookRow(str(look.by), look.page, look.at, look.last_at) for look in found[:MOST_SHOWN]]


def needs_of(student: Student) -> list[NeedRow]:
    """Who said to need it, and why, latest first. One query."""
    found = CareNeed.objects.filter(student=student).select_related("user").order_by("-at")
    return [NeedRow(str(need.user), need.why, need.at, need.until) for need in found[:MOST_SHOWN]]
