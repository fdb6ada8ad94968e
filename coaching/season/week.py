"""A week to be planned, and a plan of it, as values. Pure.

Days are offsets from the day the week opens: 0 to 6; -1 is the day before.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

from practice.weeks.places import EVERYWHERE, DayPlace
from shared.kit.refused import Refused
from shared.kit.weeks import DAY_NAMES

DAYS = range(7)
DAYS_BEFORE_EVENT = 3  # Without a hard swing: the limits say 72 hours.
MOST_SESSIONS = 80
MOST_MINUTES = 600.0
# What a minute of the first, second and third part is worth, and of the others; every
# session has its worth beside that, and the first of a part is worth as much again:
# something of everything before all of one thing. Only their order is meant (house rule).
MINUTE_WORTH = (4.0, 3.0, 2.0, 1.0)
SESSION_WORTH = 10.0
# What spreading is worth: never as much as a session.
NEXT_DAY_COST = 0.2
UNEVEN_COST = 0.01
LATER_COST = 0.001


@dataclass(frozen=True, slots=True)
class Window:
    """Minutes that the student has on one day at one place."""

    day: int
    place: DayPlace
    minutes: float


@dataclass(frozen=True, slots=True)
class PlannedBlock:
    """Sessions of one part: `sessions` times `minutes`, some of them fixed to days.

    `worth` is of each session, `first_worth` comes once on top; `skill` names what is
    trained, so that it is spaced also where two parts train the same.
    """

    key: str
    name: str
    minutes: float
    sessions: int = 1
    places: frozenset[DayPlace] = EVERYWHERE
    worth: float = 1.0
    first_worth: float = 0.0
    skill: str = ""
    is_speed: bool = False
    is_hard: bool = False
    fixed: tuple[int, ...] = ()

    @property
    def free(self) -> int:
        """Sessions that the planner may place."""
        return self.sessions - len(self.fixed)


@dataclass(frozen=True, slots=True)
class Task:
    """A week: who has when how long, what is to be placed, and what stands in the way.

    `heavy_legs` are days of heavy lower-body work, from -1; `events` are days of events,
    up to 9; `closed` are excused days. `speed_before` and `speed_after`: hard speed work
    on the day before the week opens, and on the day after it closes. At least `rest_days`
    of the week stay free of practice.
    """

    windows: tuple[Window, ...]
    blocks: tuple[PlannedBlock, ...]
    heavy_legs: frozenset[int] = frozenset()
    events: frozenset[int] = frozenset()
    closed: frozenset[int] = frozenset()
    speed_before: bool = False
    speed_after: bool = False
    rest_days: int = 0
    day_names: tuple[str, ...] = DAY_NAMES

    def __post_init__(self) -> None:
        _check(self)

    def suits(self, block: PlannedBlock, window: Window) -> bool:
        """Whether one session of the block could be there at all: place, length, open day."""
        return (
            window.place in block.places
            and block.minutes <= window.minutes
            and self.is_open(window.day)
        )

    def is_open(self, day: int) -> bool:
        return day not in self.closed and day not in self.events

    def bars(self, block: PlannedBlock, day: int) -> str:
        """Why the block may not be on this day; empty if it may."""
        if (block.is_hard or block.is_speed) and self.is_before_event(day):
            return "an event within 72 hours"
        return self._bars_speed(day) if block.is_speed else ""

    def is_before_event(self, day: int) -> bool:
        return any(day < event <= day + DAYS_BEFORE_EVENT for event in self.events)

    def _bars_speed(self, day: int) -> str:
        if day in self.heavy_legs:
            return "heavy legs that day"
        if day - 1 in self.heavy_legs:
            return "heavy legs the day before"
        if (day == 0 and self.speed_before) or (day == 6 and self.speed_after):
            return "hard speed work less than 48 hours away"
        return ""


def _check(task: Task) -> None:
    if sum(block.sessions for block in task.blocks) > MOST_SESSIONS:
        raise Refused(f"At most {MOST_SESSIONS} places in one week; ask for fewer visits.")
    if len({block.key for block in task.blocks}) < len(task.blocks):
        raise Refused("Every part needs a key of its own.")
    for window in task.windows:
        if window.day not in DAYS or not 0 <= window.minutes <= MOST_MINUTES:
            raise Refused(f"A day of the week has from 0 to {MOST_MINUTES:g} minutes.")
    if len({(window.day, window.place) for window in task.windows}) < len(task.windows):
        raise Refused("Each place stands once for each day.")
    for block in task.blocks:
        if not 0 < block.minutes <= MOST_MINUTES:
            raise Refused(f"“{block.name}” takes from half a minute to {MOST_MINUTES:g} minutes.")
        if len(block.fixed) > block.sessions or len(set(block.fixed)) < len(block.fixed):
            raise Refused(f"“{block.name}” has more fixed days than visits.")
        if not set(block.fixed) <= set(DAYS) or block.worth <= 0 or block.first_worth < 0:
            raise Refused(f"“{block.name}” cannot be planned as it stands.")


@dataclass(frozen=True, slots=True, order=True)
class Placed:
    """One session: which block on which day and where. No place: its day has none that suits."""

    day: int
    key: str
    place: DayPlace | None = None
    is_fixed: bool = False


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Sessions of one part that cannot be fitted, and why, day by day."""

    key: str
    name: str
    sessions: int
    why: str


