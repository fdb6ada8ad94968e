"""The set-up code of a public server, for whoever has a shell on it."""

from typing import Any

from django.core.management.base import BaseCommand

from shared.people import first_run


class Command(BaseCommand):
    help = "Say the code that /welcome/ asks for while PRODUCTION is on and there is no studio."

    def handle(self, *args: Any, **options: Any) -> None:
        self.stdout.write(self._answer())

    def _answer(self) -> str:
        if not first_run.is_first_run():
            return "There is a studio already; no code is asked for."
        return first_run.set_up_code() or "PRODUCTION is off; no code is asked for."
