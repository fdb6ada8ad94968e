"""What a student may not do now. Pure: one answer, asked by whatever chooses, copies or sends work.

The thresholds are the product's own duty-of-care rules (common practice, no source). It
limits and defers; it never diagnoses.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from enum import StrEnum
from uuid import UUID

from practice.care.hard_swings import (
    Ceiling,
    asked_of,
    before_week,
    ceiling_of,
    hard_swings,
    is_hard,
    within,
)
from practice.drills.dose import Dose
from practice.weeks.plan import PartSpec, on_days, same_structure
from shared.kit.refused import Refused

HURT_DAYS = 14
DAYS_LOOKED_AT = 2
DAYS_OF_REST = 2  # A week, under 16.
MOST_NAMED = 2  # Of what is stopped, in short.


@dataclass(frozen=True, slots=True)
class Work:
    """What limits judge: a drill, one session of it, and its area."""

    drill: UUID
    dose: Dose | None
    area: str = ""


def covers(drill: UUID | None, work: Work) -> bool:
    """Whether a stop of this drill (None: of all hard work) stops the work."""
    return drill == work.drill if drill else is_hard(work.dose, work.area)


@dataclass(frozen=True, slots=True)
class Stopped:
    """A stop that stands. Without a drill it stops all hard work, and has no name."""

    id: UUID
    drill: UUID | None
    name: str
    since: date

    @property
    def what(self) -> str:
        return self.name or "hard swings"


class Held(StrEnum):
    """Why nothing may offer some work now."""

    STOPPED = "stopped"
    RESTS = "rests"
    EVENT = "event"


@dataclass(frozen=True, slots=True)
class Limits:
    """One student's limits in one week. `youngest`: how young the student may still be; None if
    not told.

    `rests`: from all hard swings, for pain while they jump. `hard_swings` by opening day of the
    weeks around; `pains` the days on which something hurt in the last months, each with the
    drill it was told of (None: not said), `hurt` the days of the last fortnight. `events` are
    the first and last days of competitions, and `opens` the week that is spoken of.
    """

    student: UUID
    stops: tuple[Stopped, ...] = ()
    youngest: int | None = None
    hard_swings: Mapping[date, int] = field(default_factory=dict)
    pains: frozenset[tuple[date, UUID | None]] = frozenset()
    hurt: frozenset[date] = frozenset()
    rests: bool = False
    under_16: bool = False
    events: frozenset[tuple[date, date]] = frozenset()
    opens: date | None = None

    def in_week(self, opens: date) -> "Limits":
        """The same student's in another week: an event of it, and not of today's, counts."""
        return replace(self, opens=opens)

    @property
    def ceiling(self) -> Ceiling | None:
        """How many hard swings the week may ask; None where nothing says so."""
        before = before_week(self.hard_swings, self.opens) if self.opens else []
        is_event = any(self._is_in_week(*event) for event in self.events)
        return ceiling_of(before, is_event=is_event, under_16=self.under_16)

    def _is_in_week(self, first: date, last: date) -> bool:
        opens = self.opens
        return opens is not None and last >= opens and first <= opens + timedelta(days=6)

    def stop_of(self, work: Work) -> Stopped | None:
        """The stop that bears on this work, the drill's own before that of all hard work."""
        standing = [stop for stop in self.stops if covers(stop.drill, work)]
        return min(standing, key=lambda stop: stop.drill is None, default=None)

    def why_not(self, work: Work) -> Held | None:
        """Why nothing may offer this work: it is stopped, or hard while hard swings rest or
        before an event that leaves none.
        """
        if self.stop_of(work) is not None:
            return Held.STOPPED
        if not is_hard(work.dose, work.area):
            return None
        if self.rests:
            return Held.RESTS
        ceiling = self.ceiling
        return Held.EVENT if ceiling is not None and not ceiling.swings else None

    def holds(self, work: Work) -> bool:
        return self.why_not(work) is not None

    def may_offer(self, work: Work) -> bool:
        """Whether it may stand among choices: one visit asks no more than the week may."""
        most, dose = self.ceiling, work.dose
        over = most and dose and hard_swings(dose, work.area) > most.swings
        return not (over or self.holds(work))

    def may_stand_in(
        self, work: Work, part: PartSpec, week: Sequence[PartSpec], areas: Mapping[UUID, str]
    ) -> bool:
        """Whether the student may do this in place of a part of the week that was sent."""
        if not self.may_offer(work):
            return False
        most, asked = self.ceiling, asked_of(week, areas)
        if most is None or work.dose is None:
            return True
        instead = part.sessions * hard_swings(work.dose, work.area)
        return asked - asked_of([part], areas) + instead <= max(most.swings, asked)

    def hurts_with(self, drill: UUID, days: Sequence[date], *, is_first: bool) -> bool:
        """Whether something hurt on both of the last `days` that the drill was done.

        Where nobody said with which, it is the first part's.
        """
        told = {day for day, of in self.pains if of == drill or (of is None and is_first)}
        return len(days) >= DAYS_LOOKED_AT and told.issuperset(days[:DAYS_LOOKED_AT])

    @property
    def in_short(self) -> str:
        """'no Ladder, rest from hard swings'; '' without either."""
        named = [f"no {stop.what}" for stop in self.stops[:MOST_NAMED]]
        if len(self.stops) > MOST_NAMED:
            named.append(f"{len(self.stops) - MOST_NAMED} more not for now")
        if self.rests and all(stop.drill for stop in self.stops):
            named.append("rest from hard swings")
        return ", ".join(named)

    def is_too_young(self, least: int | None) -> bool:
        return bool(least) and self.youngest is not None and self.youngest < (least or 0)

    def split(
        self, specs: Iterable[PartSpec], areas: Mapping[UUID, str]
    ) -> tuple[list[PartSpec], list[PartSpec]]:
        """Parts that may be offered, and those that are not for now."""
        free: list[PartSpec] = []
        held: list[PartSpec] = []
        for spec in specs:
            (held if self.holds(work_of(spec, areas)) else free).append(spec)
        return free, held

    def within(self, specs: Sequence[PartSpec], areas: Mapping[UUID, str]) -> list[PartSpec | None]:
        """The parts in their order with no more hard swings than the week may ask; None for one
        left out.
        """
        return list(specs) if self.ceiling is None else within(specs, areas, self.ceiling.swings)

    def rested(self, specs: Sequence[PartSpec]) -> list[PartSpec]:
        """The parts fixed to no more days than leave a child its rest: those that most stand on."""
        often = Counter(day for spec in specs for day in spec.days)
        most = 7 - DAYS_OF_REST
        if not self.under_16 or len(often) <= most:
            return list(specs)
        kept = sorted(often, key=lambda day: (-often[day], day))[:most]
        return [on_days(spec, tuple(d for d in spec.days if d in kept)) for spec in specs]

    def admit(
        self,
        specs: Iterable[PartSpec],
        areas: Mapping[UUID, str],
        standing: Iterable[PartSpec] = (),
        *,
        in_spite: bool = False,
    ) -> "Admitted":
        """The parts as something that may be sent. Raises Refused for one that is stopped; and
        unless a coach has said `in_spite`, Rests for a hard one while the student rests, and
        Beyond where the week asks more hard swings than it may, or leaves a child no rest.

        A stopped part of a week that was sent (`standing`) may stay in it as it is, or
        smaller: the phone keeps it locked. So may a hard one.
        """
        specs = tuple(specs)
        before = {spec.id: spec for spec in standing}
        new = [spec for spec in specs if not _stays(before.get(spec.id), spec)]
        for spec in new:
            stop = self.stop_of(work_of(spec, areas))
            if stop is not None:
                raise Refused(refusal(stop))
        if not in_spite:
            self._ask(new, specs, areas)
        return Admitted(_SEAL, self.student, specs)

    def _ask(
        self, new: Sequence[PartSpec], specs: Sequence[PartSpec], areas: Mapping[UUID, str]
    ) -> None:
        """Raises what a coach is asked about once, whatever it is together."""
        held = {self.why_not(work_of(spec, areas)) for spec in new}
        beyond = [*self._too_many(new, specs, areas), *self._no_rest(new, specs)]
        if Held.RESTS in held:
            raise Rests(beyond)
        if beyond:
            raise Beyond(beyond)

    def _too_many(
        self, new: Sequence[PartSpec], specs: Sequence[PartSpec], areas: Mapping[UUID, str]
    ) -> Iterator[str]:
        """Hard swings that are new, where the week asks more than it may, or before an event."""
        most, asked = self.ceiling, asked_of(specs, areas)
        if most is None:
            return
        if asked > most.swings and asked_of(new, areas):
            yield f"{most.words} This week asks {asked}."
        elif Held.EVENT in {self.why_not(work_of(spec, areas)) for spec in new}:
            yield most.words

    def _no_rest(self, new: Sequence[PartSpec], specs: Sequence[PartSpec]) -> Iterator[str]:
        """Days that are new, where they leave a child too few of rest."""
        days = {day for spec in specs for day in spec.days}
        if self.under_16 and len(days) > 7 - DAYS_OF_REST and any(spec.days for spec in new):
            yield f"Under 16: two days of rest a week. Practice is fixed to {len(days)} days."


