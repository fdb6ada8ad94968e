"""Every student's standing at an instant, as Who needs me would have shown it."""

import json
from argparse import ArgumentParser
from datetime import datetime
from typing import Any
from uuid import UUID

from django.core.management.base import CommandError
from django.utils import timezone

from coaching.board.as_of import FORMAT, standing_at
from shared.people.models import Studio
from shared.site.own_command import OwnCommand


class Command(OwnCommand):
    help = (
        "Print what Who needs me showed, or would have shown, at an instant: assigned, logged, "
        "expected by now, state, reason and forecast of every student, from nothing that was "
        "logged, changed, excused or set later."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--as-of", metavar="TIME", help="ISO time with its UTC offset; now")
        parser.add_argument("--format", choices=("json", "text"), default="text")
        parser.add_argument("--studio", type=UUID, help="this studio alone, by id")
        parser.add_argument(
            "--no-pain", action="store_true", help="as it reads without leave to read pain notes"
        )

    def handle(self, *args: object, **options: Any) -> None:
        at = _instant(options["as_of"]) if options["as_of"] else timezone.now()
        studio = None
        if options["studio"]:
            studio = Studio.objects.filter(pk=options["studio"]).first()
            if studio is None:
                raise CommandError("There is no studio with this id.")
        rows = standing_at(at, studio, reads_pain=not options["no_pain"])
        if options["format"] == "json":
            answer = {"format": FORMAT, "as_of": at.isoformat(), "students": rows}
            self.stdout.write(json.dumps(answer, indent=1, ensure_ascii=False))
            return
        for row in rows:
            self.stdout.write(
                f"{row['place']}. {row['name']}: {row['state']}. {row['reason']} {row['since']}"
            )


def _instant(text: str) -> datetime:
    try:
        at = datetime.fromisoformat(text)
    except ValueError as error:
        raise CommandError("Give the time as 2031-02-26T20:00:00+00:00.") from error
    if at.tzinfo is None:
        raise CommandError("Give the UTC offset too, as in 2031-02-26T20:00:00+00:00.")
    return at
