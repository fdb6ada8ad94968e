"""The week of an event: what to suggest for what is planned in it, in words. Pure."""

from collections.abc import Sequence
from datetime import date, timedelta

from practice.care.limits import most_hard_swings


def advice(
    day: date, opens: date, *, planned_hard: int, before: Sequence[int], under_16: bool
) -> list[str]:
    """A sentence for the coach about a week with an event in it that asks too much."""
    if not opens <= day <= opens + timedelta(days=6):
        return []
    most = most_hard_swings(before, under_16=under_16)
    if planned_hard <= most:
        return []
    over = planned_hard - most
    return [f"{planned_hard} hard swings are planned: a suggestion to take out {over} of them."]
