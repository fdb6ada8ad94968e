"""A claim that says by itself when it was taken, by a clock that nobody can set.

The day and hour of a machine may jump while a mail is being sent; its steady clock counts the
seconds since it was switched on, in all its processes alike. A claim is a UUID of version 8
(RFC 9562, 5.8: 122 bits are ours): milliseconds by that clock, which run of which machine they
are of, and chance.
"""

import time
from datetime import timedelta
from pathlib import Path
from secrets import randbits
from uuid import UUID

_BOOT = Path("/proc/sys/kernel/random/boot_id")  # Linux; elsewhere a process knows only its own.


def _this_run() -> int:
    try:
        return UUID(_BOOT.read_text().strip()).int >> 96
    except (OSError, ValueError):
        return randbits(32)


RUN = _this_run()


def milliseconds() -> int:
    return time.monotonic_ns() // 1_000_000


def new_claim() -> UUID:
    """Of this moment; never the same twice."""
    ours = milliseconds() % 2**48 << 80 | 8 << 76 | RUN >> 20 << 64
    return UUID(int=ours | 0b10 << 62 | RUN % 2**20 << 42 | randbits(42))


def is_fresh(claim: UUID | None, lease: timedelta) -> bool:
    """Whether it was taken within the lease, as far as this run of this machine can know."""
    if claim is None or claim.version != 8:
        return False
    if (claim.int >> 64 & 0xFFF) << 20 | (claim.int >> 42) % 2**20 != RUN:
        return False
    return 0 <= milliseconds() - (claim.int >> 80) < lease / timedelta(milliseconds=1)
