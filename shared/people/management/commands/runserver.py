"""Django's own server, for work on the code: it answers this machine only."""

from ipaddress import ip_address
from typing import Any

from django.core.management.base import CommandError
from whitenoise.runserver_nostatic.management.commands.runserver import Command as Usual


class Command(Usual):
    def handle(self, *args: Any, **options: Any) -> None:
        """A few slow clients would silence it: beyond loopback only `serve` listens."""
        host = (options.get("addrport") or "").rpartition(":")[0] or "127.0.0.1"
        if not _is_loopback(host.strip("[]")):
            raise CommandError(f"runserver does not listen on {host}. Use: make run HOST={host}")
        super().handle(*args, **options)


def _is_loopback(host: str) -> bool:
    try:
        return host == "localhost" or ip_address(host).is_loopback
    except ValueError:
        return False
