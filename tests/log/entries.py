"""Entries as a phone makes them, and ways to send them."""

import json
from uuid import uuid4

from django.test import Client

from practice.phone.keys import make_key
from shared.people.models import Student

AT = "2031-02-26T11:30:00+00:00"
DAY = "2031-02-26"


def entry(student, part=None, **fields):
    """A log of one block, ten of them clean; `fields` replace whatever they name."""
    block = {"p": str(part.pk) if part else None, "d": None, "s": [{"n": 10, "c": 8, "e": None}]}
    return {
        "id": str(uuid4()),
        "v": 1,
        "k": "log",
        "who": str(student.pk),
        "day": DAY,
        "at": AT,
        "b": [block],
        "min": 15,
        "felt": 6,
        "note": "",
        "pain": None,
    } | fields


def block(part=None, counts=(10, 8, 6), **fields):
    steps = [{"n": n, "c": None, "e": None} for n in counts]
    return {"p": str(part.pk) if part else None, "d": None, "s": steps} | fields


def measured(student, part=None, carries=(58.0, 61.5, 60.0), *, balls=None, **fields):
    """A log of one block whose balls were measured; `fields` replace those of the sitting."""
    if balls is None:
        balls = [{"club": "54", "length": "chest", "carry": carry} for carry in carries]
    sitting = {"device": "Radar", "ball": "range", "place": "bay 2", "indoors": True}
    shots = sitting | {"balls": balls} | fields
    return entry(student, part, v=2, b=[block(part, (len(balls),), shots=shots)])


def change(first, **fields):
    return first | {"id": str(uuid4()), "k": "change", "target": first["id"]} | fields


def back(first, **fields):
    keep = {name: first[name] for name in ("v", "who", "day", "at")}
    return keep | {"id": str(uuid4()), "k": "back", "target": first["id"]} | fields


class Phone:
    """A device with a log key."""

    def __init__(self, student: Student, user=None) -> None:
        self.student = student
        self.secret, self.key = make_key(user=user or student.user, student=student)
        self.client = Client(HTTP_AUTHORIZATION=f"LogKey {self.secret}")

    def sync(self, *entries, sent="2031-02-26T12:00:00+00:00"):
        body = json.dumps({"sent": sent, "e": list(entries)})
        return self.client.post("/api/sync", body, content_type="application/json")

    def receipts(self, *entries, **kwargs):
        response = self.sync(*entries, **kwargs)
        assert response.status_code == 200, response.content
        return response.json()["r"]

    def receipt(self, one, **kwargs):
        return self.receipts(one, **kwargs)[one["id"]]

    def week(self):
        return self.client.get("/api/week")

    def put(self, one, at=None):
        body = json.dumps(one)
        return self.client.put(
            f"/api/sessions/{at or one['id']}", body, content_type="application/json"
        )
