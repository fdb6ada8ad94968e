"""The ladder in words: for the coach with its figures, for the student with the next step."""

from collections.abc import Sequence
from dataclasses import dataclass

from practice.numbers.kit import text as said
from practice.numbers.ladder.table import ColdFive, DrillLadder, Highest, Ladders, StepAnswer
from shared.kit.drawing import charts

FEW = 12  # Below this many reps no percent is printed.


@dataclass(frozen=True, slots=True)
class StepRow:
    effort: str
    counted: str
    share: str
    interval: str
    word: str
    basis: str


@dataclass(frozen=True, slots=True)
class DrillView:
    """What templates/numbers/ladder.html needs of one drill, and nothing else."""

    drill_id: str
    name: str
    answer: str
    rows: tuple[StepRow, ...]
    notes: tuple[str, ...]
    next_step: str
    highest: str
    figure: charts.Bars
    curve: charts.Scatter | None

    @property
    def curve_id(self) -> str:
        return f"curve-{self.drill_id}"


@dataclass(frozen=True, slots=True)
class LadderPage:
    since: str
    drills: tuple[DrillView, ...]


def ladder_page(found: Ladders, *, is_own: bool) -> LadderPage:
    views = tuple(_view(drill, is_own=is_own) for drill in found.drills)
    return LadderPage(said.day(found.since), views)


def _view(drill: DrillLadder, *, is_own: bool) -> DrillView:
    return DrillView(
        drill_id=str(drill.drill_id),
        name=drill.name,
        answer=to_student(drill) if is_own else to_coach(drill),
        rows=tuple(_row(step) for step in drill.steps),
        notes=tuple(_notes(drill, is_own=is_own)),
        next_step="" if is_own or drill.is_test else drill.next_step.next,
        highest="" if is_own else _highest(drill.highest),
        figure=_figure(drill, is_own=is_own),
        curve=None if is_own else _curve(drill),
    )


def to_coach(drill: DrillLadder) -> str:
    """'Holds at felt 60. Breaks at felt 80.' How many of how many stands in the table below."""
    parts = [
        f"{said.sentence(word)} at felt {_efforts(steps)}."
        for word in ("holds", "breaks", "not settled")
        if (steps := _those(drill, word))
    ]
    if not parts:
        return "Too few counted reps at any step yet: twelve on two days."
    if _breaks_at_once(drill):
        parts.append("It breaks at the lowest step already.")
    return " ".join(parts)


def _those(drill: DrillLadder, word: str) -> list[StepAnswer]:
    """The steps of this word that say something: the highest that holds, all others."""
    steps = [step for step in drill.steps if step.word == word]
    return steps[-1:] if word == "holds" else steps


def _efforts(steps: Sequence[StepAnswer]) -> str:
    """Two of them, and how many more: 'felt 80, 95 and one more'."""
    efforts = [str(step.effort) for step in steps]
    more = efforts[2:] and [f"{said.many(len(efforts) - 2, 'more step')}"]
    return said.listed([*efforts[:2], *more])


def _breaks_at_once(drill: DrillLadder) -> bool:
    breaking = [step.effort for step in drill.steps if step.word == "breaks"]
    holds = any(step.word == "holds" for step in drill.steps)
    return bool(breaking) and not holds and min(breaking) == drill.steps[0].effort


def to_student(drill: DrillLadder) -> str:
    """What is theirs, where it is being built, and the next mark."""
    holding = [step.effort for step in drill.steps if step.word == "holds"]
    if all(step.word == "too few" for step in drill.steps):
        return "Too soon to say: count a few more reps, on two days or more."
    above = [step.effort for step in drill.steps if step.effort > max(holding, default=0)]
    words = f"Your move is yours at {max(holding)} percent effort." if holding else ""
    if not above:
        return f"{words} That is every step you have done."
    mark = drill.clean_line // 10
    where = f"{above[0]} percent is where we’re building now"
    return f"{words} {where}. The next mark there is {mark - 1} clean of 10.".strip()


