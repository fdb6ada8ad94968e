"""Reading what was measured ball by ball in a block: SI numbers, a sentence for each refusal."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from practice.log.fields import Refusal, flag, items, number, text, whole
from practice.log.shot_figures import FIGURES, LENGTHS, MOST_BALLS, smash_fault

NAME_LENGTH = 60
CLUB_LENGTH = 20


@dataclass(frozen=True, slots=True)
class LoggedBall:
    """One ball. Metres and metres a second; None was not measured; `side` is + to the right."""

    club: str
    length: str
    target: float | None
    effort: int | None
    carry: float | None
    total: float | None
    side: float | None
    ball_speed: float | None
    club_speed: float | None


@dataclass(frozen=True, slots=True)
class Measured:
    """The balls of one block in the order they were hit, and what they were measured with."""

    device: str
    ball: str
    place: str
    indoors: bool | None
    balls: tuple[LoggedBall, ...]


def read_shots(raw: Mapping[str, Any]) -> Measured | None:
    """What stands under `shots` of a block; None where the block says nothing of it.

    Raises Refusal, which names the ball.
    """
    said = raw.get("shots")
    if said is None:
        return None
    if not isinstance(said, Mapping):
        raise Refusal("shape", "The shots of a block are a JSON object.")
    balls = items(said, "balls", MOST_BALLS)
    return Measured(
        device=text(said, "device", NAME_LENGTH).strip(),
        ball=text(said, "ball", NAME_LENGTH).strip(),
        place=text(said, "place", NAME_LENGTH).strip(),
        indoors=None if said.get("indoors") is None else flag(said, "indoors"),
        balls=tuple(_ball(ball, place) for place, ball in enumerate(balls, 1)),
    )


def _ball(raw: object, place: int) -> LoggedBall:
    try:
        return _read_ball(raw)
    except Refusal as refusal:
        raise Refusal(refusal.reason, f"Ball {place}: {refusal.sentence}") from refusal


def _read_ball(raw: object) -> LoggedBall:
    if not isinstance(raw, Mapping):
        raise Refusal("shape", "a ball is a JSON object.")
    figures = {
        name: number(raw, name, low=limit.low, high=limit.high, unit=limit.unit)
        for name, limit in FIGURES.items()
    }
    measured = {name: value for name, value in figures.items() if name != "target"}
    if all(value is None for value in measured.values()):
        raise Refusal("amount", "there is no number for it. Type one, or take the ball back.")
    if fault := smash_fault(figures["ball_speed"], figures["club_speed"]):
        raise Refusal("amount", fault)
    length = text(raw, "length", 5)
    if length not in ("", *LENGTHS):
        raise Refusal("shape", f"the length of the swing is one of: {', '.join(LENGTHS)}.")
    return LoggedBall(
        club=text(raw, "club", CLUB_LENGTH).strip(),
        length=length,
        effort=whole(raw, "effort", high=100, unit="percent effort"),
        **figures,
    )
