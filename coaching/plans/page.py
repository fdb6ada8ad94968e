"""The page Set the week as frozen rows: what was typed, what it adds up to, what is known."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby
from typing import Any
from uuid import UUID

from django.utils.safestring import SafeString

from coaching.plans import typed as typing
from coaching.plans.typed import RowForm, ShelfDrill, Typed
from coaching.plans.weigh import Fit, Hard, fit, hard_swings
from coaching.season.beside import Beside, beside, facts_of
from coaching.season.weekly import weekly_minutes
from practice.drills.models import Area
from practice.drills.queries import current_cautions
from practice.weeks import queries
from practice.weeks.models import Week, WeekTemplate
from practice.weeks.places import place_words
from practice.weeks.plan import PartSpec, Totals, part_totals, week_totals
from shared.people.models import Student
from shared.weeks import week_days

DAY_WORDS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


@dataclass(frozen=True, slots=True)
class DayBox:
    """One of the seven small boxes of a row."""

    value: int
    word: str
    is_ticked: bool
    is_excused: bool


@dataclass(frozen=True, slots=True)
class RowView:
    """One part on the page: the text as typed and, where it can be read, what it asks."""

    n: int
    typed: Mapping[str, Any]
    name: str
    is_archived: bool
    days: list[DayBox]
    errors: Mapping[str, str]
    marked_dose: SafeString | None
    auto_minutes: str
    totals: Totals | None
    last: str
    caution: str
    preview: str
    places: str
    cue: str


@dataclass(frozen=True, slots=True)
class Sums:
    """What the week adds up to, beside what is usual."""

    totals: Totals
    usual: float | None
    fit: Fit
    hard: Hard
    open_days: int
    facts: list[str]


@dataclass(frozen=True, slots=True)
class Known:
    """What is read once for the page, whatever was typed. Eleven queries."""

    student: Student
    opens: date
    week: Week | None
    shelf: Mapping[UUID, ShelfDrill]
    last_week: Week | None
    last_parts: Mapping[str, str]
    usual: float | None
    hard_before: Sequence[int]
    excused: set[date]
    season: Beside


def known(student: Student, opens: date) -> Known:
    last = queries.sent_week_before(student, opens)
    return Known(
        student=student,
        opens=opens,
        week=queries.week_of(student, opens),
        shelf=typing.shelf_of(student.studio),
        last_week=last,
        last_parts=_last_parts(student, last),
        usual=queries.usual_minutes(student, opens),
        hard_before=queries.hard_swings_before(student, opens),
        excused=queries.excused_days(student, opens),
        season=beside(student, opens),
    )


def _last_parts(student: Student, last: Week | None) -> dict[str, str]:
    """How each drill went in the last week, in counts, by drill id."""
    tally = queries.tally_of(student, last.opens) if last else None
    return {part["drill"]: _went(part) for part in tally.parts} if tally else {}


def _went(part: Mapping[str, Any]) -> str:
    if part.get("credit") is None:
        return "excused"
    words = f"{part['sessions_done']:g} of {part['asked_sessions']:g} sessions"
    steps = part.get("steps", ())
    asked = sum(step["asked"] for step in steps)
    if not asked:
        return words
    credited = int(sum(step["credited"] for step in steps))
    return f"{words}, {credited:g} of {asked:g} {steps[0].get('unit', 'reps')} credited"


def typed_of(known: Known) -> Typed:
    """What was typed last, else the parts as they are saved."""
    week = known.week
    if week is None:
        return Typed()
    if week.typed is not None:
        return typing.from_json(week.typed)
    return typing.from_specs(queries.specs_of(week), week.note, known.shelf)


def read_rows(typed: Typed, known: Known) -> list[RowForm]:
    forms = [RowForm(row, known.shelf) for row in typed.rows]
    for form in forms:
        form.full_clean()
    return forms


def specs_of(forms: Sequence[RowForm]) -> list[PartSpec] | None:
    """The parts, or None while one of them cannot be read."""
    return [form.spec for form in forms] if all(form.is_valid() for form in forms) else None


# --- for the template ---------------------------------------------------------------


def page(known: Known, typed: Typed, forms: Sequence[RowForm]) -> dict[str, Any]:
    """The context of templates/plans/set_week.html. Three queries more, nine with a season."""
    cautions = current_cautions(
        {form.cleaned_data["drill"].pk for form in forms if form.cleaned_data.get("drill")}
    )
    words = {str(pk): " ".join(map(str, found)) for pk, found in cautions.items()}
    rows = [
        _row(n, row, form, known, words)
        for n, (row, form) in enumerate(zip(typed.rows, forms, strict=True))
    ]
    week = known.week
    can_start = week is None or week.state == Week.State.DRAFT
    return {
        "student": known.student,
        "opens": known.opens,
        "closes": known.opens + timedelta(days=6),
        "earlier": _earlier(known),
        "later": known.opens + timedelta(weeks=1),
        "week": week,
        "is_sent": week is not None and week.state == Week.State.SENT,
        "has_unsent_change": week is not None and week.typed is not None,
        "rows": rows,
        "note": typed.note,
        "sums": sums(known, forms),
        "groups": shelf_groups(known.shelf),
        "last_week": known.last_week,
        "templates": queries.templates_of(known.student.studio)[: queries.MOST_TEMPLATES],
        "can_start": can_start,
        "has_season": _season_minutes(known) if can_start else "",
        "unreadable": sum(not form.is_valid() for form in forms),
    }


def _season_minutes(known: Known) -> str:
    """What the season plan asks in this week, in words. One query without a plan, else seven."""
    planned = weekly_minutes(known.student, known.opens)
    said = (f"{Area(area).label} {minutes} min" for area, minutes in planned.items() if minutes)
    return ", ".join(said)


def _earlier(known: Known) -> date | None:
    """The week before, unless it is over."""
    now = queries.this_opening(known.student)
    return known.opens - timedelta(weeks=1) if known.opens > now else None


def sums(known: Known, forms: Sequence[RowForm]) -> Sums:
    """Of the rows that can be read."""
    parts = [
        part_totals(form.spec, needs_ball=form.cleaned_data["drill"].needs_ball)
        for form in forms
        if form.is_valid()
    ]
    totals = week_totals(parts)
    under_16 = known.student.is_under_16
    return Sums(
        totals=totals,
        usual=known.usual,
        fit=fit(totals.minutes, known.usual),
        hard=hard_swings(totals.hard_swings, known.hard_before, under_16=under_16),
        open_days=7 - len(known.excused),
        facts=near_facts(known.student, known.opens, known.excused)
        + facts_of(
            known.season,
            _speed_days(forms),
            planned_hard=totals.hard_swings,
            hard_before=known.hard_before,
            under_16=under_16,
        ),
    )


def _speed_days(forms: Sequence[RowForm]) -> list[tuple[int, str]]:
    """Days that hard speed work is fixed to, with its name."""
    found = []
    for form in forms:
        if form.is_valid():
            spec, drill = form.spec, form.cleaned_data["drill"]
            hardest = any(step.as_hard_as_you_can for step in spec.dose.steps)
            if hardest or drill.area == str(Area.SPEED.label).capitalize():
                found += [(day, drill.name) for day in spec.days]
    return found


def near_facts(student: Student, opens: date, excused: set[date]) -> list[str]:
    """Event, lesson and days away that fall near a week."""
    facts = []
    closes = opens + timedelta(days=6)
    if excused:
        days = ", ".join(_day(day) for day in sorted(excused))
        facts.append(f"Excused: {days}. {7 - len(excused)} open days; sessions are lowered to fit.")
    event = student.next_event
    if event and opens <= event <= closes + timedelta(days=7):
        facts.append(f"{student.next_event_name or 'Event'} on {_day(event)}.")
    lesson = student.next_lesson
    if lesson and opens <= lesson <= closes + timedelta(days=1):
        facts.append(f"Next lesson on {_day(lesson)}.")
    return facts


def _day(day: date) -> str:
    return f"{DAY_WORDS[day.weekday()]} {day.day}"


def _row(
    n: int, row: Mapping[str, Any], form: RowForm, known: Known, cautions: Mapping[str, str]
) -> RowView:
    drill: ShelfDrill | None = form.cleaned_data.get("drill")
    spec = form.spec if form.is_valid() else None
    dose = form.cleaned_data.get("dose")
    return RowView(
        n=n,
        typed=row,
        name=drill.name if drill else "",
        is_archived=bool(drill and drill.is_archived),
        days=_boxes(row, known),
        errors={name: " ".join(map(str, words)) for name, words in form.errors.items()},
        marked_dose=form.marked_dose,
        auto_minutes=f"{dose.minutes(drill.seconds_per_rep):g}" if drill and dose else "",
        totals=part_totals(spec, needs_ball=drill.needs_ball) if spec and drill else None,
        last=known.last_parts.get(row["drill"], ""),
        caution=cautions.get(row["drill"], ""),
        preview=_preview(spec, known.opens) if spec else "",
        places=_places(spec, known.opens) if spec else "",
        cue=row["cue"] or (drill.cue if drill else ""),
    )


def _boxes(row: Mapping[str, Any], known: Known) -> list[DayBox]:
    return [
        DayBox(n, DAY_WORDS[day.weekday()], str(n) in row["days"], day in known.excused)
        for n, day in enumerate(week_days(known.opens))
    ]


def _places(spec: PartSpec, opens: date) -> str:
    """'Mon net at home, Thu range or bay', of the days a place was chosen for."""
    return ", ".join(
        f"{DAY_WORDS[(opens + timedelta(days=day)).weekday()]} {place_words(place)}"
        for day, place in spec.places
    )


def _preview(spec: PartSpec, opens: date) -> str:
    """The line under a part's name as the student reads it."""
    often = "once" if spec.sessions == 1 else f"{spec.sessions} times"
    places = dict(spec.places)
    fixed = [
        f"{_day(opens + timedelta(days=day))} {place_words(places.get(day, ''))}".rstrip()
        for day in spec.days
    ]
    when = f", on {', '.join(fixed)}" if fixed else ", on days you choose"
    if fixed and len(fixed) < spec.sessions:
        when += " and days you choose"
    return f"{spec.dose}, {often}{when}, about {spec.minutes:g} minutes each"


