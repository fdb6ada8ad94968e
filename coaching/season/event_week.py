"""The week of an event: what to suggest for it, in words. Pure. House rules, no source."""

from collections.abc import Sequence
from datetime import date, timedelta
from statistics import fmean

from coaching.standing.phrases import date_words
from practice.compliance.load import CEILING, CEILING_UNDER_16, KNOWN_WEEKS

EVENT_SHARE = 0.5  # Of the usual hard swings, and of the minutes of a ramp.


def most_hard_swings(before: Sequence[int], *, under_16: bool) -> int:
    """Hard swings to stay within in an event week: half of the usual of the weeks before.

    With fewer than three known weeks half of the ceiling that holds without a base.

    Examples
    --------
    >>> most_hard_swings([20, 24, 18, 26], under_16=False)
    11
    """
    if len(before) < KNOWN_WEEKS:
        return int((CEILING_UNDER_16 if under_16 else CEILING) * EVENT_SHARE)
    return int(fmean(before) * EVENT_SHARE)


def advice(
    name: str,
    day: date,
    opens: date,
    *,
    planned_hard: int,
    before: Sequence[int],
    under_16: bool,
) -> list[str]:
    """Sentences for the coach about a week with an event in it; none for another week."""
    if not opens <= day <= opens + timedelta(days=6):
        return []
    most = most_hard_swings(before, under_16=under_16)
    words = f"Event week: {name} on {date_words(day)}. At most {most} hard swings"
    words += ", all before the last 72 hours; no new moves, the wedge card first."
    says = [words]
    if planned_hard > most:
        says.append(
            f"{planned_hard} hard swings are planned: a suggestion to take out"
            f" {planned_hard - most} of them."
        )
    return says
