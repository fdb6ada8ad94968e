"""Fit a week to a student's days: which session on which day, at which place. Pure.

Hard rules: a session is where its drill can be done and within the minutes of the day;
hard speed work is never on the day of heavy lower-body work nor the day after it, and at
least 48 hours from other hard speed work; nothing hard is within 72 hours before an event;
event days and excused days stay free, and as many days of rest as the student needs; a part
stands once a day, unless it has more sessions than there are days. What the coach fixed
stays where it is, rule or no rule, and what it breaks is said. Within these, as much as
possible is placed, the first parts before the last, and something of each before all of
one; then the same skill is kept off days next to each other, and no day gets much more than
another. House rules, not published ones.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from coaching.planning.milp import Program
from coaching.planning.reasons import conflicts_of, drop_first_of, left_out_of, says_of
from coaching.season.week import (
    DAYS,
    LATER_COST,
    NEXT_DAY_COST,
    UNEVEN_COST,
    Fitted,
    Placed,
    PlannedBlock,
    Task,
    Window,
    even_share,
    most_a_day,
    value_of,
)

SECONDS = 0.7
GAP = 1e-3  # Where the solver may stop.
NEAR_ENOUGH = 0.01  # What still counts as the best.


def fit(task: Task, *, seconds: float | None = SECONDS, gap: float = GAP) -> Fitted:
    """The best plan of the week, or the best found in `seconds` (None: however long it takes).

    Raises
    ------
    Refused
        By `Task`: amounts that nobody can mean.
    """
    fixed = place_fixed(task)
    room = Room.after(task, fixed)
    solved = _Model(task, fixed, room).best(seconds, gap)
    by_hand = fixed + in_turn(task, room)
    placed, is_best = by_hand, False
    if solved is not None:
        found, proven = solved
        is_best = proven is not None and proven <= NEAR_ENOUGH
        if is_best or value_of(task, found) >= value_of(task, by_hand):
            placed = found
    placed = sorted(placed)
    left_out = left_out_of(task, placed)
    fitted = Fitted(
        placed=tuple(placed),
        left_out=tuple(left_out),
        conflicts=tuple(conflicts_of(task, placed)),
        drop_first=drop_first_of(task, left_out, placed),
        value=value_of(task, placed),
        is_best=is_best,
    )
    return replace(fitted, says=says_of(task, fitted))


def place_fixed(task: Task) -> list[Placed]:
    """Sessions on their fixed days, each in the window that suits with the most minutes left."""
    left = {(window.day, window.place): window.minutes for window in task.windows}
    placed = []
    for block in task.blocks:
        for day in sorted(block.fixed):
            suits = [
                window
                for window in task.windows
                if window.day == day and window.place in block.places
            ]
            best = max(suits, key=lambda w: left[w.day, w.place], default=None)
            if best is not None:
                left[best.day, best.place] -= block.minutes
            placed.append(Placed(day, block.key, best.place if best else None, is_fixed=True))
    return placed


@dataclass(slots=True)
class Room:
    """What is left of the week beside some sessions, kept up as more are placed."""

    task: Task
    minutes: dict[Window, float]
    speed_days: set[int] = field(default_factory=set)
    stands: Counter[tuple[str, int]] = field(default_factory=Counter)

    @classmethod
    def after(cls, task: Task, placed: Iterable[Placed]) -> "Room":
        room = cls(task, {window: window.minutes for window in task.windows})
        blocks = {block.key: block for block in task.blocks}
        for session in placed:
            room.take(blocks[session.key], session.day, session.place)
        return room

    def take(self, block: PlannedBlock, day: int, place: object) -> None:
        for window in self.minutes:
            if (window.day, window.place) == (day, place):
                self.minutes[window] -= block.minutes
        self.stands[block.key, day] += 1
        if block.is_speed:
            self.speed_days.add(day)

    def bars(self, block: PlannedBlock, day: int) -> bool:
        """Whether no more of the block may be on this day."""
        near = block.is_speed and {day - 1, day, day + 1} & self.speed_days
        return bool(near or self.task.bars(block, day))

    def leaves_rest(self, day: int) -> bool:
        """Whether enough days stay free with practice on this one."""
        used = {on for (_, on), often in self.stands.items() if often}
        return day in used or len(used) < len(DAYS) - self.task.rest_days

    def has(self, block: PlannedBlock, window: Window) -> bool:
        return (
            self.task.suits(block, window)
            and block.minutes <= self.minutes[window]
            and self.stands[block.key, window.day] < most_a_day(self.task, block)
            and not self.bars(block, window.day)
            and self.leaves_rest(window.day)
        )


def in_turn(task: Task, room: Room) -> list[Placed]:
    """A plan without a solver: one session of each part in turn, on the first day that has room."""
    room = Room(task, dict(room.minutes), set(room.speed_days), Counter(room.stands))
    left = {block.key: block.free for block in task.blocks}
    placed: list[Placed] = []
    for _ in range(max((block.sessions for block in task.blocks), default=0)):
        for block in task.blocks:
            window = next((w for w in task.windows if room.has(block, w)), None)
            if left[block.key] and window is not None:
                room.take(block, window.day, window.place)
                left[block.key] -= 1
                placed.append(Placed(window.day, block.key, window.place))
    return placed


class _Model:
    """The week as a mixed-integer program: how often each block stands in each window."""

    def __init__(self, task: Task, fixed: Sequence[Placed], room: Room) -> None:
        self.task, self.fixed, self.room = task, list(fixed), room
        self.program = Program()
        self.often: dict[tuple[PlannedBlock, Window], int] = {}
        for block in task.blocks:
            self._block(block)
        self._minutes()
        self._speed()
        self._rest()
        self._spacing()
        self._evenness()

    def best(self, seconds: float | None, gap: float) -> tuple[list[Placed], float | None] | None:
        solved = self.program.solve(seconds=seconds, gap=gap)
        if solved is None:
            return None
        free = [
            Placed(window.day, block.key, window.place)
            for (block, window), variable in self.often.items()
            for _ in range(round(solved.values[variable]))
        ]
        return self.fixed + free, solved.gap

    def _block(self, block: PlannedBlock) -> None:
        if block.free <= 0:
            return
        most = most_a_day(self.task, block)
        # The only session of a part brings its first worth with it.
        first = 0.0 if block.fixed else block.first_worth
        worth = block.worth + (first if block.free == 1 else 0.0)
        mine = []
        for window, left in self.room.minutes.items():
            most_here = min(most - self.room.stands[block.key, window.day], block.free)
            most_here = min(most_here, int(max(0.0, left) / block.minutes + 1e-9))
            barred = self.room.bars(block, window.day)
            if most_here <= 0 or barred or not self.task.suits(block, window):
                continue
            gain = worth - LATER_COST * window.day
            variable = self.program.variable(gain, high=most_here)
            self.often[block, window] = variable
            mine.append((variable, window.day))
        if not mine:
            return
        self.program.limit([(variable, 1) for variable, _ in mine], high=block.free)
        for day in DAYS:
            here = [(variable, 1.0) for variable, on in mine if on == day]
            if len(here) > 1:
                limit = most - self.room.stands[block.key, day]
                self.program.limit(here, high=limit)
        if first and block.free > 1:
            some = self.program.variable(first)
            self.program.limit([(some, 1), *((variable, -1) for variable, _ in mine)], high=0)

    def _minutes(self) -> None:
        for window, left in self.room.minutes.items():
            here = [(b, v) for (b, w), v in self.often.items() if w is window]
            terms = [(variable, block.minutes) for block, variable in here]
            if terms:
                self.program.limit(terms, high=left)

    def _speed(self) -> None:
        """At most one session of hard speed work in any two days in a row."""
        speed = [(w.day, variable) for (b, w), variable in self.often.items() if b.is_speed]
        for day in DAYS:
            terms = [(variable, 1.0) for on, variable in speed if on in {day, day + 1}]
            if terms:
                self.program.limit(terms, high=1)

    def _rest(self) -> None:
        """So many days stay free; those that are fixed count as used."""
        if not self.task.rest_days:
            return
        fixed = {session.day for session in self.fixed}
        days: dict[int, int] = {}
        for (_, window), variable in self.often.items():
            if window.day not in fixed:
                day = days.setdefault(window.day, -1)
                if day < 0:
                    day = days[window.day] = self.program.variable()
                high = round(self.program.highs[variable])
                self.program.limit([(variable, 1), (day, -high)], high=0)
        most = max(0, len(DAYS) - self.task.rest_days - len(fixed))
        if days:
            self.program.limit([(day, 1) for day in days.values()], high=most)

    def _spacing(self) -> None:
        """Each pair of days in a row with the same skill costs a little."""
        skills: dict[str, dict[int, list[tuple[int, int]]]] = {}
        for (block, window), variable in self.often.items():
            high = round(self.program.highs[variable])
            days = skills.setdefault(block.skill or block.key, {})
            days.setdefault(window.day, []).append((variable, high))
        stands: dict[str, set[int]] = {}
        blocks = {block.key: block for block in self.task.blocks}
        for session in self.fixed:
            block = blocks[session.key]
            stands.setdefault(block.skill or block.key, set()).add(session.day)
        sessions: Counter[str] = Counter()
        for block in self.task.blocks:
            sessions[block.skill or block.key] += block.sessions
        for skill, days in skills.items():
            if sessions[skill] > 1:
                self._space(days, stands.get(skill, set()))

    def _space(self, days: dict[int, list[tuple[int, int]]], stands: set[int]) -> None:
        on = {}
        for day in sorted(set(days) | stands):
            on[day] = self.program.variable(low=1.0 if day in stands else 0.0)
            for variable, high in days.get(day, ()):
                self.program.limit([(variable, 1), (on[day], -high)], high=0)
        for day, here in on.items():
            if day + 1 in on:
                both = self.program.variable(-NEXT_DAY_COST, whole=False)
                self.program.limit([(here, 1), (on[day + 1], 1), (both, -1)], high=1)

    def _evenness(self) -> None:
        """Minutes of a day beyond an even share cost a little."""
        share = even_share(self.task)
        loads = dict.fromkeys(DAYS, 0.0)
        blocks = {block.key: block for block in self.task.blocks}
        for session in self.fixed:
            loads[session.day] += blocks[session.key].minutes
        for day in DAYS:
            room = [max(0.0, left) for w, left in self.room.minutes.items() if w.day == day]
            most = loads[day] + sum(room)
            terms = [(v, b.minutes) for (b, w), v in self.often.items() if w.day == day]
            if terms:
                over = self.program.variable(-UNEVEN_COST, high=most, whole=False)
                self.program.limit([*terms, (over, -1)], high=share - loads[day])
