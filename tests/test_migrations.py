"""Every migration goes back, and forward again to the same tables; by the short way that a new
database takes, and by the steps which that way stands for."""

import os
import subprocess
import sys
from urllib.parse import urlsplit, urlunsplit

import pytest
from django.db import connection

from tests import migrated

WALK = """
import re
from django.apps import apps
from django.core.management import call_command
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader
from shared.site import triggers

def shape():
    with connection.cursor() as cursor:
        ask = connection.introspection
        return {
            table: (
                sorted(map(str, ask.get_table_description(cursor, table))),
                sorted(
                    # SQLite numbers what has no name in the order of the columns.
                    str((*re.sub("^(__unnamed_constraint|fk)_[0-9]+.*", "", name), of))
                    for name, of in ask.get_constraints(cursor, table).items()
                ),
            )
            for table in ask.table_names(cursor)
        }

def back():
    triggers.take_down(connection)
    MigrationExecutor(connection).migrate([(label, None) for label in ours])
    left = {
        model._meta.db_table
        for label in ours
        for model in apps.get_app_config(label).get_models(include_auto_created=True)
    } & set(shape())
    assert not left, f"The way back leaves {sorted(left)}."

def forward():
    call_command("migrate", verbosity=0)
    after = shape()
    tables = before.keys() | after
    differ = sorted(table for table in tables if before.get(table) != after.get(table))
    assert not differ, f"After the way back and forward these differ: {differ}."

ours = [
    app.label
    for app in apps.get_app_configs()
    if app.name.startswith(("shared.", "practice.", "coaching."))
    and "migrations" in {path.name for path in __import__("pathlib").Path(app.path).iterdir()}
]
before = shape()
"""
# The way back as `migrate` goes forward: a quarter of the work for the same statements.
SHORT = """
from django.db.migrations.state import ProjectState
from shared.site import migrating
ProjectState.add_model = migrating.add_model
back()
forward()
"""
STEPS = """
back()

class Steps(MigrationLoader):
    def __init__(self, connection, load=True, ignore_no_initial=False, replace_migrations=True):
        super().__init__(connection, load, ignore_no_initial, replace_migrations=False)

    def build_graph(self):
        super().build_graph()
        for short in self.replacements:
            self.graph.remove_replacement_node(short, self.replacements[short].replaces)

from django.db.migrations import executor
from django.core.management.commands import migrate
executor.MigrationLoader = Steps
forward()
back()
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
        template = migrated.postgresql(admin, os.environ["DATABASE_URL"])
        admin.execute(f'CREATE DATABASE "{name}" TEMPLATE "{template}"')
        yield urlunsplit(parts._replace(path=name))
        admin.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


@pytest.mark.parametrize(
    "way",
    [pytest.param(SHORT, id="short"), pytest.param(STEPS, id="steps", marks=pytest.mark.long)],
)
def test_all_migrations_go_back_and_forward_again_to_the_same_tables(address, way):
    done = subprocess.run(
        [sys.executable, "manage.py", "shell", "--verbosity=0", "-c", WALK + way],
        cwd=migrated.ROOT,
        env=os.environ | {"DATABASE_URL": address, "DJANGO_SETTINGS_MODULE": "tests.settings"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
