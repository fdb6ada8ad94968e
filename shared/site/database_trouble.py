"""What an error of the database means: it is busy, it is away, or it was not migrated."""

import logging
import re
from dataclasses import dataclass

from django.db import InterfaceError, OperationalError, ProgrammingError

# SQLite tells them apart in words alone; PostgreSQL by codes (its manual, appendix A).
_WAITED = re.compile(r"is locked|is busy")
_LACKS = re.compile(r"no such (table|column)|has no column named")
# A lock not given in time, a statement that took too long, a deadlock, a write out of turn.
_WAITED_CODES = frozenset({"55P03", "57014", "40P01", "40001"})
_LACKS_CODES = frozenset({"42P01", "42703"})  # A table, a column.


@dataclass(frozen=True, slots=True)
class Trouble:
    """What whoever asked is told. `code` is for the phone, which tries again by itself."""

    code: str
    words: str
    level: int = logging.WARNING


BUSY = Trouble("busy", "The database is busy. Nothing is lost: try again in a moment.")
AWAY = Trouble("away", "The database cannot be used now. Nothing is lost: try again in a moment.")
UNMIGRATED = Trouble(
    "unmigrated",
    "The database was not migrated. Whoever runs this site calls: manage.py migrate",
    logging.ERROR,
)


def trouble_of(error: BaseException | None) -> Trouble | None:
    """None: this is a fault of ours, and no trouble of the database."""
    if not isinstance(error, (OperationalError, InterfaceError, ProgrammingError)):
        return None
    code = getattr(error.__cause__, "sqlstate", None)
    if code in _LACKS_CODES or _LACKS.search(str(error)):
        return UNMIGRATED
    if isinstance(error, ProgrammingError):
        return None
    return BUSY if code in _WAITED_CODES or _WAITED.search(str(error)) else AWAY
