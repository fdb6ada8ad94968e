"""Make a backup now."""

from typing import Any

from django.core.management.base import CommandError

from shared.backups import services
from shared.backups.databases import BackupError
from shared.site.own_command import OwnCommand


class Command(OwnCommand):
    help = "Copy the database of this moment and the clips into the store of backups."

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            name = services.make()
        except BackupError as error:
            raise CommandError(str(error)) from error
        self.stdout.write(f"Made {name}.")
