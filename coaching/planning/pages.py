"""The page Set the week as frozen rows: what was typed, what it adds up to, what is known."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby
from math import floor
from typing import Any
from uuid import UUID

from django.utils.safestring import SafeString

from coaching.lessons.models import Finding, Lesson
from coaching.planning import typed as typing
from coaching.planning.strip import DAY_WORDS, DayLine, day_lines
from coaching.planning.typed import RowForm, ShelfDrill, Typed
from coaching.planning.weekly import weekly_minutes
from coaching.planning.weigh import Fit, Hard, fit, hard_swings
from coaching.season.limits_pages import LimitsShown, limits_shown
from coaching.season.near import near_asked
from coaching.season.season_context import SeasonBeside, beside, facts_of
from practice.compliance.limits import limits_asked
from practice.compliance.queries import weeks_before
from practice.drills.hard import SPEED
from practice.drills.models import Area
from practice.drills.queries import current_cautions
from practice.drills.text import in_short
from practice.flows.set_week import ShorterFacts
from practice.measures.usual import UsualPrior
from practice.numbers.kit.sees import what_it_sees
from practice.numbers.moved.try_out_pages import offered
from practice.shots.studio_days import usual_asked
from practice.tryouts.queries import Drawn
from practice.weeks import queries
from practice.weeks.models import Week, WeekTemplate
from practice.weeks.places import place_words
from practice.weeks.plan import PartSpec, Totals, part_totals, week_totals
from shared.kit import text
from shared.kit.text import listed
from shared.kit.weeks import week_days
from shared.people.access import Recordable
from shared.people.models import Student, User
from shared.site.together import together

MOST_FIRST = 12


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
    # The closed line after the name: how often, how long, on which days, and the dose said aloud.
    often: str
    dose: str
    is_open: bool
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
    sees: str


@dataclass(frozen=True, slots=True)
class Sums:
    """What the week adds up to, beside what is usual."""

    totals: Totals
    # Times at practice that it takes at least; one visit may hold every part.
    visits: int
    usual: float | None
    fit: Fit
    hard: Hard
    open_days: int
    facts: list[str]


@dataclass(frozen=True, slots=True)
class KnownOfStudent:
    """What is read once for the page, whatever was typed. Five queries, more with a
    try-out."""

    student: Recordable
    opens: date
    week: Week | None
    shelf: Mapping[UUID, ShelfDrill]
    last_week: Week | None
    last_parts: Mapping[str, str]
    usual: float | None
    hard_before: Sequence[int]
    excused: set[date]
    season: SeasonBeside
    limits: LimitsShown
    usual_days: UsualPrior
    speed_unit: str
    # The drills of the last lesson, the first first.
    from_lesson: Sequence[UUID]
    drawn: Drawn


def known(user: User, student: Recordable, opens: date) -> KnownOfStudent:
    asked, beside_it = queries.to_set_asked(student, opens), near_asked(student, opens)
    limits, days = limits_asked(student), usual_asked(student)
    together(asked, beside_it, limits, days)
    weeks, near = asked.answer, beside_it.answer
    last = weeks.before.opens if weeks.before else None
    before = weeks_before(student, opens, parts_of=last)
    return KnownOfStudent(
        student=student,
        opens=opens,
        week=weeks.here,
        shelf=typing.shelf_of(student.studio),
        last_week=weeks.before,
        last_parts={part["drill"]: _went(part) for part in before.parts},
        usual=before.usual,
        hard_before=before.hard,
        excused=near.excused,
        season=beside(student, near),
        limits=limits_shown(user, student, opens, limits=limits.answer, near=near),
        usual_days=days.answer,
        speed_unit=user.speed_unit,
        from_lesson=_from_lesson(student),
        drawn=offered(student, opens),
    )


def _from_lesson(student: Student) -> list[UUID]:
    """The drills of the latest closed lesson. One query."""
    found = Finding.objects.filter(
        lesson__student=student, lesson__state=Lesson.State.CLOSED, drills__isnull=False
    ).order_by("-lesson__at", "lesson", "position")
    rows = list(found.values_list("lesson", "drills")[:MOST_FIRST])
    return [drill for lesson, drill in rows if lesson == rows[0][0]]


def _went(part: Mapping[str, Any]) -> str:
    if part.get("credit") is None:
        return "excused"
    done = floor(part["sessions_done"] * 10 + 1e-9) / 10
    words = f"{done:g} of {part['asked_sessions']:g} visits"
    steps = part.get("steps", ())
    asked = sum(step["asked"] for step in steps)
    if not asked:
        return words
    credited = int(sum(step["credited"] for step in steps))
    return f"{words}, {credited:g} of {asked:g} {steps[0].get('unit', 'reps')} credited"


def typed_of(known: KnownOfStudent) -> Typed:
    """What was typed last, else the parts as they are saved."""
    week = known.week
    if week is None:
        return Typed()
    if week.typed is not None:
        return typing.from_json(week.typed)
    return typing.from_specs(queries.specs_of(week), week.note, known.shelf)


def read_rows(typed: Typed, known: KnownOfStudent) -> list[RowForm]:
    forms = [RowForm(row, known.shelf) for row in typed.rows]
    for form in forms:
        form.full_clean()
    return forms


def specs_of(forms: Sequence[RowForm]) -> list[PartSpec] | None:
    """The parts, or None while one of them cannot be read."""
    return [form.spec for form in forms] if all(form.is_valid() for form in forms) else None


# --- for the template ---------------------------------------------------------------


def page(
    known: KnownOfStudent, typed: Typed, forms: Sequence[RowForm], opened: int | None = None
) -> dict[str, Any]:
    """The context of templates/planning/set_week.html. Three queries more, nine with a season.

    The part `opened` stands open, else the first that cannot be read.
    """
    cautions = current_cautions(
        {form.cleaned_data["drill"].pk for form in forms if form.cleaned_data.get("drill")}
    )
    words = {str(pk): " ".join(map(str, found)) for pk, found in cautions.items()}
    if opened is None:
        opened = next((n for n, form in enumerate(forms) if not form.is_valid()), None)
    rows = [
        _row(n, row, form, known, words, is_open=n == opened)
        for n, (row, form) in enumerate(zip(typed.rows, forms, strict=True))
    ]
    week = known.week
    can_start = week is None or week.state == Week.State.DRAFT
    return {
        "student": known.student,
        "limits": known.limits,
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
        "strip": strip(known, forms),
        "groups": shelf_groups(known.shelf),
        "first": first_of(known),
        "last_week": known.last_week,
        "templates": queries.templates_of(known.student.studio)[: queries.MOST_TEMPLATES],
        "can_start": can_start,
        "has_season": _season_minutes(known) if can_start else "",
        "unreadable": sum(not form.is_valid() for form in forms),
    }


def _season_minutes(known: KnownOfStudent) -> str:
    """What the season plan asks in this week, in words. One query without a plan, else seven."""
    planned = weekly_minutes(known.student, known.opens)
    said = (f"{Area(area).label} {minutes} min" for area, minutes in planned.items() if minutes)
    return ", ".join(said)


def _earlier(known: KnownOfStudent) -> date | None:
    """The week before, unless it is over."""
    now = queries.this_opening(known.student)
    return known.opens - timedelta(weeks=1) if known.opens > now else None


def sums(known: KnownOfStudent, forms: Sequence[RowForm]) -> Sums:
    """Of the rows that can be read."""
    parts = [_totals(form.spec, form.cleaned_data["drill"]) for form in forms if form.is_valid()]
    totals = week_totals(parts)
    under_16 = known.student.is_under_16
    return Sums(
        totals=totals,
        visits=visits_of([form.spec for form in forms if form.is_valid()]),
        usual=known.usual,
        fit=fit(totals.minutes, known.usual),
        hard=hard_swings(totals, known.hard_before, under_16=under_16),
        open_days=7 - len(known.excused),
        facts=[
            *known.drawn.says,
            *near_facts(known.student, known.opens, known.excused),
            *facts_of(
                known.season,
                _speed_days(forms),
                planned_hard=totals.hard_swings,
                most=known.limits.most,
            ),
        ],
    )


def _totals(spec: PartSpec, drill: ShelfDrill) -> Totals:
    return part_totals(spec, area=drill.area, needs_ball=drill.needs_ball)


def visits_of(specs: Iterable[PartSpec]) -> int:
    """The most sessions of one part, or the days that parts are fixed to."""
    specs = list(specs)
    fixed = {day for spec in specs for day in spec.days}
    return max(len(fixed), *(spec.sessions for spec in specs), 0)


def _speed_days(forms: Sequence[RowForm]) -> list[tuple[int, str]]:
    """Days that hard speed work is fixed to, with its name."""
    found = []
    for form in forms:
        if form.is_valid():
            spec, drill = form.spec, form.cleaned_data["drill"]
            hardest = any(step.as_hard_as_you_can for step in spec.dose.steps)
            if hardest or drill.area == SPEED:
                found += [(day, drill.name) for day in spec.days]
    return found


def near_facts(student: Student, opens: date, excused: set[date]) -> list[str]:
    """Event, lesson and days away that fall near a week."""
    facts = []
    closes = opens + timedelta(days=6)
    if excused:
        days = ", ".join(_day(day) for day in sorted(excused))
        facts.append(f"Excused: {days}. {7 - len(excused)} open days; visits are lowered to fit.")
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
    n: int,
    row: Mapping[str, Any],
    form: RowForm,
    known: KnownOfStudent,
    cautions: Mapping[str, str],
    *,
    is_open: bool,
) -> RowView:
    drill: ShelfDrill | None = form.cleaned_data.get("drill")
    spec = form.spec if form.is_valid() else None
    dose = form.cleaned_data.get("dose")
    return RowView(
        n=n,
        typed=row,
        name=drill.name if drill else "",
        is_archived=bool(drill and drill.is_archived),
        often=_often(spec, known.opens) if spec else "",
        dose=in_short(dose) if dose else "",
        is_open=is_open,
        days=_boxes(row, known),
        errors={name: " ".join(map(str, words)) for name, words in form.errors.items()},
        marked_dose=form.marked_dose,
        auto_minutes=whole_minutes(dose.minutes(drill.seconds_per_rep)) if drill and dose else "",
        totals=_totals(spec, drill) if spec and drill else None,
        last=known.last_parts.get(row["drill"], ""),
        caution=cautions.get(row["drill"], ""),
        preview=_preview(spec, known.opens) if spec else "",
        places=_places(spec, known.opens) if spec else "",
        cue=row["cue"] or (drill.cue if drill else ""),
        sees=_sees(drill, known) if drill and row["drill"] not in known.last_parts else "",
    )


def _sees(drill: ShelfDrill, known: KnownOfStudent) -> str:
    """What its test can see, where a block of it begins."""
    return what_it_sees(drill.test, known.speed_unit, known.usual_days)


def _boxes(row: Mapping[str, Any], known: KnownOfStudent) -> list[DayBox]:
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


def _often(spec: PartSpec, opens: date) -> str:
    """'3 visits of 12 min, Mon and Thu'."""
    visits = "1 visit" if spec.sessions == 1 else f"{spec.sessions} visits"
    words = f"{visits} of {whole_minutes(spec.minutes)} min"
    if not spec.days:
        return words
    days = listed(DAY_WORDS[(opens + timedelta(days=day)).weekday()] for day in spec.days)
    return f"{words}, {days}"


def whole_minutes(minutes: float) -> str:
    """Whole minutes of a visit, as on the phone."""
    return str(text.minutes(minutes))


def strip(known: KnownOfStudent, forms: Sequence[RowForm]) -> list[DayLine]:
    """The seven days with what lies on each."""
    fixed = {n: form.spec.days for n, form in enumerate(forms, start=1) if form.is_valid()}
    return day_lines(known.opens, fixed, known.season, known.excused, known.student.next_lesson)


def first_of(known: KnownOfStudent) -> list[tuple[str, ShelfDrill]]:
    """What stands first among the drills to add: what was drawn, the last lesson's, last week's."""
    last = (
        [part.drill_id for part in queries.standing_parts(known.last_week)]
        if known.last_week
        else []
    )
    drawn = {pk: why for why, pk in known.drawn.adds}
    words = dict.fromkeys(last, "last week") | dict.fromkeys(known.from_lesson, "from the lesson")
    words |= drawn
    order = dict.fromkeys([*drawn, *known.from_lesson, *last])
    found = [(words[pk], known.shelf[pk]) for pk in order if pk in known.shelf]
    return [(why, drill) for why, drill in found if not drill.is_archived]


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
    return f"{in_short(spec.dose)}; {often}{when}, about {whole_minutes(spec.minutes)} min each"


def shelf_groups(shelf: Mapping[UUID, ShelfDrill]) -> list[tuple[str, list[ShelfDrill]]]:
    """The drills to choose from, by area."""
    present = [drill for drill in shelf.values() if not drill.is_archived]
    return [(area, list(drills)) for area, drills in groupby(present, key=lambda d: d.heading)]


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


def shorter_page(
    user: User, week: Week, shorter: Sequence[PartSpec], facts: ShorterFacts
) -> dict[str, Any]:
    """The context of templates/planning/shorten.html. One query."""
    student = week.student
    after = {spec.id: spec for spec in shorter}
    before = queries.specs_of(week)
    names = {part.pk: part.revision.name for part in queries.standing_parts(week)}
    minutes = sum(spec.week_minutes for spec in shorter)
    return {
        "student": student,
        "limits": limits_shown(user, student, week.opens, facts.limits),
        "hurts": bool(facts.hurting),
        "week": week,
        "rows": [
            ShorterRow(
                name=names[spec.id],
                dose=in_short(spec.dose),
                before=spec.sessions,
                after=after[spec.id].sessions if spec.id in after else 0,
            )
            for spec in before
            if spec.id
        ],
        "before": sum(spec.week_minutes for spec in before),
        "after": minutes,
        "usual": facts.usual,
        "fit": fit(minutes, facts.usual),
    }
