"""What the board and a log cost, as ratios of processor time to limits of the same run.

    .venv/bin/python -m tests.bench.speed [--students 60] [--years 1 20] [--others 20000]
        [--rounds 9] [--json FILE]

On SQLite, or on the PostgreSQL of DATABASE_URL (an empty database of its own; with its backend's
time where it runs on this machine). In turn, limit and page and limit and page, and medians of
paired ratios: those hold within a fifth where wall times lie tenfold. A limit is what somebody
would write by hand for the same rows: one statement through the cursor, and strings joined.
Nothing is timed before page and limit have said the same.

A log is what the server does: its application is called as shared.web_server calls it, with what
a browser sends beside the phone's key, and the answer is read whole and closed. What the phone
does, to make its document, is done before. As each log were a minute's first, the limit of the
API asks for what other processes have counted. Until December 2026 the tests' own client asked,
without that limit; this is printed too.
"""

import argparse
import io
import itertools
import json
import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median
from time import process_time
from unittest.mock import patch
from uuid import uuid4

from tests.bench import house

SAMPLE = 0.05  # Seconds of processor in one sample; less is lost in the clock's own grain.
GOALS = {
    "board, data": (2.5, 2.5), "board, page": (2.5, 1.8), "board, of all stale": (None, None),
    "one log": (4.5, 2.5), "by the tests' client": (None, None), "of it: no entry": (None, None),
    "of it: no tally": (None, None), "of it: a tally": (None, None),
    "one log of 20 blocks": (1.2, 1.2),
    "board, years": (1.15, 1.15), "log, years": (1.15, 1.15), "board, among others": (1.2, 1.2),
}  # fmt: skip


EMPTY = b'{"sent": "2031-02-26T20:00:00Z", "e": []}'
SITE = "http://testserver"
# As Chromium's page of the phone sends it, in the environment that waitress makes of it.
BROWSER = {
    "REQUEST_METHOD": "POST", "PATH_INFO": "/api/sync", "REQUEST_URI": "/api/sync",
    "SCRIPT_NAME": "", "QUERY_STRING": "", "REMOTE_ADDR": "127.0.0.1", "REMOTE_HOST": "127.0.0.1",
    "REMOTE_PORT": "50000", "SERVER_NAME": "testserver", "SERVER_PORT": "8000",
    "SERVER_PROTOCOL": "HTTP/1.1", "SERVER_SOFTWARE": "", "wsgi.url_scheme": "http",
    "wsgi.version": (1, 0), "wsgi.errors": sys.stderr, "wsgi.multithread": True,
    "wsgi.multiprocess": False, "wsgi.run_once": False, "wsgi.input_terminated": True,
    "CONTENT_TYPE": "application/json", "HTTP_HOST": "testserver", "HTTP_ACCEPT": "*/*",
    "HTTP_ACCEPT_ENCODING": "gzip, deflate, br, zstd", "HTTP_ACCEPT_LANGUAGE": "en-GB,en;q=0.9",
    "HTTP_CACHE_CONTROL": "no-cache", "HTTP_PRAGMA": "no-cache", "HTTP_CONNECTION": "keep-alive",
    "HTTP_COOKIE": "csrftoken=0123456789abcdefghijklmnopqrstuv", "HTTP_ORIGIN": SITE,
    "HTTP_REFERER": f"{SITE}/log/", "HTTP_SEC_CH_UA": '"Chromium";v="142"',
    "HTTP_SEC_CH_UA_MOBILE": "?1", "HTTP_SEC_CH_UA_PLATFORM": '"Android"',
    "HTTP_SEC_FETCH_DEST": "empty", "HTTP_SEC_FETCH_MODE": "cors",
    "HTTP_SEC_FETCH_SITE": "same-origin",
    "HTTP_USER_AGENT": "Mozilla/5.0 (Linux; Android 10; K) AppleWebKit/537.36 (KHTML, like Gecko)"
                       " Chrome/142.0.0.0 Mobile Safari/537.36",
}  # fmt: skip


@dataclass(frozen=True)
class Figure:
    """`ms` of the page or the work, `limit` of what it is set against."""

    name: str
    engine: str
    limit: float
    ms: float
    ratio: float
    goal: float | None
    queries: int

    def __str__(self) -> str:
        goal = "" if self.goal is None else f"{self.goal:>6}"
        return (
            f"{self.name:24}{self.limit:9.2f}{self.ms:9.2f}{self.ratio:8.2f}{goal:>8}"
            f"{self.queries:>9}"
        )


HEAD = f"{'':24}{'limit ms':>9}{'ours ms':>9}{'ratio':>8}{'goal':>8}{'queries':>9}"


