"""Whatever the network answers, what was kept arrives, and once."""

import pytest

from tests.browser.faults import AFTER_COMMIT, ANSWERS, KILLED_AT
from tests.browser.house import Phone, new_context, verdict

pytestmark = pytest.mark.browser

HELD = ["held after commit", "held before"]
AT_ONCE = [fault for fault in (*ANSWERS, *AFTER_COMMIT) if fault not in HELD]


# An answer that is held back is waited for until the phone gives up.
@pytest.mark.parametrize(("faults", "times"), [(AT_ONCE, {}), (HELD, {"answer": 2000})])
def test_a_wrong_answer_loses_and_doubles_nothing(browser, server, seed, faults, times):
    """One after another, each to a phone from which all was sent."""
    context = new_context(browser, server, seed["cookies"]["sam"], times=times)
    phone = Phone(context.new_page(), server).open()
    for number, fault in enumerate(faults, start=1):
        server.fault(fault, count=1 if faults == HELD else 2)
        phone.done_as_asked()
        if fault == "401 ours":
            # Our own word for 'sign in' is believed: it is tried again when asked to.
            phone.until(lambda: "sign in to send" in phone.pill(), "the word to sign in")
            phone.page.reload()
            phone.loaded()
            phone.page.reload()
            phone.loaded()
        phone.until(lambda: server.faults_left == 0, f"the fault {fault} to happen")
        phone.all_sent()
        assert verdict(phone.ticks, server.rows()) == ([], []), fault
        assert len(phone.ticks) == number, fault
    context.close()


def test_a_server_killed_at_any_point_loses_and_doubles_nothing(context, server):
    phone = Phone(context.new_page(), server).open()
    for times, point in enumerate(KILLED_AT, start=1):
        # Ordered first: the worker sends when it likes, also while its page has no signal.
        server.fault(point, count=1, skip=1 if point == "between" else 0)
        context.set_offline(True)
        for _ in range(3):
            phone.done_as_asked()
        context.set_offline(False)
        phone.until(lambda: server.faults_left == 0, f"the server to be killed: {point}")
        phone.all_sent()
        assert verdict(phone.ticks, server.rows()) == ([], []), point
        assert len(server.rows()) == 3 * times, point


def test_a_poison_entry_lets_its_neighbours_through_and_stays_in_sight(context, server, seed):
    phone = Phone(context.new_page(), server).open()
    context.set_offline(True)
    for n in range(5):
        if n == 2:
            phone.page.goto(f"{server.url}/log#log={seed['parts'][0]}")
            phone.page.fill("[name=note]", "POISON")
            phone.tap("Save")
            phone.until(lambda: len(phone.ticks) == 3, "the tick")
        else:
            phone.done_as_asked()
    context.set_offline(False)
    phone.until(lambda: phone.pill() == "1 kept on this phone", "all but the bad one to be sent")
    assert len(server.rows()) == 4
    phone.page.reload()
    phone.loaded()
    assert phone.pill() == "1 kept on this phone"
    phone.done_as_asked()
    phone.until(lambda: len(server.rows()) == 5, "a later one to pass the bad one")


def test_what_the_server_refuses_is_shown_with_its_reason_and_put_right(context, server, seed):
    phone = Phone(context.new_page(), server).open(f"#log={seed['parts'][0]}")
    phone.page.fill("#min", "5000")
    phone.tap("Save")
    phone.until(lambda: phone.pill() == "1 needs a look", "the refusal")
    phone.page.click("#sent")
    phone.page.wait_for_selector(".look:has-text('minutes')")
    phone.tap("Put it right", "link")
    phone.page.fill("#min", "15")
    phone.tap("Save")
    phone.all_sent()
    first, second = phone.ticks
    assert server.ids() == [second["id"]] != [first["id"]]


def test_a_refused_entry_is_discarded_only_by_hand(context, server, seed):
    phone = Phone(context.new_page(), server).open(f"#log={seed['parts'][0]}")
    phone.page.fill("#min", "5000")
    phone.tap("Save")
    phone.until(lambda: phone.pill() == "1 needs a look", "the refusal")
    phone.page.reload()
    phone.loaded()
    assert phone.pill() == "1 needs a look"
    phone.page.click("#sent")
    phone.page.once("dialog", lambda dialog: dialog.accept())
    phone.tap("Discard")
    phone.all_sent()
    assert server.rows() == []


def test_a_week_that_has_not_changed_is_not_fetched_again(context, server):
    page = context.new_page()
    phone = Phone(page, server).open()
    answers = []
    page.on("response", lambda it: answers.append(it.status) if "/api/week" in it.url else None)
    page.reload()
    phone.loaded()
    assert answers == [304]
    assert "Wall-back turns" in page.inner_text("main")
    phone.done_as_asked()
    phone.until(lambda: 200 in answers, "the week with the new log")
