"""What writing costs beside a bare bulk write of the same rows: queued logs, files of shots.

    .venv/bin/python -m tests.bench.writing [ROUNDS] [SHOTS] [--json FILE]

On SQLite, or on the PostgreSQL of DATABASE_URL (in a database of its own). Processor time of
this process, with that of the database's backend where it runs on this machine, and seconds on
the clock: medians of turns taken alternately. The bare write has the finished rows in memory and
does nothing but hand them over in one transaction: `executemany` on SQLite, COPY on PostgreSQL.
With 0 ROUNDS only files are read, three times.
"""

import argparse
import json
import os
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median
from typing import Any
from uuid import UUID

LOGS = 50
YEARS = (1, 20)


def set_up() -> Callable[[], None]:
    """A migrated database of its own; returns what takes it away again."""
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    os.environ["EXTRA_HOSTS"] = "testserver"
    import django

    django.setup()
    from django.db import connection

    before = connection.settings_dict["NAME"]
    connection.creation.create_test_db(verbosity=0, autoclobber=True)
    return lambda: connection.creation.destroy_test_db(before, verbosity=0)


def cost(work: Callable[[], Any]) -> tuple[float, float]:
    """Milliseconds of the processor and of the clock."""
    from tests.bench.speed import Bench

    spent = Bench(1).spent
    began, processor = time.perf_counter(), spent()
    work()
    return 1000 * (spent() - processor), 1000 * (time.perf_counter() - began)


def rows_of(model: Any, **of: Any) -> list[tuple[Any, ...]]:
    """Rows as the database has them, by its own cursor."""
    from django.db import connection

    table = model._meta.db_table
    (column,) = of
    with connection.cursor() as cursor:
        value = of[column].hex if connection.vendor == "sqlite" else of[column]
        cursor.execute(f"SELECT * FROM {table} WHERE {column} = %s", [value])
        return list(cursor.fetchall())


def bare_write(kept: dict[Any, list[tuple[Any, ...]]]) -> None:
    """These rows into their tables, and nothing else."""
    from django.db import connection, transaction

    with transaction.atomic(), connection.cursor() as cursor:
        for model, rows in kept.items():
            table = model._meta.db_table
            if not rows:
                continue
            if connection.vendor == "sqlite":
                marks = ", ".join(["%s"] * len(rows[0]))
                cursor.executemany(f"INSERT INTO {table} VALUES ({marks})", rows)
                continue
            with cursor.copy(f"COPY {table} FROM STDIN") as copy:
                for row in rows:
                    copy.write_row(row)


def delete(kept: dict[Any, list[tuple[Any, ...]]]) -> None:
    from django.db import connection

    with connection.cursor() as cursor:
        for model, rows in reversed(kept.items()):
            meta = model._meta
            key = [field.column for field in meta.concrete_fields].index(meta.pk.column)
            cursor.executemany(
                f"DELETE FROM {meta.db_table} WHERE {meta.pk.column} = %s",
                [(row[key],) for row in rows],
            )


def logs_of(student: Any, part: Any) -> list[dict[str, Any]]:
    from tests.log.entries import entry

    return [entry(student, part, note="went well") for _ in range(LOGS)]


def queued_logs(rounds: int) -> None:
    """50 logs in one POST by the phone's key, after one year of a life and after twenty."""
    import time_machine
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from practice.compliance.models import WeekTally
    from practice.log.models import Entry, Result
    from tests import factories
    from tests.bench.test_standing_cost import YEAR, lived
    from tests.log.entries import DAY, Phone

    coach = factories.make_coach()
    with time_machine.travel(factories.WEDNESDAY_EVENING, tick=False):
        for years in YEARS:
            student, part = lived(coach, years * YEAR)
            phone = Phone(student)
            with CaptureQueriesContext(connection) as found:
                phone.receipts(*logs_of(student, part))
            asked = len(found)  # The next request empties what was found.
            ours, bare = [], []
            for _ in range(rounds):
                Entry.objects.filter(student=student, day=DAY).delete()
                told = logs_of(student, part)
                ours.append(cost(lambda phone=phone, told=told: phone.receipts(*told)))
                news = {Entry: [], Result: [], WeekTally: []}
                for one in told:
                    news[Entry] += rows_of(Entry, id=UUID(one["id"]))
                    news[Result] += rows_of(Result, entry_id=UUID(one["id"]))
                delete(news)
                bare.append(cost(lambda news=news: bare_write(news)))
            said(f"{LOGS} logs after {years} years, {asked} queries", ours, bare)


def whole_file(student: Any, content: bytes) -> None:
    from practice.importing.work import read_waiting
    from tests.importing.test_bringing_in import bring

    file = bring(student, content)
    while file.state in (file.State.WAITING, file.State.READING):
        read_waiting()  # Its time was up before the file was.
        file.refresh_from_db()


def file_of_shots(rounds: int, shots: int) -> None:
    """A CSV of so many shots, from the bytes in the database to the finished file."""
    from practice.importing.models import ShotFile
    from practice.shots.models import Shot
    from tests import factories
    from tests.importing.files import many

    content = many(shots)
    coach = factories.make_coach(name="Importing")
    warm = factories.make_student(coach, "First", time_zone="UTC")
    whole_file(warm, many(200))  # What is loaded with the first file is no cost of the second.
    ours, bare = [], []
    for n in range(rounds):
        student = factories.make_student(coach, f"Import {n}", time_zone="UTC")
        ours.append(cost(lambda who=student: whole_file(who, content)))
        assert ShotFile.objects.get(student=student).shots_new == shots
        kept = {Shot: rows_of(Shot, student_id=student.pk)}
        delete(kept)
        bare.append(cost(lambda kept=kept: bare_write(kept)))
    said(f"{shots} shots of a file", ours, bare)


FIGURES: list[dict[str, Any]] = []


def said(what: str, ours: list[tuple[float, float]], bare: list[tuple[float, float]]) -> None:
    middle = [[median(each[n] for each in way) for n in (0, 1)] for way in (ours, bare)]
    (processor, clock), (bare_processor, bare_clock) = middle
    print(
        f"{what}: processor {processor:.0f} ms, bare {bare_processor:.0f},"
        f" ratio {processor / bare_processor:.1f}; clock {clock:.0f} ms, bare {bare_clock:.0f},"
        f" ratio {clock / bare_clock:.1f}",
        flush=True,
    )
    FIGURES.append(
        {
            "what": what, "processor": processor, "bare": bare_processor,
            "clock": clock, "bare clock": bare_clock,
        }
    )  # fmt: skip


def main(rounds: int, shots: int, to: Path | None) -> None:
    take_away = set_up()
    try:
        if rounds:
            queued_logs(rounds)
        file_of_shots(max(1, rounds // 3) if rounds else 3, shots)
    finally:
        take_away()
    if to:
        to.write_text(json.dumps(FIGURES, indent=1))


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("rounds", type=int, nargs="?", default=9)
    parser.add_argument("shots", type=int, nargs="?", default=100_000)
    parser.add_argument("--json", type=Path)
    asked = parser.parse_args()
    main(asked.rounds, asked.shots, asked.json)
