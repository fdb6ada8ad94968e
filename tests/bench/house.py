"""A studio as one that has run for years: made in bulk, the same for the same seed.

Its newest weeks are computed by the tally as every log's are; older ones repeat them. What
others have in the same database is as much as an index must keep apart, and no more.
"""

import os
from datetime import UTC, date, datetime, time, timedelta
from random import Random
from uuid import uuid4

WEEK = timedelta(weeks=1)
COMPUTED = 8  # Weeks of each student whose tally is made from the logs; older ones repeat them.
DRILLS = (
    ("Ladder", "10@50, 8@70, 6@90"),
    ("Gate putts", "3×10"),
    ("Low points", "2×12"),
    ("Wedges to a towel", "3×8"),
)
WEEKLY = 4  # Of seven days, on how many somebody practises.


def set_up(database: str | None = None) -> None:
    """A Django with an empty, migrated database of its own. Call it once in a process."""
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    os.environ["EXTRA_HOSTS"] = "testserver"
    os.environ.pop("DATABASE_URL", None)
    if database:
        os.environ["DATABASE_URL"] = database
    import django
    from django.core.management import call_command

    django.setup()
    call_command("migrate", verbosity=0)
    call_command("createcachetable", verbosity=0)


def fill(students: int = 60, years: float = 3, seed: int = 20310226):
    """The coach of a studio with so many students and years of weeks, all relative to today."""
    from tests.factories import make_coach, make_drill, make_student, studio_of

    random = Random(seed)
    coach = make_coach(name="Coach")
    drills = [make_drill(studio_of(coach), name, dose) for name, dose in DRILLS]
    for n in range(students):
        student = make_student(coach, f"Student {n:03}", with_user=n < 2)
        student.joined_on = today_of(student) - timedelta(weeks=round(years * 52) + 1)
        student.save(update_fields=["joined_on"])
        live(student, drills, round(years * 52), Random(random.random()))
    return coach


def live(student, drills, weeks: int, random: Random, *, newest: int = 0) -> None:
    """Weeks of plans, logs, lessons and their tallies, up to today in this week, or to the one
    so many weeks ago."""
    from coaching.lessons.models import Lesson
    from practice.compliance.models import WeekTally
    from practice.log.models import Entry, Result
    from practice.weeks.models import Part, Week

    today, rows = today_of(student), Rows()
    first = today - timedelta(days=today.weekday())
    for ago in range(weeks, newest - 1, -1):
        _week(student, drills, first - ago * WEEK, today, random, rows)
    Week.objects.bulk_create(rows.weeks, 500)
    Part.objects.bulk_create(rows.parts, 500)
    Entry.objects.bulk_create(rows.entries, 500)
    Result.objects.bulk_create(rows.results, 500)
    Lesson.objects.bulk_create(rows.lessons, 500)
    made = [
        tally for tally in tallies(student, first, weeks) if tally.opens <= first - newest * WEEK
    ]
    WeekTally.objects.bulk_create(made, 500)


def tested(student, weeks: int, random: Random) -> None:
    """A speed test a week and a wedge card a month, the last of each today."""
    from tests.numbers import make, speeds

    drill = speeds.speed_drill(student)
    for ago in range(weeks, -1, -1):
        speeds.one_day(student, drill, 100 + random.gauss(0, 1), days_ago=7 * ago)
    clubs = make.card(student)
    for ago in range(1, weeks // 4):
        kept = make.sitting(student, days_ago=28 * ago)
        for name, lengths in make.OSKAR.items():
            for length, mean in lengths.items():
                carries = [mean + random.gauss(0, 1.5) for _ in make.SPREAD]
                make.balls(kept, clubs[name], carries, length=length)


def analyse() -> None:
    """What the database itself does in the night."""
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")


def today_of(student) -> date:
    from django.utils import timezone

    from shared.kit.weeks import practice_day

    return practice_day(timezone.now(), student.time_zone)


class Rows:
    def __init__(self) -> None:
        self.weeks, self.parts, self.entries, self.results, self.lessons = [], [], [], [], []


def _week(student, drills, opens: date, today: date, random: Random, rows: Rows) -> None:
    from coaching.lessons.models import Lesson
    from practice.weeks.models import Part, Week

    sent = _at(opens, 8)
    week = Week(
        id=uuid4(), student=student, opens=opens, state=Week.State.SENT,
        author_id=student.lead_coach_id, sent_at=sent, published_on=opens,
    )  # fmt: skip
    parts = [
        Part(
            id=uuid4(), week=week, priority=n, drill=drill, revision_id=drill.current_id,
            dose=drill.current.dose, dose_asked=drill.current.dose, sessions=3, sessions_asked=3,
            minutes=15, added_by_id=student.lead_coach_id,
        )
        for n, drill in enumerate(drills[:3], 1)
    ]  # fmt: skip
    rows.weeks.append(week)
    rows.parts += parts
    rows.lessons.append(
        Lesson(
            id=uuid4(), student=student, coach_id=student.lead_coach_id, at=sent,
            state=Lesson.State.CLOSED, ending=Lesson.Ending.SENT, opened_at=sent, closed_at=sent,
        )
    )  # fmt: skip
    for offset in sorted(random.sample(range(7), WEEKLY)):
        if opens + timedelta(days=offset) <= today:
            _practise(student, parts, opens, opens + timedelta(days=offset), random, rows)


def _practise(student, parts, opens: date, day: date, random: Random, rows: Rows) -> None:
    from practice.log.models import Entry, Result

    ident, at = uuid4(), _at(day, 6)
    rows.entries.append(
        Entry(
            id=ident, root=ident, student=student, day=day, at=at, received_at=at, minutes=30,
            document={"v": 1, "k": "log"}, fingerprint=ident.hex, note="Well." * (day.day == 9),
        )
    )  # fmt: skip
    for position, part in enumerate(random.sample(parts, 2)):
        steps = [{"n": random.randint(5, 10), "clean": 5, "effort": None}] * 3
        rows.results.append(
            Result(
                entry_id=ident, student=student, position=position, opens=opens,
                filed=Result.Filed.IN_WEEK, part=part, drill_id=part.drill_id, steps=steps,
                minutes=15, balls=24, hard_swings=6 * (position == 0),
            )
        )  # fmt: skip


def tallies(student, first: date, weeks: int) -> list:
    from practice.compliance.models import WeekTally
    from practice.compliance.tally import FIELDS, compute

    known = {n: compute(student, first - n * WEEK) for n in range(min(weeks, COMPUTED) + 1)}
    made = list(known.values())
    for ago in range(len(known), weeks + 1):
        like = known[ago % COMPUTED + 1]
        opens, fields = first - ago * WEEK, {name: getattr(like, name) for name in FIELDS}
        shift = opens - like.opens
        fields["last_written_at"] = like.last_written_at and like.last_written_at + shift
        made.append(WeekTally(student=student, opens=opens, **fields))
    return made


def _at(day: date, hour: int) -> datetime:
    return datetime.combine(day, time(hour), UTC)
