"""Judge the kept lines of the board anew, or check them against a judgement from scratch."""

from argparse import ArgumentParser
from collections.abc import Iterator
from typing import Any
from uuid import UUID

from django.core.management.base import CommandError
from django.utils import timezone

from coaching.board.kept import different, judge
from coaching.board.models import KeptLine
from shared.site.own_command import OwnCommand

BATCH = 200


class Command(OwnCommand):
    help = (
        "Judge every kept line of the board anew; --check only compares those that stand,"
        " and fails if any says something else."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--check", action="store_true", help="change nothing, list differences")

    def handle(self, *args: object, **options: Any) -> None:
        found = 0
        for students in _batches():
            if not options["check"]:
                found += len(judge(students, timezone.now()))
                continue
            for student in different(students, timezone.now()):
                self.stdout.write(f"{student}: the kept line is not what would be judged now")
                found += 1
        if options["check"] and found:
            raise CommandError(f"{found} differences. Rebuild without --check to put them right.")
        said = "Every kept line is as judged now." if options["check"] else f"{found} lines made."
        self.stdout.write(said)


def _batches() -> Iterator[list[UUID]]:
    every = list(KeptLine.objects.order_by("pk").values_list("student", flat=True))
    yield from (every[n : n + BATCH] for n in range(0, len(every), BATCH))
