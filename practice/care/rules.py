"""When something hurts: what stops, and the words to say. Pure; it never diagnoses.

The thresholds are the product's own duty-of-care rules (common practice, no source):
the tool stops, records, tells the right person and defers.
"""

from collections.abc import Iterable
from dataclasses import dataclass

SERIOUS_LEVEL = 4
GRAVE_LEVEL = 9

# Any of these stops the part, whatever the number.
SIGNS = {
    "sharp": "sharp",
    "spreading": "spreads to another place",
    "tingling": "pins and needles",
    "numb": "numb",
    "weak": "weak or gives way",
    "night": "hurts at night",
    "changes_swing": "it changes my swing",
    "swing": "it changes my swing",  # As phones said it at first.
}
# These are not for a coach at all.
EMERGENCY = {
    "chest": "chest pain",
    "faint": "fainted or nearly",
    "breath": "short of breath at rest",
    "head": "a knock to the head",
    "headache": "sudden very bad headache",
    "feeling": "loss of feeling",
    "vision": "loss of sight",
    "bladder": "loss of bladder control",
}
WORDS_OF_SIGNS = SIGNS | EMERGENCY


@dataclass(frozen=True, slots=True)
class Advice:
    """Fixed shape: when, stop, who. Never a test to do on oneself."""

    when: str
    stop: str
    who: str

    def __str__(self) -> str:
        return f"{self.when} {self.stop} {self.who}"


def is_emergency(level: int, signs: Iterable[str]) -> bool:
    """What is not for a coach alone: nearly the worst pain, or one of the signs that say so.

    The phone says the same without signal (practice/phone/shell/pages.js).
    """
    return level >= GRAVE_LEVEL or any(sign in EMERGENCY or sign == "numb" for sign in signs)


def is_serious(level: int, signs: Iterable[str]) -> bool:
    """Whether the part stops until a coach clears it.

    A sign that this version does not know counts: better one stop too many.
    """
    return level >= SERIOUS_LEVEL or any(sign for sign in signs)


def advice(level: int, signs: Iterable[str], coach: str) -> Advice | None:
    """The words to show for pain as it was told; None where there is none."""
    signs = list(signs)
    if is_emergency(level, signs):
        return Advice(
            "This needs help now.",
            "Stop, and call your local emergency services.",
            "Tell somebody near you.",
        )
    if is_serious(level, signs):
        return Advice(
            "Thank you for saying so.",
            "Stop this part and all hard swings. Nothing is lost.",
            f"{coach} will look. See a doctor if it worries you.",
        )
    if level > 0:
        return Advice(
            "Thank you for saying so.",
            "If it gets worse, stop there. Nothing is lost.",
            f"{coach} can see it.",
        )
    return None


def stopped_words(coach: str) -> str:
    """What stands on a part that has stopped."""
    return f"Stopped because it hurt. Nothing is lost. {coach} will look before you go on."


def sign_words(signs: Iterable[str]) -> list[str]:
    """Signs as a person reads them; one we do not know is shown as it came."""
    return [WORDS_OF_SIGNS.get(sign, sign) for sign in signs]
