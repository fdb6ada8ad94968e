"""What a page of numbers costs beside its bare reading and computing. Run: make bench.

A speed book over 5,000 swings, in a database of its own. Three ways in turn: one
statement through the database's cursor and the measures called on its rows; the page's
own reading and computing; the page whole, with sign-in, access, words, drawings and
template. Before anything is timed, all must have given the same answer.
"""

import argparse
import json
import os
import sys
from collections import defaultdict
from datetime import timedelta
from pathlib import Path
from statistics import median
from time import perf_counter

ROUNDS = 21
DAYS, SWINGS = 100, 50  # 5,000 swings, a test every week within the two years read.
GOAL = 1.5


def set_up() -> None:
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"  # A database of its own.
    os.environ["EXTRA_HOSTS"] = "testserver"
    os.environ.pop("DATABASE_URL", None)
    import django
    from django.core.management import call_command

    django.setup()
    call_command("migrate", verbosity=0)


def fill():
    """A coach and a student with 5,000 swings."""
    from random import Random

    from practice.shots.models import Shot, Sitting
    from tests.factories import make_coach, make_student
    from tests.numbers.make import today_of
    from tests.numbers.speeds import speed_drill

    random = Random(20310226)
    coach = make_coach()
    student = make_student(coach)
    drill, today = speed_drill(student), today_of(student)
    for ago in range(DAYS):
        level = 68 - 0.03 * ago + random.gauss(0, 0.8)
        sitting = Sitting.objects.create(
            student=student, drill=drill, day=today - timedelta(days=7 * ago), device="box"
        )
        Shot.objects.bulk_create(
            Shot(
                sitting=sitting, student=student, number=n, ball_speed=level + random.gauss(0, 0.8)
            )
            for n in range(SWINGS)
        )
    return coach, student


def bare(student):
    """Read and compute, with nothing of the page: the answers in metres a second."""
    from django.db import connection

    from practice.measures.change import (
        USUAL_BALL_SPREAD,
        against_before,
        against_start,
        steadiness,
    )
    from practice.measures.chart import individuals, signals
    from practice.measures.spread import components
    from practice.measures.trend import line, robust_slope

    days = defaultdict(list)
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT s.day, h.ball_speed FROM shots_shot h JOIN shots_sitting s"
            " ON s.id = h.sitting_id WHERE s.student_id = %s AND s.counts"
            " ORDER BY s.day, h.number",
            [student.pk.hex],
        )
        for day, speed in cursor.fetchall():
            days[day].append(speed)
    figures = [median(swings) for swings in days.values()]
    offsets = [7 * n for n in range(len(figures))]
    limits = individuals(figures)
    return {
        "change": against_start(figures, USUAL_BALL_SPREAD),
        "recent": against_before(figures, USUAL_BALL_SPREAD),
        "steady": steadiness(figures, USUAL_BALL_SPREAD),
        "limits": limits,
        "signals": signals([(each - limits.centre) / limits.sigma for each in figures]),
        "slope": robust_slope(offsets, figures, "m/s"),
        "fit": line(offsets, figures, least=8),
        "parts": components(list(days.values())),
    }


def same_answer(student, client, address: str) -> None:
    """Raise AssertionError unless the page says what the bare way found."""
    from practice.numbers.speed.book import speed_book
    from practice.numbers.speed.pages import speed_page
    from practice.numbers.speed.queries import read_speeds
    from practice.numbers.speed.text import SpeedReader
    from tests.numbers.make import today_of

    found = bare(student)
    (line,) = speed_book(read_speeds(student, today_of(student))).lines
    for name in ("change", "recent", "steady", "limits"):
        assert getattr(line, name) == found[name], name
    assert (line.trend.slope, line.trend.fit) == (found["slope"], found["fit"])
    assert line.spreads.within**2 - found["parts"].within < 1e-12
    assert len(line.signals) == sum(map(len, found["signals"].values()))
    assert sum(len(day.swings) for day in line.days) == DAYS * SWINGS
    (view,) = speed_page(
        speed_book(read_speeds(student, today_of(student))), SpeedReader("mph", "Student", False)
    ).lines
    page = client.get(address).content.decode()
    assert view.answer in page


def timed(work) -> float:
    start = perf_counter()
    work()
    return 1000 * (perf_counter() - start)


def main(to: Path | None) -> int:
    set_up()
    from practice.numbers.speed.book import speed_book
    from practice.numbers.speed.queries import read_speeds
    from tests.conftest import signed_in
    from tests.numbers.make import today_of

    coach, student = fill()
    client, address = signed_in(coach), f"/students/{student.pk}/speed/"
    same_answer(student, client, address)
    today = today_of(student)
    ways = {
        "bare cursor and measures": lambda: bare(student),
        "the page's own reading and computing": lambda: speed_book(read_speeds(student, today)),
        "the whole page": lambda: client.get(address),
    }
    rounds = [[timed(work) for work in ways.values()] for _ in range(ROUNDS)]
    print(f"{DAYS * SWINGS} swings, {ROUNDS} rounds in turn; median and fastest, ms")
    for name, times in zip(ways, zip(*rounds, strict=True), strict=True):
        print(f"{name:38}{median(times):8.1f}{min(times):8.1f}")
    to_bare, to_own = (
        median(page / each[n] for each in rounds for page in each[2:]) for n in (0, 1)
    )
    print(f"the page to the bare cursor           {to_bare:8.2f}")
    print(f"the page to its reading and computing {to_own:8.2f}   (goal: at most {GOAL})")
    if to:
        middle = {
            name: median(times) for name, times in zip(ways, zip(*rounds, strict=True), strict=True)
        }
        ratios = {"page to bare": to_bare, "page to reading": to_own, "goal": GOAL}
        to.write_text(json.dumps({"ms": middle, "ratio": ratios}, indent=1))
    return 0 if to_own <= GOAL else 1


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--json", type=Path)
    sys.exit(main(parser.parse_args().json))