def _row(step: StepAnswer) -> StepRow:
    pool = ""
    if len(step.pool) > 1:
        pool = f"judged with {said.listed([str(e) for e in step.pool if e != step.effort])}; "
    enough = step.reps >= FEW
    return StepRow(
        effort=f"{step.effort} %",
        counted=f"{step.clean} of {step.reps}",
        share=said.percent(step.share) if enough else "",
        interval=_interval(step) if enough else "",
        word=step.word + (" (self-called)" if step.capped else ""),
        basis=f"{pool}{said.many(step.days, 'day')}, {step.evidence}",
    )


def _interval(step: StepAnswer) -> str:
    low, high = said.outward(100 * step.low, 100 * step.high)
    return f"{low} to {high} %"


def _notes(drill: DrillLadder, *, is_own: bool) -> list[str]:
    notes = []
    if not is_own and drill.gap is not None:
        way = "more" if drill.gap >= 0 else "fewer"
        notes.append(f"The student calls {abs(drill.gap)} of 100 {way} clean than the coach.")
        notes.append(f"The coach checked {said.many(drill.gap_reps, 'rep')}.")
        if any(step.capped for step in drill.steps):
            notes.append("So no step is said to hold by the student’s own count.")
    if drill.as_asked:
        notes.append(f"{said.many(drill.as_asked, 'rep')} told “as asked” are not judged.")
    if drill.from_memory:
        reps = said.many(drill.from_memory, "rep")
        notes.append(f"{reps} written more than two days later are not judged.")
    if drill.cold is not None:
        notes.append(_cold(drill.cold))
    return notes


def _cold(cold: ColdFive) -> str:
    if cold.missing:
        return (
            f"Cold five: {said.many(cold.sessions, 'visit')} scored ball by ball. {cold.missing} "
            f"more make a word."
        )
    return (
        f"Cold five: the first are {cold.cold_clean} of {cold.cold_reps} clean. The rest are "
        f"{cold.rest_clean} of {cold.rest_reps} ({cold.sessions} visits)."
    )


def _highest(found: Highest | None) -> str:
    if found is None:
        return "A curve needs two efforts and twelve reps."
    reps = said.many(found.n, "rep")
    if found.effort is None or found.low is None or found.high is None:
        return f"For the clean line of {found.clean_line} %, {found.words} ({reps})."
    low, high = said.outward(found.low, found.high)
    return (
        f"{found.clean_line} % are clean up to felt effort {found.effort:.0f}. It may be {low} to "
        f"{high} ({reps})."
    )


def _figure(drill: DrillLadder, *, is_own: bool) -> charts.Bars:
    bars = [_bar(step) for step in drill.steps]
    return charts.Bars(
        title=f"Clean reps by felt effort: {drill.name}",
        desc=to_student(drill) if is_own else to_coach(drill),
        axis=charts.Axis("clean", "%", 0),
        bars=bars,
        most=100,
        marks=[charts.Mark(drill.clean_line, f"clean line {drill.clean_line}")],
    )


def _bar(step: StepAnswer) -> charts.Bar:
    label = f"felt {step.effort}"
    note = f"{step.clean} of {step.reps}, {step.word}"
    if step.reps < FEW:
        return charts.Bar(label, None, note=note)
    share, low, high = (100 * each for each in (step.share, step.low, step.high))
    return charts.Bar(label, share, low, high, note)


def _curve(drill: DrillLadder) -> charts.Scatter | None:
    """The curve between the efforts that were hit, and a dot at each of them."""
    if not drill.curve or drill.highest is None:
        return None
    return charts.Scatter(
        title=f"The curve through the steps: {drill.name}",
        desc=_highest(drill.highest),
        across=charts.Axis("felt effort", "%", 0),
        up=charts.Axis("clean", "%", 0),
        spots=[
            charts.Spot(step.effort, 100 * step.clean / step.reps, f"{step.clean} of {step.reps}")
            for step in drill.steps
            if step.reps
        ],
        even=False,
        curve=[(each.effort, 100 * each.chance) for each in drill.curve],
        marks=[charts.Mark(drill.clean_line, f"clean line {drill.clean_line}")],
    )
