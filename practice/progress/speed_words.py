"""Words that every page of the speed book shares: speeds, lines, verdicts, what they stand on."""

from dataclasses import dataclass

from practice.measures.answers import TooLittle
from practice.progress import said
from practice.progress.speed_book import SpeedLine
from practice.progress.speed_read import Line
from shared.units import SPEED

QUANTITY_WORDS = {"ball_speed": "ball speed", "club_speed": "club speed"}


@dataclass(frozen=True, slots=True)
class Reader:
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

    def bare(self, speed: float, places: int = 1) -> str:
        """Without its sign, with a real minus."""
        return f"{SPEED[self.unit].from_si(speed):.{places}f}".replace("-", "−")

    def speed(self, speed: float, places: int = 1) -> str:
        return f"{self.bare(speed, places)} {self.sign}"

    def signed(self, speed: float, places: int = 1) -> str:
        words = self.bare(abs(speed), places)
        return f"{'−' if speed < 0 else '+'}{words}"


def title_of(line: Line) -> str:
    return f"{said.sentence(QUANTITY_WORDS[line.quantity])}, {line.club or 'club not noted'}"


def where_of(line: Line) -> str:
    parts = [part for part in (line.device, line.ball, line.place, line.roof) if part]
    return ", ".join(parts) or "device and place not noted"


def verdict_words(line: SpeedLine) -> str:
    """'Up, held', 'Level', 'Too soon to say'."""
    if (held := line.held) is not None:
        return f"{held.verdict}, held"
    if isinstance(line.change, TooLittle):
        return "Too soon to say"
    level = line.change.verdict == "Level"
    return str(line.change.verdict) if level else f"{line.change.verdict}, not held yet"


def basis_of(line: SpeedLine) -> str:
    if line.evidence is None:
        return "No test day counts here yet: each needs six swings, written within 48 hours."
    swings = sum(len(each.swings) for each in line.days)
    return (
        f"{said.sentence(line.evidence.words)}; {said.many(len(line.days), 'test day')}, "
        f"{said.many(swings, 'swing')}."
    )
