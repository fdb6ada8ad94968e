"""What a student may not do now. Pure: one answer, asked by whatever chooses, copies or sends work.

The thresholds are the product's own duty-of-care rules (common practice, no source), but for the
hours of the young: in a week no more of organised sport than years of age (Jayanthi and colleagues
2015, from memory). It limits and defers; it never diagnoses.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from math import ceil
from uuid import UUID

from practice.care.asks_once import AskOnce, Beyond, Rests, refusal
from practice.care.hard_swings import Ceiling, asked_of, before_week, ceiling_of, within
from practice.care.work import Held, Stopped, Work, covers, work_of
from practice.drills.hard import hard_swings, is_hard
from practice.weeks.plan import PartSpec, on_days, same_structure
from shared.kit.refused import Refused

HURT_DAYS = 14
DAYS_LOOKED_AT = 2
DAYS_OF_REST = 2  # A week, under 16.
OF_AGE = 18
MOST_NAMED = 2  # Of what is stopped, in short.


@dataclass(frozen=True, slots=True)
class Limits:
    """One student's limits in one week. `youngest`: how young the student may still be; None if
    not told.

    `rests`: from all hard swings, for pain while they jump. `hard_swings` by opening day of the
    weeks around; `pains` the days on which something hurt in the last months, each with the
    drill it was told of (None: not said), `hurt` the days of the last fortnight. `asks_first`: a
    coach asks before any hard swings, since something serious hurt in that fortnight, or
    anything while hard swings were done. `events` are the first and last days of competitions,
    and `opens` the week that is spoken of.
    """

    student: UUID
    stops: tuple[Stopped, ...] = ()
    youngest: int | None = None
    hard_swings: Mapping[date, int] = field(default_factory=dict)
    pains: frozenset[tuple[date, UUID | None]] = frozenset()
    hurt: frozenset[date] = frozenset()
    rests: bool = False
    asks_first: bool = False
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

    @property
    def most_hours(self) -> int | None:
        """Of practice that a week may ask of somebody young; None of others. Other sport, which
        would count too, is not known."""
        young = self.youngest is not None and self.youngest < OF_AGE
        return self.youngest if young else None

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
        return _on_both(
            {d for d, of in self.pains if of == drill or (of is None and is_first)}, days
        )

    @property
    def may_ask_first(self) -> bool:
        """Whether pain of some days back could ask for a question that nothing asks yet."""
        asks = self.asks_first or self.rests or any(stop.drill is None for stop in self.stops)
        return not asks and len({day for day, _ in self.pains}) >= DAYS_LOOKED_AT

    def hurt_on(self, days: Sequence[date]) -> bool:
        """Whether something hurt, with whatever drill, on both of the last of these days."""
        return _on_both({day for day, _ in self.pains}, days)

    @property
    def in_short(self) -> str:
        """'no Ladder, rest from hard swings'; '' without any."""
        named = [f"no {stop.what}" for stop in self.stops[:MOST_NAMED]]
        if len(self.stops) > MOST_NAMED:
            named.append(f"{len(self.stops) - MOST_NAMED} more not for now")
        if all(stop.drill for stop in self.stops):
            if self.rests:
                named.append("rest from hard swings")
            elif self.asks_first:
                named.append("ask before hard swings")
        return ", ".join(named)

    def is_too_young(self, least: int | None) -> bool:
        return bool(least) and self.youngest is not None and self.youngest < (least or 0)

    def split(
        self, specs: Iterable[PartSpec], areas: Mapping[UUID, str]
    ) -> tuple[list[PartSpec], list[PartSpec]]:
        """Parts that may be offered, and those that are not for now."""
        return _parted(specs, lambda spec: self.holds(work_of(spec, areas)))

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
        question = self._question(new, specs, areas)
        if question is not None and not in_spite:
            raise question
        return Admitted(_SEAL, self.student, specs)

    def without_stopped(
        self, specs: Sequence[PartSpec], areas: Mapping[UUID, str]
    ) -> tuple[list[PartSpec], list[PartSpec]]:
        """Parts that a coach may still ask, and those that are stopped."""
        return _parted(specs, lambda spec: self.stop_of(work_of(spec, areas)) is not None)

    def question(self, specs: Sequence[PartSpec], areas: Mapping[UUID, str]) -> AskOnce | None:
        """What a coach is asked once before all of these are sent, of what is not stopped."""
        free, _ = self.without_stopped(specs, areas)
        return self._question(free, free, areas)

    def _question(
        self, new: Sequence[PartSpec], specs: Sequence[PartSpec], areas: Mapping[UUID, str]
    ) -> AskOnce | None:
        """Whatever it is together."""
        held = {self.why_not(work_of(spec, areas)) for spec in new}
        beyond = [
            *self._too_many(new, specs, areas),
            *self._no_rest(new, specs),
            *self._too_long(new, specs),
        ]
        if Held.RESTS in held:
            return Rests(beyond)
        return Beyond(beyond) if beyond else None

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

    def _too_long(self, new: Sequence[PartSpec], specs: Sequence[PartSpec]) -> Iterator[str]:
        """Hours that are new, where they are more than somebody so young may be asked."""
        most, asked = self.most_hours, sum(spec.week_minutes for spec in specs) / 60
        if most is not None and new and asked > most:
            hours = ceil(asked * 10) / 10  # Upwards, so that it never reads as many as it may.
            yield f"At this age at most {most} hours of sport a week. This week asks {hours:g}."


def _on_both(told: Set[date], days: Sequence[date]) -> bool:
    return len(days) >= DAYS_LOOKED_AT and told >= set(days[:DAYS_LOOKED_AT])


def _parted(
    specs: Iterable[PartSpec], is_held: Callable[[PartSpec], bool]
) -> tuple[list[PartSpec], list[PartSpec]]:
    free: list[PartSpec] = []
    held: list[PartSpec] = []
    for spec in specs:
        (held if is_held(spec) else free).append(spec)
    return free, held


def _stays(was: PartSpec | None, spec: PartSpec) -> bool:
    if was is None or was.drill != spec.drill or not same_structure(was.dose, spec.dose):
        return False
    pairs = zip(was.dose.steps, spec.dose.steps, strict=True)
    return spec.sessions <= was.sessions and all(new.total <= old.total for old, new in pairs)


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
