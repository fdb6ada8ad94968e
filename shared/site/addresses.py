"""Addresses of pages, each worded once a process: a list names the same one in every row."""

import re
from collections.abc import Sequence
from functools import cache
from uuid import UUID

from django.urls import get_script_prefix, get_urlconf, reverse

_ID = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")


def address_of(route: str, args: Sequence[object] = ()) -> str:
    """As `reverse`, which looks for the route anew at every call."""
    ids = [str(value) for value in args]
    if not all(map(_ID.fullmatch, ids)):
        return reverse(route, args=args)
    pieces = _pieces(route, len(ids), get_urlconf(), get_script_prefix())
    return pieces[0] + "".join(
        [part for pair in zip(ids, pieces[1:], strict=True) for part in pair]
    )


@cache
def _pieces(route: str, ids: int, _urlconf: object, _prefix: str) -> list[str]:
    """What stands around so many ids."""
    marks = [str(UUID(int=0xADD0000 + n)) for n in range(ids)]
    pieces, rest = [], reverse(route, args=marks)
    for mark in marks:
        before, _, rest = rest.partition(mark)
        pieces.append(before)
    return [*pieces, rest]
