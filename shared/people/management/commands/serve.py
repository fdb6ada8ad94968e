"""Everything one laptop needs, started and stopped as one."""

import os
import socket
import sys
from contextlib import closing
from typing import Any

from django.conf import settings
from django.core.management.base import CommandParser

from shared.people.management.commands.web import prepare
from shared.site import certificates, data_dir, reach
from shared.site.own_command import OwnCommand
from shared.site.running import Address, Supervisor, parts, web_processes


class Command(OwnCommand):
    help = "Migrate, then serve: the web server, and the worker with its beat. Ctrl-C stops all."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--no-prepare", action="store_true", help="Neither migrate nor collect")

    def handle(self, *args: Any, **options: Any) -> None:
        address = Address.from_environment()
        web_processes()  # A bad number is said before anything starts.
        if trouble := address.trouble() or self.trouble_with_tls(address):
            self.say(trouble)
            raise SystemExit(1)
        if not options["no_prepare"]:
            self.say("Getting ready …")
            prepare()
        has_tls = settings.REACH.tls == reach.OWN_CERTIFICATE
        if has_tls:
            certificates.prepare(settings.DATA_DIR, reach.own_hosts())
            os.environ["TLS_INNER_PORT"] = str(free_port())
        begun_with = reach.kept(settings.DATA_DIR)
        running = Supervisor(
            parts(redis=bool(settings.REDIS_URL), tls=has_tls),
            say=self.say,
            changed=lambda: reach.kept(settings.DATA_DIR) != begun_with,
        )
        if running.run(address, welcome(address)):
            self.say("The address has changed; starting again …")
            # The settings are read once, so all of it begins anew.
            os.environ.pop("TLS_INNER_PORT", None)
            os.execv(sys.executable, [sys.executable, *sys.argv])  # noqa: S606 (ourselves)

    def trouble_with_tls(self, address: Address) -> str:
        if settings.REACH.tls != reach.OWN_CERTIFICATE:
            return ""
        return Address(address.host, reach.tls_port()).trouble().replace("PORT=", "TLS_PORT=")

    def say(self, text: str) -> None:
        self.stdout.write(text)
        self.stdout.flush()


def welcome(address: Address) -> str:
    lines = [f"Between Lessons serves on {address}  (Ctrl-C stops it)"]
    if reach.is_only_here(settings.SITE_URL):
        lines.append("Only this machine can open it. Under People you say how phones reach it.")
    else:
        lines.append(f"Phones open {settings.SITE_URL}")
    if settings.REACH.tls == reach.OWN_CERTIFICATE:
        lines.append(f"Your own browser trusts its certificate once, by {address}/trust/")
    lines.append(data_dir.said(settings.DATA_DIR))
    return "\n".join(lines)


def free_port() -> int:
    with closing(socket.create_server((reach.THIS_MACHINE, 0))) as trial:
        return int(trial.getsockname()[1])
