"""What the log pages and the API read."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.db.models import DateTimeField, UUIDField
from django.http import Http404
from django.utils import timezone

from practice.compliance.parts import dose_of
from practice.drills.text import in_words
from practice.log.models import Entry
from practice.phone.bundle import (
    BundleFacts,
    SentWeek,
    caution_rows,
    facts_of,
    given_weeks,
    week_row,
    weeks_asked,
)
from practice.phone.reading import day_words
from practice.weeks.models import Excusal
from shared.kit.text import minutes
from shared.kit.weeks import week_start
from shared.people import access
from shared.people.models import Student, User
from shared.people.today import today_of
from shared.site.prepared import Prepared
from shared.site.together import together

MOST_STUDENTS = 50
MOST_SPANS = 20


def logged_by(user: User) -> list[access.Recordable]:
    """The students a user may log for: their own places first, then children by name."""
    now = timezone.now()
    found = _logged(user=user.pk, now=now, grown=now - access.GRACE)
    return sorted(found, key=lambda student: student.user_id != user.pk)


_logged = Prepared(
    lambda **who: (
        access.logged_of(**who)
        .select_related("studio", "lead_coach")
        .order_by("name", "pk")[:MOST_STUDENTS]
    ),
    user=UUIDField,
    now=DateTimeField,
    grown=DateTimeField,
)


def logs_for(user: User, student: Student) -> bool:
    """Whether this reader practises by the week, or helps who does."""
    return access.student_logged_or_404.find(user, student.pk) is not None


def the_student(user: User, wanted: UUID | str | None = None) -> access.Recordable:
    """The student meant by a signed-in user: the one named, or the first of theirs.

    Raises Http404 for one who is not theirs, and where there is none.
    """
    return the_one_of(logged_by(user), wanted)


def the_one_of(
    students: Sequence[access.Recordable], wanted: UUID | str | None
) -> access.Recordable:
    """The same of those whom `logged_by` gave."""
    meant = [each for each in students if not wanted or str(each.pk) == str(wanted)]
    if not meant:
        raise Http404
    return meant[0]


def entry_of(student: Student, entry_id: UUID) -> Entry | None:
    """One of the student's own entries, whatever became of it."""
    return Entry.objects.filter(pk=entry_id, student=student).first()


def is_taken_back(student: Student, entry_id: UUID) -> bool:
    """Whether nothing of the chain that this entry is in counts any more."""
    chained = (Entry.Kind.LOG, Entry.Kind.CHANGE)
    entry = Entry.objects.filter(pk=entry_id, student=student, kind__in=chained).first()
    if entry is None:
        return False
    return not Entry.objects.filter(root=entry.root, counts=True).exists()


@dataclass(frozen=True, slots=True)
class PlainWeek:
    """A sent week as the pages print it, and the rows the forms are made of."""

    opens: date
    closes: date
    note: str
    parts: list[dict[str, Any]]
    is_last: bool
    days: str


@dataclass(frozen=True, slots=True)
class PlainWeeks:
    """The weeks a student can log to now, the one after them, and the cautions of their parts."""

    today: date
    this: PlainWeek | None
    last: PlainWeek | None
    next: PlainWeek | None
    cautions: dict[str, dict[str, Any]]


def weeks_to_log(student: Student, *, given: bool = True) -> PlainWeeks:
    """Not `given` where whoever plans looks at them."""
    today = today_of(student)
    asked = weeks_asked(student, today)
    together(*asked.rows())
    weeks = asked.weeks.answer
    if given:
        weeks = given_weeks(student, today, asked.takes.answer, weeks)
    facts = facts_of(student, today, weeks, asked)
    rows = {week.opens: _week(week, facts) for week in weeks}
    opens, week = week_start(today, student.studio.first_weekday), timedelta(days=7)
    last = rows.get(opens - week)
    return PlainWeeks(
        today=today,
        this=rows.get(opens),
        next=rows.get(opens + week),
        last=replace(last, is_last=True) if last else None,
        cautions=caution_rows(facts),
    )


def _week(week: SentWeek, facts: BundleFacts) -> PlainWeek:
    closes = week.opens + timedelta(days=6)
    return PlainWeek(
        opens=week.opens,
        closes=closes,
        note=week.week.note,
        parts=[_part(row) for row in week_row(week, facts)["parts"]],
        is_last=False,
        days=f"{day_words(week.opens)} to {day_words(closes)}",
    )


def _part(row: dict[str, Any]) -> dict[str, Any]:
    """The row with its dose, and its fixed days and their places, in words."""
    dose = dose_of(row["dose"])
    said = [f"{day_words(date.fromisoformat(d))} {row['at'].get(d, '')}" for d in row["days"]]
    return row | {
        "asked": in_words(dose) if dose else row["dose"],
        "whole_minutes": minutes(row["minutes"]),
        "when": ", ".join(words.rstrip() for words in said),
    }


@dataclass(frozen=True, slots=True)
class DaysAway:
    """One span of excused days that is not over; `key` is how a form names it."""

    key: str
    words: str


def days_away(student: Student, today: date) -> list[DaysAway]:
    spans = Excusal.objects.filter(student=student, withdrawn_at=None, last__gte=today)
    rows = spans.order_by("first").values_list("first", "last")[:MOST_SPANS]
    return [
        DaysAway(f"{first} {last}", f"{day_words(first)} to {day_words(last)}")
        for first, last in rows
    ]


def this_week(student: Student) -> PlainWeek | None:
    return weeks_to_log(student).this


def page_number(text: str | None) -> int:
    """The page asked for; the first one for whatever cannot be a page."""
    if text is None or not (text.isascii() and text.isdigit() and len(text) < 5):
        return 0
    return int(text)
