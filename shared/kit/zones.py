"""Time zones by their names."""

from functools import cache
from zoneinfo import available_timezones


@cache
def known_zones() -> frozenset[str]:
    """Of this machine. Kept, as to find them 600 files are opened."""
    return frozenset(available_timezones())
