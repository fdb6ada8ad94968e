"""For the doctor and the owner's page: how old the last good backup is."""

from collections.abc import Iterable
from datetime import timedelta

from django.conf import settings
from django.utils import timezone

from shared.backups.services import GOOD
from shared.checkup import CheckFinding
from shared.jobs.sweep import last_ended

MEND = "Run manage.py backup, and read in the log why the worker makes none."


def age() -> Iterable[CheckFinding]:
    last = last_ended(GOOD)
    if last is None:
        yield CheckFinding("Backups", "No backup was made yet.", MEND)
        return
    hours = max(0, round((timezone.now() - last) / timedelta(hours=1)))
    ago = f"{hours // 24} days" if hours >= 48 else f"{hours} hours"
    ago = ago if hours > 1 else "about an hour"
    late = hours > 2 * max(settings.BACKUP_HOURS, 24)
    yield CheckFinding("Backups", f"The last good backup is {ago} old.", MEND if late else "")
