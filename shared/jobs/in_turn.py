"""A look at a large house in several sweeps: at most so many rows at once, by their ids."""

from typing import Any

from django.core.cache import cache
from django.db.models import Q, QuerySet


def those_next(place: str, everybody: QuerySet[Any], most: int) -> Q:
    """Who comes after those of the last look, at most `most`; a forgotten place begins again.

    `place` is where it is kept how far the last look came.
    """
    last = cache.get(place)
    after = Q(pk__gt=last) if last else Q()
    ids = everybody.filter(after).order_by("pk").values_list("pk", flat=True)
    end = list(ids[most - 1 : most])
    if end:
        cache.set(place, end[0], timeout=None)
        return after & Q(pk__lte=end[0])
    if last:
        cache.delete(place)
    return after
