"""A dose: how much of a drill, at what effort, in which order. Text in, text out.

12@40, 9@60, 6@80, 3@95          a ladder: reps at a felt effort in percent
10@50, 8@70, 6@90, back 10@50    … and its return set
3x8                              three sets of eight reps
20 balls    8 min    3x5@max     balls, minutes, as hard as you can
2 rounds: 10@50, 8@70            the whole of it twice
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

MOST = 999
MOST_STEPS = 12
HARD_EFFORT = 90


class DoseUnit(StrEnum):
    REPS = "reps"
    BALLS = "balls"
    MINUTES = "min"


@dataclass(frozen=True, slots=True)
class Step:
    """`sets` times `amount` of a unit at a felt effort (percent, None if it does not matter)."""

    amount: int
    unit: DoseUnit = DoseUnit.REPS
    sets: int = 1
    effort: int | None = None
    as_hard_as_you_can: bool = False
    is_return: bool = False

    @property
    def total(self) -> int:
        """Reps, balls or minutes of one round of this step."""
        return self.sets * self.amount

    @property
    def is_hard(self) -> bool:
        return self.effort is not None and self.effort >= HARD_EFFORT

    def __str__(self) -> str:
        text = "back " if self.is_return else ""
        text += f"{self.sets}x{self.amount}" if self.sets > 1 else str(self.amount)
        if self.unit is not DoseUnit.REPS:
            text += f" {self.unit}"
        if self.as_hard_as_you_can:
            return text + "@max"
        return text if self.effort is None else f"{text}@{self.effort}"


@dataclass(frozen=True, slots=True)
class Dose:
    """One session's work at a drill. Totals are of a whole session, all rounds."""

    steps: tuple[Step, ...]
    rounds: int = 1

    def __str__(self) -> str:
        text = ", ".join(str(step) for step in self.steps)
        return f"{self.rounds} rounds: {text}" if self.rounds > 1 else text

    @property
    def reps(self) -> int:
        """Reps and balls; a ball struck is a rep."""
        return self._sum(step.total for step in self.steps if step.unit is not DoseUnit.MINUTES)

    @property
    def hard_reps(self) -> int:
        """What is counted of it and hard; for what limits count see `practice.drills.hard`."""
        return self._sum(
            step.total for step in self.steps if step.is_hard and step.unit is not DoseUnit.MINUTES
        )

    @property
    def timed_minutes(self) -> int:
        return self._sum(step.total for step in self.steps if step.unit is DoseUnit.MINUTES)

    def minutes(self, seconds_per_rep: float) -> float:
        """How long it takes at this pace, to half a minute."""
        exact = self.timed_minutes + self.reps * seconds_per_rep / 60
        return max(0.5, round(exact * 2) / 2)

    def _sum(self, amounts: Iterable[int]) -> int:
        return self.rounds * sum(amounts)


class DoseError(ValueError):
    """Points at the word that cannot be read: text[start:end]."""

    def __init__(self, message: str, text: str, start: int, end: int) -> None:
        super().__init__(message)
        self.message, self.text, self.start, self.end = message, text, start, end

    @property
    def word(self) -> str:
        return self.text[self.start : self.end]


_ROUNDS = re.compile(r"\s*(\d+)\s+rounds?\s*:?\s*(?:of\s+)?", re.IGNORECASE | re.ASCII)
_STEP = re.compile(
    r"(?P<back>back\s+)?(?:(?P<sets>\d+)\s*[x×]\s*)?(?P<amount>\d+)"
    r"\s*(?P<unit>balls?|reps?|minutes?|mins?)?\s*(?:@\s*(?P<effort>\d+|max|full)\s*%?)?",
    re.IGNORECASE | re.ASCII,
)
_UNITS = {"b": DoseUnit.BALLS, "r": DoseUnit.REPS, "m": DoseUnit.MINUTES}
_EXAMPLE = "Write steps with commas between them, such as 10@50, 3x8 or 20 balls."


def parse(text: str) -> Dose:
    """Read a dose from its one-line text.

    Raises DoseError, which names the word at fault and where it stands.
    """
    rounds, start = _rounds(text)
    steps: list[Step] = []
    for match in re.finditer(r"[^,;]+", text[start:]):
        begin = start + match.start() + len(match[0]) - len(match[0].lstrip())
        word = match[0].strip()
        if word and len(steps) == MOST_STEPS:
            raise DoseError(f"At most {MOST_STEPS} steps in one dose.", text, begin, len(text))
        if word:
            steps.append(_step(text, word, begin))
    if not steps:
        raise DoseError(f"The dose is empty. {_EXAMPLE}", text, 0, len(text))
    return Dose(tuple(steps), rounds)


def _rounds(text: str) -> tuple[int, int]:
    match = _ROUNDS.match(text)
    if not match:
        return 1, 0
    rounds = _whole(match[1])
    if not 1 <= rounds <= 20:
        raise DoseError("Ask for 1 to 20 rounds.", text, match.start(1), match.end(1))
    return rounds, match.end()


def _step(text: str, word: str, begin: int) -> Step:
    match = _STEP.match(word)
    if match is None:
        raise _unreadable(text, word, 0, begin)
    if rest := word[match.end() :].lstrip():
        raise _unreadable(text, word, len(word) - len(rest), begin)
    sets = _number(text, match, "sets", begin) if match["sets"] else 1
    amount = _number(text, match, "amount", begin)
    if sets * amount > MOST:
        end = begin + len(word)
        raise DoseError(f"At most {MOST} of anything in one step.", text, begin, end)
    effort, hardest = _effort(text, match, begin)
    unit = _UNITS[match["unit"][0].lower()] if match["unit"] else DoseUnit.REPS
    return Step(amount, unit, sets, effort, hardest, bool(match["back"]))


def _unreadable(text: str, step: str, at: int, begin: int) -> DoseError:
    """The error for the word of `step` that has the character at `at` in it."""
    first = max((space.end() for space in re.finditer(r"\s+", step[:at])), default=0)
    word = step[first:].split(maxsplit=1)[0]
    message = f"“{_shown(word)}” cannot be read here. {_EXAMPLE}"
    return DoseError(message, text, begin + first, begin + first + len(word))


def _shown(word: str) -> str:
    """The word as a sentence can carry it: not ten thousand letters of it."""
    return word if len(word) <= 30 else word[:29] + "…"


def _whole(digits: str) -> int:
    """The number, or one past all limits: Python refuses to read very long ones."""
    significant = digits.lstrip("0")
    return int(significant or "0") if len(significant) <= 4 else MOST + 1


def _number(text: str, match: re.Match[str], name: str, begin: int) -> int:
    number = _whole(match[name])
    if not 1 <= number <= MOST:
        start, end = begin + match.start(name), begin + match.end(name)
        shown = _shown(match[name])
        raise DoseError(f"“{shown}” must be from 1 to {MOST}.", text, start, end)
    return number


def _effort(text: str, match: re.Match[str], begin: int) -> tuple[int | None, bool]:
    word = match["effort"]
    if word is None:
        return None, False
    if not word.isdigit():
        return 100, word.lower() == "max"
    effort = _whole(word)
    if not 10 <= effort <= 100:
        start, end = begin + match.start("effort"), begin + match.end("effort")
        shown = _shown(word)
        raise DoseError(f"Effort “{shown}” must be from 10 to 100 percent.", text, start, end)
    return effort, False
