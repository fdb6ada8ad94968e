"""What one log costs: the same with one year of history as with ten."""

import re
import statistics
import time
from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext

from coaching.board.queries import one_student
from practice.compliance.models import WeekTally
from practice.flows.take_entry import Sender, receive_one
from practice.log.models import Entry, Result
from shared.people.models import User
from tests.factories import (
    MONDAY,
    WEDNESDAY_EVENING,
    make_drill,
    make_part,
    make_student,
    make_week,
)

pytestmark = pytest.mark.django_db
YEAR = 52
AN_ENTRY_A_DAY = 4  # Days of practice in each week.
ROUNDS = 30


@pytest.fixture(autouse=True)
def wednesday():
    with time_machine.travel(WEDNESDAY_EVENING, tick=True):
        yield


def lived(coach, weeks: int):
    """A student with so many weeks of logs behind them, and this week's part."""
    student = make_student(coach, f"{weeks} weeks")
    part = make_part(make_week(student), make_drill(student.studio, f"Ladder {weeks}"))
    opens = [MONDAY - timedelta(weeks=n) for n in range(1, weeks + 1)]
    WeekTally.objects.bulk_create(
        WeekTally(
            student=student,
            opens=day,
            has_plan=True,
            asked_minutes=60,
            credit=0.8,
            credited_by_day=[10.0] * 7,
            minutes_by_day=[10.0] * 7,
            planned_by_day=[8.5] * 7,
            entries=[[n, n] for n in range(AN_ENTRY_A_DAY)],
        )
        for day in opens
    )
    entries = [
        Entry(
            id=(ident := uuid4()),
            root=ident,
            student=student,
            day=day + timedelta(days=n),
            at=(at := datetime(day.year, day.month, day.day, 18, tzinfo=UTC)),
            received_at=at,
            document={},
            fingerprint="x",
        )
        for day in opens
        for n in range(AN_ENTRY_A_DAY)
    ]
    Entry.objects.bulk_create(entries)
    Result.objects.bulk_create(
        Result(entry=entry, student=student, opens=entry.day, what="range", minutes=10)
        for entry in entries
    )
    return student, part


def log(student, part) -> None:
    at = WEDNESDAY_EVENING - timedelta(hours=1)
    block = {"p": str(part.pk), "s": [{"n": 10, "c": None, "e": None}]}
    document = {
        "id": str(uuid4()),
        "v": 1,
        "k": "log",
        "who": str(student.pk),
        "day": str(at.date()),
        "at": at.isoformat(),
        "b": [block],
    }
    assert receive_one(document, sender=Sender(student, student.user)).verdict == "stored"


def asked(coach, student, part) -> list[str]:
    reader = User.objects.get(pk=coach.pk)  # As in a request: nothing is known of the roles yet.
    with CaptureQueriesContext(connection) as context:
        log(student, part)
        one_student(reader, student, WEDNESDAY_EVENING)
    return [query["sql"] for query in context]


def test_ten_years_ask_no_more_than_one(coach):
    one, ten = (asked(coach, *lived(coach, n * YEAR)) for n in (1, 10))
    assert [_shape(sql) for sql in one] == [_shape(sql) for sql in ten]


def test_ten_years_read_no_more_than_one(coach):
    found = []
    for years in (1, 10):
        student, part = lived(coach, years * YEAR)
        log(student, part)
        _, raw, _ = one_student(coach, student, WEDNESDAY_EVENING)
        found.append((len(raw.tallies), sum(len(tally.entries) for tally in raw.tallies)))
    assert found[0] == found[1]


@pytest.mark.skipif("connection.vendor != 'sqlite'", reason="plans are read as SQLite tells them")
def test_no_table_of_history_is_read_from_end_to_end(coach):
    student, part = lived(coach, YEAR)
    for sql in asked(coach, student, part):
        if not sql.startswith("SELECT"):
            continue
        with connection.cursor() as cursor:
            cursor.execute(f"EXPLAIN QUERY PLAN {sql}")
            plan = " / ".join(row[3] for row in cursor.fetchall())
        assert not re.search(r"SCAN (log_entry|log_result|compliance_weektally)\b", plan), plan


def _shape(sql: str) -> str:
    """The statement without its values."""
    return re.sub(r"'[^']*'|\b\d+\b|s\d+_x\d+", "?", sql)


@pytest.mark.long
def test_figures_to_read(coach, capsys):
    """In turn, so that whatever else the machine does meets each of them alike."""
    students = {years: lived(coach, years * YEAR) for years in (1, 3, 10)}
    took: dict[int, list[float]] = {years: [] for years in students}
    for _ in range(ROUNDS):
        for years, (student, part) in students.items():
            begun = time.perf_counter()
            log(student, part)
            one_student(coach, student, WEDNESDAY_EVENING)
            took[years].append((time.perf_counter() - begun) * 1000)
    one = statistics.median(took[1])
    with capsys.disabled():
        print(f"\none log and its standing, {ROUNDS} rounds in turn")
        for years, times in took.items():
            middle = statistics.median(times)
            print(f"{years:>2} years: median {middle:.1f} ms, {middle / one:.2f} times one year")
