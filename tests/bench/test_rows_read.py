"""What half a year and two years make the database go through, page by page.

A plan's words say little: SEARCH may go through a whole life. Counted is what is really gone
through, with the statistics that the night leaves and with none, as after an import.
"""

from dataclasses import dataclass
from random import Random
from typing import Any
from unittest.mock import patch

import pytest
from django.db import connection

from tests.bench import house
from tests.bench.pages import ROLES, Walk
from tests.bench.rows_read import rows_read
from tests.test_routes import ALL, address, put_back

pytestmark = [pytest.mark.django_db, pytest.mark.engine]
STUDENTS, YEARS = 8, (0.5, 2)
# Of several times as many, so few more are chance: a page of an index, the day of the week.
MORE, CHANCE = 1.25, {"sqlite": 300, "postgresql": 30}
# SQLite has two plans for a question of closing, some 3,500 steps apart, and takes either, of a
# short life and of a long one. A life gone through was 44,000.
TWO_PLANS = {"lessons:close": 2500}
HELD = {
    "sqlite": (
        "board:weeks",
        "board:who",
        "lessons:close",
        "log:child",
        "log:plain",
        "log:write_in",
        "progress:ladder",
        "progress:moved",
    ),
    # The others it joins by whole tables while those are small, as they are here.
    "postgresql": ("board:who", "log:write_in", "progress:ladder"),
}


@dataclass(frozen=True)
class Seen:
    total: int
    dearest: str


@pytest.fixture(scope="module")
def seen(django_db_setup, django_db_blocker) -> dict[tuple[str, float, bool], Seen]:
    """By page, years and whether there are statistics."""
    found = {}
    for years in YEARS:
        with django_db_blocker.unblock(), put_back(), _keys_drawn_alike():
            walk = Walk(students=STUDENTS, years=years, rounds=0)
            if connection.vendor == "postgresql":
                _say("SET LOCAL enable_seqscan = off")  # A small table is read whole the soonest.
            for is_fresh in (True, False):
                house.analyse() if is_fresh else _forget()
                for name in HELD[connection.vendor]:
                    found[name, years, is_fresh] = _look(walk, name)
    return found


def _keys_drawn_alike() -> Any:
    """The same walk takes as many steps again: where keys lie decides between plans."""
    return patch("os.urandom", Random(14).randbytes)


def _look(walk: Walk, name: str) -> Seen:
    path = address(ALL[name], walk.things)
    role = next(role for role in ROLES if walk.look(role, path).status_code == 200)
    with rows_read() as read:
        walk.look(role, path)
    return Seen(read.total, read.dearest)


def _forget() -> None:
    """The statistics, as if there never were any."""
    if connection.vendor == "sqlite":
        _say("DELETE FROM sqlite_stat1")
        _say("ANALYZE sqlite_master")  # Read them anew: there are none.
    else:
        _say("DELETE FROM pg_statistic WHERE starelid >= 16384")


def _say(sql: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute(sql)


@pytest.mark.parametrize("is_fresh", [True, False], ids=["with statistics", "without"])
@pytest.mark.parametrize("name", HELD[connection.vendor])
def test_a_longer_life_is_not_gone_through(seen, name, is_fresh):
    short, long = (seen[name, years, is_fresh] for years in YEARS)
    chance = TWO_PLANS.get(name, CHANCE[connection.vendor])
    assert long.total <= MORE * short.total + chance, (
        f"{name} went through {long.total} of {YEARS[1]} years, {short.total} of {YEARS[0]}:\n"
        f"{long.dearest}"
    )


def test_a_whole_table_gone_through_is_counted():
    """Else all of this would pass for nothing."""
    from shared.people.models import Student
    from tests import factories

    coach = factories.make_coach()
    for n in range(60):
        factories.make_student(coach, f"Student {n}")
    with rows_read() as one:
        assert Student.objects.filter(pk=Student.objects.values("pk")[:1]).exists()
    with rows_read() as every:
        assert not Student.objects.filter(goal__contains="nobody has this").exists()
    assert every.total >= 60
    assert one.total < every.total / 3
