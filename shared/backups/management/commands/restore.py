"""Bring a backup back into an empty installation."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from shared.backups import services
from shared.backups.databases import BackupError
from shared.backups.sealing import CannotOpen


class Command(BaseCommand):
    help = "Bring a backup back, the newest if none is named, and compare every row."
    requires_system_checks = ()

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", nargs="?", help="As in database-20310226T120000Z.backup")

    def handle(self, *args: Any, **options: Any) -> None:
        kept = services.databases_kept()
        name = options["name"] or (kept[-1] if kept else "")
        if not name:
            raise CommandError("There is no backup in the store. Set BACKUPS_URL to where it is.")
        try:
            rows, gone = services.restore(name)
        except (BackupError, CannotOpen) as error:
            raise CommandError(str(error)) from error
        self.stdout.write(f"Brought back {name}: {rows} rows, each as it was.")
        if gone:
            self.stdout.write(f"Clips deleted since then, and not brought back: {gone}.")
