"""The set-up code of a public server, for whoever has a shell on it."""

from typing import Any

from django.core.management.base import CommandError
from django.db import DatabaseError

from shared.people import first_run
from shared.site.own_command import OwnCommand


class Command(OwnCommand):
    help = "Say the code that /welcome/ asks for while PRODUCTION is on and there is no studio."

    def handle(self, *args: Any, **options: Any) -> None:
        self.stdout.write(self._answer())

    def _answer(self) -> str:
        try:
            is_first = first_run.is_first_run()
        except DatabaseError as error:
            raise CommandError(
                "The database has no tables yet, or cannot be reached. Run: manage.py migrate"
            ) from error
        if not is_first:
            return "There is a studio already; no code is asked for."
        return first_run.set_up_code() or "PRODUCTION is off; no code is asked for."
