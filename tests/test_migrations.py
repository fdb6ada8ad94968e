"""Every migration goes back, and forward again to the same tables."""

import os
import subprocess
import sys
from urllib.parse import urlsplit, urlunsplit

import pytest
from django.db import connection

from tests import migrated

WALK = """
from django.apps import apps
from django.core.management import call_command
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from shared.people.events import before_migrating

def shape():
    with connection.cursor() as cursor:
        ask = connection.introspection
        return {
            table: (
                sorted(map(str, ask.get_table_description(cursor, table))),
                sorted(map(str, ask.get_constraints(cursor, table).items())),
            )
            for table in ask.table_names(cursor)
        }

ours = [
    app.label
    for app in apps.get_app_configs()
    if app.name.startswith(("shared.", "practice.", "coaching."))
    and "migrations" in {path.name for path in __import__("pathlib").Path(app.path).iterdir()}
]
before = shape()
for tell in before_migrating:
    tell(connection)
MigrationExecutor(connection).migrate([(label, None) for label in ours])
left = {
    model._meta.db_table
    for label in ours
    for model in apps.get_app_config(label).get_models(include_auto_created=True)
} & set(shape())
assert not left, f"The way back leaves {sorted(left)}."
call_command("migrate", verbosity=0)
after = shape()
differ = sorted(table for table in before.keys() | after if before.get(table) != after.get(table))
assert not differ, f"After the way back and forward these differ: {differ}."
"""


@pytest.fixture
def address(django_db_setup, django_db_blocker, tmp_path):
    """Of a migrated database of this test's own, on the engine of the run."""
    if connection.vendor == "sqlite":
        migrated.sqlite(tmp_path / "own.sqlite3")
        yield f"sqlite:///{tmp_path / 'own.sqlite3'}"
        return
    parts, name = urlsplit(os.environ["DATABASE_URL"]), f"back_and_forth_{os.getpid()}"
    with django_db_blocker.unblock(), connection._nodb_cursor() as admin:
        template = migrated.postgresql(connection, os.environ["DATABASE_URL"])
        admin.execute(f'CREATE DATABASE "{name}" TEMPLATE "{template}"')
        yield urlunsplit(parts._replace(path=name))
        admin.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


def test_all_migrations_go_back_and_forward_again_to_the_same_tables(address):
    done = subprocess.run(
        [sys.executable, "manage.py", "shell", "--verbosity=0", "-c", WALK],
        cwd=migrated.ROOT,
        env=os.environ | {"DATABASE_URL": address, "DJANGO_SETTINGS_MODULE": "tests.settings"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
