"""What the board and a log cost, as ratios of processor time to limits of the same run.

    .venv/bin/python -m tests.bench.speed [--students 60] [--years 1 20] [--others 20000]
        [--rounds 9] [--json FILE]

On SQLite, or on the PostgreSQL of DATABASE_URL (an empty database of its own; with its backend's
time where it runs on this machine). In turn, limit and page and limit and page, and medians of
paired ratios: those hold within a fifth where wall times lie tenfold. A limit is what somebody
would write by hand for the same rows: one statement through the cursor, and strings joined.
Nothing is timed before page and limit have said the same.
"""

import argparse
import json
import os
from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median
from time import process_time
from uuid import uuid4

from tests.bench import house

SAMPLE = 0.05  # Seconds of processor in one sample; less is lost in the clock's own grain.
GOALS = {
    "board, data": (2.5, 2.5), "board, page": (2.5, 1.8), "board, of all stale": (None, None),
    "one log": (4.5, 2.5), "of it: no entry": (None, None), "of it: no tally": (None, None),
    "of it: a tally": (None, None), "one log of 20 blocks": (1.2, 1.2),
    "board, years": (1.15, 1.15), "log, years": (1.15, 1.15), "board, among others": (1.2, 1.2),
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

    def compare(
        self, name: str, limit: Callable, ours: Callable, *, before: Callable = lambda: None
    ) -> Figure:
        """`before` each sample, unmeasured."""
        from django.test.utils import CaptureQueriesContext

        often = [self.times_of(limit), self.times_of(ours)]
        before()
        with CaptureQueriesContext(self.connection) as asked:
            ours()
        queries = len(asked)  # Now: the next request forgets them.
        pairs = []
        for _ in range(self.rounds):
            took = []
            for work, times in ((limit, often[0]), (ours, often[1])):
                before()
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

    def as_it_was(self) -> None:
        """What was logged in the runs before goes: a week of a thousand logs is nobody's."""
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
        self.log()  # One that the limit copies.

    def log(self, blocks: int = 4) -> None:
        document = self._document(blocks)
        assert self.sync(document)[document["id"]][0] == "stored"
        self.last = document["id"]

    def sync(self, *documents: dict):
        """With none: what the frame, the key and the answer cost without an entry."""
        body = json.dumps({"sent": datetime.now(UTC).isoformat(), "e": documents})
        answer = self.phone.post("/api/sync", body, content_type="application/json")
        return answer.json()["r"]

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
        "of it: no entry": young.sync,
        "of it: no tally": young.untallied,
        "of it: a tally": young.tally,
    }.items():
        bench.compare(name, lambda: written(young), work, before=young.as_it_was)
    bench.compare("one log of 20 blocks", young.log, lambda: young.log(20), before=young.as_it_was)
    if young is not old:
        bench.compare("board, years", young.board, old.board)
        bench.compare(
            "log, years", young.log, old.log, before=lambda: (young.as_it_was(), old.as_it_was())
        )
    if arguments.others:
        alone = median(bench.each(young.data, 20) for _ in range(arguments.rounds))
        crowd(arguments.others)
        bench.compare("board, among others", lambda: rows_of(young), young.data)
        after = median(bench.each(young.data, 20) for _ in range(arguments.rounds))
        print(f"among {arguments.others} others {after:.2f} ms, alone {alone:.2f}")
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
    figures = run(arguments)
    if arguments.json:
        arguments.json.write_text(json.dumps([asdict(figure) for figure in figures], indent=1))


if __name__ == "__main__":
    main()