@dataclass(frozen=True, slots=True)
class Fitted:
    """A plan of the week. `value` is what the planner made as great as it could.

    `is_best`: proven to be within one percent of the best there is; if not, it is the
    best found in the time allowed. `conflicts` are sentences about what was fixed.
    """

    placed: tuple[Placed, ...]
    left_out: tuple[LeftOut, ...]
    conflicts: tuple[str, ...]
    drop_first: str
    value: float
    is_best: bool
    says: tuple[str, ...] = field(default=())

    def days_of(self, key: str) -> tuple[int, ...]:
        return tuple(sorted({placed.day for placed in self.placed if placed.key == key}))

    def places_of(self, key: str) -> tuple[tuple[int, str], ...]:
        """(day, place) of the block's sessions; of two on one day the first."""
        found = {p.day: str(p.place) for p in reversed(self.placed) if p.key == key and p.place}
        return tuple(sorted(found.items()))


def worths(priorities: Iterable[tuple[int, float]]) -> list[tuple[float, float]]:
    """(worth, first_worth) of each part from its (priority from 1, minutes of a session)."""
    found = []
    for priority, minutes in priorities:
        each = SESSION_WORTH + minutes * MINUTE_WORTH[min(priority, len(MINUTE_WORTH)) - 1]
        found.append((each, each))
    return found


# --- what a plan is worth: the same sum the solver is given ------------------------------


def most_a_day(task: Task, block: PlannedBlock) -> int:
    """How often a part may stand on one day: once, unless there are more sessions than days."""
    days = {w.day for w in task.windows if task.suits(block, w)} | set(block.fixed)
    return max(1, -(-block.sessions // max(1, len(days))))


def even_share(task: Task) -> float:
    """Minutes a day if all of the week were spread evenly over the days there are."""
    days = {w.day for w in task.windows if task.is_open(w.day) and w.minutes > 0}
    asked = sum(block.sessions * block.minutes for block in task.blocks)
    return asked / max(1, len(days))


def value_of(task: Task, placed: Iterable[Placed]) -> float:
    """Worth of what is placed, less what crowding costs."""
    blocks = {block.key: block for block in task.blocks}
    value, seen = 0.0, set()
    skills: dict[str, set[int]] = {}
    loads = dict.fromkeys(DAYS, 0.0)
    for session in placed:
        block = blocks[session.key]
        value += block.worth + (0 if block.key in seen else block.first_worth)
        value -= 0 if session.is_fixed else LATER_COST * session.day
        seen.add(block.key)
        skills.setdefault(block.skill or block.key, set()).add(session.day)
        loads[session.day] += block.minutes
    share = even_share(task)
    value -= UNEVEN_COST * sum(max(0.0, load - share) for load in loads.values())
    pairs = sum(day + 1 in days for days in skills.values() for day in days)
    return value - NEXT_DAY_COST * pairs
