"""Checks of the installation, run by every management command."""

from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Error, Warning  # noqa: A004 (Django's own name)
from django.db import connection

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
