"""The beat that a clock set back does not stop, and nothing that publishes but it."""

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import time_machine
from celery import Celery
from celery.beat import Scheduler

from shared.celery import app
from shared.site import ticking

ROOT = Path(__file__).resolve().parents[2]


class Clock:
    """A monotonic clock moved by hand, beside whatever the wall clock says."""

    def __init__(self) -> None:
        self.seconds = 1000.0

    def monotonic(self) -> float:
        return self.seconds


@pytest.fixture
def clock(monkeypatch) -> Clock:
    clock = Clock()
    monkeypatch.setattr(ticking.time, "monotonic", clock.monotonic)
    return clock


SWEEPS = [
    "coaching.board.tend",
    "coaching.bring.settle",
    "coaching.kept.tick",
    "coaching.records.ends",
    "coaching.records.forget",
    "coaching.reminders.plan",
    "coaching.season.follow",
    "coaching.season.gates",
    "coaching.timetable.fill",
    "coaching.timetable.follow",
    "practice.clips.sweep",
    "practice.importing.read",
    "practice.progress.reckon",
    "shared.backups.make",
    "shared.outbox.send",
    "shared.people.returned",
]


def published_by(scheduler_class, monkeypatch, app=app):
    sent = []
    scheduler = scheduler_class(app=app)
    monkeypatch.setattr(scheduler, "apply_async", lambda entry, **kwargs: sent.append(entry.task))
    monkeypatch.setattr(type(scheduler), "producer", None)
    return scheduler, sent


def by_the_wall_clock() -> Celery:
    other = Celery("by the wall clock", set_as_current=False)
    other.conf.update(timezone="UTC", result_expires=None)
    schedule = timedelta(seconds=60)
    other.conf.beat_schedule = {"plan": {"task": "coaching.reminders.plan", "schedule": schedule}}
    return other


def drain(scheduler):
    while scheduler.tick() == 0:
        continue


def test_due_at_once_and_then_at_its_interval(clock, monkeypatch):
    scheduler, sent = published_by(ticking.MonotonicScheduler, monkeypatch)
    drain(scheduler)
    assert sorted(sent) == SWEEPS
    drain(scheduler)
    assert len(sent) == len(SWEEPS)
    clock.seconds += 61
    drain(scheduler)
    assert sent.count("coaching.reminders.plan") == 2


@pytest.mark.parametrize("back", [timedelta(seconds=90), timedelta(hours=1), timedelta(days=365)])
def test_a_wall_clock_set_back_does_not_stop_it(clock, monkeypatch, back):
    start = datetime(2031, 2, 26, 12, tzinfo=UTC)
    with time_machine.travel(start, tick=False) as wall:
        monkeypatch.setattr(ticking.time, "monotonic", clock.monotonic)
        scheduler, sent = published_by(ticking.MonotonicScheduler, monkeypatch)
        drain(scheduler)
        wall.move_to(start - back)
        for _ in range(10):
            clock.seconds += 61
            drain(scheduler)
    assert sent.count("coaching.reminders.plan") == 11


def test_celerys_own_scheduler_would_have_stood_still(monkeypatch):
    # The fault the scheduler is there for; if this fails, it is no longer needed.
    start = datetime(2031, 2, 26, 12, tzinfo=UTC)
    with time_machine.travel(start, tick=False) as wall:
        scheduler, sent = published_by(Scheduler, monkeypatch, by_the_wall_clock())
        wall.move_to(start + timedelta(seconds=61))
        drain(scheduler)
        before = len(sent)
        wall.move_to(start - timedelta(hours=1))
        for n in range(10):
            wall.move_to(start - timedelta(hours=1) + timedelta(seconds=61 * n))
            drain(scheduler)
    assert before == len(sent) == 1


def test_a_schedule_by_the_wall_clock_is_refused():
    with pytest.raises(ValueError, match="every"):
        ticking.MonotonicScheduler(app=by_the_wall_clock())


def test_every_sweep_expires_and_none_has_a_countdown():
    for entry in app.conf.beat_schedule.values():
        # Of no use to anybody once the next one comes.
        assert entry["options"]["expires"] == entry["schedule"].run_every.total_seconds()
        assert not {"eta", "countdown"} & set(entry["options"])
        assert entry["task"] in SWEEPS


PUBLISHING = re.compile(r"\.(delay|delay_on_commit|apply_async|send_task)\(|\b(countdown|eta)=")


def test_nothing_else_publishes_a_task():
    """A task from a request is lost on memory:// and hangs the request when Redis is down."""
    files = [f for top in ("shared", "practice", "coaching") for f in (ROOT / top).rglob("*.py")]
    assert len(files) > 100
    found = [
        f"{file.relative_to(ROOT)}:{number}"
        for file in files
        for number, line in enumerate(file.read_text().splitlines(), start=1)
        if PUBLISHING.search(line)
    ]
    assert found == []


def test_the_search_for_publishing_would_find_it():
    assert PUBLISHING.search("plan_task.delay()")
    assert PUBLISHING.search("send_task.apply_async(countdown=5)")
