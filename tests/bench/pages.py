"""What every page costs: the processor, queries and compressed bytes of each, as each who may look.

    .venv/bin/python -m tests.bench.pages [--students 60] [--years 3] [--rounds 3]
        [--only NAME ...] [--profile] [--json FILE]

On SQLite, or on the PostgreSQL of DATABASE_URL (an empty database of its own; with its backend's
time where it runs on this machine). A studio of so many students and years, one of them a child
with its own phone, speed tests and wedges besides. Every address of `tests/routes.py` is asked as
each role; what it changes is put back. The first look warms what is loaded or kept once, and the
rounds after it give a median. Begin and commit are no questions. As a web process does, the
collector of garbage leaves alone what stays, and who looks was seen in these five minutes.
"""

import argparse
import json
import os
from cProfile import Profile
from dataclasses import asdict, dataclass
from pathlib import Path
from pstats import Stats
from random import Random
from statistics import median

from tests.bench import house
from tests.bench.speed import Bench

MOST_MS, MOST_QUERIES = 40, 12
# Begin, commit, and what the frame of a test puts around them.
FRAME = ("SAVEPOINT", "RELEASE", "ROLLBACK", "BEGIN", "COMMIT")
ROLES = ("coach", "owner", "assistant", "strength", "guardian", "student")
NEWEST = 1  # This week is the one that every address can name.


@dataclass(frozen=True)
class PageCost:
    """One page as one reader sees it; `ms` of processor, `size` in bytes as they are sent."""

    name: str
    role: str
    path: str
    ms: float
    queries: int
    size: int

    @property
    def is_dear(self) -> bool:
        return self.ms > MOST_MS or self.queries > MOST_QUERIES

    def __str__(self) -> str:
        mark = " *" * self.is_dear
        return f"{self.name:30}{self.role:12}{self.ms:9.1f}{self.queries:9}{self.size:9}{mark}"


HEAD = f"{'':30}{'':12}{'ms':>9}{'queries':>9}{'bytes':>9}"


class Walk(Bench):
    def __init__(self, students: int, years: float, rounds: int) -> None:
        from shared.web_server import settle

        super().__init__(rounds)
        self.clients, self.things = studio(students, years)
        self.clients["guardian"].get("/log/plain")  # The week is handed over,
        self.clients["coach"].get("/who/", {"all": "1"})  # and every line kept from here on.
        settle()

    def each_page(self, only: list[str] | None = None) -> list[PageCost]:
        from tests.test_routes import ALL

        names = [name for name in sorted(ALL) if not only or name in only]
        found = [self.page(name, role) for name in names for role in ROLES]
        return [cost for cost in found if cost is not None]

    def first_reader_of(self, name: str) -> PageCost | None:
        """The page as the first role sees it that has one there."""
        return next((cost for role in ROLES if (cost := self.page(name, role))), None)

    def page(self, name: str, role: str) -> PageCost | None:
        """None where this role has no page there."""
        from django.conf import settings
        from django.test.utils import CaptureQueriesContext

        from shared.people.sessions import note_seen
        from tests.test_routes import ALL, address

        note_seen(self.clients[role].cookies[settings.SESSION_COOKIE_NAME].value)
        path = address(ALL[name], self.things)
        first = self.look(role, path)
        if first.status_code != 200:
            return None
        with CaptureQueriesContext(self.connection) as asked:
            size = len(first.content) if not first.streaming else 0
            self.look(role, path)
        queries = sum(not query["sql"].startswith(FRAME) for query in asked.captured_queries)
        took = [self.each(lambda: self.look(role, path), 1) for _ in range(self.rounds)]
        return PageCost(name, role, path, median(took or [0.0]), queries, size)

    def look(self, role: str, path: str):
        from tests.test_routes import put_back

        client = self.clients[role]
        cookies = client.cookies.copy()
        with put_back():
            answer = client.get(
                path, headers={"accept-encoding": "br, gzip", "sec-fetch-site": "same-origin"}
            )
            if answer.streaming:
                b"".join(answer.streaming_content)
        client.cookies = cookies
        return answer


def studio(students: int, years: float):
    """Those who look, signed in, and one of everything that an address can name."""
    from practice.drills.models import Drill
    from practice.numbers.now import reckoning
    from shared.people.models import Membership
    from tests import factories
    from tests.conftest import signed_in
    from tests.test_routes import things_of

    coach = house.fill(students - 1, years)
    here, role = factories.studio_of(coach), Membership.Role
    others = {
        "owner": factories.make_coach(here, role.OWNER, name="Owner"),
        "assistant": factories.make_coach(here, role.ASSISTANT, name="Assistant"),
        "strength": factories.make_coach(here, role.HELPER, name="Strength"),
        "guardian": factories.make_user("Guardian"),
    }
    child = factories.make_child(coach, others["guardian"], name="Child", born_year=2016)
    child.joined_on = house.today_of(child) - round(years * 52 + 1) * house.WEEK
    child.save(update_fields=["joined_on"])
    child.strength_coaches.add(others["strength"])
    things = things_of(child)
    drills = list(Drill.objects.filter(studio=here).order_by("pk")[: len(house.DRILLS)])
    house.live(child, drills, round(years * 52), Random(7), newest=NEWEST)
    house.tested(child, round(years * 52), Random(8))
    reckoning.sweep()  # As the tick leaves it.
    house.analyse()
    users = {"coach": coach, "student": child.user} | others
    return {name: signed_in(user) for name, user in users.items()}, things


def profiled(walk: Walk, costs: list[PageCost]) -> None:
    """Of each dear page the five functions of ours that take longest, with all they call."""
    for cost in costs:
        profile = Profile()
        profile.runcall(walk.look, cost.role, cost.path)
        calls = Stats(profile).stats  # type: ignore[attr-defined]
        ours = [
            (row[3], f"{Path(where[0]).name}:{where[1]} {where[2]}")
            for where, row in calls.items()
            if any(f"/{package}/" in where[0] for package in ("coaching", "practice", "shared"))
            and "middleware" not in where[0]
            and "site-packages" not in where[0]
        ]
        print(f"{cost.name}, as {cost.role}")
        for seconds, where in sorted(ours, reverse=True)[:12]:
            print(f"{1000 * seconds:9.1f}  {where}")


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--students", type=int, default=60)
    parser.add_argument("--years", type=float, default=3)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--only", nargs="+")
    parser.add_argument("--profile", action="store_true")
    parser.add_argument("--json", type=Path)
    asked = parser.parse_args()
    house.set_up(os.environ.get("DATABASE_URL"))
    walk = Walk(asked.students, asked.years, asked.rounds)
    costs = sorted(walk.each_page(asked.only), key=lambda cost: -cost.ms)
    print(f"{walk.connection.vendor}, {asked.students} students, {asked.years:g} years")
    print(HEAD, *costs, sep="\n")
    dear = [cost for cost in costs if cost.is_dear]
    print(
        f"{len(costs)} pages, {len(dear)} over {MOST_MS} ms or {MOST_QUERIES} queries;"
        f" the heaviest {max(cost.size for cost in costs)} bytes"
    )
    if asked.profile:
        profiled(walk, dear)
    if asked.json:
        asked.json.write_text(json.dumps([asdict(cost) for cost in costs], indent=1))


if __name__ == "__main__":
    main()
