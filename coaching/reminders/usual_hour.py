"""When somebody mostly starts to practise, and the reminder's hour that follows from it. Pure."""

from collections.abc import Sequence
from datetime import time
from statistics import median

from coaching.reminders.due import QUIET_FROM, QUIET_UNTIL
from shared.kit.weeks import TURNOVER

# All of it our choice: fewer times say nothing, and a reminder is of use a little before.
NEEDED = 5
AHEAD, STEP = 30, 15  # Minutes.
DAY_TURNS = TURNOVER.seconds // 60  # Practice after midnight belongs to the evening before.


def usual_start(starts: Sequence[time]) -> time | None:
    """The middle one of these times of day, or nothing where they are too few."""
    if len(starts) < NEEDED:
        return None
    since = [(each.hour * 60 + each.minute - DAY_TURNS) % 1440 for each in starts]
    return _clock(round(median(since)) + DAY_TURNS)


def hour_before(start: time) -> time:
    """A quarter of an hour of the clock, half an hour before, and never in the quiet hours."""
    minutes = (start.hour * 60 + start.minute - AHEAD) // STEP * STEP
    if start.hour * 60 + start.minute < DAY_TURNS:
        return _last()
    return min(max(_clock(minutes), QUIET_UNTIL), _last())


def _last() -> time:
    return _clock(QUIET_FROM.hour * 60 - STEP)


def _clock(minutes: int) -> time:
    return time(minutes // 60 % 24, minutes % 60)
