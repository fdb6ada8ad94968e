"""Every process of the installation follows the clock of DATA_DIR/clock, also after a fork.

The file holds an instant, and when that was by this machine's monotonic clock. Leases and
waits are shortened, so that what a kill leaves behind is taken up soon.
"""

import os
import threading
import time
from datetime import UTC, datetime, timedelta

import time_machine
from django.apps import AppConfig
from django.conf import settings

LOOK_EVERY = 0.05
LEASE = timedelta(seconds=4)


class Travelling(AppConfig):
    name = "tests.faults.travelling"
    label = "travelling"

    def ready(self) -> None:
        shorten()
        follow()
        os.register_at_fork(after_in_child=follow)


def shorten() -> None:
    from coaching.reminders import plan
    from shared.jobs import backoff, sweep
    from shared.outbox import send

    plan.A_TICK = 10  # Little at a time, so that kills fall into sending as well.
    send.LEASE = LEASE
    sweep.sweep.__kwdefaults__["lease"] = LEASE
    backoff.FIRST_WAIT = timedelta(seconds=1)


class Clock:
    """The travelled clock of this process, set anew when the file says another day."""

    def __init__(self) -> None:
        self.said = ""

    def look(self) -> None:
        said = (settings.DATA_DIR / "clock").read_text()
        if said == self.said or not said.endswith("\n"):
            return
        self.said = said
        # Travels lie on each other: between two of them no thread may see the real day.
        time_machine.travel(datetime.fromtimestamp(travelled(said), UTC), tick=True).start()

    def keep_looking(self) -> None:
        while True:
            self.look()
            time.sleep(LOOK_EVERY)


def travelled(said: str) -> float:
    """Seconds since 1970 by that clock; the monotonic one is the same in every process."""
    begins, monotonic = said.split()
    return float(begins) + time.monotonic() - float(monotonic)


clock = Clock()


def follow() -> None:
    clock.look()
    threading.Thread(target=clock.keep_looking, daemon=True).start()
