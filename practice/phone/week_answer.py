"""The week as it goes over the air: compressed, and not at all if the phone has it."""

import gzip
import hashlib
import json
from typing import Any

import brotli
from django.http import HttpResponse, HttpResponseNotModified
from django.utils.http import parse_etags
from rest_framework.request import Request

from practice.phone.encodings import encoding_for

QUALITY = 5  # Made anew for each phone: the best of Brotli would cost more than it saves.


def tag_of(told: dict[str, Any]) -> str:
    """The ETag of a week, without its mark. An answer's Date says `now` as well."""
    same = json.dumps({**told, "now": None}, separators=(",", ":")).encode()
    return f'"{hashlib.sha256(same).hexdigest()[:20]}"'


def week_answer(request: Request, told: dict[str, Any]) -> HttpResponse:
    """`told` as JSON, or 304."""
    tag = tag_of(told)
    response: HttpResponse
    if tag in parse_etags(request.headers.get("If-None-Match", "").replace("W/", "")):
        response = HttpResponseNotModified()
    else:
        response = fill(request, HttpResponse(content_type="application/json"), told)
    response["ETag"] = f"W/{tag}"
    response["Vary"] = "Accept-Encoding, Authorization, Cookie"
    return response


def fill(request: Request, response: HttpResponse, told: dict[str, Any]) -> HttpResponse:
    """Put `told` into the answer, compressed.

    Nothing in it comes from the request, so its length tells nobody a secret.
    """
    body = json.dumps(told, separators=(",", ":")).encode()
    encoding = encoding_for(request)
    if encoding == "br":
        body = brotli.compress(body, quality=QUALITY)
    elif encoding == "gzip":
        body = gzip.compress(body, 6, mtime=0)
    response.content = body
    if encoding:
        response["Content-Encoding"] = encoding
    return response
