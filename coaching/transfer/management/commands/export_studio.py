"""Write a studio to a file that another installation can take in."""

import os
import tempfile
from argparse import ArgumentParser
from pathlib import Path
from typing import Any
from uuid import UUID

from django.core.management.base import CommandError

from coaching.transfer.write import lines_of
from shared.people.models import Studio
from shared.site.own_command import OwnCommand

EVERY = 5000


class Command(OwnCommand):
    help = (
        "Write a studio (people, drills, weeks, logs, excusals, shots, lines …) as JSON Lines. "
        "No password, key or link is in the file; what was told about pain is: keep it safe."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", help="where to write it; - for standard output")
        parser.add_argument("--studio", type=UUID, help="its id, where there is more than one")

    def handle(self, *args: object, **options: Any) -> None:
        studio = _the_studio(options["studio"])
        if options["file"] == "-":
            for line in lines_of(studio):
                self.stdout.write(line, ending="")
            return
        written = self._write(studio, Path(options["file"]))
        self.stderr.write(f"{studio.name}: {written} lines.")

    def _write(self, studio: Studio, path: Path) -> int:
        """Beside the place first, then into it, so that no half file ever stands there."""
        try:
            handle, beside = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        except OSError as error:
            raise CommandError(f"Nothing can be written there: {error}") from error
        written = 0
        try:
            with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
                for line in lines_of(studio):
                    file.write(line)
                    written += 1
                    if written % EVERY == 0:
                        self.stderr.write(f"{written} lines")
            Path(beside).replace(path)
        finally:
            Path(beside).unlink(missing_ok=True)
        return written


def _the_studio(wanted: UUID | None) -> Studio:
    studios = Studio.objects.all() if wanted is None else Studio.objects.filter(pk=wanted)
    found = list(studios[:2])
    if not found:
        raise CommandError("There is no such studio.")
    if len(found) > 1:
        raise CommandError("There is more than one studio: say which with --studio.")
    return found[0]
