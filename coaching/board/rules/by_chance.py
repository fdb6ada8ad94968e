"""How many of the flags that stand are likely to be chance: over all students and verdicts.

Each verdict is wrong at a stated rate, tried by simulation (`manage.py evaluate_claims`,
tests/board/rules/test_trend.py). Many students looked at every week make some flags of
chance alone, however careful each verdict is.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from coaching.board.rules.facts import Facts
from coaching.board.rules.news import speed_down, speed_up
from coaching.board.rules.trend import Word
from shared.kit.text import capital, number

# Of those whose practice stays, told of a slide in any one week at most.
SLIDE = 0.05
# Of those whose test stays, told that it moved in a year of weekly looks at most.
MOVED = 0.05
# Of those whose drill works, ever told that it does not at most.
DRILL = 0.10


@dataclass(frozen=True, slots=True)
class ByChance:
    """Flags that stand now, and how many chance alone would make."""

    flags: int
    expected: float

    @property
    def words(self) -> str:
        """'About one of these six signs is likely to be chance.' Empty without a flag."""
        if not self.flags:
            return ""
        chance = min(round(self.expected), self.flags)
        if self.flags == 1:
            return "One line rests on a trend or a test. That can be chance."
        lines = f"{capital(number(self.flags))} lines rest on a trend or a test."
        if not chance:
            return f"{lines} Fewer than one is likely to be chance."
        return f"{lines} About {number(chance)} may be chance."


class Looked(NamedTuple):
    """What one student was looked at for, and whether a flag stands."""

    # None: too few weeks, no test.
    slides: bool | None
    moved: bool | None
    drill: bool

    @property
    def is_flagged(self) -> bool:
        return bool(self.slides or self.moved or self.drill)


def looked_at(facts: Facts) -> Looked:
    """For a slide with six known weeks, for a move where speed was tested, for a drill where
    one is questioned."""
    numbers, today = facts.numbers, facts.today
    moved = numbers.speed and (speed_up(numbers, today) or speed_down(numbers, today))
    return Looked(
        slides=None if facts.trend.p is None else facts.trend.word is Word.SLIDE,
        moved=None if numbers.speed is None else moved is not None,
        drill=facts.drill is not None,
    )


def by_chance(students: Iterable[Looked]) -> ByChance:
    """Of all students of a board."""
    flags, expected = 0, 0.0
    for each in students:
        expected += SLIDE * (each.slides is not None) + MOVED * (each.moved is not None)
        expected += DRILL * each.drill
        flags += bool(each.slides) + bool(each.moved) + each.drill
    return ByChance(flags, expected)
