"""A database with every migration applied: made once an engine and copied, as that takes seconds.

Run as a program it migrates the database of DATABASE_URL.
"""

import fcntl
import hashlib
import os
import shutil
import subprocess
import sys
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

from django.db import transaction

ROOT = Path(__file__).resolve().parents[1]
FOLDER = ROOT / ".migrated"


def fingerprint() -> str:
    """Of all that says how a migrated database looks."""
    import django
    from django.apps import apps

    digest = hashlib.sha256(repr(django.VERSION).encode())
    for app in sorted(apps.get_app_configs(), key=lambda app: app.label):
        for file in sorted(Path(app.path).glob("migrations/*.py")):
            digest.update(file.read_bytes())
    # Content types and permissions are made of the models, the table of the cache of the settings.
    rows = [(m._meta.label, m._meta.permissions, m._meta.default_permissions,
             str(m._meta.verbose_name)) for m in apps.get_models()]  # fmt: skip
    digest.update(repr(rows).encode())
    for made_with in (
        "shared/settings.py",
        "shared/site/migrating.py",
        "shared/site/triggers.py",
        "coaching/board/watch.py",
        "coaching/reminders/watch.py",
        "tests/migrated.py",
    ):
        digest.update((ROOT / made_with).read_bytes())
    return digest.hexdigest()[:16]


def migrate(address: str) -> None:
    """Apply every migration to the database at this address, in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.migrated"],
        cwd=ROOT,
        # Without Redis, so that there is the table of the cache for whoever has none.
        env=os.environ
        | {"DATABASE_URL": address, "DJANGO_SETTINGS_MODULE": "tests.settings", "REDIS_URL": ""},
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode:
        raise RuntimeError(f"The migrations do not run.\n{done.stderr}")


def sqlite(target: Path) -> None:
    """Put a copy of the migrated SQLite file at `target`."""
    FOLDER.mkdir(exist_ok=True)
    made = FOLDER / f"{fingerprint()}.sqlite3"
    with (FOLDER / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not made.exists():
            half = FOLDER / "half.sqlite3"
            for old in FOLDER.glob("*.sqlite3*"):
                old.unlink()
            migrate(f"sqlite:///{half}")
            half.rename(made)
        shutil.copyfile(made, target)


def postgresql(admin, address: str) -> str:
    """The name of a migrated database beside the one at `address`, for CREATE DATABASE TEMPLATE.

    `admin` is a cursor on another database there, outside of any transaction. Workers wait for
    the one that makes it; what an earlier set of migrations left is dropped.
    """
    parts = urlsplit(address)
    stem = f"migrated_{parts.path.strip('/')}_"
    name = stem + fingerprint()
    admin.execute("SELECT pg_advisory_lock(hashtext(%s))", [stem])
    admin.execute("SELECT datname FROM pg_database WHERE starts_with(datname, %s)", [stem])
    there = {row[0] for row in admin.fetchall()}
    if name not in there:
        half = stem + "half"
        for old in there:
            admin.execute(f'DROP DATABASE "{old}"')
        admin.execute(f'CREATE DATABASE "{half}"')
        migrate(urlunsplit(parts._replace(path=half)))
        admin.execute(f'ALTER DATABASE "{half}" RENAME TO "{name}"')
    admin.execute("SELECT pg_advisory_unlock(hashtext(%s))", [stem])
    return name


# Made by migrating, from the code alone: they stay as they are.
OF_THE_CODE = {"django_content_type", "auth_permission"}


def empty(connection) -> None:
    """Delete every row that a test has left.

    Django's own way names every table whether or not it has a row, which on PostgreSQL makes
    each file of each anew, and then asks for every permission again.
    """
    tables = {*connection.introspection.django_table_names(only_existing=True)} - OF_THE_CODE
    ask = " UNION ALL ".join(
        f"SELECT '{table}' WHERE EXISTS (SELECT 1 FROM \"{table}\")" for table in sorted(tables)
    )
    # References are looked at when it is over, so the order is of no matter.
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(ask)
        for (table,) in cursor.fetchall():
            cursor.execute(f'DELETE FROM "{table}"')


def main() -> None:
    import django
    from django.core.management import call_command
    from django.db import connection

    django.setup()
    call_command("migrate", verbosity=0)
    call_command("createcachetable", verbosity=0)
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            # The table of statistics is there, empty. A test whose ANALYZE had to make it would
            # read the whole schema anew, 4 ms, after whatever it puts back.
            cursor.execute("ANALYZE")
            cursor.execute("DELETE FROM sqlite_stat1")
            cursor.execute("PRAGMA journal_mode=DELETE")  # One file that can be copied.


if __name__ == "__main__":
    main()
