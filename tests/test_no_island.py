"""Every page can be reached by links from the first page of each role."""

import json
import re
from html import unescape
from urllib.parse import urlsplit

import pytest
import time_machine
from django.urls import Resolver404, resolve

from tests import factories
from tests.routes import ROUTES
from tests.test_routes import ALL, address, asked, cast, may_enter  # noqa: F401 (cast: a fixture)

pytestmark = pytest.mark.django_db

LINK = re.compile(r"<\w+\b[^>]*?(?:href|action|src|hx-get)=\"([^\"#]+)")
PHONE = "/log"
# Pages that no link of the page's own leads to, each with what does. The owner may open them all.
FROM_ELSEWHERE = {
    "log:phone_code": "typed on the child's phone, as the guardian's page says",
    "invitation_details": "the link of an invitation",
    "bring:batch": "bringing a list",
    "signed_out": "signing out",
    "board:row": "the line of a student on the board, opened in place",
    "lessons:close": "the button that ends a lesson",
    "plans:shorten": "the line of a student who falls behind",
    "passkey_needed": "any page, once a passkey is due",
    "progress:print_card": "the wedge card, once there are balls for one",
}
# The same page at another address; the phone of one's own practice, for who has none; words of
# students of whom this actor reads none.
ALIKE = {
    "owner": {"log:shell", "words:waiting"},
    "coach": {"log:shell"},
    "assistant": {"log:shell", "words:waiting"},
    "strength": {"log:shell"},
    "student": {"log:child_counted"},
    "guardian": {"log:counted"},
}
ACTORS = ("owner", "coach", "assistant", "strength", "student", "guardian")


@pytest.fixture(scope="module", autouse=True)
def wednesday():
    """In the small hours of a week's first day its week is still the one to be set, and linked."""
    with time_machine.travel(factories.NOON, tick=False):
        yield


def told_by_the_phone(client, student_id) -> list[str]:
    """Where the phone's page leads: its links are made of what it is told of the week."""
    answer = client.get(f"/api/week?student={student_id}")
    if answer.status_code != 200:  # Whoever follows nobody is led nowhere.
        return []
    return [page["at"] for page in json.loads(answer.content)["pages"]]


def reached(client, student_id) -> dict[str, set[str]]:
    """Each route that can be reached, with the paths by which it was."""
    found: dict[str, set[str]] = {}
    seen, waiting = set(), ["/"]
    while waiting:
        path = waiting.pop()
        if path in seen:
            continue
        seen.add(path)
        try:
            name = resolve(path).view_name
        except Resolver404:
            continue
        found.setdefault(name, set()).add(path)
        if len(found[name]) > 3:  # Of many alike, some are enough.
            continue
        answer = asked(client, "get", path)
        if answer.status_code == 302:
            waiting.append(urlsplit(answer["Location"]).path)
        elif path == PHONE:
            waiting += [
                *told_by_the_phone(client, student_id),
                *LINK.findall(answer.content.decode()),
            ]
        elif answer.get("Content-Type", "").startswith("text/html") and not answer.streaming:
            links = (urlsplit(unescape(at)) for at in LINK.findall(answer.content.decode()))
            waiting += [at.path for at in links if at.path.startswith("/") and not at.netloc]
    return found


def pages_of(client, actor: str, things, but: set[str]) -> set[str]:
    """Pages that this actor may look at: what answers with a page of ours, `but` these."""
    found = set()
    for name, route in ALL.items():
        is_api = name.startswith(("log:api", "progress:api", "api_", "health:", "account_", "mfa_"))
        left_out = is_api or name in but
        if left_out or may_enter(route, actor, "get") is False:
            continue
        answer = asked(client, "get", address(route, things))
        is_page = answer.get("Content-Type", "").startswith("text/html")
        if answer.status_code == 200 and is_page:
            found.add(name)
    return found


@pytest.mark.parametrize("actor", ACTORS)
def test_nothing_is_an_island(cast, actor):  # noqa: F811
    clients, child, things = cast
    known = set(reached(clients[actor], child.pk)) | ALIKE.get(actor, set())
    unlinked = pages_of(clients[actor], actor, things, but=known)
    orphans = sorted(unlinked - FROM_ELSEWHERE.keys())
    assert orphans == [], f"no link leads the {actor} to {orphans}"
    if actor == "owner":
        assert FROM_ELSEWHERE.keys() <= unlinked, "a link leads there, or nothing needs to"


def test_what_the_phone_leads_to_is_one_tap_away(cast):  # noqa: F811
    clients, child, _ = cast
    led = {resolve(at).view_name for at in told_by_the_phone(clients["student"], child.pk)}
    assert led >= {
        "log:counted", "progress:own_moved", "progress:own_speed", "progress:own_wedges",
        "words:own", "clips:of_student", "season:own_sheet", "season:days", "reminders:of",
        "log:devices", "account_logout",
    }  # fmt: skip


def test_an_orphan_is_found(cast):  # noqa: F811
    """The walk has teeth: a page to which nothing leads is not reached."""
    clients, child, _ = cast
    found = reached(clients["student"], child.pk)
    assert "log:phone_code" not in found
    assert "log:phone_code" in ROUTES
