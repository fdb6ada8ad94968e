"""How much the database goes through to answer: what an index saves, whatever the plan is called.

On PostgreSQL the rows that the scans of a plan really touched, by `EXPLAIN (ANALYZE)`. On SQLite
the steps of its virtual machine: about ten a row, and no clock in them.
"""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from django.db import connection


@dataclass
class Read:
    """What one run went through; `by_query` says it of each statement, the dearest first."""

    queries: list[tuple[int, str]] = field(default_factory=list)

    @property
    def total(self) -> int:
        return sum(count for count, _ in self.queries)

    @property
    def dearest(self) -> str:
        return "\n".join(f"{count:9} {sql[:300]}" for count, sql in sorted(self.queries)[:-4:-1])


@contextmanager
def rows_read() -> Iterator[Read]:
    """Every SELECT within, and what it went through."""
    found = Read()
    count = {"sqlite": _steps, "postgresql": _touched}[connection.vendor]

    def counted(execute, sql, params, many, context):
        if many or not sql.lstrip().startswith("SELECT"):
            return execute(sql, params, many, context)
        answer, read = count(execute, sql, params, context)
        found.queries.append((read, sql))
        return answer

    with connection.execute_wrapper(counted):
        yield found


def _steps(execute, sql, params, context) -> tuple[Any, int]:
    """Rows are fetched as they are found, so the whole answer is read here."""
    made = 0

    def step() -> int:
        nonlocal made
        made += 1
        return 0

    plain = connection.connection
    text = context["cursor"].cursor.convert_query(sql) if params else sql
    plain.execute(text, params or ()).fetchall()  # Reads the schema anew, where it must be.
    plain.set_progress_handler(step, 1)
    try:
        plain.execute(text, params or ()).fetchall()
    finally:
        plain.set_progress_handler(None, 0)
    return execute(sql, params, False, context), made


def _touched(execute, sql, params, context) -> tuple[Any, int]:
    import psycopg

    plain = psycopg.ClientCursor(connection.connection)
    plain.execute(f"EXPLAIN (ANALYZE, TIMING OFF, FORMAT JSON) {sql}", params)
    (told,) = plain.fetchone()
    told = json.loads(told) if isinstance(told, str | bytes) else told
    return execute(sql, params, False, context), _of_node(told[0]["Plan"])


def _of_node(node: dict[str, Any]) -> int:
    below = sum(_of_node(each) for each in node.get("Plans", ()))
    if "Scan" not in node["Node Type"] or node["Node Type"] == "Bitmap Index Scan":
        return below
    left_out = ("Rows Removed by Filter", "Rows Removed by Index Recheck")
    rows = node["Actual Rows"] + sum(node.get(name, 0) for name in left_out)
    return below + round(rows * node["Actual Loops"])
