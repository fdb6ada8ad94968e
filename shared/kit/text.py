"""Days, counts and lists as a person says them. Figures are rounded so that none flatters."""

import re
import unicodedata
from collections.abc import Iterable, Sequence
from datetime import date
from math import ceil, floor

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
SMALL = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
NEAR_DAYS = {0: "today", 1: "yesterday", -1: "tomorrow"}
EPSILON = 1e-9
NAMED_DAYS = 6  # A day within this many is named by its weekday.


def day_words(day: date, today: date) -> str:
    """'today', 'yesterday', 'tomorrow', 'Tuesday' within six days, else 'Tue 25 Feb'."""
    away = (today - day).days
    if away in NEAR_DAYS:
        return NEAR_DAYS[away]
    if abs(away) <= NAMED_DAYS:
        return WEEKDAYS[day.weekday()]
    return date_words(day)


def weekday_words(day: date, today: date) -> str:
    """'Tuesday' within six days, else 'Tue 25 Feb': right on whichever clock it is read, where
    'today' and 'yesterday' are not."""
    near = abs((today - day).days) <= NAMED_DAYS
    return WEEKDAYS[day.weekday()] if near else date_words(day)


def on_day(day: date, today: date) -> str:
    return f"on {weekday_words(day, today)}"


def date_words(day: date) -> str:
    return f"{WEEKDAYS[day.weekday()][:3]} {day.day} {MONTHS[day.month - 1]}"


def whole_percent(share: float) -> int:
    """A share in percent, rounded down: 100 is never said unless it is all.

    The billionth that floating-point division may lose does not cost a percent.
    """
    return floor(share * 100 + EPSILON)


def number(count: int) -> str:
    return SMALL[count] if 0 <= count < len(SMALL) else str(count)


def many(count: int, one: str) -> str:
    """'two sessions', 'one session'."""
    return f"{number(count)} {one}{'' if count == 1 else 's'}"


def listed(things: Iterable[str]) -> str:
    *most, last = list(things)
    return f"{', '.join(most)} and {last}" if most else last


def capital(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]


def minutes(amount: float) -> int:
    """Minutes to do, of a visit or still, rounded up so that a rest of a minute is not nothing."""
    return ceil(amount - 1e-6)


def in_minutes(amount: float) -> int:
    """Minutes done, asked or usual, rounded down: one rounding on every page."""
    return floor(amount + 1e-6)


def whole_shares(amounts: Sequence[float]) -> list[int]:
    """Each in whole minutes, so that they add up to `in_minutes` of their sum: what rounding
    leaves goes to those that lost most."""
    wholes = [in_minutes(amount) for amount in amounts]
    lost = sorted(range(len(wholes)), key=lambda n: wholes[n] - amounts[n])
    for n in lost[: max(0, in_minutes(sum(amounts)) - sum(wholes))]:
        wholes[n] += 1
    return wholes


def minutes_left(left: float, asked: float) -> int:
    """Minutes still to do of those asked: never more of them than are said to be asked."""
    return max(min(minutes(left), in_minutes(asked)), 1 if left > 0 else 0)


def of_asked(done: int, asked: int) -> str:
    """'2 of 4'; more than was asked is no share of it: '5, 4 asked'. Empty where nothing was."""
    if not asked:
        return ""
    return f"{done} of {asked}" if done <= asked else f"{done}, {asked} asked"


def plain(text: str) -> str:
    """Small letters without accents and signs, so that words can be compared."""
    text = unicodedata.normalize("NFKD", text.replace("ß", "ss"))
    text = "".join(sign for sign in text if not unicodedata.combining(sign))
    return re.sub(r"[\W_]+", " ", text).strip().lower()
