"""The one way in which a job goes through its rows.

One worker at a time: a sweep is claimed for a lease, which every row renews. Who lost the
claim stops before the next row. A row that fails is written down with its cause and waits,
longer each time; the others are done. So is the row at which a worker died: the next one
finds its name in the lapsed claim. Nothing here makes a row's own writes unique. Whoever
gives the work keeps it repeatable, by a unique key or a conditional update.
"""

import logging
import time
from collections.abc import Callable, Iterable
from datetime import datetime, timedelta
from itertools import islice
from typing import Any, TypeVar
from uuid import uuid4

from django.db.models import QuerySet
from django.utils import timezone

from shared.jobs.backoff import LONGEST_WAIT, wait_after
from shared.jobs.models import LONGEST_WHY, Retry, Sweep

log = logging.getLogger(__name__)
Row = TypeVar("Row")
Result = TypeVar("Result")

LEASE = timedelta(seconds=60)  # For one row; a longer one is taken for hung.
BEAT = timedelta(seconds=20)
BUDGET = 45.0  # Seconds of one sweep.
MOST_WAITING = 1_000
HOURLY = timedelta(hours=1)
FORGOTTEN_AFTER = timedelta(days=7)
DIED = "the worker ended, or hung, while it was at this row"


def key_of(row: Any) -> str:
    return str(row.pk)


def sweep(
    name: str,
    due: Callable[[], Iterable[Row]],
    do: Callable[[Row], Result],
    *,
    most: int = 50,
    budget: float = BUDGET,
    key: Callable[[Row], str] = key_of,
    lease: timedelta = LEASE,
) -> list[Result]:
    """Do what is due, at most `most` rows, until the time is up. Returns what `do` gave for each.

    A query may be unbounded: it is cut here, past the rows that wait after an error. `lease`
    is longer than any row takes. Raises only what the database raises when it is away.
    """
    job = Job(name, lease)
    if not job.is_free():
        return []
    rows, end = job.take(due(), key, most), time.monotonic() + budget
    if not rows and not job.found.row:  # Most sweeps end here, without a lock.
        Sweep.objects.filter(name=name).update(ended_at=timezone.now())
        return []
    if not job.claim():
        return []
    for row in rows:
        if time.monotonic() > end or not job.renew(key(row)):
            break
        job.do(key(row), row, do)
    job.end()
    return job.results


def hourly(
    name: str, find: Callable[[datetime], Iterable[Row]], now: datetime, most: int
) -> list[Row]:
    """What is found, at most `most` and those that wait; nothing for an hour after it was nothing.

    For a look that reads much, however little is due, and would find the same an hour later.
    """
    last = last_ended(name)
    if last is not None and abs(now - last) < HOURLY:
        return []
    found = list(islice(find(now), most + MOST_WAITING))
    if not found:
        ran(name)
    return found


class Job:
    """One worker's turn at a sweep."""

    def __init__(self, name: str, lease: timedelta) -> None:
        self.name, self.lease = name, lease
        self.found, _ = Sweep.objects.get_or_create(name=name)
        self.results: list[Any] = []
        self._claim = uuid4()
        self._forget()

    def _forget(self) -> None:
        """Read who waits, without those that nobody has asked for in a week."""
        kept = Retry.objects.filter(sweep=self.name).order_by("-next_try_at")[:MOST_WAITING]
        self.retries = {retry.row: retry for retry in kept}
        long_ago = timezone.now() - FORGOTTEN_AFTER
        old = [row for row, retry in self.retries.items() if retry.next_try_at < long_ago]
        if old:
            Retry.objects.filter(sweep=self.name, row__in=old).delete()
            self.retries = {row: each for row, each in self.retries.items() if row not in old}

    def is_free(self) -> bool:
        """Whether nobody holds it. A lease too far ahead is of a clock set back since."""
        now, until = timezone.now(), self.found.lease_until
        return until is None or not now < until <= now + 2 * self.lease

    def claim(self) -> bool:
        """Take it, unless somebody did since it was looked at."""
        known = {name: getattr(self.found, name) for name in ("claim", "lease_until", "ended_at")}
        same = Sweep.objects.filter(name=self.name, **known)
        lease = timezone.now() + self.lease
        if not same.update(claim=self._claim, lease_until=lease, row=""):
            return False
        if self.found.row:
            self.put_off(self.found.row, DIED)
        return True

    def take(self, rows: Iterable[Row], key: Callable[[Row], str], most: int) -> list[Row]:
        """The first rows that do not wait after an error."""
        now = timezone.now()
        held = {row for row, retry in self.retries.items() if waits(retry, now)}
        held.add(self.found.row)  # At which a worker died.
        if isinstance(rows, QuerySet):
            rows = rows[: most + len(held)]
        return list(islice((row for row in rows if key(row) not in held), most))

    def renew(self, row: str) -> bool:
        """Say what is done next. False: the lease ran out, and somebody else has the sweep."""
        lease = timezone.now() + self.lease
        return bool(self._mine().update(row=row, lease_until=lease))

    def do(self, row: str, given: Row, do: Callable[[Row], Any]) -> None:
        try:
            self.results.append(do(given))
        except Exception as error:
            log.exception("%s: %s cannot be done", self.name, row)
            # If the database is away this raises too, and the sweep ends.
            self.put_off(row, f"{type(error).__name__}: {error}")
            return
        if row in self.retries:
            put_right(self.name, row)

    def put_off(self, row: str, why: str) -> None:
        self.retries[row] = put_off(self.name, row, why)

    def end(self) -> None:
        self._mine().update(claim=None, lease_until=None, row="", ended_at=timezone.now())

    def _mine(self) -> QuerySet[Sweep]:
        return Sweep.objects.filter(name=self.name, claim=self._claim)


def put_off(name: str, row: str, why: str, longest: timedelta = LONGEST_WAIT) -> Retry:
    """Let a row wait, longer each time."""
    known = Retry.objects.filter(sweep=name, row=row).first()
    tries = (known.tries if known else 0) + 1
    values = {
        "tries": tries,
        "next_try_at": timezone.now() + wait_after(tries, longest=longest),
        "why": why.replace("\x00", "")[:LONGEST_WHY],
    }
    return Retry.objects.update_or_create(sweep=name, row=row, defaults=values)[0]


def put_right(name: str, row: str) -> None:
    Retry.objects.filter(sweep=name, row=row).delete()


def is_put_off(name: str, row: str) -> bool:
    known = Retry.objects.filter(sweep=name, row=row).first()
    return known is not None and waits(known, timezone.now())


def waits(retry: Retry, now: datetime) -> bool:
    """Whether it is too early. A time too far ahead was set by a clock set back since."""
    return now < retry.next_try_at <= now + 2 * LONGEST_WAIT


def last_ended(name: str) -> datetime | None:
    return last_ends([name]).get(name)


def last_ends(names: Iterable[str]) -> dict[str, datetime]:
    """When these sweeps last ended, of those that ever did. One query."""
    rows = Sweep.objects.filter(name__in=list(names)).values_list("name", "ended_at")
    return {name: ended for name, ended in rows if ended is not None}


def ran(name: str) -> None:
    """The same of a job that claims row by row, so that several workers may be at it.

    Such a job comes every few seconds: not every time is written down.
    """
    last, now = last_ended(name), timezone.now()
    if last is None or abs(now - last) > BEAT:
        Sweep.objects.update_or_create(name=name, defaults={"ended_at": now})
