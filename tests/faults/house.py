"""A whole installation lives through months while its processes are killed at random.

    .venv/bin/python -m tests.faults.house --seed 7 [--days 365] [--logs 10000] [--kills 200]

SQLite and the embedded worker; with DATABASE_URL and REDIS_URL web, worker and beat on those
(the database must be empty). `manage.py serve` is started as people start it; every process
follows a clock that goes on a day as soon as the day's work is done. Each evening each coach
must get one mail about tomorrow's lessons, and phones send what was logged that day, again
until it is acknowledged. Web processes, worker and beat are killed with SIGKILL, now and then
all of them at once, as if the power had gone.

Printed are lost and doubled logs and mails, tallies that a rebuild makes otherwise, and how long
the site did not answer after each kill. Ends with 1 if anything is lost, doubled or different.
The order of kills follows the seed; when they fall, the machine says.
"""

import argparse
import json
import logging
import os
import random
import signal
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Sequence
from contextlib import suppress
from datetime import UTC, date, datetime, timedelta
from http.client import HTTPConnection, HTTPException
from pathlib import Path
from typing import Any
from uuid import UUID

import django

from tests.faults.travelling.apps import travelled
from tests.ports import own_port
from tests.running.processes import ROOT, environment, started_with

COACHES, PHONES = 5, 10
LONGEST_DAY = 180.0  # Seconds: a day that takes longer is given up, and counted as lost.
OVER = ("sent", "failed", "unknown", "cancelled", "expired")

SEED = """
import json
from datetime import date, time, timedelta, datetime, UTC
from coaching.lessons.models import Lesson
from coaching.reminders.models import EveningRule
from practice.compliance.rebuild import rebuild
from practice.phone.keys import make_key
from practice.log.models import LogKey
from shared.people.models import Student
from tests import factories
first, days = date.fromisoformat("FIRST"), DAYS
studio = factories.make_studio()
drill = factories.make_drill(studio)
told = []
for n in range(COACHES):
    coach = factories.make_coach(studio, name=f"Coach {n}", time_zone="UTC")
    evening = datetime.combine(first, time(19), tzinfo=UTC)
    EveningRule.objects.create(user=coach, next_due_utc=evening)
    for phone in range(n, PHONES, COACHES):
        student = factories.make_student(coach, f"Student {phone}", time_zone="UTC")
        monday = first - timedelta(days=first.weekday())
        parts = {}
        for week in range(days // 7 + 2):
            opens = monday + timedelta(weeks=week)
            part = factories.make_part(factories.make_week(student, opens), drill)
            parts[str(opens)] = str(part.pk)
        secret, _ = make_key(user=student.user, student=student)
        told.append({"student": str(student.pk), "secret": secret, "parts": parts})
        student.refresh_from_db()
        rebuild(student)
    Lesson.objects.bulk_create(
        Lesson(student=student, coach=coach,
               at=datetime.combine(first + timedelta(days=day), time(12), tzinfo=UTC))
        for day in range(days + 2))
Student.objects.update(joined_on=first)
LogKey.objects.update(expires_at=datetime(9000, 1, 1, tzinfo=UTC))
print(json.dumps(told))
"""
COUNT = """
import json
from coaching.reminders.models import Notice
from django.db.models import Count
from practice.log.models import Entry, Result
from practice.shots.models import Shot
notices = Notice.objects.filter(kind="coach_evening")
print(json.dumps({
    "entries": [str(pk) for pk in Entry.objects.values_list("pk", flat=True)],
    "counting": Entry.objects.filter(counts=True).count(),
    "results": Result.objects.count(),
    "twice": Entry.objects.annotate(n=Count("results")).exclude(n=1).count(),
    "shots": Shot.objects.count(),
    "notices": list(notices.values_list("recipient__name", "local_day", "state", "message_id")),
}, default=str))
"""


def say(text: str) -> None:
    print(text, flush=True)


