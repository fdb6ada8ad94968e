"""From the blocks of an entry to result rows: whose part, which drill, which week."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple, TypeVar
from uuid import UUID

from django.db.models import UUIDField

from practice.compliance.dates import file_result
from practice.compliance.parts import dose_of
from practice.drills.dose import Dose, DoseUnit, Step
from practice.drills.hard import hard_swings_done
from practice.drills.models import Drill
from practice.log.document import Block, Document, StepDone
from practice.log.fields import Refusal
from practice.log.models import Result
from practice.weeks.models import Part, Week
from shared.kit.weeks import week_start
from shared.people.models import Student
from shared.site.prepared import Prepared


class NamedPart(NamedTuple):
    """A part of a sent week: what filing a block of it needs."""

    pk: UUID
    drill: UUID
    dose: str
    swaps: list[str]
    needs_ball: bool
    area: str
    opens: date
    published_on: date | None


class NamedDrill(NamedTuple):
    pk: UUID
    # None: it has no words yet.
    needs_ball: bool | None
    area: str | None


Thing = TypeVar("Thing", NamedPart, NamedDrill)
_sent_parts = Prepared(
    lambda student, ids: Part.objects.filter(
        week__student=student, week__state=Week.State.SENT, pk__in=[ids]
    ).values_list(
        "pk",
        "drill",
        "dose",
        "swaps",
        "revision__needs_ball",
        "revision__area",
        "week__opens",
        "week__published_on",
    ),
    student=UUIDField,
    ids=UUIDField,
)
_on_shelf = Prepared(
    lambda studio, ids: Drill.objects.filter(studio=studio, pk__in=[ids]).values_list(
        "pk", "current__needs_ball", "current__area"
    ),
    studio=UUIDField,
    ids=UUIDField,
)


@dataclass(frozen=True, slots=True)
class Named:
    """The parts and drills that entries name, as far as they are the student's."""

    parts: dict[UUID, NamedPart]
    drills: dict[UUID, NamedDrill]


def named_by(documents: Iterable[Document], student: Student) -> Named:
    """Two queries at most, however many documents and blocks."""
    parts, drills = set(), set()
    for document in documents:
        parts |= {block.part for block in document.blocks if block.part}
        drills |= {block.drill for block in document.blocks if block.drill}
        if document.pain and document.pain.part:
            parts.add(document.pain.part)
    return Named(_parts(parts, student), _drills(drills, student))


def _parts(ids: set[UUID], student: Student) -> dict[UUID, NamedPart]:
    rows = _sent_parts(student=student.pk, ids=list(ids)) if ids else []
    return {row[0]: NamedPart(*row) for row in rows}


def _drills(ids: set[UUID], student: Student) -> dict[UUID, NamedDrill]:
    rows = _on_shelf(studio=student.studio_id, ids=list(ids)) if ids else []
    return {row[0]: NamedDrill(*row) for row in rows}


@dataclass(slots=True)
class NewResult:
    """A row of Result on its way: the model itself takes ten times as long to make."""

    student_id: UUID
    position: int
    opens: date
    filed: str
    part_id: UUID | None
    drill_id: UUID | None
    what: str
    steps: list[dict[str, int | None]]
    minutes: float | None
    timed_minutes: float | None
    guessed_minutes: float | None
    balls: int
    hard_swings: int
    as_asked: bool
    stopped: bool
    entry_id: UUID


def results_of(
    blocks: Sequence[Block], *, named: Named, student: Student, day: date, entry: UUID
) -> list[NewResult]:
    """Rows to write, one per block. Raises Refusal for a part that is not the student's."""
    unasked = week_start(day, student.studio.first_weekday), Result.Filed.UNPLANNED
    return [
        _result(block, named, student, day, unasked, at=(entry, position))
        for position, block in enumerate(blocks)
    ]


