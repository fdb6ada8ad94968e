"""Each reason why work counts as it does, in one sentence that student and coach both read. Pure.

No word blames: it says what was done, what counts of it, and by which rule.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date, timedelta
from math import floor
from typing import Any

from shared.kit.text import whole_percent, whole_shares

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


def _much(value: float, part: Mapping[str, Any]) -> str:
    amount, unit = _amount(value), _unit(part)
    return f"{amount} {unit.removesuffix('s') if amount == '1' else unit}"


def _sessions(value: float) -> str:
    return "once" if value == 1 else f"{_amount(value)} times"


def _added(note: Any, part: Mapping[str, Any], opens: date) -> str:
    return f"Put on the week on {_days(note['days'], opens)}; nothing was expected before that."


def _excused(note: Any, part: Mapping[str, Any], opens: date) -> str:
    days = note["days"]
    asked, before = _sessions(note["counted"]), _sessions(note["done"])
    return f"Excused: {_days(days, opens)}. Asked {asked} instead of {before}."


def _cut(note: Any, part: Mapping[str, Any], opens: date) -> str:
    if note["done"] == note["counted"]:
        return "Made shorter inside the week; the smaller dose is what is asked."
    return (
        f"Asked {_sessions(note['done'])} at first, {_amount(note['counted'])} since. The smaller "
        f"one is asked."
    )


def _kept(note: Any, part: Mapping[str, Any], opens: date) -> str:
    return (
        f"What was done before the change keeps its worth: {_amount(note['done'])} of "
        f"{_sessions(note['counted'])}."
    )


def _stays(note: Any, part: Mapping[str, Any], opens: date) -> str:
    return f"More than that was done, and it keeps its worth: {_sessions(note['done'])}."


def _no_counts(note: Any, part: Mapping[str, Any], opens: date) -> str:
    return (
        f"{_amount(note['done'])} minutes on {_days(note['days'], opens)} came without counts. "
        f"This part is asked in {_unit(part)}: add the count, and it earns its credit."
    )


def _early(note: Any, part: Mapping[str, Any], opens: date) -> str:
    return f"Early start on {_days(note['days'], opens)}: it counts for this week."


def _make_up(note: Any, part: Mapping[str, Any], opens: date) -> str:
    return (
        f"Made up on {_days(note['days'], opens)}, for last week: it counts here and nowhere else."
    )


def _stop_rule(note: Any, part: Mapping[str, Any], opens: date) -> str:
    return f"Ended by the stop rule on {_days(note['days'], opens)}. It counts in full."


def _swap(note: Any, part: Mapping[str, Any], opens: date) -> str:
    return (
        f"{_amount(note['done'])} {_unit(part)} by a swap on {_days(note['days'], opens)}. They "
        f"count in full, once."
    )


def _accepted(note: Any, part: Mapping[str, Any], opens: date) -> str:
    return (
        f"{_much(note['done'], part)} on {_days(note['days'], opens)} by other work "
        f"that the coach accepted."
    )


def _effort(note: Any, part: Mapping[str, Any], opens: date) -> str:
    return (
        f"{_much(note['done'], part)} on {_days(note['days'], opens)} were more than 10 "
        f"points of effort off. That is practice of their own, outside this step."
    )


def _day_line(note: Any, part: Mapping[str, Any], opens: date) -> str:
    return (
        f"{_days(note['days'], opens)}: {_amount(note['counted'])} of {_amount(note['done'])} "
        f"{_unit(part)} count. A day counts one and a half times the dose at most."
    )


def _beyond(note: Any, part: Mapping[str, Any], opens: date) -> str:
    return f"{_more(note, part)}. More is welcome."


def _beyond_hard(note: Any, part: Mapping[str, Any], opens: date) -> str:
    """How much hard work is good is for a coach to weigh."""
    return f"{_more(note, part)}, hard ones among them. Ask the coach before more of these."


def _more(note: Any, part: Mapping[str, Any]) -> str:
    """Of days that count in part only, what counts of them is told from."""
    is_cut = any(other["kind"] == "day_line" for other in part["notes"])
    counting = "Of those that count, " if is_cut else ""
    much = _much(note["done"], part) if note["done"] >= 1 else "a little"
    said = f"{counting}{much} more than was asked"
    return said[0].upper() + said[1:]


def _one_step(note: Any, part: Mapping[str, Any], opens: date) -> str:
    labels = [part["steps"][index]["label"] for index in note["days"]]
    *most, last = labels
    steps = f"{', '.join(most)} and {last}" if most else last
    return f"They do not fill {steps}."


def _not_counted(note: Any, part: Mapping[str, Any], opens: date) -> str:
    return (
        f"Logged for {_days(note['days'], opens)}, before this week was sent or after it. It does "
        f"not count here."
    )


def _pooled(note: Any, part: Mapping[str, Any], opens: date) -> str:
    return f"Halves add up: {_amount(note['done'])} days count as {_sessions(note['counted'])}."


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
    "stays": _stays,
    "no_counts": _no_counts,
    "effort": _effort,
    "day_line": _day_line,
    "beyond": _beyond,
    "beyond_hard": _beyond_hard,
    "one_step": _one_step,
    "not_counted": _not_counted,
    "pooled": _pooled,
}


# --- when it was done --------------------------------------------------------------------------


def spread_words(
    minutes: Sequence[float], planned: Sequence[float], opens: date, today: date
) -> str:
    """The week's minutes by day, beside the days the plan leaned on; '' without any.

    Of days that have not come nothing is said.
    """
    if sum(minutes) <= 0:
        return ""
    days = [
        f"{WEEKDAYS[(opens + timedelta(days=n)).weekday()]} {whole}"
        for n, whole in enumerate(whole_shares(minutes))
        if opens + timedelta(days=n) <= today
    ]
    by_day = " · ".join(days)
    if opens + timedelta(days=6) > today:
        return f"Minutes by day: {by_day}"
    done = sum(m > 0 for m in minutes)
    last = whole_percent(sum(minutes[-2:]) / sum(minutes))
    plan = whole_percent(sum(planned[-2:]) / sum(planned)) if sum(planned) > 0 else None
    beside = "" if plan is None else f", where the plan had {plan} %"
    return f"Minutes by day: {by_day} · {done} of 7 days · the last two had {last} %{beside}"
