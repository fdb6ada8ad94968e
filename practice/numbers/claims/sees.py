"""What a test can see, said before a block begins: the smallest change it would call real."""

from math import ceil

from practice.measures.usual import UsualPrior
from practice.numbers.kit import text as said
from shared.kit.units import SPEED

DAYS = (6, 12)  # Test days of a block, those of the start among them.
MORE = 2  # Times as many tries a day, for comparison.


def counts_see(test: str, tries: int, usual: UsualPrior) -> str:
    """Of a test that is counted. `tries`: scored on one test day, at least one.

    'Its test, Ladder check, of 10 tries: 6 test days see a change of 69 points of 100, 12 see
    59. With 20 tries 12 see 51.' Of half the tries clean, where a share swings most.
    """
    from practice.measures.claim import seen_by

    few, many = (_points(seen_by(days, tries, usual.reps)) for days in DAYS)
    double = _points(seen_by(DAYS[-1], MORE * tries, usual.reps))
    words = (
        f"Its test, {test}, of {said.many(tries, 'try', 'tries')}: {DAYS[0]} test days see a "
        f"change of {few} points of 100, {DAYS[1]} see {many}. "
        f"With {MORE * tries} tries {DAYS[1]} see {double}."
    )
    # Both are one day's work at most: ten tries, spread over the days there are, or a day more.
    another, ten_more = (
        seen_by(DAYS[0] + 1, tries, usual.reps),
        seen_by(DAYS[0], ceil(tries + 10 / DAYS[0]), usual.reps),
    )
    return f"{words} Another day tells more than ten more tries." if another < ten_more else words


def speeds_see(test: str, quantity: str, unit: str, usual: UsualPrior) -> str:
    """Of a test of speed, in the reader's unit."""
    from practice.measures.change import BASELINE_DAYS
    from practice.measures.claim import seen_by

    days = usual.of_speed(quantity)
    # One figure a day: its balls are in it already.
    few, many = (
        SPEED[unit].from_si(seen_by(n, MANY, days, variance=1.0, start=BASELINE_DAYS)) for n in DAYS
    )
    sign = SPEED[unit].sign
    return (
        f"Its test, {test}: {DAYS[0]} test days see a change of {said.at_most(few)} {sign}, "
        f"{DAYS[1]} see {said.at_most(many)}."
    )


MANY = 10**9


def _points(share: float) -> int:
    return min(100, ceil(100 * share))