class Bench:
    def __init__(self, rounds: int) -> None:
        from django.db import connection

        self.connection, self.rounds = connection, rounds
        self.figures: list[Figure] = []

    def spent(self) -> float:
        """Processor seconds of this process, and of its backend where that can be seen."""
        return process_time() + self._of_backend()

    def _of_backend(self) -> float:
        if self.connection.vendor != "postgresql" or self.connection.connection is None:
            return 0.0
        stat = Path(f"/proc/{self.connection.connection.info.backend_pid}/stat")
        if not stat.exists():
            return 0.0
        fields = stat.read_text().rpartition(")")[2].split()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")

    def each(self, work: Callable[[], object], times: int) -> float:
        before = self.spent()
        for _ in range(times):
            work()
        return 1000 * (self.spent() - before) / times

    def times_of(self, work: Callable[[], object]) -> int:
        """How often one sample repeats it; the first two calls warm what is loaded once."""
        work(), work()
        return max(1, round(1000 * SAMPLE / max(self.each(work, 2), 0.05)))

    def usual(self, work: Callable[[], object], before: Callable[[int], object]) -> float:
        """Milliseconds of one, the median of the rounds."""
        times, took = self.times_of(work), []
        for _ in range(self.rounds):
            before(times)
            took.append(self.each(work, times))
        return median(took)

    def compare(
        self, name: str, limit: Callable, ours: Callable, *, before: Callable = lambda _times: None
    ) -> Figure:
        """`before` each sample, unmeasured; it hears how often the sample repeats the work."""
        from django.test.utils import CaptureQueriesContext

        often = [self.times_of(limit), self.times_of(ours)]
        before(1)
        with CaptureQueriesContext(self.connection) as asked:
            ours()
        queries = len(asked)  # Now: the next request forgets them.
        pairs = []
        for _ in range(self.rounds):
            took = []
            for work, times in ((limit, often[0]), (ours, often[1])):
                before(times)
                took.append(self.each(work, times))
            pairs.append(took)
        is_sqlite = self.connection.vendor == "sqlite"
        figure = Figure(
            name,
            self.connection.vendor,
            median(pair[0] for pair in pairs),
            median(pair[1] for pair in pairs),
            median(pair[1] / max(pair[0], 1e-6) for pair in pairs),
            GOALS[name][0 if is_sqlite else 1],
            queries,
        )
        print(figure, flush=True)
        self.figures.append(figure)
        return figure


class Place:
    """A studio of so many years, a coach who is signed in, and a student's phone."""

    def __init__(self, students: int, years: float) -> None:
        from django.core.handlers.wsgi import WSGIHandler
        from django.test import Client

        from practice.phone import keys
        from shared.people.models import Student
        from tests.conftest import signed_in

        self.years = years
        self.lived: set = set()
        self.coach = house.fill(students, years)
        self.client = signed_in(self.coach)
        self.studio = self.coach.memberships.get().studio_id
        self.student = Student.objects.filter(studio=self.studio).order_by("name").first()
        secret, _ = keys.make_key(user=self.student.user, student=self.student, device="bench")
        self.phone = Client(HTTP_AUTHORIZATION=f"LogKey {secret}")
        # What shared.wsgi gives, without its limits on statements.
        self.application = WSGIHandler()
        self.environ = BROWSER | {"HTTP_AUTHORIZATION": f"LogKey {secret}"}
        self.ready: dict[int, list[bytes]] = {}

    def board(self):
        answer = self.client.get("/who/", {"all": "1"})
        assert answer.status_code == 200
        return answer

    def data(self):
        from django.utils import timezone

        from coaching.board.kept import standings
        from coaching.board.queries import students_of

        return standings(students_of(self.coach)[:501], timezone.now())

    def stale(self) -> None:
        from coaching.board.models import KeptLine

        KeptLine.objects.update(judged=None)
        self.data()

    def as_it_was(self, times: int = 1) -> None:
        """What was logged in the runs before goes: a week of a thousand logs is nobody's.

        And so many documents wait on the phone.
        """
        from django.db import transaction

        from practice.compliance.tally import recompute
        from practice.log.models import Entry

        entries = Entry.objects.filter(student=self.student)
        self.lived = self.lived or set(entries.values_list("pk", flat=True))
        today = house.today_of(self.student)
        opens = today - timedelta(days=today.weekday())
        new = set(entries.filter(day__gte=opens).values_list("pk", flat=True)) - self.lived
        with transaction.atomic():
            Entry.objects.filter(pk__in=new).delete()
            recompute(self.student, opens)
        self.last = self._document(4)["id"]  # One that the limit copies.
        self.send(self._body(self._document(4) | {"id": self.last}))
        self.ready = {blocks: self._bodies(blocks, times) for blocks in self.ready}

    def _bodies(self, blocks: int, count: int) -> list[bytes]:
        return [self._body(self._document(blocks)) for _ in range(count)]

    @staticmethod
    def _body(*documents: dict) -> bytes:
        return json.dumps({"sent": datetime.now(UTC).isoformat(), "e": documents}).encode()

    def log(self, blocks: int = 4) -> None:
        ready = self.ready.setdefault(blocks, []) or self._bodies(blocks, 1)
        assert b'"stored"' in self.send(ready.pop())

    def nothing(self) -> None:
        """What the frame, the key and the answer cost without an entry."""
        assert b'"r": {}' in self.send(EMPTY)

    def send(self, body: bytes) -> bytes:
        """As waitress asks and reads the answer, once it has heard the request and before it
        sends the bytes."""
        said: list[str] = []
        environ = self.environ | {
            "CONTENT_LENGTH": str(len(body)), "wsgi.input": io.BytesIO(body),
        }  # fmt: skip
        answer = self.application(
            environ, lambda status, _headers, _error=None: said.append(status)
        )
        try:
            whole = b"".join(answer)
        finally:
            answer.close()
        assert said == ["200 OK"], said
        return whole

    def log_by_client(self) -> None:
        """As this was measured before: with Django's client of tests, which makes a request from
        a document and a page from the answer, and no limit."""
        document = self._document(4)
        body = json.dumps({"sent": datetime.now(UTC).isoformat(), "e": [document]})
        with limited(None):
            answer = self.phone.post("/api/sync", body, content_type="application/json")
        assert answer.json()["r"][document["id"]][0] == "stored"

    def untallied(self) -> None:
        """An entry read, checked and written, without a request around it."""
        from practice.flows.take_entry import Sender, receive_one
        from shared.people.access import recordable

        sender = Sender(recordable(self.student), self.student.user)
        kept = receive_one(self._document(4), sender=sender, with_tally=False)
        assert kept.verdict == "stored"

    def tally(self) -> None:
        from django.db import transaction

        from practice.compliance.tally import recompute

        today = house.today_of(self.student)
        with transaction.atomic():
            recompute(self.student, today - timedelta(days=today.weekday()))

    def _document(self, blocks: int) -> dict:
        now = datetime.now(UTC)
        block = {"p": None, "d": None, "what": "range", "min": 10, "s": []}
        return {
            "id": str(uuid4()), "v": 1, "k": "log", "who": str(self.student.pk),
            "day": str((now - timedelta(hours=3)).date()), "at": now.isoformat(),
            "b": [block] * blocks, "min": 15, "felt": 6, "note": "", "pain": None,
        }  # fmt: skip


