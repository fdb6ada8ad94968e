"""Changing a studio's borders; what stood before is kept, so that the past can be told again."""

from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.utils import timezone

from coaching.forecast.models import StudioThresholds
from coaching.forecast.own_thresholds import as_values
from shared.people.models import Studio, User


@transaction.atomic
def change_thresholds(*, studio: Studio, by: User, changed: Mapping[str, Any]) -> StudioThresholds:
    """Keep these borders. The same again changes nothing. Raises ValidationError."""
    StudioThresholds.objects.get_or_create(studio=studio)
    row = StudioThresholds.objects.select_for_update().get(studio=studio)
    before = as_values(row)
    for name, value in changed.items():
        setattr(row, name, value)
    row.full_clean(exclude=["studio", "set_by", "before"])
    if as_values(row) != before:
        now = timezone.now()
        row.before = [*row.before, {"until": now.isoformat(), **before}]
        row.set_by, row.set_at = by, now
        row.save()
    return row
