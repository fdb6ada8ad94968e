"""Who has gone quiet, and who writes it all up on one day of the week.

Both compare a student with their own habit. The numbers are our own choice.
"""

import math
from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from coaching.forecast.thresholds import DEFAULTS, Thresholds

HABIT_DAYS = 42
ENTRIES_LOOKED_AT = 20
ENTRIES_NEEDED = 8
LATE_DAYS = 2
LATE_SHARE = 0.5
ONE_WEEKDAY_SHARE = 0.75


@dataclass(frozen=True, slots=True)
class Written:
    """The practice day of an entry, and the practice day on which it was written."""

    day: date
    on: date


@dataclass(frozen=True, slots=True)
class NoWordSpell:
    """How long there has been no entry, against the student's own habit."""

    days: int
    since: date
    quiet_from: int
    shortest_gap: int | None
    longest_gap: int | None

    @property
    def is_no_word(self) -> bool:
        return self.days >= self.quiet_from


def quiet_from(gaps: Iterable[int], borders: Thresholds = DEFAULTS) -> int:
    """From how many days without an entry on somebody with these gaps is called quiet."""
    return max(borders.quiet_days, math.ceil(borders.quiet_times * max(gaps, default=0) - 1e-9))


def silence(
    written_on: Collection[date],
    today: date,
    *,
    excused: Collection[date] = (),
    start: date,
    borders: Thresholds = DEFAULTS,
) -> NoWordSpell:
    """Days since the last entry, with the student's usual gaps of the last six weeks.

    Excused days count neither as silence nor as a gap. Without any entry the
    silence runs from `start`, the day on which something was first asked.
    """
    since_when = today - timedelta(days=HABIT_DAYS)
    days = sorted({day for day in written_on if since_when <= day <= today})
    gaps = [_open_days(a, b, excused) for a, b in pairwise(days)]
    last = max((day for day in written_on if day <= today), default=start)
    return NoWordSpell(
        days=max(0, _open_days(last, today, excused)),
        since=last,
        quiet_from=quiet_from(gaps, borders),
        shortest_gap=min(gaps, default=None),
        longest_gap=max(gaps, default=None),
    )


def _open_days(first: date, last: date, excused: Collection[date]) -> int:
    return (last - first).days - sum(first < day <= last for day in excused)


def logs_later(entries: Sequence[Written]) -> int | None:
    """Return the weekday (0 is Monday) on which this student writes the week up, if one does.

    Of the last twenty entries, at least eight, half or more were written two days
    or more after the practice, and three quarters or more on one weekday.
    """
    last = sorted(entries, key=lambda entry: (entry.on, entry.day))[-ENTRIES_LOOKED_AT:]
    if len(last) < ENTRIES_NEEDED:
        return None
    late = sum((entry.on - entry.day).days >= LATE_DAYS for entry in last)
    weekday, times = Counter(entry.on.weekday() for entry in last).most_common(1)[0]
    if late / len(last) >= LATE_SHARE and times / len(last) >= ONE_WEEKDAY_SHARE:
        return weekday
    return None
