"""Each reason why work counts as it does, in one sentence that student and coach both read. Pure.

No word blames: it says what was done, what counts of it, and by which rule.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date, timedelta
from math import floor
from typing import Any

from practice.compliance.credit import whole_percent

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def sentences(part: Mapping[str, Any], opens: date) -> list[str]:
    """Of one part of a tally (practice.compliance.reckoned.PartTally), in order."""
    return [_SENTENCE[note["kind"]](note, part, opens) for note in part.get("notes", [])]


def _days(days: Iterable[int], opens: date) -> str:
    *most, last = [_day(opens + timedelta(days=day)) for day in days]
    return f"{', '.join(most)} and {last}" if most else last


def _day(day: date) -> str:
    return f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]}"


def _amount(value: float) -> str:
    """To a tenth, rounded down."""
    return f"{floor(value * 10 + 1e-6) / 10:g}"


def _unit(part: Mapping[str, Any]) -> str:
    units = {step["unit"] for step in part["steps"]}
    return units.pop() if len(units) == 1 else "reps and minutes"


def _sessions(value: float) -> str:
    return f"{_amount(value)} session{'' if value == 1 else 's'}"


def _added(note: Any, part: Mapping[str, Any], opens: date) -> str:
    return f"Put on the week on {_days(note['days'], opens)}; nothing was expected before that."


def _excused(note: Any, part: Mapping[str, Any], opens: date) -> str:
    days = note["days"]
    rest = f"{_sessions(note['done'])} × {7 - len(days)} / 7, a half rounded up"
    return f"Excused: {_days(days, opens)}. {_sessions(note['counted'])} asked: {rest}."


def _cut(note: Any, part: Mapping[str, Any], opens: date) -> str:
    if note["done"] == note["counted"]:
        return "Made shorter inside the week; the smaller dose is what is asked."
    return (
        f"{_sessions(note['done'])} asked at first, {_amount(note['counted'])} since it was "
        "changed; the smaller is what is asked."
    )


def _kept(note: Any, part: Mapping[str, Any], opens: date) -> str:
    return (
        f"What was done before the change keeps its worth: {_amount(note['done'])} of "
        f"{_sessions(note['counted'])}."
    )


def _early(note: Any, part: Mapping[str, Any], opens: date) -> str:
    return f"Early start on {_days(note['days'], opens)}: it counts for this week."


def _make_up(note: Any, part: Mapping[str, Any], opens: date) -> str:
    return (
        f"Made up on {_days(note['days'], opens)}, for last week: it counts here and nowhere else."
    )


def _stop_rule(note: Any, part: Mapping[str, Any], opens: date) -> str:
    return f"Ended by the stop rule on {_days(note['days'], opens)}: a whole session."


def _swap(note: Any, part: Mapping[str, Any], opens: date) -> str:
    return (
        f"{_amount(note['done'])} {_unit(part)} by a listed swap on {_days(note['days'], opens)}: "
        "they count in full, once."
    )


def _accepted(note: Any, part: Mapping[str, Any], opens: date) -> str:
    return (
        f"{_amount(note['done'])} {_unit(part)} on {_days(note['days'], opens)} by other work "
        "that the coach has accepted for this part."
    )


def _effort(note: Any, part: Mapping[str, Any], opens: date) -> str:
    return (
        f"{_amount(note['done'])} {_unit(part)} on {_days(note['days'], opens)} were more than 10 "
        "points of effort away from what was asked: practice, and no credit for this step."
    )


def _day_line(note: Any, part: Mapping[str, Any], opens: date) -> str:
    return (
        f"{_days(note['days'], opens)}: {_amount(note['counted'])} of {_amount(note['done'])} "
        f"{_unit(part)} count; a day earns at most one and a half sessions of a step."
    )


def _beyond(note: Any, part: Mapping[str, Any], opens: date) -> str:
    return f"{_amount(note['done'])} {_unit(part)} beyond what was asked: practice, no credit."


def _one_step(note: Any, part: Mapping[str, Any], opens: date) -> str:
    labels = [part["steps"][index]["label"] for index in note["days"]]
    *most, last = labels
    steps = f"{', '.join(most)} and {last}" if most else last
    return f"They do not fill {steps}."


def _not_counted(note: Any, part: Mapping[str, Any], opens: date) -> str:
    return (
        f"Logged for {_days(note['days'], opens)}, when this week was not yet sent or was over: "
        "practice, and no credit."
    )


def _pooled(note: Any, part: Mapping[str, Any], opens: date) -> str:
    return (
        f"Parts of sessions add up: {_amount(note['done'])} days make {_sessions(note['counted'])}."
    )


Sentence = Callable[[Any, Mapping[str, Any], date], str]
_SENTENCE: dict[str, Sentence] = {
    "added": _added,
    "excused": _excused,
    "cut": _cut,
    "kept": _kept,
    "early": _early,
    "make_up": _make_up,
    "stop_rule": _stop_rule,
    "swap": _swap,
    "accepted": _accepted,
    "effort": _effort,
    "day_line": _day_line,
    "beyond": _beyond,
    "one_step": _one_step,
    "not_counted": _not_counted,
    "pooled": _pooled,
}


# --- when it was done --------------------------------------------------------------------------


def spread_words(minutes: Sequence[float], planned: Sequence[float], opens: date) -> str:
    """The week's minutes by day, beside the days the plan leaned on; '' without any."""
    if sum(minutes) <= 0:
        return ""
    days = [
        f"{WEEKDAYS[(opens + timedelta(days=n)).weekday()]} {_amount(m)}"
        for n, m in enumerate(minutes)
    ]
    done = sum(m > 0 for m in minutes)
    last = whole_percent(sum(minutes[-2:]) / sum(minutes))
    plan = whole_percent(sum(planned[-2:]) / sum(planned)) if sum(planned) > 0 else None
    beside = "" if plan is None else f"; the plan had {plan} % there"
    return (
        f"Minutes by day: {', '.join(days)}. {done} of 7 days; "
        f"{last} % in the last two days of the week{beside}."
    )
