"""Words that every page of the speed book shares: speeds, lines, verdicts, what they stand on."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from practice.measures.answers import TooLittle
from practice.numbers.kit import text as said
from practice.numbers.speed.book import SpeedLine
from practice.numbers.speed.queries import JoinedLine
from shared.kit.units import SPEED

if TYPE_CHECKING:
    from practice.measures.claim import Claim

QUANTITY_WORDS = {"ball_speed": "ball speed", "club_speed": "club speed"}
GROWING = "Speed changes with growing: up or down is neither good nor bad news."
# What the run rules of practice.measures.chart say, for a reader.
SIGNAL_WORDS = {
    "one session beyond three sigma": "far off the other days",
    "six sessions steadily rising or falling": "the end of six days all up or all down",
}


@dataclass(frozen=True, slots=True)
class SpeedReader:
    """Who reads: their unit, and about whom. `name` is empty for the student themself."""

    unit: str
    name: str
    is_minor: bool

    @property
    def sign(self) -> str:
        return SPEED[self.unit].sign

    @property
    def whose(self) -> str:
        return f"{self.name}'s" if self.name else "your"

    def in_unit(self, speed: float) -> float:
        return SPEED[self.unit].from_si(speed)

    def bare(self, speed: float, places: int = 1) -> str:
        """Without its sign, with a real minus."""
        return f"{self.in_unit(speed):.{places}f}".replace("-", "−")

    def speed(self, speed: float, places: int = 1) -> str:
        return f"{self.bare(speed, places)} {self.sign}"

    def signed(self, speed: float, places: int = 1) -> str:
        words = self.bare(abs(speed), places)
        return f"{'−' if speed < 0 else '+'}{words}"


def title_of(line: JoinedLine) -> str:
    return f"{said.sentence(QUANTITY_WORDS[line.quantity])}, {line.club or 'club not noted'}"


def where_of(line: JoinedLine) -> str:
    parts = [part for part in (line.device, line.ball, line.place, line.roof) if part]
    return ", ".join(parts) or "device and place not noted"


def verdict_words(line: SpeedLine) -> str:
    """'Up, held', 'Did not move', 'Cannot tell yet: about 4 more test days'."""
    if isinstance(line.claim, TooLittle):
        return "Too soon to say"
    word = word_of(line.claim)
    return f"{word}, held" if word in {"Up", "Down"} else word


def word_of(claim: "Claim") -> str:
    """Up, Down, Did not move, or how much longer it takes to tell."""
    if claim.better or claim.worse:
        return "Up" if claim.value > 0 else "Down"
    return said.sentence(said.answer(claim))


def basis_of(line: SpeedLine) -> str:
    if line.evidence is None:
        return "No test day counts here yet: each needs six swings, written within 48 hours."
    swings = sum(len(each.swings) for each in line.days)
    return (
        f"{said.sentence(line.evidence.words)}; {said.many(len(line.days), 'test day')}, "
        f"{said.many(swings, 'swing')}."
    )
