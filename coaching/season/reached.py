"""Whether a target of the season is reached, and the figure that says so. Pure.

House rule, not a published one: everyday speed is the mean that the speed book names; of clean
reps there are enough when the ladder has a word for the step.
"""

from collections.abc import Mapping

from coaching.season.models import Measure, Priority
from practice.numbers.now.values import Numbers
from shared.kit import units

QUANTITY = {Measure.BALL_SPEED: "ball_speed", Measure.CLUB_SPEED: "club_speed"}
TOO_FEW = "too few"
Steps = Mapping[int, tuple[str, int, int]]


def reached_words(priority: Priority, numbers: Numbers, steps: Steps, speed_unit: str) -> str:
    """'Reached: 153.8 mph over 14 test days.'; empty while it is not, or cannot be told.

    `steps`: word, clean and reps by felt effort, of the drill's ladder.
    """
    if priority.value is None:
        return ""
    if priority.measure in QUANTITY:
        return _speed(Measure(priority.measure), priority.value, numbers, speed_unit)
    if priority.measure == Measure.CLEAN and priority.effort is not None:
        return _clean(priority.value, steps.get(priority.effort))
    return ""


def _speed(measure: Measure, value: float, numbers: Numbers, unit: str) -> str:
    speed = numbers.speed
    if speed is None or speed.quantity != QUANTITY[measure] or speed.now < value:
        return ""
    return f"Reached: {units.speed(speed.now, unit)} over {speed.days} test days."


def _clean(value: float, step: tuple[str, int, int] | None) -> str:
    if step is None or step[0] == TOO_FEW:
        return ""
    _, clean, reps = step
    return f"Reached: {clean} of {reps} clean." if 100 * clean >= value * reps else ""