def _result(
    block: Block,
    named: Named,
    student: Student,
    day: date,
    unasked: tuple[date, str],
    *,
    at: tuple[UUID, int],
) -> NewResult:
    part = _own(block.part, named.parts)
    drill = _own(block.drill, named.drills)
    if part and drill and drill.pk != part.drill and str(drill.pk) not in map(str, part.swaps):
        part = None  # A drill that was not offered instead: real work, not asked for.
    steps, asked = _steps(block, part)
    opens, filed = _filing(block, part, student, day) if part else unasked
    needs_ball = _needs_ball(drill, part)
    return NewResult(
        student_id=student.id,
        position=at[1],
        opens=opens,
        filed=str(filed),  # The word alone: a driver looks twice at what is more.
        part_id=part.pk if part else None,
        drill_id=drill.pk if drill else part.drill if part else None,
        what="" if part or drill else block.what or "other",
        steps=[step.as_row() for step in steps],
        minutes=block.minutes,
        timed_minutes=block.timed,
        guessed_minutes=block.guessed,
        balls=_balls(steps, asked, needs_ball) if block.balls is None else block.balls,
        hard_swings=_hard(steps, asked, drill, part) if block.hard is None else block.hard,
        as_asked=block.as_asked and part is not None,
        stopped=block.stopped,
        entry_id=at[0],
    )


def _own(ident: UUID | None, own: dict[UUID, Thing]) -> Thing | None:
    if ident is None:
        return None
    if ident not in own:
        raise Refusal("part", "This part or drill is not on your list any more.")
    return own[ident]


def _filing(block: Block, part: NamedPart, student: Student, day: date) -> tuple[date, str]:
    return file_result(
        day=day,
        opens=part.opens,
        published_on=part.published_on,
        for_last_week=block.for_last_week,
        next_lesson=student.next_lesson,
    )


def _steps(block: Block, part: NamedPart | None) -> tuple[tuple[StepDone, ...], tuple[Step, ...]]:
    """What was done beside what was asked; 'done as asked' without counts means the dose."""
    dose = dose_of(part.dose) if part else None
    if block.shots and not block.steps:
        steps = _steps_of(len(block.shots.balls), dose)
        return steps, dose.steps if dose else ()
    if dose is None:
        return block.steps, ()
    if block.as_asked and not block.steps:
        return tuple(
            StepDone(step.total * dose.rounds, None, None) for step in dose.steps
        ), dose.steps
    return block.steps, dose.steps


def _steps_of(balls: int, dose: Dose | None) -> tuple[StepDone, ...]:
    """Balls that were only measured, as counts: each step is filled before the next."""
    asked = [step.total * dose.rounds for step in dose.steps] if dose else []
    done = []
    for most in asked[:-1]:
        done.append(min(balls, most))
        balls -= done[-1]
    return tuple(StepDone(n, None, None) for n in (*done, balls))


def _needs_ball(drill: NamedDrill | None, part: NamedPart | None) -> bool:
    if drill is not None and drill.needs_ball is not None:
        return drill.needs_ball
    return part is not None and part.needs_ball


def _swings(steps: Sequence[StepDone], asked: Sequence[Step]) -> list[tuple[StepDone, Step | None]]:
    """Steps that count something struck or swung: not the timed ones."""
    pairs = [(step, asked[n] if n < len(asked) else None) for n, step in enumerate(steps)]
    return [(done, ask) for done, ask in pairs if ask is None or ask.unit is not DoseUnit.MINUTES]


def _balls(steps: Sequence[StepDone], asked: Sequence[Step], needs_ball: bool) -> int:
    return sum(done.n for done, _ in _swings(steps, asked)) if needs_ball else 0


def _hard(
    steps: Sequence[StepDone],
    asked: Sequence[Step],
    drill: NamedDrill | None,
    part: NamedPart | None,
) -> int:
    """Of a drill done instead by its own area, like its ball."""
    named = drill or part
    area = (named.area if named else None) or ""
    return hard_swings_done([(done.n, done.effort) for done in steps], asked, area)
