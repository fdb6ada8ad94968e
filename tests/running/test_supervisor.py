"""The supervisor: whatever one part does, the others go on, and none is given up on."""

import signal
import sys
import time

import pytest

from shared.site import running
from shared.site.running import STARTED_WELL, SiteProcess, Supervisor


class Told(SiteProcess):
    """A part whose end is told by the test; it starts no process."""

    def __init__(self, name: str, **more: bool) -> None:
        super().__init__(name, [], **more)
        self.starts, self.code = 0, None

    def start(self) -> None:
        self.started, self.due, self.code = time.monotonic(), None, None
        self.has_served = False
        self.starts += 1

    def signal(self, number: int) -> None:
        pass

    def ended(self) -> int | None:
        return self.code


class Clock:
    now = 1000.0

    def monotonic(self) -> float:
        return self.now


@pytest.fixture
def clock(monkeypatch):
    clock = Clock()
    monkeypatch.setattr(running.time, "monotonic", clock.monotonic)
    return clock


@pytest.fixture
def three(clock):
    parts = [Told("web server", is_site=True), Told("worker"), Told("beat")]
    supervisor = Supervisor(parts, say=lambda text: None)
    for part in parts:
        part.start()
    return supervisor


def pass_by(clock, supervisor, seconds, *, dies: SiteProcess | None = None):
    """Time goes by in steps; one part dies as soon as it runs."""
    for _ in range(round(seconds / 0.25)):
        clock.now += 0.25
        if dies is not None and dies.due is None:
            dies.code = -9
        supervisor._look_after()


def test_a_worker_that_dies_at_once_is_started_again_and_ends_nobody_else(clock, three):
    web, worker, beat = three.parts
    worker.code = -9
    three._look_after()
    assert not three.stopping
    pass_by(clock, three, 2)
    assert (web.starts, worker.starts, beat.starts) == (1, 2, 1)


def test_one_that_never_lives_waits_longer_and_is_never_given_up_on(clock, three):
    web, worker, _ = three.parts
    pass_by(clock, three, 60, dies=worker)
    first = worker.starts
    assert 6 <= first <= 12
    pass_by(clock, three, 600, dies=worker)
    assert 600 / 40 <= worker.starts - first <= 600 / 20 + 1
    assert web.starts == 1
    assert not three.stopping


def test_one_that_dies_does_not_delay_another(clock, three):
    web, worker, _ = three.parts
    pass_by(clock, three, 60, dies=worker)
    web.code = -9
    pass_by(clock, three, 1)
    assert web.starts == 2


def test_one_that_lived_long_starts_again_soon(clock, three):
    worker = three.parts[1]
    pass_by(clock, three, 60, dies=worker)
    pass_by(clock, three, 40 + STARTED_WELL)
    known = worker.starts
    worker.code = 1
    pass_by(clock, three, 1)
    assert worker.starts == known + 1


class Site:
    def __init__(self, *, serves: bool) -> None:
        self.serves, self.asked = serves, 0

    def answers(self) -> bool:
        self.asked += 1
        return self.serves


def test_a_site_that_served_starts_again_at_once_however_often_it_is_ended(clock, three):
    web = three.parts[0]
    for known in range(1, 9):
        pass_by(clock, three, 3)
        assert three._begins_to_serve(Site(serves=True))
        web.code = -9
        pass_by(clock, three, 1)
        assert web.starts == known + 1


def test_a_site_that_never_served_waits_longer_each_time(clock, three):
    web = three.parts[0]
    for _ in range(6):
        pass_by(clock, three, 3)
        assert not three._begins_to_serve(Site(serves=False))
        web.code = -9
        pass_by(clock, three, 0.25)
    assert web.falls > 3


def test_a_site_that_serves_is_asked_no_more(clock, three):
    site = Site(serves=True)
    assert three._begins_to_serve(site)
    assert not three._begins_to_serve(site)
    assert site.asked == 1


def test_real_processes_one_falling_one_standing(monkeypatch):
    """Until the falling one was started three times; then a signal stops both."""
    monkeypatch.setattr(running, "FIRST_WAIT", running.FIRST_WAIT / 50)
    falling = SiteProcess("falling", [sys.executable, "-c", "raise SystemExit(3)"])
    standing = SiteProcess("standing", [sys.executable, "-c", "import time; time.sleep(1000)"])
    said = []

    def say(text):
        said.append(text)
        if sum("falling ended (code 3)" in each for each in said) == 3:
            supervisor.stopping = True

    class Nowhere:
        def answers(self) -> bool:
            return False

    supervisor = Supervisor([falling, standing], say=say)
    kept = {n: signal.getsignal(n) for n in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)}
    try:
        supervisor.run(Nowhere(), "")
    finally:
        for number, handler in kept.items():
            signal.signal(number, handler)
    assert standing.ended() == -signal.SIGTERM
    assert not any("standing" in text for text in said)
