"""A beat whose clock cannot be set back.

Celery's own scheduler plans by the wall clock: after that is set back it waits
until the old time comes round again, which may be an hour or a year. Ours reads
the monotonic clock, ticks at once when it starts and keeps no file: what was due
and what was sent is known to the database alone, so two of them do no harm.
"""

import time
from datetime import UTC, datetime, timedelta
from typing import Any

from celery import Celery
from celery.beat import Scheduler
from celery.schedules import schedule

EPOCH = datetime(2000, 1, 1, tzinfo=UTC)


def monotonic_now() -> datetime:
    """The monotonic clock in the form the scheduler reckons in. Not a date."""
    return EPOCH + timedelta(seconds=time.monotonic())


def every(seconds: float, app: Celery | None = None) -> schedule:
    """A schedule that no change of the wall clock touches."""
    return schedule(timedelta(seconds=seconds), nowfun=monotonic_now, app=app)


class MonotonicScheduler(Scheduler):
    """Celery's scheduler with intervals on the monotonic clock; nothing else is allowed in."""

    def install_default_entries(self, data: dict[str, Any]) -> None:
        """None: there are no results to clean up."""

    def setup_schedule(self) -> None:
        super().setup_schedule()
        for entry in self.schedule.values():
            if getattr(entry.schedule, "nowfun", None) is not monotonic_now:
                raise ValueError(f"{entry.name}: schedule it with shared.site.ticking.every().")
            # Due at once: whoever starts after a day's silence should not wait.
            entry.last_run_at = EPOCH - timedelta(days=1)
