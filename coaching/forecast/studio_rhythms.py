"""A studio's rhythm and record as they are kept, for whoever reads students."""

import json
from datetime import date, datetime, timedelta
from functools import lru_cache
from typing import NamedTuple
from uuid import UUID

from django.db.models import OuterRef, Subquery, TextField, Value
from django.db.models.functions import Cast, Concat

from coaching.forecast.deciding import NO_RECORD, Record, record_from
from coaching.forecast.forecast import JUDGED_WEEKS, WEEKS_READ
from coaching.forecast.models import StudioRhythm
from coaching.forecast.rhythm import HOUSE, DoneWeek, Rhythm, from_json
from practice.compliance.models import WeekTally
from practice.weeks.models import Excusal
from shared.kit.weeks import DAYS_IN_WEEK


class Known(NamedTuple):
    """What is known of a studio beforehand."""

    rhythm: Rhythm = HOUSE
    record: Record = NO_RECORD


UNKNOWN = Known()
WEEKS_FITTED = WEEKS_READ + JUDGED_WEEKS


def latest(now: datetime) -> Subquery:
    """An annotation of Student: the studio's newest rhythm made by then, as text."""
    made = StudioRhythm.objects.filter(studio=OuterRef("studio"), made_at__lte=now)
    text = Concat(
        Value("["),
        Cast("figures", TextField()),
        Value(","),
        Cast("record", TextField()),
        Value("]"),
        output_field=TextField(),
    )
    return Subquery(made.order_by("-opens").values(text=text)[:1])


@lru_cache(maxsize=64)
def known_from(text: str | None) -> Known:
    """From what `latest` gave; the house's own start for none."""
    if not text:
        return UNKNOWN
    figures, record = json.loads(text)
    return Known(from_json(figures), record_from(record))


def done_week(
    opens: date, asked: float, by_day: list[float], open_days: int, excused: set[date]
) -> DoneWeek | None:
    """A past week as the forecast reads it; None if it tells nothing.

    Excused days are counted in the tally but named elsewhere; where their names are not
    known any more the week is left out.
    """
    shut: frozenset[int] = frozenset()
    if open_days < DAYS_IN_WEEK:
        shut = frozenset(n for n in range(DAYS_IN_WEEK) if opens + timedelta(days=n) in excused)
    if asked <= 0 or len(by_day) != DAYS_IN_WEEK or len(shut) != DAYS_IN_WEEK - open_days:
        return None
    return DoneWeek(opens, asked, tuple(by_day), shut)


def histories_of(studio: UUID, before: date) -> tuple[dict[UUID, list[DoneWeek]], list[int]]:
    """Past open weeks of every student, oldest first, and days from practice to writing.

    Two queries.
    """
    first = before - timedelta(weeks=WEEKS_FITTED)
    excused: dict[UUID, set[date]] = {}
    spans = Excusal.objects.filter(student__studio=studio, withdrawn_at=None, last__gte=first)
    for student, start, end in spans.values_list("student", "first", "last"):
        days = range((min(end, before) - max(start, first)).days + 1)
        excused.setdefault(student, set()).update(
            max(start, first) + timedelta(days=n) for n in days
        )
    rows = WeekTally.objects.filter(
        student__studio=studio,
        opens__gte=first,
        opens__lt=before,
        has_plan=True,
        open_days__gt=0,
    ).order_by("student", "opens")
    columns = ("student", "opens", "asked_minutes", "credited_by_day", "open_days", "entries")
    weeks: dict[UUID, list[DoneWeek]] = {}
    delays: list[int] = []
    for student, opens, asked, by_day, open_days, entries in rows.values_list(*columns):
        week = done_week(opens, asked, by_day, open_days, excused.get(student, set()))
        if week:
            weeks.setdefault(student, []).append(week)
        delays += [max(0, on - day) for day, on in entries]
    return weeks, delays
