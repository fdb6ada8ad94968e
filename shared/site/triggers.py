"""Triggers: the database itself says that a row was written.

In the database, because whatever writes there is heard: a service, an update of many rows,
a command, a hand in a shell. Whoever wants to hear puts its own into `known` when the site starts.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass

from django.apps import apps
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.backends.utils import CursorWrapper
from django.db.migrations.executor import MigrationExecutor

_OWN_COLUMN = re.compile(r"SELECT ((?:NEW|OLD)\.\w+)")
ROWS = {"INSERT": ("NEW",), "UPDATE": ("OLD", "NEW"), "DELETE": ("OLD",)}


@dataclass(frozen=True, slots=True)
class Triggers:
    """What one listener hears. Its triggers bear `name`, by which they are found again."""

    name: str
    # Of each model by each operation ("INSERT", "UPDATE OF sent_at") whose row it is: a SELECT
    # with {row} for the row that is written. Of columns only what makes them differ is heard.
    whose: dict[str, dict[str, str]]
    # The statement with {whose} for those that are meant, or {among} for being one of them: where
    # the row itself says who, SQLite makes a table for IN at each row, and none for =.
    says: str
    # What is done when they are put up: before, nothing was heard.
    afresh: str

    def watched(self) -> dict[str, dict[str, str]]:
        """By table and operation the statement."""
        return {
            apps.get_model(model)._meta.db_table: {  # noqa: SLF001 (documented)
                operation: self._said(operation, whose) for operation, whose in of_model.items()
            }
            for model, of_model in self.whose.items()
        }

    def _said(self, operation: str, whose: str) -> str:
        each = dict.fromkeys(whose.format(row=row) for row in ROWS[_first(operation)])
        union = " UNION ".join(each)
        only = _OWN_COLUMN.fullmatch(union)
        return self.says.format(whose=union, among=f"= {only[1]}" if only else f"IN ({union})")

    def is_up(self, connection: BaseDatabaseWrapper) -> bool:
        """Whether all stand as this release makes them: then nobody waits for a lock."""
        with connection.cursor() as cursor:
            return UP[connection.vendor](cursor, self.name, self.watched())

    def make(self, connection: BaseDatabaseWrapper) -> None:
        with connection.cursor() as cursor:
            for table, said in self.watched().items():
                for statement in MAKE[connection.vendor](f"{self.name}_{table}", table, said):
                    cursor.execute(statement)
            cursor.execute(self.afresh)

    def drop(self, connection: BaseDatabaseWrapper) -> None:
        """Those of an earlier release as well, which may have watched other tables."""
        find, statement = DROP[connection.vendor]
        with connection.cursor() as cursor:
            cursor.execute(find, [f"{self.name}!_%"])
            for (name,) in cursor.fetchall():
                cursor.execute(statement.format(connection.ops.quote_name(name)))


known: list[Triggers] = []
Statements = Callable[[str, str, dict[str, str]], list[str]]


def is_behind(connection: BaseDatabaseWrapper) -> bool:
    """Whether some table is still as an earlier release made it."""
    executor = MigrationExecutor(connection)
    return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))


def put_up(connection: BaseDatabaseWrapper) -> None:
    """Make the triggers, where every table is of this release."""
    if is_behind(connection):
        return
    for each in known:
        if not each.is_up(connection):
            each.drop(connection)
            each.make(connection)


def take_down(connection: BaseDatabaseWrapper) -> None:
    """SQLite makes tables anew, which no trigger may watch."""
    if connection.vendor == "sqlite":
        for each in known:
            each.drop(connection)


def _first(operation: str) -> str:
    return operation.partition(" ")[0]


def _differs(operation: str, differs: str) -> str:
    """What makes a change of these columns one; empty where every write is heard."""
    columns = [column for column in operation.partition(" OF ")[2].split(", ") if column]
    return " OR ".join(f"OLD.{column} {differs} NEW.{column}" for column in columns)


def _make_sqlite(name: str, table: str, said: dict[str, str]) -> list[str]:
    return [
        f"CREATE TRIGGER {name}_{_first(operation).lower()} AFTER {operation} ON {table} "
        f"{f'WHEN {differs} ' if (differs := _differs(operation, 'IS NOT')) else ''}"
        f"BEGIN {statement}; END"
        for operation, statement in said.items()
    ]


def _up_sqlite(cursor: CursorWrapper, name: str, watched: dict[str, dict[str, str]]) -> bool:
    cursor.execute(
        "SELECT sql FROM sqlite_master WHERE type = 'trigger' AND name LIKE %s ESCAPE '!'",
        [f"{name}!_%"],
    )
    there = {row[0] for row in cursor.fetchall()}
    return there == {
        sql
        for table, said in watched.items()
        for sql in _make_sqlite(f"{name}_{table}", table, said)
    }


def _body_postgresql(said: dict[str, str]) -> str:
    """The columns are compared here: a trigger that is of columns lets no type of one change."""
    cases = " ".join(
        f"IF TG_OP = '{_first(operation)}' THEN {_if_differs(operation, statement)} END IF;"
        for operation, statement in said.items()
    )
    return f" /* {' OR '.join(said)} */ BEGIN {cases} RETURN NULL; END "


def _if_differs(operation: str, statement: str) -> str:
    differs = _differs(operation, "IS DISTINCT FROM")
    return f"IF {differs} THEN {statement}; END IF;" if differs else f"{statement};"


def _make_postgresql(name: str, table: str, said: dict[str, str]) -> list[str]:
    function = f"FUNCTION {name}()"
    when = f"AFTER {' OR '.join(map(_first, said))} ON {table} FOR EACH ROW"
    body = _body_postgresql(said)
    return [
        f"CREATE OR REPLACE {function} RETURNS trigger LANGUAGE plpgsql AS $${body}$$",
        f"CREATE OR REPLACE TRIGGER {name} {when} EXECUTE {function}",
    ]


def _up_postgresql(cursor: CursorWrapper, name: str, watched: dict[str, dict[str, str]]) -> bool:
    cursor.execute(
        "SELECT proname, prosrc FROM pg_proc JOIN pg_trigger ON tgfoid = pg_proc.oid"
        " WHERE proname LIKE %s ESCAPE '!' AND tgenabled = 'O'",
        [f"{name}!_%"],
    )
    there = dict(cursor.fetchall())
    return there == {f"{name}_{table}": _body_postgresql(said) for table, said in watched.items()}


MAKE: dict[str, Statements] = {"sqlite": _make_sqlite, "postgresql": _make_postgresql}
# What names them, and what drops one: of a function its triggers go with it.
DROP = {
    "sqlite": (
        "SELECT name FROM sqlite_master WHERE type = 'trigger' AND name LIKE %s ESCAPE '!'",
        "DROP TRIGGER {}",
    ),
    "postgresql": (
        "SELECT proname FROM pg_proc WHERE proname LIKE %s ESCAPE '!'",
        "DROP FUNCTION {}() CASCADE",
    ),
}
UP = {"sqlite": _up_sqlite, "postgresql": _up_postgresql}
