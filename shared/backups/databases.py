"""Copying a database while it is written to, bringing the copy back, and telling whether they
say the same. Copying the file of a running SQLite loses what lies in its log: never do that."""

import hashlib
import os
import sqlite3  # The one that shared.site.sqlite has put in place.
import subprocess
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connection, transaction
from django.db.migrations.recorder import MigrationRecorder

# This release may have tables that the copy knows nothing of, and which hang on those it knows.
_NO_TABLES = """DO $$ DECLARE found text; BEGIN
FOR found IN SELECT tablename FROM pg_tables WHERE schemaname = current_schema() LOOP
EXECUTE format('DROP TABLE IF EXISTS %I CASCADE', found); END LOOP; END $$"""
Says = dict[str, list[int]]  # Of each table the number of rows and the sum of their marks.


class BackupError(Exception):
    """Why there is no good backup, or none was brought back; the sentence says what to do."""


def copy_to(file: Path) -> Says:
    """Write a whole copy of one moment. Returns what its tables say."""
    return _copy_postgres(file) if connection.vendor == "postgresql" else _copy_sqlite(file)


def bring_back(file: Path) -> None:
    """Put a copy in the place of the database of this installation, which must be empty."""
    if connection.vendor == "postgresql":
        script = file.with_suffix(".sql")
        _run("pg_restore", "--clean", "--if-exists", "--no-owner", f"--file={script}", str(file))
        _run("psql", "--no-psqlrc", "--quiet", "--set=ON_ERROR_STOP=1", "--single-transaction",
             f"--command={_NO_TABLES}", f"--file={script}")  # fmt: skip
        return
    connection.close()
    target = Path(connection.settings_dict["NAME"])
    for end in ("-wal", "-shm"):  # A log of the old file would be played onto the new one.
        Path(f"{target}{end}").unlink(missing_ok=True)
    beside = target.with_name(f"{target.name}.restoring")
    beside.write_bytes(b"")
    beside.chmod(0o600)
    with closing(sqlite3.connect(file)) as source, closing(sqlite3.connect(beside)) as copy:
        source.backup(copy)
    beside.replace(target)


def says_now() -> Says:
    """What the tables of this installation say, row by row."""
    if connection.vendor == "postgresql":
        return _postgres_says()
    # Not by Django's connection, which makes dates and flags of what it reads.
    with closing(sqlite3.connect(connection.settings_dict["NAME"])) as database:
        return _sqlite_says(database)


def is_empty() -> bool:
    """Whether nobody lives here yet: no tables, or no user and no studio."""
    with connection.cursor() as cursor:
        names = connection.introspection.table_names(cursor)
        for table in ("people_user", "people_studio"):
            if table in names:
                cursor.execute(f"SELECT 1 FROM {table} LIMIT 1")  # noqa: S608 (our own names)
                if cursor.fetchone():
                    return False
    return True


def tables_of_others() -> list[str]:
    """What else lies in the database; a file of SQLite is this installation's alone."""
    if connection.vendor != "postgresql":
        return []
    ours = {MigrationRecorder.Migration._meta.db_table, settings.CACHES["default"]["LOCATION"]}  # noqa: SLF001 (documented)
    ours |= set(connection.introspection.django_table_names())
    return sorted(set(connection.introspection.table_names()) - ours)


def _copy_sqlite(file: Path) -> Says:
    connection.ensure_connection()
    with closing(sqlite3.connect(file)) as copy:
        connection.connection.backup(copy)
        copy.execute("PRAGMA journal_mode=DELETE")
        for check in ("integrity_check", "foreign_key_check"):
            found = copy.execute(f"PRAGMA {check}").fetchall()
            if found not in ([], [("ok",)]):
                raise BackupError(f"The copy of the database is damaged: {found[0]}.")
        return _sqlite_says(copy)


def _sqlite_says(database: Any) -> Says:
    tables = database.execute(
        "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
    ).fetchall()
    return {name: _marks(database.execute(f'SELECT * FROM "{name}"')) for (name,) in tables}  # noqa: S608


def _marks(rows: Iterator[Any]) -> list[int]:
    count = total = 0
    for row in rows:
        count += 1
        digest = hashlib.blake2b(repr(tuple(row)).encode(), digest_size=6).digest()
        total = (total + int.from_bytes(digest, "big")) % (1 << 48)
    return [count, total]


def _copy_postgres(file: Path) -> Says:
    """The dump and what the tables say are of one snapshot."""
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        cursor.execute("SELECT pg_export_snapshot()")
        (snapshot,) = cursor.fetchone()
        _run("pg_dump", "--format=custom", f"--snapshot={snapshot}", f"--file={file}")
        _run("pg_restore", "--list", str(file))
        return _postgres_says()


def _postgres_says() -> Says:
    says = {}
    with connection.cursor() as cursor:
        for table in sorted(connection.introspection.table_names(cursor)):
            cursor.execute(
                f'SELECT count(*), coalesce(sum(hashtextextended(t::text, 0)), 0) FROM "{table}" t'  # noqa: S608
            )
            count, total = cursor.fetchone()
            says[table] = [count, int(total) % (1 << 48)]
    return says


def _run(program: str, *words: str) -> None:
    given = connection.settings_dict
    names = {"HOST": "PGHOST", "PORT": "PGPORT", "USER": "PGUSER", "PASSWORD": "PGPASSWORD",
             "NAME": "PGDATABASE"}  # fmt: skip
    env = os.environ | {to: str(given[name]) for name, to in names.items() if given.get(name)}
    try:
        done = subprocess.run(  # noqa: S603 (our own words)
            [program, *words], env=env, capture_output=True, text=True, check=False
        )
    except FileNotFoundError as error:
        raise BackupError(
            f"{program} is missing. On Debian: apt-get install postgresql-client"
        ) from error
    if done.returncode:
        raise BackupError(f"{program}: {' '.join(done.stderr.split())[-400:]}")
