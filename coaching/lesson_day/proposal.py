"""The week that follows from a lesson: its own drills first, then last week's, each with
what to do with it and why. Nothing is sent by itself."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence, Set
from dataclasses import dataclass, fields, replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any, Optional
from uuid import UUID

from coaching.lessons import queries
from coaching.lessons.carry import (
    HELD_WORDS,
    Carry,
    CarrySuggestion,
    StepWent,
    Went,
    carried,
    left_out,
    suggest,
    suggest_where_it_hurts,
)
from coaching.lessons.models import Finding, Lesson
from coaching.lessons.numbers import numbers_asked
from coaching.messages.queries import cues_kept_asked
from practice.care.hard_swings import Ceiling
from practice.care.limits import Limits
from practice.care.work import Held, Work
from practice.compliance.habits import Size, plan_size
from practice.compliance.hurting import DaysDone, days_done_asked, hurting_on
from practice.compliance.limits import limits_asked
from practice.compliance.models import WeekTally
from practice.compliance.queries import WeeksBefore, before_asked, tallies_asked
from practice.drills.dose import DoseError, parse
from practice.drills.models import Drill, DrillRevision
from practice.drills.text import in_short
from practice.log.models import Result
from practice.weeks import queries as week_queries
from practice.weeks.models import Week
from practice.weeks.plan import MOST_PARTS, PartSpec, Totals, part_totals, week_totals
from practice.weeks.queries import WeekToSet
from shared.people.models import Student
from shared.people.today import today_of
from shared.site.together import Question, together

if TYPE_CHECKING:
    from practice.numbers.ladder import next_step
    from practice.numbers.ladder.table import DrillLadder, Ladders

NEW_SESSIONS = 3
NOTE_LENGTH = 300
NEW_REASON = "From this lesson."
# What is suggested instead while the whole week is above the usual, in this order, and why.
LESS = (
    (Carry.RAISE, Carry.KEEP, "Ready for more, but the whole week is above the usual."),
    (Carry.KEEP, Carry.SHRINK, "The whole week is above the usual. Fewer times would fit."),
)


@dataclass(frozen=True, slots=True)
class PartChoice:
    """One thing to do with a part, and what the student would be asked then."""

    carry: Carry
    spec: PartSpec | None
    is_suggested: bool
    # Of practice, of the drill that it asks.
    area: str = ""
    # Of a swap, the drill that stands in.
    drill: str = ""

    @property
    def words(self) -> str:
        spec = self.spec
        if spec is None:
            return "not in this week"
        often = "once" if spec.sessions == 1 else f"{spec.sessions} times"
        asked = f"{in_short(spec.dose)}; {often}"
        return f"{self.drill}: {asked}" if self.drill else asked

    @property
    def totals(self) -> Totals:
        return part_totals(self.spec, area=self.area) if self.spec else Totals()

    @property
    def minutes(self) -> float:
        return self.totals.minutes

    @property
    def hard_swings(self) -> int:
        return self.totals.hard_swings


@dataclass(frozen=True, slots=True)
class ProposalRow:
    """One part of the proposal. `key` names it in the form."""

    key: str
    name: str
    is_new: bool
    went: str
    reason: str
    cue: str
    choices: tuple[PartChoice, ...]
    # As it was, the student may not do it now.
    stopped: bool = False
    # Of a drill that the week before did not ask: what tells whether it works.
    test: DrillRevision | None = None

    def choice(self, carry: str) -> PartChoice:
        """The one that was chosen; the suggested one for whatever is none."""
        chosen = [each for each in self.choices if each.carry == carry]
        return (chosen or [each for each in self.choices if each.is_suggested])[0]


@dataclass(frozen=True, slots=True)
class Proposal:
    opens: date
    changes_a_sent_week: bool
    rows: tuple[ProposalRow, ...]
    # What the student may not do now, as it was read for the rows; and what a week usually is.
    limits: Limits
    before: WeeksBefore

    def specs(self, chosen: Mapping[str, str]) -> list[PartSpec]:
        """The parts of the week for these choices, by the rows' keys."""
        return [each.spec for each in self._asked(chosen) if each.spec]

    def totals(self, chosen: Mapping[str, str]) -> Totals:
        """What the week of these choices adds up to."""
        return week_totals(each.totals for each in self._asked(chosen))

    def _asked(self, chosen: Mapping[str, str]) -> list[PartChoice]:
        picked = [row.choice(chosen.get(row.key, "")) for row in self.rows]
        return [each for each in picked if each.spec][:MOST_PARTS]


