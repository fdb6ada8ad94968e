"""Load the demo into an empty installation, with a line of progress per student."""

from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import CommandError

from coaching.demo.load import AlreadyInUse, load
from shared.site.own_command import OwnCommand


class Command(OwnCommand):
    help = "Load the invented demo studio into an empty installation."

    def handle(self, *args: Any, **options: Any) -> None:
        if settings.PRODUCTION:
            raise CommandError(
                "The demo lets everybody in, so it is not loaded while PRODUCTION is on."
                " Try it on a laptop: make run."
            )
        # A newcomer's folder is empty: make its tables first, which is nothing where they are.
        call_command("migrate", verbosity=0)
        try:
            for line in load():
                self.stdout.write(line)
        except AlreadyInUse as refusal:
            raise CommandError(str(refusal)) from refusal
