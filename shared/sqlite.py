"""Put a SQLite of our own choosing under Django.

SQLite 3.7.0 to 3.51.2 can corrupt a database in WAL mode (the WAL-reset bug,
fixed in 3.51.3), and Debian's version is inside that range. The pysqlite3
wheel carries a later one and takes the place of the standard module.
"""

import sys

FIRST_SOUND_VERSION = (3, 51, 3)
BACKPORTS = ((3, 50, 7), (3, 44, 6))


def use_bundled_sqlite() -> None:
    """Replace `sqlite3` by `pysqlite3`; call before Django is set up."""
    try:
        import pysqlite3
    except ImportError:  # No wheel for this platform: the system check speaks up.
        return
    sys.modules["sqlite3"] = pysqlite3
    sys.modules["sqlite3.dbapi2"] = pysqlite3.dbapi2


def is_sound(version: tuple[int, ...]) -> bool:
    """Whether this SQLite version has the WAL-reset fix."""
    if version >= FIRST_SOUND_VERSION:
        return True
    return any(version[:2] == fixed[:2] and version >= fixed for fixed in BACKPORTS)
