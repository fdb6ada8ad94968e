"""Whether reminders tick, for a health check or a shell."""

from typing import Any

from django.core.management.base import CommandError

from shared.site import health
from shared.site.own_command import OwnCommand


class Command(OwnCommand):
    help = "Say when reminders last ticked; fail if that is more than five minutes ago."

    def handle(self, *args: Any, **options: Any) -> None:
        found = health.check()
        if not found.ready:
            raise CommandError(found.words)
        self.stdout.write(found.words)
