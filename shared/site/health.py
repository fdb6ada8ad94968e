"""Whether this installation lives, and whether its ticker still ticks.

Apps that tick add the name of their sweep to `tickers`; this module knows none of them.
"""

import logging
import shutil
from dataclasses import dataclass
from datetime import datetime

from django.conf import settings
from django.db import DatabaseError
from django.utils import timezone

from shared.jobs.sweep import last_ends
from shared.site.database_trouble import UNMIGRATED, trouble_of

log = logging.getLogger(__name__)
STALE_SECONDS = 300
LEAST_FREE = 50 * 1024 * 1024

tickers: list[str] = []


@dataclass(frozen=True, slots=True)
class Health:
    """What /health/ready answers. `tick_seconds` is None when there never was a tick."""

    database: bool
    tick_seconds: int | None
    free_bytes: int = LEAST_FREE
    is_migrated: bool = True

    @property
    def has_room(self) -> bool:
        return self.free_bytes >= LEAST_FREE

    @property
    def ticking(self) -> bool:
        # A tick far in the future means that the clock was set back since: just as stale.
        return self.tick_seconds is not None and abs(self.tick_seconds) <= STALE_SECONDS

    @property
    def ready(self) -> bool:
        return self.database and self.has_room and self.ticking

    @property
    def words(self) -> str:
        if not self.database:
            return "The database does not answer." if self.is_migrated else UNMIGRATED.words
        if not self.has_room:
            return f"The disk is nearly full: {self.free_bytes // 1024} kB are free for the data."
        if self.tick_seconds is None:
            return "The reminders have never run: is the worker running?"
        if self.tick_seconds < -STALE_SECONDS:
            return f"The clock was set back: the reminders ran {-self.tick_seconds} s from now."
        if not self.ticking:
            return f"The reminders stand still: they last ran {self.tick_seconds} s ago."
        return f"The reminders ran {self.tick_seconds} s ago."


def check() -> Health:
    """Look now. One query, which says that the database answers too."""
    try:
        ended = last_ends(tickers)
    except DatabaseError as error:
        is_migrated = trouble_of(error) is not UNMIGRATED
        log.warning("the database does not answer: %s", error)
        return Health(False, None, free_bytes(), is_migrated)
    return Health(
        database=True,
        tick_seconds=_oldest([ended.get(name) for name in tickers]),
        free_bytes=free_bytes(),
    )


def free_bytes() -> int:
    """Room for this user on the disk of the data folder; the folder may be made later."""
    folder = settings.DATA_DIR
    while not folder.exists():
        folder = folder.parent
    return shutil.disk_usage(folder).free


def _oldest(ticks: list[datetime | None]) -> int | None:
    now = timezone.now()
    ages = [int((now - tick).total_seconds()) for tick in ticks if tick is not None]
    return max(ages, key=abs) if ages and len(ages) == len(ticks) else None
