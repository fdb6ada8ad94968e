"""Single values of an entry: what may stand in them, and what to say when it may not.

Written by hand because a framework's fields take more than we mean: true for 1,
"1_000" for a number, a time without its offset.
"""

import re
from collections.abc import Mapping
from datetime import UTC, date, datetime
from typing import Any
from uuid import UUID

MOST_DEPTH = 8
MOST_CHARACTERS = 40_000
LARGEST_NUMBER = 2**53
TOO_LONG = "This entry is too long to be a practice session."
_WORDS = {
    "n": "What was done",
    "c": "The clean ones",
    "e": "Effort",
    "min": "Minutes",
    "t": "Minutes by the clock",
    "g": "Minutes as you said",
    "felt": "How hard it felt",
    "balls": "Balls",
    "hard": "Hard swings",
    "lvl": "How much it hurts",
}
_UUID = re.compile(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}", re.ASCII)
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_INSTANT = re.compile(
    r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(?::\d{2}(?:\.\d{1,6})?)?(?:Z|[+-]\d{2}:\d{2})", re.ASCII
)
_UNSTORABLE = re.compile("[\x00\ud800-\udfff]")


class Refusal(Exception):
    """Why an entry cannot be taken: a reason for the phone and a sentence for its owner.

    `hold` means not now or not from here, so that the phone keeps it and says nothing.
    """

    def __init__(self, reason: str, sentence: str, *, hold: bool = False) -> None:
        super().__init__(sentence)
        self.reason, self.sentence, self.hold = reason, sentence, hold

    @property
    def verdict(self) -> str:
        return "hold" if self.hold else "refused"


def is_storable(words: str) -> bool:
    """Whether both databases can keep this text: no NUL, no half of a surrogate pair."""
    return _UNSTORABLE.search(words) is None


def clean_tree(raw: object) -> None:
    """Refuse whatever a database could not keep or give back, anywhere in the document."""
    words: list[str] = []
    level, depth, room = [raw], 0, MOST_CHARACTERS
    while level:
        deeper: list[Any] = []
        for value in level:
            if isinstance(value, str):
                words.append(value)
            elif isinstance(value, dict):
                words += value  # Keys are text in JSON.
                deeper += value.values()
                room -= len(value)
            elif isinstance(value, list):
                deeper += value
            elif isinstance(value, int | float) and not -LARGEST_NUMBER <= value <= LARGEST_NUMBER:
                raise Refusal("amount", "A number in this entry is beyond all practice.")
        room -= len(level)
        if depth > MOST_DEPTH or room < 0:
            raise Refusal("shape", TOO_LONG)
        level, depth = deeper, depth + 1
    said = "".join(words)
    if len(said) > room:
        raise Refusal("shape", TOO_LONG)
    if not is_storable(said):
        raise Refusal("shape", "The text holds a character that cannot be kept.")


def identity(raw: Mapping[str, Any], key: str, *, reason: str = "shape") -> UUID:
    value = raw.get(key)
    if not isinstance(value, str) or not _UUID.fullmatch(value):
        raise Refusal(reason, f"“{key}” must be an id such as 0190a6c2-….")
    return UUID(value)


def optional_identity(raw: Mapping[str, Any], key: str, *, reason: str) -> UUID | None:
    return None if raw.get(key) is None else identity(raw, key, reason=reason)


def whole(
    raw: Mapping[str, Any],
    key: str,
    *,
    high: int,
    low: int = 0,
    unit: str = "",
    reason: str = "amount",
) -> int | None:
    """A whole number from `low` to `high`, or None where there is none. True is not 1."""
    value = raw.get(key)
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int):
        raise Refusal("shape", f"“{key}” must be a whole number.")
    if not low <= value <= high:
        said = f"{_named(key)} must be from {low} to {high} {unit}"
        raise Refusal(reason, said.rstrip() + ".")
    return value


def number(
    raw: Mapping[str, Any], key: str, *, high: float, unit: str, low: float = 0
) -> float | None:
    value = raw.get(key)
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise Refusal("shape", f"“{key}” must be a number.")
    if not low <= value <= high:  # NaN is in no range.
        raise Refusal("amount", f"{_named(key)} must be from {low:g} to {high:g} {unit}.")
    return float(value)


def _named(key: str) -> str:
    """The field as the student knows it, and as whoever writes to the API does."""
    words = _WORDS.get(key)
    return f"{words} (“{key}”)" if words else f"“{key}”"


def flag(raw: Mapping[str, Any], key: str) -> bool:
    value = raw.get(key)
    if value is not None and not isinstance(value, bool):
        raise Refusal("shape", f"“{key}” must be true or false.")
    return bool(value)


def text(raw: Mapping[str, Any], key: str, longest: int) -> str:
    value = raw.get(key)
    if value is None:
        return ""
    if not isinstance(value, str) or not is_storable(value):
        raise Refusal("shape", f"“{key}” must be plain text.")
    if len(value) > longest:
        raise Refusal("shape", f"“{key}” is too long: keep it to {longest} characters.")
    return value


def items(raw: Mapping[str, Any], key: str, most: int) -> list[Any]:
    value = raw.get(key)
    if value is None:
        return []
    if not isinstance(value, list):
        raise Refusal("shape", f"“{key}” must be a list.")
    if len(value) > most:
        raise Refusal("amount", f"“{key}” holds more than {most}.")
    return value


def one_day(raw: Mapping[str, Any], key: str) -> date:
    value = raw.get(key)
    if isinstance(value, str) and _DAY.fullmatch(value):
        try:
            return date.fromisoformat(value)
        except ValueError:
            pass
    raise Refusal("day", f"“{key}” must be a day of the calendar, as in 2031-02-24.")


def instant(raw: Mapping[str, Any], key: str) -> datetime:
    """A time with its UTC offset; a bare local time is refused, never guessed."""
    moment = instant_or_none(raw.get(key))
    if moment is None:
        raise Refusal("shape", f"“{key}” must be a time with its UTC offset: 2031-02-24T18:30Z.")
    return moment


def instant_or_none(value: object) -> datetime | None:
    if not isinstance(value, str) or not _INSTANT.fullmatch(value):
        return None
    try:
        moment = datetime.fromisoformat(value)
        moment.astimezone(UTC)
    except (ValueError, OverflowError):
        return None
    return moment