class Installation:
    """`manage.py serve` with everything it starts, and the clock that all of it follows."""

    def __init__(self, folder: Path, env: dict[str, str], port: int) -> None:
        self.folder, self.env, self.port = folder, env, port
        self.process: subprocess.Popen | None = None

    def manage(self, *words: str) -> str:
        command = [sys.executable, "manage.py", *words]
        done = subprocess.run(
            command, cwd=ROOT, env=self.env, capture_output=True, text=True, check=False
        )
        if done.returncode:
            raise RuntimeError(done.stdout + done.stderr)
        return done.stdout

    def start(self) -> None:
        with (self.folder / "log").open("a") as out:
            self.process = subprocess.Popen(
                [sys.executable, "manage.py", "serve", "--no-prepare"],
                cwd=ROOT, env=self.env, stdout=out, stderr=out, start_new_session=True,
            )  # fmt: skip

    def travel(self, to: datetime) -> None:
        new = self.folder / "clock.new"
        new.write_text(f"{to.timestamp()} {time.monotonic()}\n")
        new.rename(self.folder / "clock")

    def now(self) -> datetime:
        return datetime.fromtimestamp(travelled((self.folder / "clock").read_text()), UTC)

    def answers(self) -> bool:
        return self.asked("GET", "/health/live", wait=1.0)[0] == 200

    def asked(
        self, method: str, path: str, body: Any = None, wait: float = 60.0, **headers: str
    ) -> tuple[int, bytes]:
        connection = HTTPConnection("127.0.0.1", self.port, timeout=wait)
        headers |= {"Host": "localhost", "Content-Type": "application/json"}
        try:
            connection.request(method, path, json.dumps(body) if body else None, headers)
            answer = connection.getresponse()
            return answer.status, answer.read()
        except (OSError, HTTPException):
            return 0, b""
        finally:
            connection.close()

    def processes(self) -> list[int]:
        return started_with(f"DATA_DIR={self.folder}")

    def kill_all(self) -> None:
        for pid in self.processes():
            _kill(pid)
        if self.process is not None:
            self.process.wait()

    def stop(self) -> None:
        if self.process is not None and self.process.poll() is None:
            self.process.terminate()
            with suppress(subprocess.TimeoutExpired):
                self.process.wait(60)
        self.kill_all()


def _kill(pid: int) -> None:
    try:
        os.kill(pid, signal.SIGKILL)
    except ProcessLookupError:
        return


class Killer(threading.Thread):
    """Kills one process after the other, and measures how long nobody answers after each."""

    def __init__(self, house: Installation, chance: random.Random, most: int, every: float) -> None:
        super().__init__(daemon=True)
        self.house, self.chance, self.most, self.every = house, chance, most, every
        self.silent: list[float] = []
        self.whom: Counter[str] = Counter()
        self.over = threading.Event()

    def run(self) -> None:
        while len(self.silent) < self.most and not self.over.wait(
            self.chance.uniform(0.2, 2 * self.every)
        ):
            self.kill_one()
            began = time.monotonic()
            while not self.house.answers():
                time.sleep(0.05)
            self.silent.append(time.monotonic() - began)

    def kill_one(self) -> None:
        assert self.house.process is not None
        if self.chance.random() < 0.05:
            self.whom["all at once"] += 1
            self.house.kill_all()
            self.house.start()
            return
        others = sorted(set(self.house.processes()) - {self.house.process.pid})
        if others:
            victim = self.chance.choice(others)
            self.whom[what_it_is(victim)] += 1
            _kill(victim)


def what_it_is(pid: int) -> str:
    try:
        words = Path(f"/proc/{pid}/cmdline").read_text().split("\0")
    except OSError:
        return "gone already"
    return next((w for w in ("shared.web_server", "worker", "beat") if w in words), "other")


