"""The season sheet as frozen rows of words: one page for coach, student and guardian."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from coaching.season import gates, left
from coaching.season.clashes import clashes_of
from coaching.season.gym_pages import GymCell, cells_of
from coaching.season.line import WEEK, week_number
from coaching.season.models import Event, Measure, Phase, PracticeDay, Priority
from coaching.season.near import BEFORE, Near, near_asked
from coaching.season.reached import QUANTITY, reached_words
from coaching.season.read import (
    Season,
    days_asked,
    golf_from,
    gym_asked,
    parts_asked,
    season_asked,
    tallies_asked,
)
from coaching.season.sheet_weeks import (
    AreaRow,
    SeasonWeekRow,
    area_rows,
    lines_of,
    phase_at,
    weeks_ahead,
    weeks_back,
)
from practice.care.limits import Limits
from practice.compliance.limits import limits_asked
from practice.compliance.models import WeekTally
from practice.numbers.now.models import NumbersNow
from practice.numbers.now.values import NO_NUMBERS, Numbers, from_json
from practice.weeks.places import PLACE_WORDS, DayPlace
from practice.weeks.queries import this_opening
from shared.kit import units
from shared.kit.text import WEEKDAYS, date_words, day_words
from shared.people.models import Student, User
from shared.site.together import together

RETURN_DAYS = 7  # From so many days off on, hard swings come back in steps.


@dataclass(frozen=True, slots=True)
class PhaseRow:
    name: str
    days: str
    weeks: str
    when: str


@dataclass(frozen=True, slots=True)
class PriorityRow:
    place: int
    name: str
    stage: str
    target: str
    by: str
    # That the target is reached, with its figure; empty while it is not.
    reached: str
    gate: str
    stands: str


@dataclass(frozen=True, slots=True)
class SheetEventRow:
    pk: str
    kind: str
    name: str
    days: str
    when: str
    may_remove: bool


@dataclass(frozen=True, slots=True)
class SeasonSheet:
    """What templates/season/sheet.html prints."""

    has_plan: bool
    days: str
    note: str
    phase: str
    left: str
    phases: list[PhaseRow]
    priorities: list[PriorityRow]
    events: list[SheetEventRow]
    past_events: list[SheetEventRow]
    back: list[SeasonWeekRow]
    ahead: list[SeasonWeekRow]
    areas: list[AreaRow]
    gym: list[GymCell]
    clashes: list[str]
    own_days: list[str]
    returning: str
    # What stands beside the week, for those who plan it.
    limits: Limits
    near: Near

    @property
    def is_gym_marked(self) -> bool:
        return any(cell.load for cell in self.gym)


def sheet_of(student: Student, today: date, reader: User) -> SeasonSheet:
    """The whole page. One query, however long the season; one more where a priority has the
    ladder of a drill for its gate, and one where its target is a speed.
    """
    opens = this_opening(student)
    before, last = opens - BEFORE, opens + 2 * WEEK - timedelta(days=1)
    asked, kept = season_asked(student, today), tallies_asked(student, opens)
    strip, parts = gym_asked(student, before, last), parts_asked([student.pk], before, last)
    own, near, limits = days_asked(student), near_asked(student, opens), limits_asked(student)
    together(asked, kept, strip, parts, own, near, limits)
    season, tallies, gym = asked.answer, kept.answer, strip.answer
    events = [event for event in season.events if event is not season.noted]
    golf = golf_from(parts.answer, events, before, last)[student.pk]
    plan = season.plan
    lines = lines_of(season)
    verdicts, numbers = _verdicts(season), _numbers(season)
    return SeasonSheet(
        has_plan=plan is not None,
        days=f"{date_words(plan.first)} to {_with_year(plan.last)}" if plan else "",
        note=plan.note if plan else "",
        phase=_phase_words(season),
        left=_left(season, tallies),
        phases=[_phase(phase, season) for phase in season.phases],
        priorities=[_priority(each, reader, verdicts, numbers) for each in season.priorities],
        events=[_event(event, season) for event in season.events if event.last >= today],
        past_events=[_event(e, season) for e in reversed(season.events) if e.last < today][:10],
        back=weeks_back(season, lines, tallies),
        ahead=weeks_ahead(season, lines, tallies),
        areas=area_rows(season, lines, tallies),
        gym=cells_of(season.opens, gym, today),
        clashes=[c.words for c in clashes_of(gym, golf) if season.opens <= c.day <= last],
        own_days=_own_days(own.answer),
        returning=_returning(season),
        limits=limits.answer,
        near=near.answer,
    )


def _with_year(day: date) -> str:
    return f"{date_words(day)} {day.year}"


# --- where we are ---------------------------------------------------------------------------


def _phase_words(season: Season) -> str:
    plan, today = season.plan, season.today
    if plan is None:
        return ""
    if today > plan.last:
        return f"The season ended on {_with_year(plan.last)}."
    if today < plan.first:
        return f"The season starts on {_with_year(plan.first)}."
    phase = phase_at(season, today)
    if phase is None:
        return "Between phases."
    week = week_number(phase.first, today) + 1
    of = week_number(phase.first, phase.last) + 1
    return f"{phase.name}: week {week} of {of}."


def _left(season: Season, tallies: dict[date, WeekTally]) -> str:
    plan = season.plan
    if plan is None:
        return ""
    share = season.share_of()
    coming = week_number(season.opens, plan.last) + 1
    weeks = sum(share(season.opens + n * WEEK) > 0 for n in range(coming))
    past = [
        tally
        for opens, tally in tallies.items()
        if opens < season.opens and tally.has_plan and tally.open_days > 0
    ]
    done = [tally.days_done for tally in past]
    asked = [tally.days_asked for tally in past]
    return left.in_words(left.visits_left(weeks, done, asked), weeks, len(past))


def _returning(season: Season) -> str:
    """After a week off or more: hard swings come back in steps (common practice)."""
    for span in season.excusals:
        off, back = (span.last - span.first).days + 1, (season.opens - span.last).days
        if off >= RETURN_DAYS and -6 <= back <= 14:
            share = "half" if back <= 7 else "three quarters"
            return f"Back after {off} days off: hard swings at {share} of the usual this week."
    return ""


# --- phases, priorities, events ------------------------------------------------------------------


def _phase(phase: Phase, season: Season) -> PhaseRow:
    weeks = -(-((phase.last - phase.first).days + 1) // 7)
    when = "now" if phase.first <= season.today <= phase.last else ""
    return PhaseRow(
        name=phase.name,
        days=f"{date_words(phase.first)} to {date_words(phase.last)}",
        weeks="1 week" if weeks == 1 else f"{weeks} weeks",
        when="over" if phase.last < season.today else when,
    )


Verdicts = dict[UUID, dict[int, tuple[str, int, int]]]


def _verdicts(season: Season) -> Verdicts:
    """Word, clean and reps by drill and felt effort, of the last 21 days."""
    if not any(priority.drill_id for priority in season.priorities):
        return {}
    # Its arithmetic loads NumPy, which only such a page needs.
    from practice.numbers.ladder.queries import read_ladders
    from practice.numbers.ladder.table import ladders

    found = ladders(read_ladders(season.student, season.today), season.today)
    return {
        each.drill_id: {step.effort: (step.word, step.clean, step.reps) for step in each.steps}
        for each in found.drills
    }


def _steps_of(priority: Priority, verdicts: Verdicts) -> dict[int, tuple[str, int, int]]:
    return verdicts.get(priority.drill_id, {}) if priority.drill_id else {}


def _stands(priority: Priority, verdicts: Verdicts) -> str:
    """Where the move stands at its gate, with the reps it rests on."""
    if priority.drill_id is None or not priority.stage:
        return ""
    found = _steps_of(priority, verdicts)
    words = gates.stands(priority.stage, {e: word for e, (word, _, _) in found.items()})
    steps = sorted(found.items())
    counts = " · ".join(f"{clean} of {reps} at {effort}" for effort, (_, clean, reps) in steps)
    return f"{words} Clean in 21 days: {counts}".strip() if counts else words


def _numbers(season: Season) -> Numbers:
    """What the tick has kept, where a target is a speed."""
    if not any(priority.measure in QUANTITY for priority in season.priorities):
        return NO_NUMBERS
    kept = NumbersNow.objects.filter(student=season.student).values_list("figures", flat=True)
    return from_json(kept.first())


def _priority(
    priority: Priority, reader: User, verdicts: Verdicts, numbers: Numbers
) -> PriorityRow:
    gate = gates.gate_words(priority.stage)
    if gate and priority.drill is not None:
        gate += f" (ladder of “{priority.drill}”)"
    return PriorityRow(
        place=priority.place,
        name=priority.name,
        stage=priority.get_stage_display() if priority.stage else "",
        target=target_words(priority, reader),
        by=f"by {_with_year(priority.by)}" if priority.by else "",
        reached=reached_words(priority, numbers, _steps_of(priority, verdicts), reader.speed_unit),
        gate=gate,
        stands=_stands(priority, verdicts),
    )


def target_words(priority: Priority, reader: User) -> str:
    """The target in the reader's own units, with its words."""
    value, measure = priority.value, priority.measure
    if value is None:
        return priority.words
    said = {
        Measure.BALL_SPEED: lambda v: f"{units.speed(v, reader.speed_unit)} everyday ball speed",
        Measure.CLUB_SPEED: lambda v: f"{units.speed(v, reader.speed_unit)} everyday club speed",
        Measure.CLEAN: lambda v: f"{v:.0f} of 100 clean at a felt {priority.effort or 'effort'}",
        Measure.CARRY_ERROR: lambda v: (
            f"carry at most {units.distance(v, reader.distance_unit, 1).replace('.0 ', ' ')} off"
        ),
    }.get(Measure(measure))
    words = said(value) if said else f"{value:g}"
    return f"{words}, {priority.words}" if priority.words else words


def _event(event: Event, season: Season) -> SheetEventRow:
    days = date_words(event.first)
    if event.last > event.first:
        days += f" to {date_words(event.last)}"
    away = (event.first - season.today).days
    when = day_words(event.first, season.today) if -1 <= away <= 6 else ""
    if away > 6:
        weeks = away // 7
        when = f"in {weeks} week{'' if weeks == 1 else 's'}"
    return SheetEventRow(
        pk=str(event.pk),
        kind=event.get_kind_display(),
        name=event.name,
        days=days,
        when=when,
        may_remove=event is not season.noted,
    )


def _own_days(days: Iterable[PracticeDay]) -> list[str]:
    by_day: dict[int, list[str]] = {}
    for day in days:
        words = f"{day.minutes} min {PLACE_WORDS[DayPlace(day.place)]}"
        by_day.setdefault(day.weekday, []).append(words)
    return [f"{WEEKDAYS[n]}: {', '.join(words)}" for n, words in sorted(by_day.items())]
