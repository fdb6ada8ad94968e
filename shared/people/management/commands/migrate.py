"""Django's own command, one at a time: of two that start at once, one waits for the other."""

import fcntl
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from django.core.checks import Tags
from django.core.management.base import CommandParser
from django.core.management.commands import migrate
from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations import Migration
from django.db.migrations.loader import MigrationLoader

from shared.site import triggers
from shared.site.migrating import Executor
from shared.site.own_command import INSTALLATION

migrate.MigrationExecutor = Executor  # type: ignore[attr-defined]
LOCK = 7_215_403_118  # Any number, as long as it is everybody's.


# A line for so many steps: a first start takes a minute, and is not to look as if it hung.
A_LINE_EVERY = 20


class Command(migrate.Command):
    requires_system_checks = (INSTALLATION, Tags.database)  # As shared.site.own_command says.
    done, of = 0, 0

    def add_arguments(self, parser: CommandParser) -> None:
        super().add_arguments(parser)
        parser.add_argument("--how-far", action="store_true", help="A line for every 20 steps")

    def migration_progress_callback(
        self, action: str, migration: Migration | None = None, fake: bool = False
    ) -> None:
        super().migration_progress_callback(action, migration, fake)
        if action != "apply_success" or not self.how_far:
            return
        if not self.done:
            loader = MigrationLoader(self.database)
            self.of = 1 + len(set(loader.graph.nodes) - set(loader.applied_migrations))
        self.done += 1
        if self.done % A_LINE_EVERY == 0:
            self.stdout.write(f"  {self.done} of {self.of} steps of the database …")
            self.stdout.flush()

    def execute(self, *args: Any, **options: Any) -> str | None:
        """The checks wait as well: one asks a database that another may be migrating."""
        with alone(connections[options["database"]]):
            return super().execute(*args, **options)

    def handle(self, *args: Any, **options: Any) -> None:
        self.database = connection = connections[options["database"]]
        self.how_far = options.get("how_far", False)
        if options["plan"] or options["check_unapplied"]:  # They only look.
            super().handle(*args, **options)
        else:
            # Put up anew they let nothing stand that was kept: not at every start.
            changes = options["app_label"] or triggers.is_behind(connection)
            with without_triggers(connection) if changes else put_up_after(connection):
                super().handle(*args, **options)


@contextmanager
def without_triggers(connection: BaseDatabaseWrapper) -> Iterator[None]:
    """They stand in the way of SQLite alone, and come back whatever happens."""
    triggers.take_down(connection)
    with put_up_after(connection):
        yield


@contextmanager
def put_up_after(connection: BaseDatabaseWrapper) -> Iterator[None]:
    try:
        yield
    finally:
        triggers.put_up(connection)


@contextmanager
def alone(connection: BaseDatabaseWrapper) -> Iterator[None]:
    """Nobody else migrates this database meanwhile. The lock ends with the process."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_lock(%s)", [LOCK])
        try:
            yield
        finally:
            with connection.cursor() as cursor:
                cursor.execute("SELECT pg_advisory_unlock(%s)", [LOCK])
        return
    name = str(connection.settings_dict["NAME"])
    if "memory" in name:
        yield
        return
    with Path(f"{name}.migrating").open("w") as file:
        fcntl.flock(file, fcntl.LOCK_EX)
        try:
            yield
        finally:
            # The last to close a database in WAL mode locks it for a moment.
            connection.close()
