"""How often what pages claim is right, on invented students: the tables of the documents."""

from argparse import ArgumentParser
from collections.abc import Iterable
from typing import Any

from practice.numbers.claims.judged import DAYS, INTERVALS, SAID, Rates, judge
from practice.numbers.claims.simulated import WORLDS
from shared.site.own_command import OwnCommand

KINDS = ", ".join(SAID)
CLAIMS = (
    "world", f"moved, falsely: {KINDS}", f"did not move, falsely: {KINDS}",
    "a gain of four spreads is told",
)  # fmt: skip


class Command(OwnCommand):
    help = "Try the claims and intervals on invented test days whose truth is known."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--students", type=int, default=200, help="of each world")
        parser.add_argument("--seed", type=int, default=1)

    def handle(self, *args: Any, students: int, seed: int, **options: Any) -> None:
        days = ", ".join(map(str, DAYS))
        self.stdout.write(f"{students} students a world, seed {seed}; held at {days} days.\n\n")
        found = []
        for world in WORLDS:
            found.append(judge(world, students, seed))
            self.stderr.write(f"{world.name}: done")
        self._table(("world", *INTERVALS), (_held(rates) for rates in found))
        self.stdout.write("\n")
        self._table(CLAIMS, (_claims(rates) for rates in found))

    def _table(self, head: Iterable[str], rows: Iterable[Iterable[str]]) -> None:
        names = list(head)
        self.stdout.write(f"| {' | '.join(names)} |\n|{' --- |' * len(names)}\n")
        for row in rows:
            self.stdout.write(f"| {' | '.join(row)} |\n")


def _held(rates: Rates) -> list[str]:
    """Where too few days give none, a stroke."""
    cells = (
        " ".join("–" if each is None else f"{each:.0f}" for each in held)
        for held in rates.held.values()
    )
    return [rates.world, *cells]


def _claims(rates: Rates) -> list[str]:
    told = (rates.moved, rates.unmoved)
    cells = (", ".join(f"{each:.1f}" for each in found.values()) for found in told)
    return [rates.world, *cells, f"{rates.seen:.0f}"]
