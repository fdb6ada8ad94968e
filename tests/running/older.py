"""A database as the release before left it."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection


@contextmanager
def without_column(table: str, column: str) -> Iterator[None]:
    """Outside a transaction alone: what fails in one on PostgreSQL ends all of it."""

    def rename(old: str, new: str) -> None:
        with connection.cursor() as cursor:
            cursor.execute(f"ALTER TABLE {table} RENAME COLUMN {old} TO {new}")

    rename(column, "not_here_yet")
    try:
        yield
    finally:
        rename("not_here_yet", column)
