"""What a test can see, said before a block begins: the smallest change it would call real."""

from collections.abc import Iterable
from math import ceil

from practice.drills.dose import DoseError, parse
from practice.drills.models import Area, Drill, DrillRevision
from practice.measures.usual import UsualPrior
from practice.numbers.kit import text as said
from shared.kit.text import capital, number
from shared.kit.units import SPEED

DAYS = (5, 10)  # Test days of a block, those of the start among them.
MORE = 2  # Times as many tries a day, for comparison.


def what_it_sees(test: DrillRevision | None, speed_unit: str, usual: UsualPrior) -> str:
    """What this test can see; empty for none, and for one that is neither counted nor of speed."""
    if test is None or test.targets:
        return ""
    if test.area == Area.SPEED:
        return speeds_see(test.name, "ball_speed", speed_unit, usual)
    try:
        tries = parse(test.dose).reps
    except DoseError:
        return ""
    return counts_see(test.name, tries, usual) if tries else ""


def tests_see(
    drills: Iterable[Drill], speed_unit: str, usual: UsualPrior
) -> tuple[tuple[str, str], ...]:
    """(drill, what its test can see) of those whose test can see something."""
    pairs = ((str(each), each.tested_by) for each in drills)
    said_of = (
        (name, what_it_sees(test.current, speed_unit, usual)) for name, test in pairs if test
    )
    return tuple((name, words) for name, words in said_of if words)


def counts_see(test: str, tries: int, usual: UsualPrior) -> str:
    """Of a test that is counted. `tries`: scored on one test day, at least one.

    'Its test, Ladder check, has 10 tries a day. Five test days see a change of 72 of 100,
    ten see 62. With 20 tries a day ten see 54.' Of half the tries clean, where a share
    swings most.
    """
    from practice.measures.claim import seen_by

    few, many = (_points(seen_by(days, tries, usual.reps)) for days in DAYS)
    double = _points(seen_by(DAYS[-1], MORE * tries, usual.reps))
    first, last = map(number, DAYS)
    words = (
        f"Its test, {test}, has {said.many(tries, 'try', 'tries')} a day. "
        f"{capital(first)} test days see a change of {few} of 100, {last} see {many}. "
        f"With {MORE * tries} tries a day {last} see {double}."
    )
    # Both are one day's work at most: ten tries, spread over the days there are, or a day more.
    another, ten_more = (
        seen_by(DAYS[0] + 1, tries, usual.reps),
        seen_by(DAYS[0], ceil(tries + 10 / DAYS[0]), usual.reps),
    )
    return f"{words} Another day tells more than ten more tries." if another < ten_more else words


def speeds_see(test: str, quantity: str, unit: str, usual: UsualPrior) -> str:
    """Of a test of speed, in the reader's unit.

    'Its test is Full speed. Five test days see a change of 8.9 mph, ten see 6.7.'
    """
    from practice.measures.change import BASELINE_DAYS
    from practice.measures.claim import seen_by

    days = usual.of_speed(quantity)
    # One figure a day: its balls are in it already.
    few, many = (
        SPEED[unit].from_si(seen_by(n, MANY, days, variance=1.0, start=BASELINE_DAYS)) for n in DAYS
    )
    first, last = map(number, DAYS)
    return (
        f"Its test is {test}. {capital(first)} test days see a change of {said.at_most(few)} "
        f"{SPEED[unit].sign}, {last} see {said.at_most(many)}."
    )


MANY = 10**9


def _points(share: float) -> int:
    return min(100, ceil(100 * share))
