"""Which rows a judgement reads, and the triggers that say in the database that one changed.

In the database, because whatever writes there is heard: a service, an update of many rows,
a command, a hand in a shell. `tests/board/test_kept.py` compares the list with what is read.
"""

from collections.abc import Callable

from django.apps import apps
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.backends.utils import CursorWrapper
from django.db.migrations.executor import MigrationExecutor

OWN = "SELECT {row}.student_id"
ITSELF = "SELECT {row}.id"
OF_STUDIO = "SELECT id FROM people_student WHERE studio_id = {row}.studio_id"
ALL_OF_STUDIO = "SELECT id FROM people_student WHERE studio_id = {row}.id"
OF_WEEK = "SELECT student_id FROM weeks_week WHERE id = {row}.week_id"
OF_DRILL = (
    "SELECT id FROM people_student WHERE studio_id ="
    " (SELECT studio_id FROM drills_drill WHERE id = {row}.drill_id)"
)

# Of each model, whose line a changed row may change.
WATCHED = {
    "people.Student": ITSELF,
    "people.Studio": ALL_OF_STUDIO,
    "standing.StudioThresholds": OF_STUDIO,
    "kept.StudioRhythm": OF_STUDIO,
    "shots.StudioDays": OF_STUDIO,
    "drills.Drill": OF_STUDIO,
    "drills.DrillRevision": OF_DRILL,
    "weeks.Week": OWN,
    "weeks.Part": OF_WEEK,
    "weeks.Excusal": OWN,
    "bring.Remembered": OWN,
    "compliance.WeekTally": OWN,
    "log.Entry": OWN,
    "log.Result": OWN,
    "log.AcceptedSwap": OWN,
    "log.Line": OWN,
    "words.NoteSeen": OWN,
    "care.PainNote": OWN,
    "care.Stop": OWN,
    "lessons.Lesson": OWN,
    "shots.Sitting": OWN,
    "checked.CheckedCount": OWN,
    "progress.NumbersNow": OWN,
    "season.GateNow": OWN,
}
KEPT = "board_keptline"
RAISE = f"UPDATE {KEPT} SET version = version + 1 WHERE student_id IN "  # noqa: S608 (ours)
# Further than anybody who writes while nothing is heard can have counted ahead.
AFRESH = 1_000_000
OPERATIONS = {"INSERT": ("NEW",), "UPDATE": ("OLD", "NEW"), "DELETE": ("OLD",)}


def watched() -> dict[str, str]:
    """By table, whose lines."""
    return {apps.get_model(model)._meta.db_table: whose for model, whose in WATCHED.items()}  # noqa: SLF001 (documented)


def put_up(connection: BaseDatabaseWrapper) -> None:
    """Make the triggers, where every table is of this release, and let no line stand:
    without them nothing was heard."""
    executor = MigrationExecutor(connection)
    if executor.migration_plan(executor.loader.graph.leaf_nodes()) or is_up(connection):
        return
    take_down(connection)
    _run(connection, MAKE[connection.vendor])
    with connection.cursor() as cursor:
        cursor.execute(f"UPDATE {KEPT} SET version = version + {AFRESH}")  # noqa: S608 (ours)


def is_up(connection: BaseDatabaseWrapper) -> bool:
    """Whether all stand as this release makes them: then nobody waits for a lock."""
    with connection.cursor() as cursor:
        return UP[connection.vendor](cursor)


def take_down(connection: BaseDatabaseWrapper) -> None:
    """SQLite makes tables anew, which no trigger may watch."""
    if connection.vendor == "sqlite":
        drop(connection)


def drop(connection: BaseDatabaseWrapper) -> None:
    _run(connection, DROP[connection.vendor])


def _run(connection: BaseDatabaseWrapper, statements: Callable[[str, str], list[str]]) -> None:
    there = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        for table, whose in watched().items():
            if table in there:
                for statement in statements(table, whose):
                    cursor.execute(statement)


def _whose(whose: str, rows: tuple[str, ...]) -> str:
    return f"({' UNION '.join(whose.format(row=row) for row in rows)})"


def _make_sqlite(table: str, whose: str) -> list[str]:
    return [
        f"CREATE TRIGGER kept_{table}_{operation.lower()} AFTER {operation} ON {table} "
        f"BEGIN {RAISE}{_whose(whose, rows)}; END"
        for operation, rows in OPERATIONS.items()
    ]


def _drop_sqlite(table: str, _whose: str) -> list[str]:
    return [f"DROP TRIGGER IF EXISTS kept_{table}_{operation.lower()}" for operation in OPERATIONS]


def _body_postgresql(whose: str) -> str:
    cases = " ".join(
        f"IF TG_OP = '{operation}' THEN {RAISE}{_whose(whose, rows)}; END IF;"
        for operation, rows in OPERATIONS.items()
    )
    return f" BEGIN {cases} RETURN NULL; END "


def _make_postgresql(table: str, whose: str) -> list[str]:
    function = f"FUNCTION kept_{table}()"
    when = f"AFTER INSERT OR UPDATE OR DELETE ON {table} FOR EACH ROW"
    body = _body_postgresql(whose)
    return [
        f"CREATE OR REPLACE {function} RETURNS trigger LANGUAGE plpgsql AS $${body}$$",
        f"CREATE OR REPLACE TRIGGER kept_{table} {when} EXECUTE {function}",
    ]


def _drop_postgresql(table: str, _whose: str) -> list[str]:
    return [
        f"DROP TRIGGER IF EXISTS kept_{table} ON {table}",
        f"DROP FUNCTION IF EXISTS kept_{table}()",
    ]


def _up_sqlite(cursor: CursorWrapper) -> bool:
    cursor.execute("SELECT sql FROM sqlite_master WHERE type = 'trigger' AND name LIKE 'kept_%'")
    there = {row[0] for row in cursor.fetchall()}
    return there == {sql for each in watched().items() for sql in _make_sqlite(*each)}


def _up_postgresql(cursor: CursorWrapper) -> bool:
    cursor.execute(
        "SELECT proname, prosrc FROM pg_proc JOIN pg_trigger ON tgfoid = pg_proc.oid"
        " WHERE proname LIKE 'kept_%' AND tgenabled = 'O'"
    )
    there = dict(cursor.fetchall())
    return there == {f"kept_{table}": _body_postgresql(whose) for table, whose in watched().items()}


MAKE = {"sqlite": _make_sqlite, "postgresql": _make_postgresql}
DROP = {"sqlite": _drop_sqlite, "postgresql": _drop_postgresql}
UP = {"sqlite": _up_sqlite, "postgresql": _up_postgresql}
