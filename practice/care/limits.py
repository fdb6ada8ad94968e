"""What a student may not do now. Pure: one answer, asked by whatever chooses, copies or sends work.

The thresholds are the product's own duty-of-care rules (common practice, no source). It
limits and defers; it never diagnoses.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from statistics import fmean
from uuid import UUID

from practice.care.load import CEILING, CEILING_UNDER_16, KNOWN_WEEKS, Load, load_jump
from practice.drills.dose import Dose
from practice.weeks.plan import PartSpec, same_structure
from shared.kit.refused import Refused

SPEED = "speed"  # The area of practice whose every swing is as hard as one can.
EVENT_SHARE = 0.5  # Of the usual hard swings, and of the minutes of a ramp.
HURT_DAYS = 14
LOAD_WEEKS = 4
DAYS_LOOKED_AT = 2
MOST_NAMED = 2  # Of what is stopped, in short.


def is_hard(dose: Dose | None, area: str = "") -> bool:
    """Whether a session asks for hard work: a step at 90 percent or more, timed or counted,
    or anything of the area speed.
    """
    return area == SPEED or (dose is not None and any(step.is_hard for step in dose.steps))


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


@dataclass(frozen=True, slots=True)
class Limits:
    """One student's limits. `youngest`: how young the student may still be; None if not told.

    `rests`: from all hard swings, for pain while they jump. `hard_swings` by opening day of the
    weeks around; `pains` the days on which something hurt in the last months, each with the
    drill it was told of (None: not said), `hurt` the days of the last fortnight.
    """

    student: UUID
    stops: tuple[Stopped, ...] = ()
    youngest: int | None = None
    hard_swings: Mapping[date, int] = field(default_factory=dict)
    pains: frozenset[tuple[date, UUID | None]] = frozenset()
    hurt: frozenset[date] = frozenset()
    rests: bool = False

    def stop_of(self, work: Work) -> Stopped | None:
        """The stop that bears on this work, the drill's own before that of all hard work."""
        standing = [stop for stop in self.stops if covers(stop.drill, work)]
        return min(standing, key=lambda stop: stop.drill is None, default=None)

    def holds(self, work: Work) -> bool:
        """Whether nothing may offer this work: it is stopped, or hard while the student rests."""
        return self.stop_of(work) is not None or (self.rests and is_hard(work.dose, work.area))

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

    def admit(
        self,
        specs: Iterable[PartSpec],
        areas: Mapping[UUID, str],
        standing: Iterable[PartSpec] = (),
        *,
        in_spite: bool = False,
    ) -> "Admitted":
        """The parts as something that may be sent. Raises Refused for one that is stopped, and
        Rests for a hard one while the student rests, unless a coach has said `in_spite`.

        A stopped part of a week that was sent (`standing`) may stay in it as it is, or
        smaller: the phone keeps it locked. So may a hard one.
        """
        specs = tuple(specs)
        before = {spec.id: spec for spec in standing}
        for spec in specs:
            work = work_of(spec, areas)
            if not self.holds(work) or _stays(before.get(spec.id), spec):
                continue
            stop = self.stop_of(work)
            if stop is not None:
                raise Refused(refusal(stop))
            if not in_spite:
                raise Rests
        return Admitted(_SEAL, self.student, specs)


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


class Rests(Refused):
    """Hard swings asked of a student who rests from them: a coach may still say so."""

    def __init__(self) -> None:
        super().__init__(
            "These days are a rest from hard swings. Take them out, or say that you ask for them"
            " all the same."
        )


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


# --- hard swings -----------------------------------------------------------------------


def most_hard_swings(before: Sequence[int], *, under_16: bool) -> int:
    """Hard swings to stay within in an event week: half of the usual of the weeks before.

    With fewer than three known weeks half of the ceiling that holds without a base. Under 16
    never above the ceiling of any week.

    Examples
    --------
    >>> most_hard_swings([20, 24, 18, 26], under_16=False)
    11
    """
    if len(before) < KNOWN_WEEKS:
        return int((CEILING_UNDER_16 if under_16 else CEILING) * EVENT_SHARE)
    most = int(fmean(before) * EVENT_SHARE)
    return min(most, CEILING_UNDER_16) if under_16 else most


def before_week(swings: Mapping[date, int], opens: date) -> list[int]:
    """Hard swings of the weeks before the one that opens then, as far as known; latest first."""
    weeks = (opens - timedelta(weeks=n) for n in range(1, LOAD_WEEKS + 1))
    return [swings[week] for week in weeks if week in swings]


def rests(now: int, before: Sequence[int], *, hurt: bool, under_16: bool) -> bool:
    """Whether to rest from hard swings: pain in the last fourteen days while they jump.

    `now` and `before` are hard swings of this week and of the weeks before it.
    """
    found = load_jump(before, now, under_16=under_16).load
    return hurt and found in {Load.JUMP, Load.NO_BASE_OVER}