@contextmanager
def limited(rate: str | None = "100/min") -> Iterator[None]:
    """The limit of the API as shipped; each request is its sender's first of a minute."""
    from shared.site.api_limit import PerSender

    minutes = itertools.count(60, 60)
    with (
        patch.object(PerSender, "THROTTLE_RATES", {"api": rate}),
        patch.object(PerSender, "timer", lambda _self: next(minutes)),
    ):
        yield


# --- the limits ---------------------------------------------------------------------


def rows_of(place: Place) -> list[tuple]:
    """What a board needs as somebody would write it: eight weeks a student, by one statement."""
    from django.db import connection

    since = house.today_of(place.student) - timedelta(weeks=8)
    sql = (
        "SELECT s.name, t.student_id, t.opens, t.asked_minutes, t.credited_minutes, t.credit,"
        " t.priority_credit, t.finished, t.minutes, t.last_written_at FROM people_student s"
        " JOIN compliance_weektally t ON t.student_id = s.id"
        " WHERE s.studio_id = %s AND s.left_on IS NULL AND t.opens > %s ORDER BY s.name, t.opens"
    )
    studio = place.studio if connection.vendor == "postgresql" else place.studio.hex
    with connection.cursor() as cursor:
        cursor.execute(sql, [studio, str(since)])
        return cursor.fetchall()


def joined(place: Place) -> str:
    """The same with a session and a user read, as a page of strings."""
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute("SELECT session_data FROM people_usersession LIMIT 1")
        cursor.fetchall()
        cursor.execute("SELECT * FROM people_user LIMIT 1")
        cursor.fetchall()
    by_student: dict[object, list[tuple]] = {}
    for row in rows_of(place):
        by_student.setdefault(row[1], []).append(row)
    return "".join(
        f"<li><a href='/students/{who}/'>{weeks[0][0]}</a>"
        + "".join(f"<b>{week[3]:.0f} {week[4]:.0f} {week[2]}</b>" for week in weeks)
        + "</li>"
        for who, weeks in by_student.items()
    )


