"""What pages ask about weeks. Each function's cost is in its docstring."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.db.models import DateField, FilteredRelation, Q, QuerySet, UUIDField

from practice.drills import dose
from practice.drills.models import Drill, DrillRevision
from practice.weeks.models import Excusal, Part, Week, WeekTemplate
from practice.weeks.plan import PartSpec
from shared.kit.weeks import week_start
from shared.people.models import Student, Studio
from shared.people.today import today_of
from shared.site.prepared import Prepared, columns_of, made_of
from shared.site.together import Question, Rows

LOOK_BACK = timedelta(weeks=26)
MOST_TEMPLATES = 60
NEARLY_OVER = 5  # From the sixth day of a week on, the next one is meant.


def live_parts() -> QuerySet[Part]:
    """Parts that stand, in priority order, with the words of their drill."""
    return (
        Part.objects.filter(removed_at=None)
        .select_related("drill", "revision")
        .order_by("priority", "added_at")
    )


def with_parts(weeks: QuerySet[Week]) -> list[Week]:
    """These weeks by their day, each with `live`, the list of parts that stand. One query."""
    return weeks_from(rows_with_parts(weeks))


def rows_with_parts(weeks: QuerySet[Week]) -> QuerySet[Week, Any]:
    """The rows of `weeks_from`."""
    kept = FilteredRelation("parts", condition=Q(parts__removed_at=None))
    rows = weeks.annotate(kept=kept).order_by("opens", "pk", "kept__priority", "kept__added_at")
    return rows.values_list(*_WITH_PARTS)


def weeks_from(rows: Iterable[Sequence[Any]]) -> list[Week]:
    found: dict[UUID, Week] = {}
    for row in rows:
        week, part, drill, revision = made_of(row, Week, Part, Drill, DrillRevision)
        if week.pk not in found:
            found[week.pk], week.live = week, []
        if part.pk is not None:
            part.week, part.drill, part.revision = found[week.pk], drill, revision
            part.week.live.append(part)
    return list(found.values())


_WITH_PARTS = columns_of(
    ("", Week), ("kept__", Part), ("kept__drill__", Drill), ("kept__revision__", DrillRevision)
)


def week_of(student: Student, opens: date) -> Week | None:
    """The week that opens on this day, draft or sent, with `live`. One query."""
    return next(iter(with_parts(Week.objects.filter(student=student, opens=opens))), None)


def sent_week_before(student: Student, opens: date) -> Week | None:
    """The latest week sent to this student before that one, with `live`. One query."""
    weeks = with_parts(Week.objects.filter(pk__in=_latest_before(student, opens)))
    return weeks[0] if weeks else None


def _latest_before(student: Student, opens: date) -> QuerySet[Week, Any]:
    """The id of the latest week that was sent before this day, and not too long ago."""
    return latest_between(student.pk, opens - LOOK_BACK, opens).values("pk")


def latest_between(student: UUID, since: date, before: date) -> QuerySet[Week]:
    """The latest week that was sent, of those that open on these days."""
    sent = Week.objects.filter(student=student, state=Week.State.SENT)
    return sent.filter(opens__lt=before, opens__gte=since).order_by("-opens")[:1]


def this_opening(student: Student) -> date:
    """The opening day of the week the student is in now, on the student's own clock."""
    today = today_of(student)
    return week_start(today, student.studio.first_weekday)


def week_to_set(student: Student) -> date:
    """The opening day of the week that most likely wants setting. One query.

    A draft first; then this week, unless it was sent or is nearly over; then the next.
    """
    soon = soon_of(student)
    rows = Week.objects.filter(student=student, opens__in=soon).values_list("opens", "state")
    return _to_set(student, soon, dict(rows))


def soon_of(student: Student) -> list[date]:
    """The openings of the week that a student is in and of the next."""
    now = this_opening(student)
    return [now, now + timedelta(weeks=1)]


def _to_set(student: Student, soon: Sequence[date], states: Mapping[date, str]) -> date:
    for opens in soon:
        if states.get(opens) == Week.State.DRAFT:
            return opens
    fresh = soon[0] not in states and (today_of(student) - soon[0]).days < NEARLY_OVER
    return soon[0] if fresh else soon[1]


@dataclass(frozen=True, slots=True)
class WeekToSet:
    """A week that is set, draft or sent, and the latest one sent before it, with `live`."""

    opens: date
    here: Week | None
    before: Week | None


def to_set_asked(student: Student, opens: date | None = None) -> Question[WeekToSet]:
    """The week that opens on this day, else the one that most likely wants setting; to be asked
    with others."""
    soon = [opens] if opens else soon_of(student)
    days = {"soon": soon, "before": soon[0], "since": soon[0] - LOOK_BACK}
    return Question(
        lambda rows: _to_set_from(student, weeks_from(rows), soon, opens),
        Rows(_near, student=student.pk, **days),
    )


_near = Prepared(
    lambda student, soon, before, since: rows_with_parts(
        Week.objects.filter(
            Q(student=student, opens__in=[soon])
            | Q(pk__in=latest_between(student, since, before).values("pk"))
        )
    ),
    student=UUIDField,
    soon=DateField,
    before=DateField,
    since=DateField,
)


def _to_set_from(
    student: Student, found: Iterable[Week], soon: Sequence[date], opens: date | None
) -> WeekToSet:
    weeks = {week.opens: week for week in found}
    states = {day: week.state for day, week in weeks.items() if day in soon}
    asked = opens or _to_set(student, soon, states)
    before = [
        day
        for day, week in weeks.items()
        if asked - LOOK_BACK <= day < asked and week.state == Week.State.SENT
    ]
    return WeekToSet(asked, weeks.get(asked), weeks[max(before)] if before else None)


def standing_parts(week: Week) -> Sequence[Part]:
    """The parts that stand: those that came with the week, or one query."""
    live: Sequence[Part] | None = getattr(week, "live", None)
    return list(live_parts().filter(week=week)) if live is None else live


def specs_of(week: Week) -> list[PartSpec]:
    """The standing parts of a week as values, ids included."""
    return [spec_of(part) for part in standing_parts(week)]


def spec_of(part: Part) -> PartSpec:
    return PartSpec(
        drill=part.drill_id,
        dose=dose.parse(part.dose),
        sessions=part.sessions,
        minutes=part.minutes,
        by_total=part.by_total,
        days=tuple(part.days),
        places=tuple(sorted((int(day), place) for day, place in part.places.items())),
        cue=part.cue,
        note=part.note,
        id=part.pk,
    )


# --- excused days, templates -----------------------------------------------------------


def excusals(student: Student, first: date, last: date) -> QuerySet[Excusal]:
    """Excused spans that touch these days."""
    return Excusal.objects.filter(
        student=student, withdrawn_at=None, first__lte=last, last__gte=first
    ).order_by("first")


def excused_days(student: Student, opens: date) -> set[date]:
    """The days of the week that are excused. One query."""
    closes = opens + timedelta(days=6)
    return {
        opens + timedelta(days=n)
        for span in excusals(student, opens, closes)
        for n in range(7)
        if span.first <= opens + timedelta(days=n) <= span.last
    }


def templates_of(studio: Studio) -> QuerySet[WeekTemplate]:
    return WeekTemplate.objects.filter(studio=studio).order_by("name")
