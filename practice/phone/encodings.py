"""Which encoding a browser takes, of those we make."""

import re

from django.http import HttpRequest
from rest_framework.request import Request


def encoding_for(request: HttpRequest | Request) -> str:
    """The best of `br` and `gzip` that is accepted; empty if neither is."""
    accepted = {
        part.split(";")[0].strip()
        for part in request.headers.get("Accept-Encoding", "").split(",")
        if not re.search(r";\s*q=0(\.0*)?\s*$", part)
    }
    return next((name for name in ("br", "gzip") if name in accepted), "")