def work_of(spec: PartSpec, areas: Mapping[UUID, str]) -> Work:
    return Work(spec.drill, spec.dose, areas.get(spec.drill, ""))


def _stays(was: PartSpec | None, spec: PartSpec) -> bool:
    if was is None or was.drill != spec.drill or not same_structure(was.dose, spec.dose):
        return False
    pairs = zip(was.dose.steps, spec.dose.steps, strict=True)
    return spec.sessions <= was.sessions and all(new.total <= old.total for old, new in pairs)


def refusal(stop: Stopped) -> str:
    """Why a part cannot be sent, and what to do.

    Nothing of pain: who sets a week need not be who may read of it.
    """
    named = f"“{stop.name}” is" if stop.name else "Hard swings are"
    return f"{named} not for now. Take the part out, or ask the lead coach, who can clear it."


class AskOnce(Refused):
    """Work beyond a limit: a coach may still ask for it, and says so in `tick`."""

    tick = "Ask for it all the same."


class Beyond(AskOnce):
    """More than the week of an event, or of a child, may ask; `limits` say what and how much."""

    def __init__(self, limits: Iterable[str]) -> None:
        super().__init__(
            f"{' '.join(limits)} Take some out, or say that you ask for it all the same."
        )


class Rests(AskOnce):
    """Hard swings asked of a student who rests from them; `also` whatever else is beyond."""

    tick = "Ask for the hard swings all the same: I have asked how it feels."

    def __init__(self, also: Iterable[str] = ()) -> None:
        rest = (
            "These days are a rest from hard swings. Take them out, or say that you ask for them"
            " all the same."
        )
        super().__init__(" ".join([*also, rest]))


_SEAL = object()


@dataclass(frozen=True, slots=True)
class Admitted:
    """Parts that this student may be sent. Only `Limits.admit` makes one, and what writes the
    parts of a sent week takes nothing else: no way to a phone can forget to ask.
    """

    seal: object = field(repr=False)
    student: UUID
    specs: tuple[PartSpec, ...]

    def __post_init__(self) -> None:
        if self.seal is not _SEAL:
            raise TypeError("Only the limits of a student admit parts.")
