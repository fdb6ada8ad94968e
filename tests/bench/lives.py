"""What is asked all day, after one year and after twenty, among few students and among many.

    .venv/bin/python -m tests.bench.lives [--students 6] [--years 1 20] [--others 1000 20000]
        [--rounds 15] [--json FILE]

On SQLite, or on the PostgreSQL of DATABASE_URL (an empty database of its own). For each question
the rows that the database reads, as it counts them itself, and the processor's time, that of the
backend with it where it runs on this machine. SQLite counts the steps of its machine instead of
rows. Both lives are asked in turn and the ratio is the median of pairs; the many students come
after the few, into the same tables.
"""

import argparse
import json
import os
from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import UTC, datetime, time, timedelta
from pathlib import Path
from statistics import median

from tests.bench import house
from tests.bench.speed import Bench, crowd

Question = Callable[[], object]


@dataclass(frozen=True)
class Grown:
    """One question, small and large."""

    name: str
    engine: str
    small: str
    large: str
    read: tuple[int, int]
    ms: tuple[float, float]
    ratio: float

    def __str__(self) -> str:
        return (
            f"{self.name:22}{self.small:>15}{self.large:>15}"
            f"{self.read[0]:>10}{self.read[1]:>10}{self.read[1] / max(1, self.read[0]):>7.2f}"
            f"{self.ms[0]:>9.2f}{self.ms[1]:>9.2f}{self.ratio:>7.2f}"
        )


HEAD = (
    f"{'':22}{'small':>15}{'large':>15}{'read':>10}{'read':>10}{'ratio':>7}"
    f"{'ms':>9}{'ms':>9}{'ratio':>7}"
)


def rows_read(ask: Question) -> int:
    """Rows on PostgreSQL; on SQLite the steps of its machine, which follow the rows."""
    from django.db import connection, transaction

    if connection.vendor == "sqlite":
        from tests.jobs.test_rows_read import steps

        return steps(ask)
    count = "SELECT coalesce(sum(seq_tup_read + idx_tup_fetch), 0) FROM pg_stat_xact_user_tables"
    with transaction.atomic(), connection.cursor() as cursor:
        found = []
        for work in (lambda: None, ask):  # What came before may not be told of yet.
            work()
            cursor.execute(count)
            found.append(int(cursor.fetchone()[0]))
        return found[1] - found[0]


def of_a_life(coach) -> dict[str, Question]:
    """What pages and logs ask of a studio and of one of its students."""
    from django.utils import timezone

    from coaching.board.read import DAYS_WRITTEN_BACK, _words
    from practice.compliance.facts import _results
    from practice.shelf.queries import shelf
    from shared.people.models import Student
    from tests.factories import studio_of

    student = Student.objects.filter(lead_coach=coach).order_by("name")[0]
    today, studio = house.today_of(student), studio_of(coach)
    monday = today - timedelta(days=today.weekday())
    since = timezone.now() - timedelta(days=14)
    first = since.date() - timedelta(days=DAYS_WRITTEN_BACK + 1)
    return {
        "drill shelf": lambda: shelf(studio),
        "notes of the board": lambda: _words(students=[student.pk], at=since, day=first),
        "a log's reading": lambda: _results(student, monday, None),
    }


def of_a_tick(now: datetime) -> dict[str, Question]:
    """What the clock asks every minute or five while nothing is due; the looks, once an hour."""
    from coaching.reminders import plan
    from coaching.reminders.models import ReminderRule
    from coaching.track_record import services as kept
    from practice.numbers.now import reckoning

    monday = (now - timedelta(days=now.weekday())).replace(hour=12)
    wednesday, friday = monday + timedelta(days=2), monday + timedelta(days=4)
    return {
        "due tick": lambda: list(plan._due(ReminderRule.objects.all(), now)),
        "kept.tick": kept.tick,
        "note: Wednesday noon": lambda: list(kept._unnoted(wednesday)),
        "note: Friday": lambda: list(kept._unnoted(friday)),
        "close: Monday": lambda: kept._to_close(monday),
        "close: Friday": lambda: kept._to_close(friday),
        "figures of tests": lambda: reckoning.sweep(now),
    }


