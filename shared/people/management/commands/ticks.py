"""Whether reminders tick, for a health check or a shell."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from shared.site import health


class Command(BaseCommand):
    help = "Say when reminders last ticked; fail if that is more than five minutes ago."

    def handle(self, *args: Any, **options: Any) -> None:
        found = health.check()
        if not found.ready:
            raise CommandError(found.words)
        self.stdout.write(found.words)
