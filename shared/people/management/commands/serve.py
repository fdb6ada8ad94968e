"""Everything one laptop needs, started and stopped as one."""

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandParser

from shared.people.management.commands.web import prepare
from shared.running import Address, Supervisor, parts


class Command(BaseCommand):
    help = "Migrate, then serve: the web server, and the worker with its beat. Ctrl-C stops all."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--no-prepare", action="store_true", help="Neither migrate nor collect")

    def handle(self, *args: Any, **options: Any) -> None:
        address = Address.from_environment()
        if not address.is_free():
            self.say(f"Port {address.port} is in use. Choose another, as in PORT=8080.")
            raise SystemExit(1)
        if not options["no_prepare"]:
            prepare()
        supervisor = Supervisor(parts(address, redis=bool(settings.REDIS_URL)), say=self.say)
        code = supervisor.run(address)
        if code:
            raise SystemExit(code)

    def say(self, text: str) -> None:
        self.stdout.write(text)
        self.stdout.flush()
