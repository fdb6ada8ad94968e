"""How often what pages claim is right, on invented students: the table of the documents."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from practice.numbers.claims.judged import DAYS, Rates, judge
from practice.numbers.claims.simulated import WORLDS

HEAD = (
    "world", "carry held", "share held", "moved, falsely: speed, share",
    "did not move, falsely: speed, share", "a gain of four spreads is told",
)  # fmt: skip


class Command(BaseCommand):
    help = "Try the claims and intervals on invented test days whose truth is known."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--students", type=int, default=200, help="of each world")
        parser.add_argument("--seed", type=int, default=1)

    def handle(self, *args: Any, students: int, seed: int, **options: Any) -> None:
        days = ", ".join(map(str, DAYS))
        self.stdout.write(f"{students} students a world, seed {seed}; held at {days} days.\n\n")
        self.stdout.write(f"| {' | '.join(HEAD)} |\n|{' --- |' * len(HEAD)}\n")
        for world in WORLDS:
            self.stdout.write(_row(judge(world, students, seed)))


def _row(rates: Rates) -> str:
    cells = (
        rates.world,
        " ".join(f"{each:.0f}" for each in rates.carry),
        " ".join(f"{each:.0f}" for each in rates.share),
        f"{rates.moved_speed:.1f}, {rates.moved_share:.1f}",
        f"{rates.unmoved_speed:.1f}, {rates.unmoved_share:.1f}",
        f"{rates.seen_speed:.0f}",
    )
    return f"| {' | '.join(cells)} |\n"
