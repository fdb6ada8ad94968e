"""From an empty house to 45 students with weekly lessons, invited, and three weeks sent: counted.

As a coach does it in the first evening, by the pages alone. At most sixty taps; a pasted list
and a typed word count as one each.
"""

import pytest
from django.core import mail

from coaching.timetable.models import Series
from practice.weeks.models import Week
from shared.outbox import send
from shared.people.models import Student
from shared.site import reach
from tests.browser import house
from tests.browser.hand import Hand

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
MOST = 60
DAYS = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday"]
FIRST = ["Ada", "Bo", "Cy", "Dot", "Eve", "Flo", "Gus", "Hal", "Ida"]
LAST = ["Hill", "Lund", "Moor", "Nash", "Orr"]
PEOPLE = [f"{first} {last}" for last in LAST for first in FIRST]
LIST = "Name\tE-mail\tDay\tTime\n" + "\n".join(
    f"{name}\t{name.lower().replace(' ', '.')}@example.org\t{DAYS[n % 5]}\t{8 + n // 5}:00"
    for n, name in enumerate(PEOPLE)
)


@pytest.fixture
def hand(browser, live_server, monkeypatch, tmp_path, settings):
    """A coach in front of a house in which nobody is."""
    settings.DATA_DIR = tmp_path
    monkeypatch.setattr(reach, "own_addresses", lambda: ("192.168.7.20",))
    monkeypatch.setattr(reach, "own_names", lambda: ())
    context = browser.new_context(viewport={"width": 1280, "height": 900}, base_url=live_server.url)
    page = context.new_page()
    page.set_default_timeout(house.PATIENCE * 1000)
    page.goto("/")
    yield Hand(page)
    context.close()


def press(hand: Hand, name: str) -> None:
    hand.tap(hand.page.get_by_role("button", name=name, exact=True))


def make_the_studio(hand: Hand) -> None:
    for label, words in (
        ("Name of the studio", "The back room"),
        ("Your name", "Mara Lindgren"),
        ("Your e-mail", "mara@example.org"),
        ("Password", "four words in a row"),
    ):
        hand.type(hand.page.get_by_label(label, exact=True), words)
    press(hand, "Make the studio")


def say_how_phones_reach_it(hand: Hand) -> None:
    hand.page.goto("/people/address/")
    hand.count += 2  # People, How phones reach it.
    hand.tap(hand.page.get_by_label("https://192.168.7.20:8443"))
    press(hand, "Keep this address")
    hand.page.wait_for_selector("text=The address is kept")


def bring_the_list(hand: Hand) -> None:
    page = hand.page
    page.goto("/students/")
    hand.count += 1
    hand.tap(page.get_by_role("link", name="Bring your list", exact=True))
    hand.type(page.get_by_label("Paste it here, as it is copied from a sheet"), LIST)
    press(hand, "Look at it")
    page.wait_for_selector("text=45 to bring.")
    hand.tap(page.get_by_label("Everybody without a guardian here is 18 or over"))
    press(hand, "Bring 45")
    press(hand, "Send 45 invitations")
    page.wait_for_selector("text=45 invitations go out now.")


def send_three_weeks(hand: Hand) -> None:
    """One for the first, and the same for two more."""
    page = hand.page
    page.goto(f"/students/{Student.objects.get(name='Ada Hill').pk}/week/")
    hand.count += 3  # Students, the name, Set the week.
    hand.add("Random target", 0)
    press(hand, "Send the week")
    page.wait_for_selector("text=The week is sent to Ada Hill.")
    page.goto("/weeks/several/")
    hand.count += 2
    hand.choose(page.locator("#source"), page.locator("#source option").last.inner_text())
    press(hand, "What it comes to")
    page.wait_for_selector("[name=student]")
    for ticked in page.locator("[name=student]:checked").all():
        hand.tap(ticked)
    for name in ("Bo Hill", "Cy Hill"):
        hand.tap(page.get_by_role("checkbox", name=name))
    press(hand, "Send to those ticked")
    page.wait_for_load_state("networkidle")


def test_forty_five_students_in_one_evening(hand):
    make_the_studio(hand)
    say_how_phones_reach_it(hand)
    bring_the_list(hand)
    send_three_weeks(hand)
    assert Student.objects.count() == 45
    assert Series.objects.count() == 45
    assert Week.objects.filter(state=Week.State.SENT).count() == 3
    send.send_due()
    assert len({message.to[0] for message in mail.outbox}) == 45
    assert hand.count <= MOST, hand.count
