"""The Celery app. The database decides what is due; Celery only brings the tick.

No task is published from a request, and none with a countdown: beat publishes the
sweeps, which read the tables. A lost or late message costs one tick.
"""

import os
import warnings
from typing import Any

import click
from celery import Celery, bootsteps
from celery.beat import EmbeddedService
from django.conf import settings

from shared.site.ticking import MonotonicScheduler, every

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shared.settings")
# Containers and small servers run as one user; what comes in is JSON, which runs nothing.
warnings.filterwarnings("ignore", "You're running the worker with superuser privileges")
app = Celery("shared")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()


def _sweep(task: str, seconds: float) -> dict[str, Any]:
    # A message that was not run before the next one comes is of no use to anybody.
    return {"task": task, "schedule": every(seconds, app), "options": {"expires": seconds}}


app.conf.beat_scheduler = "shared.site.ticking:MonotonicScheduler"
app.conf.beat_schedule = {
    "plan what is due": _sweep("coaching.reminders.plan", settings.TICK_SECONDS),
    "make lines of a new day": _sweep("coaching.board.tend", settings.TICK_SECONDS),
    "keep what was said": _sweep("coaching.kept.tick", 5 * settings.TICK_SECONDS),
    # Somebody may be waiting for a code to sign in with.
    "make backups": _sweep("shared.backups.make", max(settings.TICK_SECONDS, 600.0)),
    "send mails": _sweep("shared.outbox.send", min(settings.TICK_SECONDS, 2.0)),
    "look for returned mails": _sweep("shared.people.returned", max(settings.TICK_SECONDS, 300.0)),
    "read files of shots": _sweep("practice.importing.read", min(settings.TICK_SECONDS, 5.0)),
    "sweep clips": _sweep("practice.clips.sweep", max(settings.TICK_SECONDS, 900.0)),
    "make figures of tests": _sweep("practice.progress.reckon", settings.TICK_SECONDS),
    "say which gates are near": _sweep("coaching.season.gates", 2 * settings.TICK_SECONDS),
    "forget what is over": _sweep("coaching.records.forget", max(settings.TICK_SECONDS, 3600.0)),
    "keep outside what ended": _sweep("coaching.records.ends", settings.TICK_SECONDS),
    "note the lessons that come back": _sweep("coaching.timetable.fill", 900.0),
    # Whoever added a calendar waits to see what is in it.
    "read calendars at an address": _sweep(
        "coaching.timetable.follow", min(settings.TICK_SECONDS, 10.0)
    ),
    "give children the hour that waits": _sweep("coaching.bring.settle", 60.0),
    "let the next event follow": _sweep("coaching.season.follow", 3600.0),
}


class BeatInThread(bootsteps.StartStopStep):
    """Beat as a thread of the worker, for the in-process broker.

    The worker's own -B forks a process, whose messages on memory:// nobody would
    ever receive.
    """

    label = "Beat in a thread"

    def __init__(self, worker: Any, beat_thread: bool = False, **options: Any) -> None:
        self.enabled = beat_thread
        super().__init__(worker, **options)

    def include_if(self, worker: Any) -> bool:
        return self.enabled

    def create(self, worker: Any) -> Any:
        return EmbeddedService(worker.app, thread=True, scheduler_cls=MonotonicScheduler)


app.user_options["worker"].add(
    click.Option(["--beat-thread"], is_flag=True, help="Run beat as a thread of this worker.")
)
app.steps["worker"].add(BeatInThread)
