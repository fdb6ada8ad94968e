"""Put a SQLite of our own choosing under Django.

SQLite 3.7.0 to 3.51.2 can corrupt a database in WAL mode (the WAL-reset bug,
fixed in 3.51.3), and Debian's version is inside that range. The pysqlite3
wheel carries a later one and takes the place of the standard module.
"""

import sys

FIRST_SOUND_VERSION = (3, 51, 3)
# Of sqlite3.h: the category of a limit, and how its library's compile options call it.
_LIMITS = {2: "MAX_COLUMN", 9: "MAX_VARIABLE_NUMBER"}
_NOTHING: dict[None, None] = {}
BACKPORTS = ((3, 50, 7), (3, 44, 6))


def use_bundled_sqlite() -> None:
    """Replace `sqlite3` by `pysqlite3`; call before Django is set up."""
    try:
        import pysqlite3
    except ImportError:  # No wheel for this platform: the system check speaks up.
        return
    # Of the standard module since Python 3.11, and asked by Django from 6.1 on.
    for module in (pysqlite3, pysqlite3.dbapi2):
        for category, name in _LIMITS.items():
            setattr(module, name.replace("MAX_", "SQLITE_LIMIT_"), category)
    sys.modules["sqlite3"] = pysqlite3
    sys.modules["sqlite3.dbapi2"] = pysqlite3.dbapi2
    send_plain_values()


def send_plain_values() -> None:
    """Say how nothing, true and false are sent: as they are, but told at once.

    Else the driver asks its protocol and then the value for a way, and raises and drops two
    errors: a microsecond for each of them in each row.
    """
    import sqlite3

    sqlite3.register_adapter(type(None), _NOTHING.get)
    sqlite3.register_adapter(bool, int)


def connection_class() -> type:
    """A connection that says how many columns and parameters it takes, whichever module it is of.

    Take it as the `factory` of the database's options.
    """
    import sqlite3

    if hasattr(sqlite3.Connection, "getlimit"):
        return sqlite3.Connection

    class Connection(sqlite3.Connection):
        def getlimit(self, category: int) -> int:
            """As `sqlite3.Connection.getlimit`, for columns and parameters only."""
            name, limit = _LIMITS[category], 0
            for (option,) in self.execute("PRAGMA compile_options"):
                if option.startswith(f"{name}="):
                    limit = int(option.removeprefix(f"{name}="))
            return limit

    return Connection


def is_sound(version: tuple[int, ...]) -> bool:
    """Whether this SQLite version has the WAL-reset fix."""
    if version >= FIRST_SOUND_VERSION:
        return True
    return any(version[:2] == fixed[:2] and version >= fixed for fixed in BACKPORTS)
