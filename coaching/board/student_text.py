"""Sessions and parts of a student's page as words. Every figure has its unit and its count."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from math import floor
from typing import Any
from uuid import UUID

from coaching.board.student_read import Chain
from practice.care.models import PainNote
from practice.care.rules import sign_words
from practice.compliance.facts import work_of
from practice.compliance.models import WeekTally
from practice.compliance.note_text import sentences
from practice.compliance.parts import dose_of
from practice.drills.dose import Dose
from practice.drills.text import step_in_short, typed_in_short
from practice.flows.swap import NEVER
from practice.log.models import AcceptedSwap, Entry, Result
from practice.phone.reading import WHAT, amount
from shared.kit.text import date_words, in_minutes, of_asked
from shared.kit.text import whole_percent as percent
from shared.people.models import Student

Swaps = Mapping[tuple[UUID, str], AcceptedSwap]
FEWEST_FOR_PERCENT = 12
PART_OF_ONE = 0.05  # Of a time: less is not worth saying.
FILED = {
    Result.Filed.EARLY: "early start",
    Result.Filed.MAKE_UP: "for last week",
}


@dataclass(frozen=True, slots=True)
class StepView:
    label: str
    asked: str
    done: str
    clean: str


@dataclass(frozen=True, slots=True)
class WeekPartView:
    """One part of a week, block by block."""

    name: str
    dose: str
    priority: int
    sessions: str
    counted: str
    minutes: str
    marks: list[str]
    steps: list[StepView]
    # Why it counts as it does, a sentence each.
    notes: list[str]


@dataclass(frozen=True, slots=True)
class BlockView:
    name: str
    steps: list[str]
    marks: list[str]
    # What it is accepted as, if a coach may let it count or has.
    root: str = ""
    work: str = ""
    accepted: str = ""
    may_accept: bool = False


@dataclass(frozen=True, slots=True)
class SessionView:
    """One session as it stands, and what it said before."""

    day: str
    blocks: list[BlockView]
    facts: str
    note: str
    pain: list[str]
    marks: list[str]
    history: list[str]
    is_taken_back: bool


# --- figures ---------------------------------------------------------------------


def share_of(part: float, whole: float, unit: str) -> str:
    """'9 of 11 reps'; from twelve on with its percent, rounded down: '26 of 30 reps (86 %)'.

    Minutes go by whole ones.
    """
    done = floor(part + 1e-6) if unit.endswith("min") else _down(part)
    counts = f"{amount(done)} of {amount(whole)} {unit}"
    if whole < FEWEST_FOR_PERCENT:
        return counts
    return f"{counts} ({percent(part / whole)} %)"


def _down(value: float) -> float:
    """To a tenth, down: a sum of parts never looks done before it is."""
    return floor(value * 10 + 1e-6) / 10


def figures_of(tally: WeekTally) -> list[tuple[str, str]]:
    """Side by side, never added up to one."""
    figures = {
        "Priority 1": _sessions(tally.priority_sessions_done, tally.priority_sessions_asked),
        "Week": _week(tally),
        "Days": of_asked(tally.days_done, tally.days_asked),
        "Minutes written": str(in_minutes(tally.minutes)),
        "Not asked for": f"{in_minutes(tally.unplanned_minutes)} min"
        if tally.unplanned_minutes
        else "",
        "Balls": str(tally.balls),
        "Hard swings": str(tally.hard_swings),
    }
    return [(name, figure) for name, figure in figures.items() if figure]


def _week(tally: WeekTally) -> str:
    if tally.credit is None:
        return ""
    counts = (
        f"{in_minutes(tally.credited_minutes)} of {in_minutes(tally.asked_minutes)} asked minutes"
    )
    return f"{percent(tally.credit)} % ({counts})"


def amount_done(part: Mapping[str, Any]) -> str:
    """'2 of 4', in whole times, down: a part never looks done before it is."""
    return _whole_of(part["sessions_done"], part["asked_sessions"])


def _whole_of(done: float, asked: float) -> str:
    """'2 of 4'; 'less than 1 of 4' of what is begun; '3.5 of 3.5' where days are excused."""
    of, whole = amount(_down(asked)), floor(done + 1e-6)
    if done >= asked - 1e-6 and whole < asked:
        return f"{of} of {of}"
    return f"less than 1 of {of}" if done > PART_OF_ONE and not whole else f"{whole} of {of}"


def _sessions(done: float, asked: float) -> str:
    if not asked:
        return ""
    return f"{_whole_of(done, asked)} time{'' if _down(asked) == 1 else 's'}"


# --- parts -----------------------------------------------------------------------


def part_view(part: dict[str, Any], opens: date, *, asked_by: str = "") -> WeekPartView:
    """`asked_by` is named where it is not whoever sent the week."""
    return WeekPartView(
        name=part["name"],
        dose=typed_in_short(part["dose"]),
        priority=part["priority"],
        sessions=_sessions(part["sessions_done"], part["asked_sessions"]),
        counted=_counted(part),
        minutes=f"{in_minutes(part['done_minutes'])} min",
        marks=[*_part_marks(part), *([f"asked by {asked_by}"] if asked_by else [])],
        notes=sentences(part, opens),
        steps=[_step_view(step) for step in part["steps"]],
    )


def _counted(part: dict[str, Any]) -> str:
    if part["credit"] is None:
        return "left out: neither done nor missing"
    units = {step["unit"] for step in part["steps"]}
    if len(units) != 1:
        return f"{percent(part['credit'])} % of {amount(_down(part['asked_minutes']))} minutes"
    counted, asked = (sum(step[name] for step in part["steps"]) for name in ("credited", "asked"))
    return f"{share_of(counted, asked, units.pop())} counted"


def _part_marks(part: dict[str, Any]) -> list[str]:
    marks = {
        "stopped for pain": part["stopped"],
        "taken off the plan": part["removed"],
        "by total": part["by_total"],
    }
    return [mark for mark, holds in marks.items() if holds]


def _step_view(step: dict[str, Any]) -> StepView:
    done, clean = step["done"], step["clean"]
    return StepView(
        label=typed_in_short(step["label"]),
        asked=f"{amount(_down(step['asked']))} {step['unit']}",
        done=amount(_down(done)),
        clean="not counted" if clean is None else share_of(clean, done, step["unit"]),
    )


# --- sessions --------------------------------------------------------------------


def session_view(
    chain: Chain,
    pains: Sequence[PainNote],
    student: Student,
    *,
    reads_pain: bool,
    swaps: Swaps | None = None,
) -> SessionView:
    """`swaps` are those accepted, where the reader may accept some; else None."""
    entry = chain.now
    blocks = [block_view(result) for result in entry.results.all()]
    if swaps is not None and entry.counts:
        results = zip(blocks, entry.results.all(), strict=True)
        blocks = [_with_swap(block, result, entry, swaps) for block, result in results]
    return SessionView(
        day=date_words(entry.day),
        blocks=blocks,
        facts=", ".join(_facts(entry)),
        note=entry.note if reads_pain else "",
        pain=[pain_words(note) for note in pains] if reads_pain else [],
        marks=list(_marks(chain, student)),
        history=[_said_before(earlier) for earlier in chain.before],
        is_taken_back=chain.is_taken_back,
    )


def _with_swap(block: BlockView, result: Result, entry: Entry, swaps: Swaps) -> BlockView:
    """The block with what a coach may let it count for, or has."""
    work = work_of(result.drill_id, result.what)
    if result.part_id is not None or work == NEVER:
        return block
    swap = swaps.get((entry.root, work))
    if swap is None:
        return replace(block, root=str(entry.root), work=work, may_accept=True)
    words = f"counts for {swap.part.revision.name}, accepted by {swap.by}"
    return replace(block, root=str(entry.root), work=work, accepted=words)


def _facts(entry: Entry) -> Iterable[str]:
    if entry.minutes is not None:
        yield f"{in_minutes(entry.minutes)} min"
    if entry.felt is not None:
        yield f"felt {entry.felt} of 10 hard"


def _marks(chain: Chain, student: Student) -> Iterable[str]:
    entry = chain.now
    if chain.is_taken_back:
        yield "taken back"
    if any(_what_counts(before) != _what_counts(entry) for before in chain.before):
        yield "changed"
    if entry.from_memory:
        yield f"from memory, written {moment(entry)}"
    if by := entry.writer_words(student):
        yield by
    if any(result.filed == Result.Filed.UNPLANNED for result in entry.results.all()):
        yield "in part not asked for" if _earns(entry) else "not asked for"


def _what_counts(entry: Entry) -> tuple[Any, ...]:
    """All that credit is given by; a mended note or feeling is no change of it."""
    return entry.day, [
        (row.part_id, row.drill_id, row.stopped, row.filed, [step["n"] for step in row.steps])
        for row in sorted(entry.results.all(), key=lambda row: row.position)
    ]


def _earns(entry: Entry) -> bool:
    return any(result.filed != Result.Filed.UNPLANNED for result in entry.results.all())


def moment(entry: Entry) -> str:
    """When it was written, on the clock of where the student was."""
    local: datetime = entry.at + timedelta(minutes=entry.utc_offset_minutes)
    return f"{date_words(local.date())} {local:%H:%M}"


def _said_before(entry: Entry) -> str:
    blocks = "; ".join(_block_line(result) for result in entry.results.all())
    return ". ".join(filter(None, (f"Written {moment(entry)}", blocks, *_facts(entry))))


def _block_line(result: Result) -> str:
    view = block_view(result)
    return "; ".join([view.name, *view.steps])


def block_view(result: Result) -> BlockView:
    return BlockView(_name(result), list(_steps(result)), list(_block_marks(result)))


def _name(result: Result) -> str:
    if result.part is not None and result.drill_id in {None, result.part.drill_id}:
        return result.part.revision.name
    if result.drill is not None:
        instead = f", instead of {result.part.revision.name}" if result.part else ""
        return f"{result.drill}{instead}"
    return WHAT.get(result.what, "practice")


def _steps(result: Result) -> Iterable[str]:
    asked = _asked(result)
    for number, step in enumerate(result.steps):
        yield _step(step, asked, number)
    if result.minutes is not None:
        yield f"{in_minutes(result.minutes)} min"
    if not result.steps and result.balls:
        yield f"{result.balls} balls"
    if not result.part_id and result.hard_swings:
        yield f"{result.hard_swings} of them hard"


def _asked(result: Result) -> Dose | None:
    """The dose whose steps the results follow; a swap's steps follow none."""
    part = result.part
    if part is None or result.drill_id not in {None, part.drill_id}:
        return None
    return dose_of(part.dose)


def _step(step: dict[str, Any], asked: Dose | None, number: int) -> str:
    done, clean = step.get("n") or 0, step.get("clean")
    if asked is not None and number < len(asked.steps):
        wanted = asked.steps[number]
        words = f"{step_in_short(wanted)}: {amount(done)} of {wanted.total * asked.rounds}"
    else:
        effort = step.get("effort")
        words = amount(done) if effort is None else f"{amount(done)} at {effort} percent"
    return words if clean is None else f"{words}, {clean} clean"


def _block_marks(result: Result) -> Iterable[str]:
    if result.as_asked:
        yield "done as asked"
    if result.stopped:
        yield "ended by the stop rule"
    if result.filed in FILED:
        yield FILED[Result.Filed(result.filed)]
    if result.filed == Result.Filed.UNPLANNED and result.part_id:
        yield "not counted for a week"


def pain_words(note: PainNote) -> str:
    words = [f"{note.where or 'Pain'} {note.level} of 10", "new" if note.is_new else "known"]
    words += sign_words(note.signs)
    if note.drill:
        words.append(f"at {note.drill}")
    return ", ".join(words)
