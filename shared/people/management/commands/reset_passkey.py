"""manage.py reset_passkey ADDRESS: for an owner who has lost passkey and recovery codes."""

from typing import Any

from django.core.management.base import CommandError, CommandParser

from shared.people.lost_passkey import take_away
from shared.people.models import User
from shared.site.own_command import OwnCommand


class Command(OwnCommand):
    help = "Take away the passkeys and recovery codes of a sign-in, end its sessions, and tell it."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("address", help="the e-mail address of the sign-in")

    def handle(self, *args: Any, **options: Any) -> None:
        user = User.objects.filter(email=options["address"].strip().lower()).first()
        if user is None:
            raise CommandError("Nobody here has this address.")
        if not take_away(user, "Whoever keeps this installation"):
            raise CommandError("There is no passkey to take away. The sessions are ended.")
        self.stdout.write("Taken away. They sign in by password or mailed code, and are told.")