def proposal_for(lesson: Lesson, opens: date | None = None) -> Proposal:
    """What to send after this lesson, for the week that most likely wants setting. At most
    three queries, however many parts."""
    asked = proposal_asked(lesson.student, opens)
    together(*asked.rows())
    return _proposal(lesson.student, lesson.findings.all(), asked)


def proposal_after(last: Lesson | None, student: Student, asked: "ProposalAsked") -> Proposal:
    """The same at the door, of rows that were asked with others: of the parts that are done now,
    also when the next week is sent ahead. Without a lesson written down they stand alone."""
    return _proposal(student, last.findings.all() if last else (), asked, begun_only=True)


@dataclass(frozen=True, slots=True)
class ProposalAsked:
    """What a proposal stands on, to be asked with others."""

    week: Question[WeekToSet]
    limits: Question[Limits]
    ladders: "Question[Ladders]"
    done: Question[DaysDone]
    tallies: Question[dict[date, WeekTally]]
    clean: Question[list[Result]]
    cues: Question[dict[UUID, str]]
    before: Question[Callable[[date], WeeksBefore]]

    def rows(self) -> list[Question[Any]]:
        return [getattr(self, each.name) for each in fields(self)]


def proposal_asked(
    student: Student, opens: date | None = None, ladders: "Question[Ladders] | None" = None
) -> ProposalAsked:
    """For the week that opens on this day, or that most likely wants setting. `ladders` where
    the page asks for them already."""
    among = [opens] if opens else week_queries.soon_of(student)
    return ProposalAsked(
        week=week_queries.to_set_asked(student, opens),
        limits=limits_asked(student),
        ladders=ladders or numbers_asked(student).ladders,
        done=days_done_asked(student),
        tallies=tallies_asked(student, among),
        clean=queries.clean_asked(student, today_of(student)),
        cues=cues_kept_asked(student),
        before=before_asked(student, among),
    )


def _proposal(
    student: Student,
    findings: Iterable[Finding],
    asked: ProposalAsked,
    *,
    begun_only: bool = False,
) -> Proposal:
    """Two queries, for the drills that are named."""
    week = asked.week.answer
    opens, source, begun = week.opens, _source(week), _begun(week, today_of(student))
    if begun_only:
        source = begun
    carried_over = week_queries.specs_of(source) if source else []
    named = _drills_named(findings)
    limits = asked.limits.answer.in_week(opens)
    ids = {spec.drill for spec in carried_over} | {drill.pk for _, drill in named}
    drills = queries.drills_by_id(student, ids)
    known = asked.ladders.answer.drills if ids else ()
    rungs = {drill.drill_id: drill.next_step for drill in known if drill.steps}
    hurting = hurting_on([spec.drill for spec in carried_over], limits, asked.done.answer)
    begun_here = source if source == begun else None
    went = _went(student, begun_here, carried_over, drills, limits, hurting=hurting, asked=asked)
    is_sent = source is not None and source.opens == opens and source.state == Week.State.SENT
    cues = asked.cues.answer
    carried_over = [replace(spec, cue=cues.get(spec.drill, spec.cue)) for spec in carried_over]
    by_drill = {spec.drill: spec for spec in carried_over}
    rows = [
        _row(
            drills[drill.pk],
            by_drill.pop(drill.pk, None),
            went.get(drill.pk),
            finding,
            limits,
            hurting=hurting,
            counted=rungs.get(drill.pk),
        )
        for finding, drill in named
        if drill.pk in drills
    ]
    rows += [
        _row(drills[spec.drill], spec, went.get(spec.drill), None, limits, hurting=hurting)
        for spec in carried_over
        if spec.drill in by_drill and spec.drill in drills
    ]
    before = asked.before.answer(opens)
    rows = within_usual(rows[:MOST_PARTS], before.usual)
    # Last, so that whatever is suggested for another reason keeps to it too.
    rows = _within_the_week(rows, limits, drills)
    if not is_sent:
        rows = [_as_new(row) for row in rows]
    return Proposal(opens, is_sent, tuple(rows), limits, before)


