"""From an empty folder to 45 students with weekly lessons, invited, and three weeks sent: counted.

As a coach does it in the first evening, with `manage.py serve`, by the pages alone. Each page is
read to its end where it is new, the list that is brought twice: as it was understood, and as it
stands. A pasted list and a typed word count as one tap each.
"""

import sqlite3
import sys
from contextlib import closing
from ipaddress import ip_address

import pytest

from shared.site import reach
from tests.browser import house
from tests.browser.hand import Hand
from tests.ports import own_port
from tests.reminders.conftest import running_sink
from tests.running.processes import installation, running, until

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(not reach.own_addresses(), reason="needs a network that phones could be in"),
]
MOST, MINUTES = 60, 15
PASSWORD = "four words in a row"
DAYS = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday"]
FIRST = ["Ada", "Bo", "Cy", "Dot", "Eve", "Flo", "Gus", "Hal", "Ida"]
LAST = ["Hill", "Lund", "Moor", "Nash", "Orr"]
PEOPLE = [f"{first} {last}" for last in LAST for first in FIRST]
LIST = "Name\tE-mail\tDay\tTime\n" + "\n".join(
    f"{name}\t{name.lower().replace(' ', '.')}@example.org\t{DAYS[n % 5]}\t{8 + n // 5}:00"
    for n, name in enumerate(PEOPLE)
)
# Taking the certificate of this machine into a browser's settings, as /trust/ says it.
TRUSTING = 10


class Evening(Hand):
    """A coach in front of a house in which nobody is."""

    def __init__(self, page, served, mails) -> None:
        super().__init__(page)
        self.served, self.mails = served, mails

    def press(self, name: str) -> None:
        self.tap(self.page.get_by_role("button", name=name, exact=True))

    def go(self, name: str) -> None:
        """To a page on which only a place is looked for."""
        self.tap(self.page.get_by_role("link", name=name, exact=True).first)

    def follow(self, name: str) -> None:
        self.go(name)
        self.read()

    def find(self, label: str):
        return self.page.get_by_label(label, exact=True)

    def sees(self, words: str) -> None:
        self.page.wait_for_selector(f"text={words}")
        self.read()


@pytest.fixture
def evening(browser, tmp_path):
    """With the tables there: tests/running/test_reach.py begins with an empty folder."""
    with own_port() as port, own_port() as tls_port, running_sink() as sink:
        more = {"PORT": str(port), "TLS_PORT": str(tls_port), "WEB_PROCESSES": "1"}
        more["EMAIL_URL"] = f"smtp://127.0.0.1:{sink.port}"
        log = tmp_path / "log"
        with (
            installation(tmp_path / "data", "sqlite", **more) as env,
            running([sys.executable, "manage.py", "serve"], env, log) as process,
        ):

            def served(times: int) -> None:
                until(lambda: log.read_text().count("serves on") == times, "the site", process)

            served(1)
            context = browser.new_context(
                viewport={"width": 1280, "height": 900}, ignore_https_errors=True
            )
            page = context.new_page()
            page.set_default_timeout(house.PATIENCE * 1000)
            page.goto(f"http://localhost:{port}/")
            yield Evening(page, served, sink)
            context.close()


def make_the_studio(hand: Evening) -> None:
    hand.read()
    for label, words in (
        ("Name of the studio", "The back room"),
        ("Your name", "Mara Lindgren"),
        ("Your e-mail", "mara@example.org"),
        ("Password", PASSWORD),
    ):
        hand.type(hand.find(label), words)
    hand.press("Make the studio")
    hand.read()


def say_how_phones_reach_it(hand: Evening) -> None:
    """By the first address in digits, encrypted if it can be."""
    hand.follow("People")
    hand.follow("How phones reach it")
    offers = [each.get_attribute("value") for each in hand.page.locator("[name=choice]").all()]
    hand.tap(hand.page.locator(f"[value='{next(filter(_is_of_digits, offers))}']"))
    hand.press("Keep this address")
    hand.sees("The address is kept")
    hand.served(2)
    hand.tapped(TRUSTING)
    hand.tap(hand.page.locator("main a[href$='/people/address/']"))
    hand.type(hand.page.locator("#id_login"), "mara@example.org")
    hand.type(hand.find("Password"), PASSWORD)
    hand.press("Sign in")
    hand.sees("How phones reach this studio")


def _is_of_digits(offer: str) -> bool:
    try:
        return bool(ip_address(offer.partition("-")[2]))
    except ValueError:
        return False


def bring_the_list(hand: Evening) -> None:
    hand.follow("Students")
    hand.follow("Bring your list")
    hand.paste(hand.find("Paste it here, as it is copied from a sheet"), LIST)
    hand.press("Look at it")
    hand.sees("45 to bring.")
    hand.tap(hand.find("Everybody without a guardian here is 18 or over"))
    hand.press("Bring 45")
    hand.read()
    hand.press("Send 45 invitations")
    hand.page.wait_for_selector("text=45 invitations go out now.")


def send_three_weeks(hand: Evening) -> None:
    """One for the first, this week for the rest, and the same to all for two weeks more."""
    page = hand.page
    hand.go("Students")
    hand.follow("Ada Hill")
    hand.follow("Set the week")
    hand.add("Random target", 0)
    hand.press("Send the week")
    hand.sees("The week is sent to Ada Hill.")
    hand.follow("Who needs me")
    hand.follow("Set a week for these 44")
    choose_adas_week(hand)
    hand.press("What it comes to")
    hand.read()
    send_to_those_ticked(hand)
    for when in ("next week", "in two weeks"):
        choose_adas_week(hand)
        if when != "next week":  # Which stands there.
            hand.choose(page.locator("#when"), when)
        hand.press("Tick all 45")
        send_to_those_ticked(hand)


def choose_adas_week(hand: Evening) -> None:
    source = hand.page.locator("#source")
    words = source.locator("option", has_text="Ada Hill").last.inner_text()
    hand.choose(source, words)


def send_to_those_ticked(hand: Evening) -> None:
    hand.press("Send to those ticked")
    hand.sees("The week is sent to")


def counted(folder, what: str) -> int:
    with closing(sqlite3.connect(folder / "practice.sqlite3", timeout=house.PATIENCE)) as db:
        return db.execute(f"SELECT COUNT(*) FROM {what}").fetchone()[0]


def test_forty_five_students_in_one_evening(evening, tmp_path):
    make_the_studio(evening)
    say_how_phones_reach_it(evening)
    bring_the_list(evening)
    send_three_weeks(evening)
    data = tmp_path / "data"
    assert counted(data, "people_student") == 45
    assert counted(data, "timetable_series") == 45
    assert counted(data, "weeks_week WHERE state = 'sent'") == 3 * 45
    until(lambda: len({mail["To"] for mail in evening.mails.taken}) == 45, "the invitations")
    print(f"{evening.count} taps, {evening.seconds / 60:.1f} minutes")
    assert evening.count <= MOST, evening.count
    assert evening.seconds <= MINUTES * 60, evening.seconds
