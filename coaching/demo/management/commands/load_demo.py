"""Load the demo into an empty installation, with a line of progress per student."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from coaching.demo.load import AlreadyInUse, load


class Command(BaseCommand):
    help = "Load the invented demo studio into an empty installation."

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            for line in load():
                self.stdout.write(line)
        except AlreadyInUse as refusal:
            raise CommandError(str(refusal)) from refusal
