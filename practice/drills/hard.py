"""What of a dose is hard, and how many hard swings it is. Pure.

Work by the clock has no count of its own. So that it passes no ceiling unseen, each minute of it
counts as a swing in ten seconds: the pace of a rehearsal, the fastest that this house writes beside
a drill (common practice, no source). Who swings more slowly is held back a little too soon.
"""

from collections.abc import Iterable, Sequence

from practice.drills.dose import HARD_EFFORT, Dose, DoseUnit, Step

SPEED = "speed"  # The area of practice whose every swing is as hard as one can.
SWINGS_A_MINUTE = 6


def is_hard(dose: Dose | None, area: str = "") -> bool:
    """Whether a session asks for hard work: a step at 90 percent or more, timed or counted,
    or anything of the area speed.
    """
    return area == SPEED or (dose is not None and any(step.is_hard for step in dose.steps))


def counts(step: Step, area: str) -> bool:
    """Whether the step is hard: of the area speed also one that names no effort."""
    return step.is_hard or (area == SPEED and step.effort is None)


def hard_swings(dose: Dose, area: str = "") -> int:
    """Of one visit.

    Examples
    --------
    >>> from practice.drills.dose import parse
    >>> hard_swings(parse("10@50, 6@95")), hard_swings(parse("8 min@95"))
    (6, 48)
    """
    return dose.rounds * sum(_swings(step) for step in dose.steps if counts(step, area))


def hard_swings_done(
    done: Iterable[tuple[int, int | None]], asked: Sequence[Step], area: str = ""
) -> int:
    """Of what was done: (count, felt effort) of each step, beside the steps that were asked.

    A step of which no effort was felt is as hard as it was asked, and counts as it would be asked.

    Examples
    --------
    >>> from practice.drills.dose import parse
    >>> hard_swings_done([(10, None), (5, 80)], parse("10@95, 6@95").steps)
    10
    >>> hard_swings_done([(4, None)], parse("8 min@95").steps)
    24
    """
    swings = 0
    for place, (count, felt) in enumerate(done):
        ask = asked[place] if place < len(asked) else None
        effort = felt if felt is not None else ask.effort if ask else None
        if area == SPEED if effort is None else effort >= HARD_EFFORT:
            swings += count * _pace(ask)
    return swings


def hard_minutes(dose: Dose, area: str = "") -> int:
    """Those of one visit that go by the clock, and are counted by the minute."""
    timed = (step for step in dose.steps if step.unit is DoseUnit.MINUTES)
    return dose.rounds * sum(step.total for step in timed if counts(step, area))


def _swings(step: Step) -> int:
    return step.total * _pace(step)


def _pace(step: Step | None) -> int:
    """How many swings one of what the step counts stands for."""
    return SWINGS_A_MINUTE if step is not None and step.unit is DoseUnit.MINUTES else 1
