"""One container's web server: migrate, collect, then become the server."""

import os
import sys
from typing import Any

from django.conf import settings
from django.core.management import call_command

from shared.people import first_run
from shared.site.kept_secret import make_private
from shared.site.own_command import OwnCommand
from shared.site.running import web_command


class Command(OwnCommand):
    help = "Migrate and run only the web server; worker and beat run elsewhere."

    def handle(self, *args: Any, **options: Any) -> None:
        prepare()
        command = web_command()
        os.execv(command[0], command)  # noqa: S606 (our own command)


def prepare() -> None:
    """Before any server process: the first connection also switches SQLite to WAL, once."""
    make_private(settings.DATA_DIR)
    call_command("migrate", interactive=False, verbosity=0, how_far=True)
    call_command("collectstatic", interactive=False, verbosity=0)
    if line := first_run.log_line():
        sys.stdout.write(f"{line}\n")
        sys.stdout.flush()
