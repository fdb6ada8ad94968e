"""Faults on order, for the tests' own server: it dies, hangs, lies or cuts, so many times.

The order is a file, because the process that reads it may be killed by it.
"""

import json
import os
import signal
import time
from pathlib import Path

from django.conf import settings
from django.http import HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase

from practice.flows import chains

KILLED_AT = ("before", "in_tx", "between", "after", "reply")


def order_file() -> Path:
    return Path(settings.FOLDER) / "fault.json"


def take(*points: str) -> dict | None:
    """The order for one of these points, counted down; None if there is none."""
    try:
        order = json.loads(order_file().read_text())
    except FileNotFoundError:
        return None
    if order["point"] not in points or order["count"] < 1:
        return None
    skipped = order["skip"] > 0
    order["skip" if skipped else "count"] -= 1
    write(order_file(), order)
    return None if skipped else order


def write(path: Path, order: dict) -> None:
    """All of it or nothing: the other side may read at any moment."""
    fresh = path.with_suffix(".new")
    fresh.write_text(json.dumps(order))
    fresh.replace(path)


def hold(request) -> None:
    """Until whoever asked has given up: their end of the line is closed."""
    while not request.META["waitress.client_disconnected"]():
        time.sleep(0.02)


def die() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def dies_at(point: str, function):
    def wrapped(*args, **kwargs):
        result = function(*args, **kwargs)
        if take(point):
            die()
        return result

    return wrapped


# Wrong answers, each as (status, body, headers); `ID` stands for another entry's id.
ANSWERS = {
    "500": (500, "<h1>Server Error</h1>", {}),
    "502": (502, "<h1>Bad Gateway</h1>", {}),
    "503": (503, '{"code":"busy"}', {"Retry-After": "0"}),
    "401 ours": (401, '{"code":"login","detail":"Sign in"}', {}),
    "401 foreign": (401, "<h1>Proxy sign-in</h1>", {}),
    "403": (403, '{"code":"csrf"}', {}),
    "404": (404, "<h1>Not found</h1>", {}),
    "410": (410, "", {}),
    "413": (413, "<h1>Too large</h1>", {}),
    "429": (429, "", {"Retry-After": "0"}),
    "400": (400, '{"detail":"bad"}', {}),
    "409": (409, '{"detail":"conflict"}', {}),
    "204": (204, "", {}),
    "portal": (200, "<html><body>Welcome to our free wifi</body></html>", {}),
    "json of other ids": (
        200,
        '{"ok":true,"me":"x","r":{"01890000-0000-7000-8000-000000000000":["stored",""]}}',
        {},
    ),
    "302": (302, "", {"Location": "/account/login/"}),
}
AFTER_COMMIT = ("500 after commit", "truncated", "held after commit")


class Faults:
    def __init__(self, get_response) -> None:
        self.get_response = get_response
        chains.EntryBatch.write = dies_at("in_tx", chains.EntryBatch.write)
        chains.EntryBatch.keep = dies_at("between", chains.EntryBatch.keep)

    def __call__(self, request) -> HttpResponseBase:
        if request.path != "/api/sync":
            return self.get_response(request)
        if b"POISON" in request.body:
            return HttpResponse("<h1>Server Error</h1>", status=500)
        if take("before"):
            die()
        if take("held before"):
            hold(request)
            return HttpResponse(status=504)
        for name, (status, body, headers) in ANSWERS.items():
            if take(name):
                return HttpResponse(body, status=status, headers=headers)
        return self._afterwards(request, self.get_response(request))

    def _afterwards(self, request, response) -> HttpResponseBase:
        if take("after"):
            die()
        if take("500 after commit"):
            return HttpResponse("<h1>Server Error</h1>", status=500)
        if take("held after commit"):
            hold(request)
        if take("truncated"):
            return HttpResponse(response.content[: len(response.content) // 2])
        if take("reply"):
            return StreamingHttpResponse(half_then_death(response.content))
        return response


def half_then_death(body: bytes):
    yield body[: len(body) // 2]
    die()