class Phone:
    """One student's phone: what it logged waits until the server says that it has it."""

    def __init__(self, house: Installation, told: dict[str, Any], chance: random.Random) -> None:
        self.house, self.told, self.chance = house, told, chance
        self.made: list[dict[str, Any]] = []
        self.waiting: list[dict[str, Any]] = []
        self.stored: Counter[str] = Counter()
        self.had: set[str] = set()
        self.refused: dict[str, Any] = {}

    def log(self, day: date, number: int) -> None:
        for _ in range(number):
            one = self._entry(day)
            same_day = [it for it in self.made[-5:] if it["k"] == "log" and it["day"] == one["day"]]
            if same_day and self.chance.random() < 0.1:
                first = self.chance.choice(same_day)
                one |= {"k": "change", "target": first["id"]}
            self.made.append(one)
            self.waiting.append(one)

    def _entry(self, day: date) -> dict[str, Any]:
        opens = day - timedelta(days=day.weekday())
        reps = self.chance.randint(1, 10)
        block = {"p": self.told["parts"][str(opens)], "s": [{"n": reps, "c": None, "e": None}]}
        if self.chance.random() < 0.1:
            balls = [{"club": "54", "length": "chest", "carry": 60.0 + n} for n in range(reps)]
            sitting = {"device": "radar", "ball": "range", "place": "bay", "indoors": True}
            block["shots"] = sitting | {"balls": balls}
        return {
            "id": str(UUID(int=self.chance.getrandbits(128), version=4)),
            "v": 2,
            "k": "log",
            "who": self.told["student"],
            "day": str(day),
            "at": self.house.now().isoformat(),
            "b": [block],
        }

    def send_all(self, until: float) -> None:
        while self.waiting and time.monotonic() < until:
            some = self.waiting[: self.chance.randint(1, 50)]
            body = {"sent": self.house.now().isoformat(), "e": some}
            key = f"LogKey {self.told['secret']}"
            status, answer = self.house.asked("POST", "/api/sync", body, Authorization=key)
            if status != 200:
                time.sleep(self.chance.uniform(0.1, 0.5))
                continue
            for name, (verdict, reason) in json.loads(answer)["r"].items():
                if verdict == "stored":
                    self.stored[name] += 1
                elif verdict == "had":
                    self.had.add(name)
                else:
                    self.refused[name] = reason
            done = self.stored.keys() | self.had | self.refused.keys()
            self.waiting = [one for one in self.waiting if one["id"] not in done]


def notices_over(env: dict[str, str], folder: Path, day: date) -> int:
    """How many of the evening's mails are at their end; the database is asked beside the site."""
    marks = ", ".join(f"'{state}'" for state in OVER)
    sql = (
        "SELECT count(*) FROM reminders_notice WHERE kind = 'coach_evening'"
        f" AND local_day = '{day}' AND state IN ({marks})"
    )
    if url := env.get("DATABASE_URL"):
        import psycopg

        with psycopg.connect(url.replace("postgres:", "postgresql:", 1)) as there:
            return there.execute(sql).fetchone()[0]
    here = sqlite3.connect(folder / "practice.sqlite3", timeout=60)
    try:
        return here.execute(sql).fetchone()[0]
    finally:
        here.close()


def a_day(house: Installation, phones: Sequence[Phone], day: date, logs: int) -> float:
    """Live one day: travel to its evening, log, send, and wait for the mails. Seconds it took."""
    began = time.monotonic()
    house.travel(datetime(day.year, day.month, day.day, 19, 0, 30, tzinfo=UTC))
    time.sleep(0.1)  # Every process looks at the clock each 0.05 s.
    for phone in phones:
        phone.log(day, logs)
    until = began + LONGEST_DAY
    threads = [threading.Thread(target=phone.send_all, args=(until,)) for phone in phones]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    while time.monotonic() < until and notices_over(house.env, house.folder, day) < COACHES:
        time.sleep(0.2)
    return time.monotonic() - began


