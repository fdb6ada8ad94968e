"""The long runs of the phone's log: hundreds of kills of the server and of the browser.

Run by `make faults`. Each prints its figures: taps that were said to be kept,
lost, doubled, kills.
"""

import os
import random

import pytest

from tests.browser.faults import ANSWERS, KILLED_AT
from tests.browser.house import CLICK, Phone, new_context, verdict
from tests.browser.killable import Killable, first_visit

pytestmark = [pytest.mark.browser, pytest.mark.long]

SERVER_KILLS = int(os.environ.get("SERVER_KILLS", "200"))
LONG = 180  # seconds: two hundred entries, on a machine that may be busy
BROWSER_KILLS = int(os.environ.get("BROWSER_KILLS", "450"))


def report(ticks, rows, kills: int) -> None:
    lost, doubled = verdict(ticks, rows)
    print(f"\n{kills} kills: {len(ticks)} kept, {len(lost)} lost, {len(doubled)} doubled")
    assert (lost, doubled) == ([], [])
    assert len({row["id"] for row in rows}) == len(rows)


def test_a_server_killed_two_hundred_times_at_random_points(browser, server, seed):
    rng = random.Random(20261125)
    context = new_context(browser, server, seed["cookies"]["sam"])
    phone = Phone(context.new_page(), server).open()
    for _ in range(SERVER_KILLS):
        context.set_offline(True)
        for _ in range(rng.randint(1, 4)):
            phone.done_as_asked()
        point = rng.choice(KILLED_AT)
        server.fault(point)
        context.set_offline(False)
        phone.until(lambda: server.faults_left == 0, f"the server to be killed at {point}")
        if rng.random() < 0.3:
            server.fault(rng.choice([name for name in ANSWERS if name != "401 ours"]))
        if rng.random() < 0.2:
            phone.page.reload()
            phone.loaded()
    phone.all_sent()
    report(phone.ticks, server.rows(), SERVER_KILLS)
    context.close()


def test_a_browser_killed_hundreds_of_times_while_it_writes(
    playwright, own_server, seed, tmp_path_factory
):
    rng = random.Random(20261125)
    phone_browser = Killable(playwright, own_server, tmp_path_factory.mktemp("profile"))
    first_visit(phone_browser, seed["cookies"]["sam"])
    own_server.stop()
    phone_browser.kill()
    for n in range(BROWSER_KILLS):
        phone = phone_browser.start().open()
        for _ in range(rng.randint(1, 3)):
            phone.done_as_asked()
        phone.page.evaluate(CLICK, phone.at_hand())
        phone_browser.kill()
        if n % 50 == 49:  # What is sent makes room; what is not stays.
            own_server.start()
            phone_browser.start().open(patience=LONG).all_sent(LONG)
            own_server.stop()
            phone_browser.kill()
    own_server.start()
    phone_browser.start().open(patience=LONG).all_sent(LONG)
    report(phone_browser.ticks, own_server.rows(), BROWSER_KILLS)
    phone_browser.kill()
