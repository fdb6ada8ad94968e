"""Let go what is over, or say what would go."""

from argparse import ArgumentParser
from typing import Any

from coaching.records.retention import RULES, forget
from shared.site.own_command import OwnCommand


class Command(OwnCommand):
    help = "Let go what is kept no longer, as the worker does every hour."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--dry-run", action="store_true", help="say what would go; touch nothing"
        )

    def handle(self, *args: object, **options: Any) -> None:
        for rule in RULES:
            self.stdout.write(f"{rule.due().count():>7}  {rule.words}")
        if options["dry_run"]:
            self.stdout.write("Nothing was touched.")
            return
        forget()
        self.stdout.write("Gone, or asked to be erased; of a long list the rest comes in an hour.")
