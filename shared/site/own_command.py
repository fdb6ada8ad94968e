"""What every command of ours checks before it begins."""

from django.core.management.base import BaseCommand

# The tag of the checks whose answer differs from one installation to another.
INSTALLATION = "installation"


class OwnCommand(BaseCommand):
    """Checks the installation. Whether the code is sound, `manage.py check` and the tests say:
    asking it loads every address, half of what a start takes."""

    requires_system_checks = (INSTALLATION,)
