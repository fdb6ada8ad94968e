"""Checks of the installation, run by every management command."""

from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Error, Warning  # noqa: A004 (Django's own name)
from django.db import connection

from shared.outbox.bounce_mailbox import mailbox_at
from shared.site.sqlite import is_sound


def check_sqlite(**_: Any) -> list[CheckMessage]:
    """A SQLite with the WAL-reset bug can corrupt the database: not in production."""
    if connection.vendor != "sqlite":
        return []
    import sqlite3  # The one that shared.site.sqlite has put in place.

    version = sqlite3.sqlite_version_info
    if is_sound(version):
        return []
    kind = Error if settings.PRODUCTION else Warning
    said = ".".join(str(part) for part in version)
    return [
        kind(
            f"SQLite {said} can lose a database in WAL mode.",
            hint="Install pysqlite3 0.6.1 or later, or use PostgreSQL (DATABASE_URL).",
            id="people.E001" if settings.PRODUCTION else "people.W001",
        )
    ]


def check_returned(**_: Any) -> list[CheckMessage]:
    """The mailbox of returned mails is written so that it can be read."""
    if not settings.BOUNCES_URL:
        return []
    try:
        mailbox_at(settings.BOUNCES_URL)
    except ValueError as error:
        return [Error(str(error), id="people.E002")]
    return []