def shelf_groups(shelf: Mapping[UUID, ShelfDrill]) -> list[tuple[str, list[ShelfDrill]]]:
    """The drills to choose from, by area."""
    present = [drill for drill in shelf.values() if not drill.is_archived]
    return [(area, list(drills)) for area, drills in groupby(present, key=lambda d: d.area)]


def template_or_none(student: Student, pk: str) -> WeekTemplate | None:
    """One of the studio's own templates."""
    try:
        return queries.templates_of(student.studio).filter(pk=UUID(pk)).first()
    except ValueError:
        return None


# --- a shorter week ---------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class ShorterRow:
    """One part before and after."""

    name: str
    dose: str
    before: int
    after: int


def shorter_page(student: Student, week: Week, shorter: Sequence[PartSpec]) -> dict[str, Any]:
    """The context of templates/plans/shorten.html. One query."""
    after = {spec.id: spec for spec in shorter}
    before = queries.specs_of(week)
    names = {part.pk: part.revision.name for part in queries.standing_parts(week)}
    usual = queries.usual_minutes(student, week.opens)
    minutes = sum(spec.week_minutes for spec in shorter)
    return {
        "student": student,
        "week": week,
        "rows": [
            ShorterRow(
                name=names[spec.id],
                dose=str(spec.dose),
                before=spec.sessions,
                after=after[spec.id].sessions if spec.id in after else 0,
            )
            for spec in before
            if spec.id
        ],
        "before": sum(spec.week_minutes for spec in before),
        "after": minutes,
        "usual": usual,
        "fit": fit(minutes, usual),
    }
