"""Take in a studio that export_studio wrote."""

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError

from coaching.transfer.read import FileProblem, read_studio
from shared.site.own_command import OwnCommand

EVERY = 20


class Command(OwnCommand):
    help = (
        "Take in a studio's file, all of it or nothing, and make its tallies anew. "
        "Nobody has a password afterwards: people sign in with a code by mail."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", help="what export_studio wrote; - for standard input")

    def handle(self, *args: object, **options: Any) -> None:
        try:
            if options["file"] == "-":
                studio = read_studio(sys.stdin, self._say())
            else:
                with Path(options["file"]).open(encoding="utf-8", newline="\n") as file:
                    studio = read_studio(file, self._say())
        except FileProblem as problem:
            raise CommandError(str(problem)) from problem
        except OSError as error:
            raise CommandError(f"The file cannot be opened: {error}") from error
        except UnicodeDecodeError as error:
            raise CommandError("The file is no text in UTF-8.") from error
        self.stdout.write(f"{studio.name} is here.")

    def _say(self) -> Any:
        heard = 0

        def say(words: str) -> None:
            nonlocal heard
            heard += 1
            if heard % EVERY == 0:
                self.stderr.write(words)

        return say