def live(asked: argparse.Namespace, folder: Path, mail: Any, port: int) -> bool:
    both = {name: os.environ[name] for name in ("DATABASE_URL", "REDIS_URL") if name in os.environ}
    env = environment(
        folder,
        PORT=str(port),
        EMAIL_URL=f"smtp://127.0.0.1:{mail.port}",
        DJANGO_SETTINGS_MODULE="tests.faults.travelling.settings",
        BACKUP_HOURS="0",
        **both,
    )
    house = Installation(folder, env, port)
    first = datetime.now(UTC).date() + timedelta(days=1)
    house.travel(datetime(first.year, first.month, first.day, 8, tzinfo=UTC))
    house.manage("migrate", "--verbosity=0")
    seed = SEED.replace("FIRST", str(first)).replace("DAYS", str(asked.days))
    seed = seed.replace("COACHES", str(COACHES)).replace("PHONES", str(PHONES))
    told = json.loads(house.manage("shell", "--verbosity=0", "-c", seed).splitlines()[-1])
    chance = random.Random(asked.seed)
    phones = [Phone(house, each, random.Random(chance.random())) for each in told]
    killer = Killer(house, chance, asked.kills, asked.every)
    a_phone = -(-asked.logs // (asked.days * PHONES))
    try:
        house.start()
        while not house.answers():
            time.sleep(0.1)
        killer.start()
        began, days, longest = time.monotonic(), 0, 0.0
        while days < asked.days and time.monotonic() - began < asked.seconds:
            longest = max(longest, a_day(house, phones, first + timedelta(days=days), a_phone))
            days += 1
            if days % 10 == 0:
                say(f"{days} days, {len(killer.silent)} kills, {time.monotonic() - began:.0f} s")
        killer.over.set()
        killer.join(120)
        took = time.monotonic() - began
    finally:
        killer.over.set()
        house.stop()
    return figures(house, phones, killer, mail, days, {
        "seed": asked.seed, "seconds": took, "longest day": longest,
    })  # fmt: skip


def figures(
    house: Installation, phones: Sequence[Phone], killer: Killer, mail: Any, days: int, took: Any
) -> bool:
    found = json.loads(house.manage("shell", "--verbosity=0", "-c", COUNT).splitlines()[-1])
    kept, made = set(found["entries"]), {one["id"] for phone in phones for one in phone.made}
    said = {name for phone in phones for name in (phone.stored.keys() | phone.had)}
    twice = [name for phone in phones for name, n in phone.stored.items() if n > 1]
    try:
        tallies = house.manage("rebuild_tallies", "--check").strip().splitlines()[-1]
    except RuntimeError as error:
        tallies = str(error)
    evenings = Counter((who, day) for who, day, _, _ in found["notices"])
    copies = Counter(mail.ids())
    sent = {ident for _, _, state, ident in found["notices"] if state == "sent"}
    reached = {(who, day) for who, day, _, ident in found["notices"] if copies[ident]}
    results = {
        "database": "PostgreSQL and Redis" if "DATABASE_URL" in house.env else "SQLite",
        "seed": took.pop("seed"), "load": os.getloadavg(), "days": days,
        "kills": len(killer.silent), "killed": dict(killer.whom),
        "logs": len(made), "acknowledged": len(said), "kept": len(kept),
        "acknowledged and lost": len(said - kept), "never acknowledged": len(made - said),
        "refused": dict(Counter(why for phone in phones for why in phone.refused.values())),
        "stored twice": len(twice) + found["twice"],
        "tallies": tallies,
        "evenings": days * COACHES, "planned": len(evenings),
        "states": dict(Counter(state for _, _, state, _ in found["notices"])),
        "evenings doubled": sum(n - 1 for n in evenings.values()),
        "sent and not delivered": len(sent - copies.keys()),
        "evenings without mail": days * COACHES - len(reached),
        "second copies of one mail": sum(n - 1 for n in copies.values()),
        "most copies": max(copies.values(), default=0),
        "silence after a kill, s": {
            "median": round(sorted(killer.silent)[len(killer.silent) // 2], 2),
            "longest": round(max(killer.silent), 2),
            "over 10": sum(each > 10 for each in killer.silent),
        } if killer.silent else {},
    } | {name: round(value, 1) for name, value in took.items()}  # fmt: skip
    for name, value in results.items():
        say(f"{name:28}{value}")
    return (
        made == said == kept
        and not twice
        and not found["twice"]
        and "says what the logs say" in tallies
        and set(evenings.values()) == {1}
        and len(evenings) == days * COACHES
        and not sent - copies.keys()
        and len(reached) == days * COACHES
        and results["most copies"] <= 2
    )


def main() -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--seed", type=int, required=True)
    parser.add_argument("--days", type=int, default=365)
    parser.add_argument("--logs", type=int, default=10_000)
    parser.add_argument("--kills", type=int, default=200)
    parser.add_argument("--every", type=float, default=3.0, help="seconds between kills, usually")
    parser.add_argument("--seconds", type=float, default=1e9, help="end after so many")
    asked = parser.parse_args()
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    django.setup()
    logging.getLogger("mail.log").setLevel(logging.WARNING)
    from tests.reminders.conftest import running_sink

    folder = tempfile.TemporaryDirectory(prefix="house-")
    with folder as name, running_sink() as mail, own_port() as port:
        return 0 if live(asked, Path(name), mail, port) else 1


if __name__ == "__main__":
    sys.exit(main())
