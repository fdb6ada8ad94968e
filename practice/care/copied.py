"""Parts of an earlier week or a template, as far as the student's limits let them be asked."""

from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from practice.care.asks_once import AskOnce
from practice.care.hard_swings import Ceiling
from practice.care.limits import Limits
from practice.care.work import Held, work_of
from practice.drills.models import Drill
from practice.weeks import plan, queries
from practice.weeks.models import Week, WeekTemplate
from practice.weeks.parts import spec_from_record
from practice.weeks.plan import PartSpec
from shared.kit.refused import Refused
from shared.kit.text import listed
from shared.people.models import Student, Studio


@dataclass(frozen=True, slots=True)
class ForWhom:
    """What one student may be asked in a week, and by name what became of the rest.

    `not_now` is stopped or rests; `too_hard` is left out, and `less` lowered, to the `ceiling`;
    `not_more` would have been raised, and something hurts with it; `freed` from a day, for rest.
    """

    specs: list[PartSpec]
    not_now: tuple[str, ...] = ()
    too_hard: tuple[str, ...] = ()
    less: tuple[str, ...] = ()
    not_more: tuple[str, ...] = ()
    freed: tuple[str, ...] = ()
    ceiling: Ceiling | None = None
    # What a coach is asked before all of it that is not stopped is sent.
    question: AskOnce | None = None

    @property
    def left_out(self) -> tuple[str, ...]:
        return (*self.not_now, *self.too_hard)

    @property
    def says(self) -> list[str]:
        """For the coach; nothing where all of it is asked as it was."""
        said = []
        if self.not_now:
            said.append(f"Without {listed(self.not_now)}: not for now. Ask the lead coach.")
        return said + self.lowered

    @property
    def lowered(self) -> list[str]:
        """'Event week: at most 11 hard swings. Less of Ladder. Without Speed set.'"""
        less = f" Less of {listed(self.less)}." if self.less else ""
        gone = f" Without {listed(self.too_hard)}." if self.too_hard else ""
        said = [f"{self.ceiling.words}{less}{gone}"] if self.ceiling and (less or gone) else []
        if self.freed:
            free = listed(self.freed)
            said.append(
                f"Under 16: two days of rest a week. Some fixed days of {free} are free now."
            )
        if self.not_more:
            said.append(f"Not more of {listed(self.not_more)} for now: see Care notes.")
        return said


def brought_within(
    specs: Sequence[PartSpec],
    limits: Limits,
    areas: Mapping[UUID, str],
    names: Mapping[UUID, str],
    *,
    in_spite: bool = False,
) -> ForWhom:
    """The parts without what is not for now, and with no more hard swings than the week may ask.

    Whatever a coach may ask all the same stays where one has said so (`in_spite`).
    """
    question = limits.question(specs, areas)
    if in_spite and question is not None:
        asked, stopped = limits.without_stopped(specs, areas)
        not_now = tuple(dict.fromkeys(names[spec.drill] for spec in stopped))
        return ForWhom(asked, not_now=not_now, question=question)
    by_why: dict[Held | None, list[PartSpec]] = {None: []}
    for spec in specs:
        by_why.setdefault(limits.why_not(work_of(spec, areas)), []).append(spec)
    free, gone = by_why.pop(None), by_why.pop(Held.EVENT, [])
    pairs = list(zip(free, limits.within(free, areas), strict=True))

    def named(those: Iterable[PartSpec]) -> tuple[str, ...]:
        return tuple(dict.fromkeys(names[spec.drill] for spec in those))

    kept = [low for _, low in pairs if low]
    rested = limits.rested(kept)
    return ForWhom(
        specs=rested,
        freed=named(new for low, new in zip(kept, rested, strict=True) if new.days != low.days),
        not_now=named(spec for those in by_why.values() for spec in those),
        too_hard=named([*gone, *(spec for spec, low in pairs if low is None)]),
        less=named(spec for spec, low in pairs if low and low != spec),
        ceiling=limits.ceiling,
        question=question,
    )


@dataclass(frozen=True, slots=True)
class Source:
    """The parts of a week or a template as new parts, with name and area of their drills."""

    specs: tuple[PartSpec, ...]
    names: Mapping[UUID, str]
    areas: Mapping[UUID, str]

    @property
    def drills(self) -> list[UUID]:
        """In the order of the week."""
        return [spec.drill for spec in self.specs]

    def for_whom(
        self,
        limits: Limits,
        percent: int = 0,
        hurting: Set[UUID] = frozenset(),
        *,
        in_spite: bool = False,
    ) -> ForWhom:
        """What a student may be asked of it in the week of the limits, scaled by some percent.
        With what hurts (`hurting`: drills) nobody does more.
        """
        scaled = plan.scale(self.specs, percent)
        pairs = list(zip(self.specs, scaled, strict=True))
        kept = {id(new): was for was, new in pairs if was.drill in hurting and percent > 0}
        asked = [kept.get(id(new), new) for new in scaled]
        found = brought_within(asked, limits, self.areas, self.names, in_spite=in_spite)
        left = {spec.drill for spec in found.specs}
        not_more = dict.fromkeys(self.names[s.drill] for s in kept.values() if s.drill in left)
        return replace(found, not_more=tuple(not_more))


def parts_from(source: Week | WeekTemplate, studio: Studio) -> Source:
    """What can be taken over from it; drills that left the shelf drop out. One query, or two."""
    specs = _records(source.parts) if isinstance(source, WeekTemplate) else _copies(source)
    wanted = {spec.drill for spec in specs}
    shelf = Drill.objects.filter(pk__in=wanted, studio=studio, archived_at=None)
    rows = list(shelf.values_list("pk", "current__name", "current__area"))
    names = {pk: name or "" for pk, name, _ in rows}
    areas = {pk: area or "" for pk, _, area in rows}
    return Source(tuple(spec for spec in specs if spec.drill in names), names, areas)


def _records(records: Iterable[Mapping[str, Any]]) -> list[PartSpec]:
    return [spec_from_record(record) for record in records]


def _copies(week: Week) -> list[PartSpec]:
    return [replace(spec, id=None) for spec in queries.specs_of(week)]


def something_of(found: ForWhom, student: Student) -> ForWhom:
    """Raises Refused where nothing is left of it."""
    if found.left_out and not found.specs:
        raise Refused(f"All of it is not for {student.name} now. Add other drills.")
    return found
