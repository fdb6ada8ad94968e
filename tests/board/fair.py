"""A week as it comes in by the phone's door, and the three pages that say how it counts."""

import html
import re
from datetime import UTC, datetime, time, timedelta
from uuid import uuid4
from zoneinfo import ZoneInfo

from django.test import Client

from practice.flows.take_entry import Sender, receive_one
from practice.weeks.models import Part
from shared.people.models import Student, User
from tests.factories import MONDAY

LADDER = "10@50, 8@70, 6@90"


def day(offset: int):
    return MONDAY + timedelta(days=offset)


def evening(offset: int, hour: int = 18, zone: str = "UTC") -> datetime:
    return datetime.combine(day(offset), time(hour), ZoneInfo(zone)).astimezone(UTC)


def block(part: Part | None, *reps: int, **fields) -> dict:
    steps = [{"n": n, "c": None, "e": None} for n in reps]
    return {"p": str(part.pk) if part else None, "s": steps} | fields


def log(student: Student, offset: int, *blocks: dict, **fields) -> str:
    """One session of a day, written that evening; returns its id."""
    at = fields.pop("at", evening(offset))
    document = {
        "id": str(uuid4()),
        "v": 1,
        "k": "log",
        "who": str(student.pk),
        "day": str(day(offset)),
        "at": at.isoformat(),
        "b": list(blocks),
    } | fields
    student.refresh_from_db()
    receipt = receive_one(document, sender=Sender(student, student.user), now=at)
    assert receipt.verdict == "stored", receipt
    return document["id"]


def _text(client: Client, address: str) -> str:
    page = client.get(address)
    assert page.status_code == 200, address
    body = re.sub(
        r"<(script|style).*?</\1>|<svg.*?</svg>", " ", page.content.decode(), flags=re.DOTALL
    )
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", body)))


def student_page(coach: User, student: Student) -> str:
    from tests.conftest import signed_in

    return _text(signed_in(coach), f"/students/{student.pk}/weeks/")


def worked_out(coach: User, student: Student) -> str:
    from tests.conftest import signed_in

    return _text(signed_in(coach), f"/students/{student.pk}/worked-out/")


def what_counted(student: Student, opens=MONDAY) -> str:
    from tests.conftest import signed_in

    return _text(signed_in(student.user), f"/log/counted/{opens}")
