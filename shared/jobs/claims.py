"""Taking one row of a table that has `claim` and `lease_until` of its own.

A lease is over when the clock says so and the claim itself does too: the clock may have been
set meanwhile (shared.jobs.steady). Every later write of whoever took it is fenced by the claim,
so that a worker that was frozen past its lease changes nothing.
"""

from datetime import timedelta
from typing import Any, TypeVar

from django.db import connection, transaction
from django.db.models import Model, Q, QuerySet
from django.utils import timezone

from shared.jobs.steady import is_fresh, new_claim

Row = TypeVar("Row", bound=Model)


def lapsed(lease: timedelta) -> Q:
    """Rows that nobody holds. A lease too far ahead was given before the clock was set back."""
    now = timezone.now()
    return Q(lease_until__lte=now) | Q(lease_until__gt=now + 2 * lease)


def claim(waiting: QuerySet[Row], lease: timedelta, **values: Any) -> Row | None:
    """Take the first of these rows and set these values. Two workers never take the same one."""
    if not waiting.exists():  # Most sweeps end here, without a lock.
        return None
    with transaction.atomic():
        row: Any = _first_free(waiting, lease)
        if row is None:
            return None
        token = new_claim()
        same = waiting.model._default_manager.filter(pk=row.pk, claim=row.claim)  # noqa: SLF001
        until = timezone.now() + lease
        taken = same.update(claim=token, lease_until=until, **values)
    if not taken:
        return None
    row.claim, row.lease_until = token, until
    claimed: Row = row
    return claimed


def _first_free(waiting: QuerySet[Row], lease: timedelta) -> Row | None:
    """Past those, few as workers are, whose lease is over only by a clock that was set."""
    row: Any = _locked(waiting).first()
    while row is not None and row.lease_until is not None and is_fresh(row.claim, lease):
        waiting = waiting.exclude(pk=row.pk)
        row = _locked(waiting).first()
    return row  # type: ignore[no-any-return]


def _locked(waiting: QuerySet[Row]) -> QuerySet[Row]:
    """On PostgreSQL past what others hold; on SQLite the transaction itself is the lock."""
    if connection.features.has_select_for_update_skip_locked:
        return waiting.select_for_update(skip_locked=True)
    return waiting
