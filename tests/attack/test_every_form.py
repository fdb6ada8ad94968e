"""Every form of the site, each field with what nobody should send: an answer, never a fault."""

import re
from dataclasses import dataclass
from itertools import islice

import pytest
from django.db import connection, transaction
from django.test import Client
from django.utils import timezone

from tests import factories
from tests.attack.forms import Form, forms_of
from tests.attack.values import EVERY
from tests.conftest import signed_in
from tests.test_routes import ALL, address, cast

__all__ = ["cast"]
pytestmark = pytest.mark.django_db
ACTORS = ("coach", "owner", "guardian", "adult", "anonymous")
NOT_TYPED = {"submit", "hidden", "checkbox", "radio", "file", "select"}
NUL = "a\x00b"


@dataclass(frozen=True)
class Found:
    """A form, who sees it, and on which page."""

    form: Form
    client: Client
    page: str

    @property
    def name(self) -> str:
        return _without_ids(self.form.action)


def _without_ids(text: str) -> str:
    return re.sub(r"[0-9a-f-]{36}|\d+", "…", text)


def every_form(clients, things) -> list[Found]:
    """Each form once, by where it goes and what it holds; the sign-in library's left out."""
    found = {}
    for route in ALL.values():
        if route.is_the_librarys or route.name.startswith("demo:"):
            continue
        actor, page, text = opened(route, clients, things)
        for form in forms_of(page, text):
            if not form.action.startswith("/account/"):
                held = sorted({_without_ids(name) for name in form.holds})
                key = (_without_ids(form.action.split("?")[0]), form.method, *held)
                found.setdefault(key, Found(form, clients[actor], page))
    return list(found.values())


def opened(route, clients, things) -> tuple[str, str, str]:
    """The first who may see the page, its address and its text; no text if nobody may."""
    for actor in ACTORS:
        page = address(route, things[actor] if actor in things else things["child"])
        answer = clients[actor].get(page)
        if answer.streaming:
            b"".join(answer.streaming_content)
        elif answer.status_code == 200 and "html" in answer["Content-Type"]:
            return actor, page, answer.content.decode()
    return "", "", ""


def as_a_browser_would(form: Form) -> dict[str, list[str]]:
    """What it holds; an empty field filled with something that may be right."""
    likely = {
        "date": str(timezone.localdate()),
        "number": "5",
        "time": "07:00",
        "email": "a@example.org",
        "datetime-local": timezone.now().strftime("%Y-%m-%dT%H:%M"),
    }
    filled = {}
    for name, values in form.holds.items():
        kind = form.kinds[name]
        usual = [] if kind in NOT_TYPED else [likely.get(kind, "x")]
        filled[name] = [value for value in values if value] or usual
    return filled


def faults_of(found: Found, values) -> list[str]:
    """What went wrong with any of its fields; whatever was kept is put back."""
    form, faults, seen = found.form, [], set()
    for name in form.holds:
        shape = _without_ids(name)
        if shape in seen or form.kinds[name] == "submit":
            continue
        seen.add(shape)
        for value in values(f"{found.name} {shape}"):
            try:
                with transaction.atomic(), connection.execute_wrapper(as_narrow_as_postgresql):
                    status = sent(found, as_a_browser_would(form) | {name: [value]})
                    transaction.set_rollback(True)
            except Exception as error:
                status = f"{type(error).__name__}: {error}"[:200]
            if not isinstance(status, int) or status >= 500:
                faults.append(f"{found.name} {name}={value[:40]!r}: {status}")
    return faults


def as_narrow_as_postgresql(execute, sql, params, many, context):
    """What it has no room for, no engine is asked: NUL in words, sent numbers past four bytes."""
    for each in params or ():
        if isinstance(each, str) and ("\x00" in each or "\\u0000" in each):
            raise ValueError("NUL for the database")
        if isinstance(each, int) and abs(each) >= 2**31 and str(each) in EVERY:
            raise ValueError(f"{each} for the database")
    return execute(sql, params, many, context)


def sent(found: Found, data) -> int:
    """The status; where it was taken, that of the page it came from afterwards."""
    if found.form.method == "get":
        return found.client.get(found.form.action, data).status_code
    answer = found.client.post(found.form.action, data)
    if answer.status_code != 302:
        return answer.status_code
    return found.client.get(found.page).status_code


@pytest.fixture
def forms(cast):
    clients, child, things = cast
    adult = factories.make_student(child.lead_coach, "Adult")
    clients["adult"] = signed_in(adult.user)
    found = every_form(clients, {"child": things, "adult": things | {"student_id": adult.pk}})
    assert len(found) > 40
    return found


def a_few(name: str) -> list[str]:
    """NUL, and one more that differs from field to field and stays the same from run to run."""
    return [NUL, EVERY[sum(name.encode()) % len(EVERY)]]


def test_every_field_takes_or_refuses_what_nobody_should_send(forms):
    faults = [fault for found in forms for fault in faults_of(found, a_few)]
    assert not faults, "\n".join(faults)


@pytest.mark.long
@pytest.mark.parametrize("part", range(8))
def test_every_field_with_every_value(forms, part):
    mine = islice(forms, part, None, 8)
    faults = [fault for found in mine for fault in faults_of(found, lambda _: EVERY)]
    assert not faults, "\n".join(faults)
