"""Whether this installation lives, and whether its ticker still ticks.

Apps that tick say when they last did by adding to `last_ticks`; this module knows
none of them.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from django.db import DatabaseError, connection
from django.utils import timezone

STALE_SECONDS = 300

last_ticks: list[Callable[[], datetime | None]] = []


@dataclass(frozen=True, slots=True)
class Health:
    """What /health/ready answers. `tick_seconds` is None when there never was a tick."""

    database: bool
    tick_seconds: int | None

    @property
    def ticking(self) -> bool:
        # A tick far in the future means that the clock was set back since: just as stale.
        return self.tick_seconds is not None and abs(self.tick_seconds) <= STALE_SECONDS

    @property
    def ready(self) -> bool:
        return self.database and self.ticking

    @property
    def words(self) -> str:
        if not self.database:
            return "The database does not answer."
        if self.tick_seconds is None:
            return "The reminders have never run: is the worker running?"
        if not self.ticking:
            return f"The reminders stand still: they last ran {self.tick_seconds} s ago."
        return f"The reminders ran {self.tick_seconds} s ago."


def check() -> Health:
    """Look now. One query for the database and one for each ticker."""
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
        ticks = [tick() for tick in last_ticks]
    except DatabaseError:
        return Health(database=False, tick_seconds=None)
    return Health(database=True, tick_seconds=_oldest(ticks))


def _oldest(ticks: list[datetime | None]) -> int | None:
    now = timezone.now()
    ages = [int((now - tick).total_seconds()) for tick in ticks if tick is not None]
    return max(ages, key=abs) if ages and len(ages) == len(ticks) else None