def written(place: Place) -> None:
    """Four statements and a commit: the entry, its results, the tally of the week, the key."""
    from django.db import connection, transaction

    from practice.compliance.models import WeekTally
    from practice.log.models import Entry, Result

    with transaction.atomic(), connection.cursor() as cursor:
        one = uuid4()
        ident = one if connection.vendor == "postgresql" else one.hex
        for model in (Entry, Result):
            table = model._meta.db_table
            names = [f.column for f in model._meta.concrete_fields if f.column != "id"]
            like = {"entry": place.last} if model is Result else {"pk": place.last}
            column = "entry_id" if model is Result else "root"
            picked = ", ".join("%s" if name == column else name for name in names)
            own_id, values = ("", [ident]) if model is Result else ("id, ", [ident, ident])
            first = "" if model is Result else "%s, "
            where = "entry_id" if model is Result else "id"
            source = next(iter(like.values()))
            source = source if connection.vendor == "postgresql" else source.replace("-", "")
            cursor.execute(
                f"INSERT INTO {table} ({own_id}{', '.join(names)})"
                f" SELECT {first}{picked} FROM {table} WHERE {where} = %s",
                [*values, source],
            )
        student = place.student.pk
        student = student if connection.vendor == "postgresql" else student.hex
        tally = WeekTally._meta.db_table
        cursor.execute(
            f"UPDATE {tally} SET minutes = minutes + 40 WHERE student_id = %s AND opens ="
            f" (SELECT MAX(opens) FROM {tally} WHERE student_id = %s)",
            [student, student],
        )
        cursor.execute("UPDATE log_logkey SET last_used_at = last_used_at WHERE student_id = %s",
                       [student])  # fmt: skip


# --- the run ------------------------------------------------------------------------


def same_answer(place: Place) -> None:
    """Whoever is in the limit's rows is on the page, and nobody else."""
    named = {row[0] for row in rows_of(place)}
    assert named == {each.name for each in place.data()}
    page = place.board().content.decode()
    assert all(name in page for name in named)


def run(arguments: argparse.Namespace) -> list[Figure]:
    from shared.web_server import settle

    bench = Bench(arguments.rounds)
    places = [Place(arguments.students, years) for years in sorted(arguments.years)]
    for place in places:
        same_answer(place)
        place.log()
        place.as_it_was()
    settle()
    young, old = places[0], places[-1]
    print(f"{bench.connection.vendor}, {arguments.students} students, {old.years:g} years")
    print(HEAD)
    bench.compare("board, data", lambda: rows_of(old), old.data)
    bench.compare("board, page", lambda: joined(old), old.board)
    bench.compare("board, of all stale", lambda: rows_of(old), old.stale)
    for name, work in {
        "one log": young.log,
        "by the tests' client": young.log_by_client,
        "of it: no entry": young.nothing,
        "of it: no tally": young.untallied,
        "of it: a tally": young.tally,
    }.items():
        bench.compare(name, lambda: written(young), work, before=young.as_it_was)
    bench.compare("one log of 20 blocks", young.log, lambda: young.log(20), before=young.as_it_was)
    if young is not old:
        bench.compare("board, years", young.board, old.board)
        bench.compare(
            "log, years",
            young.log,
            old.log,
            before=lambda times: (young.as_it_was(times), old.as_it_was(times)),
        )
    if arguments.others:
        works = {"board, data": young.data, "board, page": young.board, "one log": young.log}
        alone = {name: bench.usual(work, young.as_it_was) for name, work in works.items()}
        crowd(arguments.others)
        bench.compare("board, among others", lambda: rows_of(young), young.data)
        for name, work in works.items():
            among = bench.usual(work, young.as_it_was)
            words = f"{name}, among {arguments.others} others {among:.2f} ms"
            print(f"{words}, alone {alone[name]:.2f}: {among / alone[name]:.2f}", flush=True)
    return bench.figures


def crowd(students: int, weeks: int = 8) -> None:
    """So many students of other studios, with so many weeks each."""
    from coaching.board.models import KeptLine
    from practice.compliance.models import WeekTally
    from shared.people.models import Student
    from tests.factories import make_coach, studio_of

    for _ in range(0, students, 500):
        coach = make_coach()
        made = Student.objects.bulk_create(
            Student(studio=studio_of(coach), lead_coach=coach, name=f"Other {n}")
            for n in range(500)
        )
        first = house.today_of(made[0])
        WeekTally.objects.bulk_create(
            WeekTally(student=student, opens=first - timedelta(weeks=ago), has_plan=True)
            for student in made
            for ago in range(weeks)
        )
        KeptLine.objects.bulk_create(KeptLine(student=student) for student in made)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--students", type=int, default=60)
    parser.add_argument("--years", type=float, nargs="+", default=[1, 20])
    parser.add_argument("--others", type=int, default=0)
    parser.add_argument("--rounds", type=int, default=9)
    parser.add_argument("--json", type=Path)
    arguments = parser.parse_args()
    house.set_up(os.environ.get("DATABASE_URL"))
    with limited():
        figures = run(arguments)
    if arguments.json:
        arguments.json.write_text(json.dumps([asdict(figure) for figure in figures], indent=1))


if __name__ == "__main__":
    main()
