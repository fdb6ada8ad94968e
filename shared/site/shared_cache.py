"""The cache that all processes share, in the database."""

from typing import Any

from django.core.cache.backends.db import DatabaseCache
from django.db import connection

from shared.site.prepared import asked


class SharedCache(DatabaseCache):
    """As Django's. What is not there, as most of what a log asks for, is missed at once."""

    def get(self, key: str, default: Any = None, version: int | None = None) -> Any:
        if not self._is_there(self.make_and_validate_key(key, version=version)):
            return default
        return super().get(key, default, version)

    def _is_there(self, key: str) -> bool:
        """Also where it is over: Django's own look finds that out, and ends it."""
        table = connection.ops.quote_name(self._table)  # type: ignore[attr-defined]
        return bool(asked(f"SELECT 1 FROM {table} WHERE cache_key = %s", [key]))  # noqa: S608 (our names)
