"""A clock that is wrong, stands still or jumps moves no entry and costs none."""

from datetime import date, timedelta

import pytest

from tests.browser.house import Phone, new_context, verdict

pytestmark = pytest.mark.browser

DAY = 86_400_000
SHIFTS = {
    "three years ahead": 3 * 365 * DAY,
    "five years back": -5 * 365 * DAY,
    "forty minutes back": -40 * 60_000,
}
SHIFTED = """
{
  const Real = Date;
  self.shift = SHIFT;
  self.Date = class extends Real {
    constructor(...a) { if (a.length) super(...a); else super(Real.now() + self.shift); }
    static now() { return Real.now() + self.shift; }
  };
}
"""
JUMP = "(shift) => { self.shift = shift; dispatchEvent(new Event('hashchange')); }"


def shifted(browser, server, seed, shift: str) -> Phone:
    extra = SHIFTED.replace("SHIFT", shift)
    context = new_context(browser, server, seed["cookies"]["sam"], extra=extra)
    return Phone(context.new_page(), server).open()


@pytest.mark.parametrize("name", SHIFTS)
def test_a_wrong_clock_loses_and_doubles_nothing(browser, server, seed, name):
    phone = shifted(browser, server, seed, str(SHIFTS[name]))
    phone.go("other")
    phone.page.fill("#balls", "40")
    phone.tap("Save")
    phone.until(lambda: phone.ticks, "the tick")
    phone.all_sent()
    assert verdict(phone.ticks, server.rows()) == ([], [])
    ((day,),) = server.sql("SELECT day FROM log_entry")
    # Filed near the server's own day, whatever the phone thinks it is.
    assert abs(date.fromisoformat(day) - date.today()) <= timedelta(days=1)  # noqa: DTZ011
    phone.page.context.close()


def test_a_clock_that_changes_while_entries_wait_makes_no_id_twice(browser, server, seed):
    phone = shifted(browser, server, seed, "0")
    phone.page.context.set_offline(True)
    for shift in (0, -2 * DAY, 0, -5 * 60_000):
        # Another day is another page: it is drawn now, not while the button is being pressed.
        phone.page.evaluate(JUMP, shift)
        phone.done_as_asked()
    ids = [tick["id"] for tick in phone.ticks]
    assert ids == sorted(set(ids))
    phone.page.evaluate("() => { self.shift = 0; }")
    phone.page.context.set_offline(False)
    phone.all_sent()
    assert verdict(phone.ticks, server.rows()) == ([], [])
    phone.page.context.close()