def within_usual(rows: Sequence[ProposalRow], usual: float | None) -> list[ProposalRow]:
    """Begun from what the student usually does: where the week would not fit, the last parts are
    asked less often, the lesson's own last of all. Nothing is left out by this.

    House rule, not a published one: it fits up to 1.2 times the usual minutes.
    """
    found = list(rows)
    for was, now, why in LESS:
        for n in reversed(range(len(found))):
            row = found[n]
            is_left = row.is_new and now is Carry.SHRINK
            if _fits(found, usual) or row.choice("").carry is not was or is_left:
                continue
            found[n] = _suggesting(row, now, why)
    return found


def _fits(rows: Iterable[ProposalRow], usual: float | None) -> bool:
    size = plan_size(sum(row.choice("").minutes for row in rows), usual)
    return size is None or size.size is Size.FITS


def _suggesting(row: ProposalRow, carry: Carry, why: str) -> ProposalRow:
    """With this suggestion, where it is offered and less."""
    if not 0 < row.choice(carry).minutes < row.choice("").minutes:
        return row
    choices = tuple(replace(each, is_suggested=each.carry is carry) for each in row.choices)
    return replace(row, choices=choices, reason=why)


def _source(week: WeekToSet) -> Week | None:
    """The week to carry over from: that very week if it is begun, else the last one sent."""
    return week.here if week.here and week_queries.specs_of(week.here) else week.before


def _begun(week: WeekToSet, today: date) -> Week | None:
    """The same, but never a week ahead: nothing could be done of it yet."""
    source = _source(week)
    return week.before if source is not None and source.opens > today else source


def _drills_named(findings: Iterable[Finding]) -> list[tuple[Finding, Drill]]:
    """Each drill once, with the first finding that names it, in the order of the priorities."""
    seen: set[UUID] = set()
    found = []
    for finding in findings:
        for drill in sorted(finding.drills.all(), key=str):
            if drill.pk not in seen:
                seen.add(drill.pk)
                found.append((finding, drill))
    return found


def _row(
    drill: Drill,
    spec: PartSpec | None,
    went: Went | None,
    finding: Finding | None,
    limits: Limits,
    *,
    hurting: Set[UUID],
    counted: Optional["next_step.Suggestion"] = None,
) -> ProposalRow:
    """`counted`: what the ladder says of a drill that last week did not ask."""
    suggestion = _suggestion(drill, spec, went, limits, hurting)
    start = spec or _fresh(drill)
    if spec is None and counted is not None and counted.change.value == Carry.LOWER.value:
        start = carried(start, Carry.LOWER, ladder=counted) or start
        suggestion = replace(suggestion, reason=f"{suggestion.reason} {counted.reason}")
    start = _with_words(start, finding)
    swap, other = _swap(drill, limits)
    rung = went.ladder if went else None
    made = {
        each: carried(start, each, swap, rung) for each in _options(spec, swap, suggestion.carry)
    }
    free = {each: new for each, new in made.items() if new is None or _is_free(new, drill, limits)}
    suggestion = _within(suggestion, free, limits)
    return ProposalRow(
        key=str(drill.pk),
        name=str(drill),
        is_new=finding is not None,
        went=_went_words(went),
        reason=suggestion.reason,
        cue=start.cue or (drill.current.cue if drill.current else ""),
        choices=tuple(
            _choice(each, new, drill, other if each is Carry.SWAP else None, suggestion)
            for each, new in free.items()
        ),
        stopped=_is_held(drill, start, limits),
        test=drill.tested_by.current if spec is None and drill.tested_by else None,
    )


def _choice(
    carry: Carry,
    spec: PartSpec | None,
    drill: Drill,
    swap: Drill | None,
    suggestion: CarrySuggestion,
) -> PartChoice:
    now = (swap or drill).current
    return PartChoice(
        carry,
        spec,
        is_suggested=carry is suggestion.carry,
        area=now.area if now else "",
        drill=str(swap) if swap else "",
    )


def _is_held(drill: Drill, spec: PartSpec, limits: Limits) -> bool:
    return limits.holds(_work(drill, spec))


def _work(drill: Drill, spec: PartSpec) -> Work:
    return Work(spec.drill, spec.dose, drill.current.area if drill.current else "")


def _is_free(spec: PartSpec, drill: Drill, limits: Limits) -> bool:
    """A swap was found free already."""
    return spec.drill != drill.pk or not _is_held(drill, spec, limits)


