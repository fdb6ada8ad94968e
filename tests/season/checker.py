"""The hard rules of a planned week, checked afresh: shares no code with the planner."""

from collections import defaultdict


def broken_rules(task, fitted):
    """Every rule that the plan breaks, as sentences; an empty list for a sound plan."""
    blocks = {block.key: block for block in task.blocks}
    return [
        *_misplaced(task, fitted, blocks),
        *_overfull(task, fitted, blocks),
        *_miscounted(fitted, blocks),
        *_crammed(task, fitted, blocks),
        *_too_near(fitted, blocks),
        *_restless(task, fitted),
    ]


def _misplaced(task, fitted, blocks):
    there = {(w.day, w.place) for w in task.windows}
    for s in fitted.placed:
        block = blocks[s.key]
        if s.is_fixed:
            continue
        if s.day in task.closed or s.day in task.events:
            yield f"{s.key} stands on a closed day {s.day}"
        if s.place not in block.places or (s.day, s.place) not in there:
            yield f"{s.key} stands at {s.place} on {s.day}"
        if block.is_speed and s.day in _barred(task):
            yield f"{s.key} stands on {s.day}, barred for speed"
        if (block.is_hard or block.is_speed) and any(0 < e - s.day < 4 for e in task.events):
            yield f"{s.key} stands on {s.day}, less than 72 hours before an event"


def _overfull(task, fitted, blocks):
    """Where what is fixed takes too much already, nothing more may come."""
    minutes = {(w.day, w.place): w.minutes for w in task.windows}
    used, fixed = defaultdict(float), defaultdict(float)
    for s in fitted.placed:
        if s.place is not None:
            used[s.day, s.place] += blocks[s.key].minutes
            fixed[s.day, s.place] += blocks[s.key].minutes if s.is_fixed else 0
    for key, taken in used.items():
        if taken > max(minutes[key], fixed[key]) + 1e-6:
            yield f"{key} holds {taken} of {minutes[key]} minutes"


def _miscounted(fitted, blocks):
    for key, block in blocks.items():
        mine = [s for s in fitted.placed if s.key == key]
        left = sum(out.sessions for out in fitted.left_out if out.key == key)
        if len(mine) + left != block.sessions:
            yield f"{key}: {len(mine)} placed, {left} named, {block.sessions} asked"
        if sorted(s.day for s in mine if s.is_fixed) != sorted(block.fixed):
            yield f"{key} was moved from its fixed days"


def _crammed(task, fitted, blocks):
    per_day = defaultdict(list)
    for s in fitted.placed:
        per_day[s.key, s.day].append(s)
    for (key, day), here in per_day.items():
        if len(here) > 1 and blocks[key].sessions <= _days(task, blocks[key]):
            yield f"{key} is crammed {len(here)} times into {day}"


def _too_near(fitted, blocks):
    speed = [s for s in fitted.placed if blocks[s.key].is_speed]
    for s in speed:
        if not s.is_fixed and sum(abs(other.day - s.day) < 2 for other in speed) > 1:
            yield f"speed on {s.day} is less than 48 hours from other speed work"


def _restless(task, fitted):
    fixed = {s.day for s in fitted.placed if s.is_fixed}
    used = {s.day for s in fitted.placed}
    if len(used) > max(7 - task.rest_days, len(fixed)):
        yield f"{len(used)} days of practice leave fewer than {task.rest_days} of rest"


def _barred(task):
    barred = set(task.heavy_legs) | {day + 1 for day in task.heavy_legs}
    barred |= {0} if task.speed_before else set()
    return barred | ({6} if task.speed_after else set())


def _days(task, block):
    days = {
        w.day
        for w in task.windows
        if w.place in block.places
        and w.minutes >= block.minutes
        and w.day not in task.closed
        and w.day not in task.events
    }
    return len(days | set(block.fixed))
