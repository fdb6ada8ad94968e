"""The real settings, and the clock of a file."""

from shared.settings import *  # noqa: F403
from shared.settings import INSTALLED_APPS

INSTALLED_APPS = [*INSTALLED_APPS, "tests.faults.travelling.apps.Travelling"]