def _within(
    suggestion: CarrySuggestion, free: Mapping[Carry, PartSpec | None], limits: Limits
) -> CarrySuggestion:
    """The suggestion, or the next below it that the limits leave."""
    if suggestion.carry in free:
        return suggestion
    below = next(each for each in (Carry.KEEP, Carry.LOWER, Carry.DROP) if each in free)
    if any(stop.drill is None for stop in limits.stops):
        return CarrySuggestion(below, "Hard swings are stopped until a coach clears them.")
    why = Held.RESTS if limits.rests else Held.EVENT
    return CarrySuggestion(below, left_out(HELD_WORDS[why]).reason)


def _suggestion(
    drill: Drill, spec: PartSpec | None, went: Went | None, limits: Limits, hurting: Set[UUID]
) -> CarrySuggestion:
    if spec is not None and went is not None:
        return suggest(went)
    if held := limits.why_not(_work(drill, spec or _fresh(drill))):
        return left_out(HELD_WORDS[held])
    if spec is not None and drill.pk in hurting:
        return suggest_where_it_hurts(has_swap=_swap(drill, limits)[0] is not None)
    return CarrySuggestion(Carry.KEEP, NEW_REASON if spec is None else "As it was.")


def _options(spec: PartSpec | None, swap: PartSpec | None, suggested: Carry) -> list[Carry]:
    if spec is None:
        return [Carry.KEEP, Carry.DROP]
    all_of_them = [Carry.RAISE, Carry.KEEP, Carry.LOWER, Carry.SHRINK]
    if swap is not None or suggested is Carry.SWAP:
        all_of_them.append(Carry.SWAP)
    return [*all_of_them, Carry.DROP]


def _fresh(drill: Drill) -> PartSpec:
    now = drill.current
    if now is None:
        raise ValueError("A drill on the shelf has words.")
    dose = parse(now.dose)
    return PartSpec(drill.pk, dose, NEW_SESSIONS, dose.minutes(now.seconds_per_rep))


def _with_words(spec: PartSpec, finding: Finding | None) -> PartSpec:
    """The student's week carries what was found: the cue, the rehearsal, feel beside real."""
    if finding is None:
        return spec
    said = [f"Rehearsal: {finding.rehearsal}" if finding.rehearsal else ""]
    said.append(f"Feels like: {finding.feel}" if finding.feel else "")
    said.append(f"Really is: {finding.real}" if finding.feel and finding.real else "")
    note = ". ".join(words.rstrip(". ") for words in said if words)
    return replace(spec, cue=finding.cue or spec.cue, note=(note or spec.note)[:NOTE_LENGTH])


def _swap(drill: Drill, limits: Limits) -> tuple[PartSpec | None, Drill | None]:
    """The first listed swap that is on the shelf and not stopped either, and what it asks."""
    for other in drill.swaps.all():
        if other.archived_at is None and other.current:
            try:
                fresh = _fresh(other)
            except DoseError:
                continue
            if limits.may_offer(_work(other, fresh)):
                return fresh, other
    return None, None


def _within_the_week(
    rows: Sequence[ProposalRow], limits: Limits, drills: Mapping[UUID, Drill]
) -> list[ProposalRow]:
    """What is suggested in all asks no more hard swings than the week may."""
    most = limits.ceiling
    if most is None:
        return list(rows)
    known = [each for drill in drills.values() for each in (drill, *drill.swaps.all())]
    areas = {drill.pk: drill.current.area for drill in known if drill.current}
    asked = [row.choice("").spec for row in rows]
    lower = iter(limits.within([spec for spec in asked if spec], areas))
    pairs = [
        (row, spec, next(lower) if spec else None) for row, spec in zip(rows, asked, strict=True)
    ]
    return [row if low == spec else _lowered(row, low, most) for row, spec, low in pairs]


def _lowered(row: ProposalRow, low: PartSpec | None, most: Ceiling) -> ProposalRow:
    """The row with this suggested instead: less of it, or none."""
    was = row.choice("")
    by_spec = {each.spec: each.carry for each in row.choices}
    has_lower = Carry.LOWER in by_spec.values() and not was.drill
    carry = by_spec.get(low, Carry.LOWER if has_lower else was.carry)
    choices = tuple(
        replace(each, spec=low, is_suggested=True)
        if each.carry is carry
        else replace(each, is_suggested=False)
        for each in row.choices
    )
    words = "Left out for now." if low is None else "Less of it for now."
    return replace(row, choices=choices, reason=f"{most.words} {words}")