class Lives(Bench):
    """Measures questions in pairs."""

    def measured(self, ask: Question) -> tuple[int, float, int]:
        """Rows read, milliseconds, and how often it is asked in one sample."""
        ask()  # What is made at the first time is no cost of every time.
        once = max(self.each(ask, 5), 0.01)
        times = max(1, round(50 / once))
        return rows_read(ask), self.each(ask, times), times

    def lives(self, small: dict[str, Question], large: dict[str, Question], words) -> None:
        for name, ask in small.items():
            read, _, times = self.measured(ask)
            more, _, fewer = self.measured(large[name])
            pairs = [
                (self.each(ask, times), self.each(large[name], fewer)) for _ in range(self.rounds)
            ]
            ms = median(one for one, _ in pairs), median(two for _, two in pairs)
            self.said(name, words, (read, more), ms, median(two / one for one, two in pairs))

    def ticks(self, sizes: list[int], now: datetime) -> None:
        known: dict[str, tuple[int, float]] = {}
        for place, size in enumerate(sizes):
            among(size)
            for name, ask in of_a_tick(now).items():
                read, _, times = self.measured(ask)
                ms = median(self.each(ask, times) for _ in range(self.rounds))
                if place:
                    before, took = known[name]
                    words = f"{sizes[0]} students", f"{size} students"
                    self.said(name, words, (before, read), (took, ms), ms / took)
                else:
                    known[name] = read, ms

    def said(self, name: str, words, read, ms, ratio: float) -> None:
        found = Grown(name, self.connection.vendor, *words, read, ms, ratio)
        self.grown.append(found)
        print(found, flush=True)

    def __init__(self, rounds: int) -> None:
        super().__init__(rounds)
        self.grown: list[Grown] = []


def among(students: int) -> None:
    """So many students in all, each with a rule that is not due and two weeks that were sent.

    What was said of both is noted, and last week's word has come out this Monday.
    """
    from django.utils import timezone

    from coaching.reminders.models import ReminderRule
    from shared.people.models import Student

    crowd(max(0, students - Student.objects.count()), weeks=2)
    with_words(timezone.now())
    soon = timezone.now() + timedelta(days=1)
    without = Student.objects.filter(reminder_rule=None).values_list("pk", flat=True)
    ReminderRule.objects.bulk_create(
        [ReminderRule(student_id=pk, next_due_utc=soon) for pk in without], batch_size=500
    )
    ReminderRule.objects.update(next_due_utc=soon)
    house.analyse()


def with_words(now: datetime) -> None:
    """Of each student without one: a word of this week, and one of the last that came out."""
    from coaching.track_record.models import WordKept
    from practice.weeks.models import Week
    from shared.people.models import Student

    monday = (now - timedelta(days=now.weekday())).date()
    over = datetime.combine(monday, time(3), UTC)
    rows = Student.objects.filter(words_kept=None).values_list("pk", "lead_coach")
    while some := list(rows[:5_000]):
        for opens, closed in ((monday, None), (monday - house.WEEK, over)):
            sent = over - timedelta(days=1) - (monday - opens)
            Week.objects.bulk_create(
                [
                    Week(student_id=pk, author_id=coach, opens=opens, state=Week.State.SENT,
                         sent_at=sent, published_on=opens)
                    for pk, coach in some
                ],
                500, ignore_conflicts=True,
            )  # fmt: skip
            WordKept.objects.bulk_create(
                [
                    WordKept(student_id=pk, opens=opens, at=over, said="Tight", closed_at=closed)
                    for pk, _ in some
                ],
                500,
            )  # fmt: skip


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--students", type=int, default=6)
    parser.add_argument("--years", type=float, nargs=2, default=[1, 20])
    parser.add_argument("--others", type=int, nargs="+", default=[1000, 20000])
    parser.add_argument("--rounds", type=int, default=15)
    parser.add_argument("--json", type=Path)
    asked = parser.parse_args()
    house.set_up(os.environ.get("DATABASE_URL"))
    bench = Lives(asked.rounds)
    print(HEAD)
    small, large = (of_a_life(house.fill(asked.students, years)) for years in asked.years)
    house.analyse()
    bench.lives(small, large, tuple(f"{years:g} years" for years in asked.years))
    from django.utils import timezone

    bench.ticks(asked.others, timezone.now())
    if asked.json:
        asked.json.write_text(json.dumps([asdict(each) for each in bench.grown], indent=1))


if __name__ == "__main__":
    main()
