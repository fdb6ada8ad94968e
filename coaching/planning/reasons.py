"""Why something cannot be fitted, what was fixed against a rule, and what to drop first. Pure."""

from collections.abc import Iterable, Sequence
from itertools import pairwise

from coaching.season.week import DAYS, Fitted, LeftOut, Placed, PlannedBlock, Task, most_a_day
from practice.weeks.places import in_words

FULL = "the minutes are full"
PLACE = "not at a place for it"
SHORT = "too short"
TAKEN = "it stands there already"
NO_TIME = "no time that day"
AWAY = "excused"
EVENT = "an event"
REST = "a day of rest"
SPEED = "hard speed work less than 48 hours away"


def left_out_of(task: Task, placed: Sequence[Placed]) -> list[LeftOut]:
    """Every part with sessions that found no place, in the order of the week."""
    found = []
    for block in task.blocks:
        missing = block.sessions - sum(session.key == block.key for session in placed)
        if missing > 0:
            found.append(LeftOut(block.key, block.name, missing, why(task, block, placed)))
    return found


def why(task: Task, block: PlannedBlock, placed: Sequence[Placed]) -> str:
    """One sentence on why no further session of the block has a place."""
    here = [w for w in task.windows if w.place in block.places and w.minutes > 0]
    if not any(w.minutes > 0 for w in task.windows):
        return "no days are told yet, or none has minutes"
    if not here:
        return f"it needs {in_words(block.places)}, and none of the days is there"
    longest = max(w.minutes for w in here)
    if longest < block.minutes:
        return f"it takes {block.minutes:g} minutes, and the longest day for it has {longest:g}"
    days: dict[str, list[int]] = {}
    for day in DAYS:
        days.setdefault(_bar(task, block, placed, day), []).append(day)
    listed = {reason: ", ".join(task.day_names[d] for d in found) for reason, found in days.items()}
    return "; ".join(f"{names}: {reason}" for reason, names in listed.items())


def _bar(task: Task, block: PlannedBlock, placed: Sequence[Placed], day: int) -> str:
    """What keeps one more session of the block off this day."""
    if day in task.closed or day in task.events:
        return AWAY if day in task.closed else EVENT
    return (
        _no_window(task, block, day) or _rule(task, block, placed, day) or _rest(task, placed, day)
    )


def _no_window(task: Task, block: PlannedBlock, day: int) -> str:
    windows = [w for w in task.windows if w.day == day and w.minutes > 0]
    if not windows:
        return NO_TIME
    windows = [w for w in windows if w.place in block.places]
    if not windows:
        return PLACE
    return SHORT if max(w.minutes for w in windows) < block.minutes else ""


def _rule(task: Task, block: PlannedBlock, placed: Sequence[Placed], day: int) -> str:
    stands = sum(session.key == block.key and session.day == day for session in placed)
    if stands >= most_a_day(task, block):
        return TAKEN
    near = _speed_near(task, placed, day) if block.is_speed else ""
    return task.bars(block, day) or near


def _rest(task: Task, placed: Sequence[Placed], day: int) -> str:
    """A day of rest, where enough others are used; else its minutes are full."""
    used = {session.day for session in placed}
    return REST if day not in used and len(used) >= len(DAYS) - task.rest_days else FULL


def _speed_near(task: Task, placed: Sequence[Placed], day: int) -> str:
    speed = {block.key for block in task.blocks if block.is_speed}
    near = any(s.key in speed and abs(s.day - day) <= 1 for s in placed)
    return SPEED if near else ""


def conflicts_of(task: Task, placed: Sequence[Placed]) -> list[str]:
    """What is fixed against a rule. It stays where it is; the coach decides."""
    blocks = {block.key: block for block in task.blocks}
    fixed = [(session, blocks[session.key]) for session in placed if session.is_fixed]
    says = []
    for session, block in fixed:
        day, name = task.day_names[session.day], f"“{block.name}”"
        if session.day in task.closed:
            says.append(f"{name} is fixed to {day}, which is excused.")
        elif session.day in task.events:
            says.append(f"{name} is fixed to {day}, the day of an event.")
        elif session.place is None:
            there = any(w.day == session.day and w.minutes > 0 for w in task.windows)
            lack = f"no {in_words(block.places)} that day" if there else "no time is told that day"
            says.append(f"{name} is fixed to {day}: {lack}.")
        if reason := task.bars(block, session.day):
            says.append(f"{name} is fixed to {day}: {reason}.")
    says += [*_too_near(task, fixed), *_no_rest(task, fixed)]
    return says + _too_full(task, fixed)


def _no_rest(task: Task, fixed: Iterable[tuple[Placed, PlannedBlock]]) -> list[str]:
    days, most = {session.day for session, _ in fixed}, len(DAYS) - task.rest_days
    if len(days) <= most:
        return []
    return [f"Practice is fixed to {len(days)} days. At most {most} leave enough days of rest."]


def _too_near(task: Task, fixed: Iterable[tuple[Placed, PlannedBlock]]) -> list[str]:
    days = sorted(session.day for session, block in fixed if block.is_speed)
    pairs = pairwise(days)
    return [
        f"Hard speed work is fixed to {task.day_names[one]} and {task.day_names[two]},"
        " less than 48 hours apart."
        for one, two in pairs
        if two - one < 2
    ]


def _too_full(task: Task, fixed: Iterable[tuple[Placed, PlannedBlock]]) -> list[str]:
    fixed = list(fixed)
    says = []
    for window in task.windows:
        here = [b for s, b in fixed if (s.day, s.place) == (window.day, window.place)]
        asked = sum(block.minutes for block in here)
        if asked > window.minutes:
            says.append(
                f"What is fixed to {task.day_names[window.day]} takes {asked:g} minutes; there are"
                f" {window.minutes:g}."
            )
    return says


def drop_first_of(task: Task, left_out: Sequence[LeftOut], placed: Sequence[Placed]) -> str:
    """The name of the part to drop or shorten first; empty if that would make no room.

    The last in order that is short of minutes itself, or that takes minutes where a part
    short of them could be. The first part never goes while there is another: the order
    is the coach's word for what matters.
    """
    short = {left.key for left in left_out if FULL in left.why}
    blocks = {block.key: block for block in task.blocks}
    wanted = {
        (window.day, window.place)
        for window in task.windows
        if any(task.suits(blocks[key], window) for key in short)
    }
    helps = short | {session.key for session in placed if (session.day, session.place) in wanted}
    names = [block.name for block in task.blocks if short and block.key in helps]
    return names[-1] if names else ""


def says_of(task: Task, fitted: Fitted) -> tuple[str, ...]:
    """The plan in sentences: what fits, what does not and why, what to drop first."""
    asked = sum(block.sessions for block in task.blocks)
    says = []
    if not fitted.left_out:
        says.append("Every part fits, each as often as asked." if asked != 1 else "The part fits.")
    for left in fitted.left_out:
        times = "once" if left.sessions == 1 else f"{left.sessions} times"
        says.append(f"“{left.name}” does not fit {times}: {left.why}.")
    if fitted.left_out and (over := _over(task)) > 0:
        says.append(f"The week asks {over:g} minutes more than the days have.")
    if fitted.drop_first:
        says.append(f"To drop or shorten first: “{fitted.drop_first}”, the last in order.")
    says += fitted.conflicts
    if not fitted.is_best:
        says.append("This is the best found so far. There may be a better one.")
    return tuple(says)


def _over(task: Task) -> float:
    asked = sum(block.sessions * block.minutes for block in task.blocks)
    return asked - sum(w.minutes for w in task.windows if task.is_open(w.day))
