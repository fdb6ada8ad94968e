"""From an empty roster to a week that is sent: how much a coach's hand has to do.

Clicks and groups of keys are counted, a typed word as one; forty are allowed.
"""

import json

import pytest

from practice.drills.shipped import stock_shelf
from practice.weeks import queries
from practice.weeks.models import Week
from shared.people.models import Membership
from tests.browser import house
from tests.browser.hand import Hand
from tests.conftest import signed_in
from tests.factories import make_coach, studio_of

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
MOST = 40
DRILLS = ["Random target", "In-between", "Quiet-hands half wedge"]


@pytest.fixture
def hand(browser, live_server):
    """A coach on the empty roster, on a laptop; nothing done yet."""
    coach = make_coach(name="Coach One", role=Membership.Role.OWNER)
    stock_shelf(studio_of(coach), coach)
    context = browser.new_context(viewport={"width": 1280, "height": 900}, base_url=live_server.url)
    cookie = signed_in(coach).cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": cookie, "url": live_server.url}])
    page = context.new_page()
    page.set_default_timeout(house.PATIENCE * 1000)
    page.goto("/students/")
    assert page.get_by_text("Nobody is on the list yet.").is_visible()
    yield Hand(page)
    context.close()


def the_sent_parts() -> list:
    week = Week.objects.get(state=Week.State.SENT)
    assert week.student.name == "Sam Sample"
    return list(queries.live_parts().filter(week=week))


def test_by_mouse(hand):
    page = hand.page
    hand.tap(page.get_by_role("link", name="Enter a student"))
    hand.type(page.get_by_label("Name", exact=True), "Sam Sample")  # It has the cursor already.
    hand.tap(page.get_by_label("This student is 18 or over"))
    hand.tap(page.get_by_role("button", name="Enter"))
    hand.tap(page.get_by_role("link", name="set the week of Sam Sample"))
    for n, name in enumerate(DRILLS):
        hand.add(name, n)
    hand.tap(page.locator("#head-0"))
    for place, words in (("#p0-dose", "12@40, 9@60"), ("#note", "Slowly.")):
        hand.tap(page.locator(place))
        hand.type(page.locator(place), words)
    hand.tap(page.get_by_role("button", name="Send the week"))
    page.wait_for_selector("text=The week is sent to Sam Sample.")
    parts = the_sent_parts()
    assert [part.revision.name for part in parts] == DRILLS
    assert parts[0].dose == "12@40, 9@60"
    assert hand.count == 20 <= MOST


def test_by_keys_alone(hand):
    page = hand.page

    def keys(*names: str) -> None:
        for name in names:
            hand.key(name)

    def focused(what: str) -> None:
        page.wait_for_function(f"() => document.activeElement?.matches({json.dumps(what)})")

    def skip_to_the_page() -> None:
        page.wait_for_load_state()  # Keys know only what has been read of the page.
        keys("Tab", "Enter")
        focused("main")

    skip_to_the_page()
    keys("Tab", "Enter")  # Enter a student.
    focused("#id_name")
    hand.word("Sam Sample")
    keys("Tab", "Tab", "Tab", "Tab", "Space", "Enter")
    page.wait_for_selector("text=Sam Sample is on the list.")
    skip_to_the_page()
    keys("Tab", "Tab")
    focused("a[href$='/week/']")
    with page.expect_navigation():  # And its script, which answers the keys.
        keys("Enter")
    for n, name in enumerate(DRILLS):
        keys("Alt+n")
        focused("#add-drill")
        hand.word(name[:9])
        keys("Enter")
        focused(f"#p{n}-dose")
    keys("Control+a")
    hand.word("20 balls")
    keys("Control+Enter")
    page.wait_for_selector("text=The week is sent to Sam Sample.")
    parts = the_sent_parts()
    assert [part.revision.name for part in parts] == DRILLS
    assert parts[2].dose == "20 balls"
    assert hand.count == 28 <= MOST