def _as_new(row: ProposalRow) -> ProposalRow:
    """For a week that is not sent yet parts are new ones, whichever week they came from."""
    fresh = tuple(
        replace(each, spec=replace(each.spec, id=None) if each.spec else None)
        for each in row.choices
    )
    return replace(row, choices=fresh)


# --- how each part went ----------------------------------------------------------------


def _went(
    student: Student,
    source: Week | None,
    specs: Sequence[PartSpec],
    drills: Mapping[UUID, Drill],
    limits: Limits,
    *,
    hurting: Set[UUID],
    asked: ProposalAsked,
) -> dict[UUID, Went]:
    """By drill, from the tally of the week carried over and three weeks of clean counts."""
    if source is None or not specs:
        return {}
    today = today_of(student)
    tally = asked.tallies.answer.get(source.opens)
    parts = {UUID(part["drill"]): part for part in tally.parts} if tally else {}
    is_over = today > source.opens + timedelta(days=6)
    by_drill = {drill.drill_id: drill for drill in asked.ladders.answer.drills if drill.steps}
    clean = _clean(asked.clean.answer)
    clean |= {pk: _as_on_the_ladder(drill) for pk, drill in by_drill.items()}
    return {
        spec.drill: replace(
            _went_of(drills[spec.drill], parts[spec.drill], clean),
            held=limits.why_not(_work(drills[spec.drill], spec)),
            hurt=bool(limits.hurt),
            hurts_each_time=spec.drill in hurting,
            has_swap=_swap(drills[spec.drill], limits)[0] is not None,
            is_over=is_over,
            ladder=by_drill[spec.drill].next_step if spec.drill in by_drill else None,
        )
        for spec in specs
        if spec.drill in parts and spec.drill in drills
    }


def _as_on_the_ladder(drill: "DrillLadder") -> tuple[StepWent, ...]:
    """The counts that its page shows: a coach's stand before the student's own."""
    return tuple(
        StepWent(step.effort, step.clean, step.reps, by_coach=step.is_by_coach)
        for step in drill.steps
    )


def _went_of(
    drill: Drill, part: Mapping[str, Any], clean: Mapping[UUID, tuple[StepWent, ...]]
) -> Went:
    return Went(
        sessions_done=part["sessions_done"],
        sessions_asked=part["asked_sessions"],
        credit=part["credit"],
        steps=clean.get(drill.pk, ()),
        clean_line=drill.current.clean_line if drill.current else 80,
    )


def _clean(results: Sequence[Result]) -> dict[UUID, tuple[StepWent, ...]]:
    """Clean and counted reps by drill and felt effort, as they were logged."""
    found: dict[UUID, dict[int | None, tuple[int, int]]] = defaultdict(dict)
    for result in results:
        if result.drill_id is None:
            continue
        asked = _efforts(result)
        for n, step in enumerate(result.steps):
            if step.get("clean") is None:
                continue
            effort = step.get("effort") or (asked[n] if n < len(asked) else None)
            good, counted = found[result.drill_id].get(effort, (0, 0))
            found[result.drill_id][effort] = (good + step["clean"], counted + step["n"])
    return {
        pk: tuple(
            StepWent(effort, good, counted)
            for effort, (good, counted) in sorted(steps.items(), key=lambda item: item[0] or 0)
        )
        for pk, steps in found.items()
    }


def _efforts(result: Result) -> list[int | None]:
    if result.part is None:
        return []
    try:
        return [step.effort for step in parse(result.part.dose).steps]
    except DoseError:
        return []


def _went_words(went: Went | None) -> str:
    if went is None:
        return ""
    if went.credit is None:
        return "excused"
    if not went.steps:
        return went.sessions
    clean = [
        f"{step.clean} of {step.counted} clean" + (f" at {step.effort}" if step.effort else "")
        for step in went.steps
    ]
    by = " a coach counted" if any(step.by_coach for step in went.steps) else ""
    return f"{went.sessions}; in {queries.CLEAN_DAYS.days} days{by} {', '.join(clean)}"
