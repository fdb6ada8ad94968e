"""The right day: never a draft's, never yesterday's, said aloud, and one tap away in the week."""

from datetime import date, timedelta

import pytest

from tests.browser.house import Phone, new_context
from tests.browser.test_phone_clock import DAY, SHIFTED

pytestmark = pytest.mark.browser

TURNED = """(days) => {
  self.shift += days * 86400000;
  document.dispatchEvent(new Event("visibilitychange"));
}"""
TODAY = "[name=day]"


def local_today(phone: Phone) -> date:
    """The practice day of the phone, which turns over at three."""
    text = phone.page.evaluate(
        "() => { const d = new Date(Date.now() - 3 * 36e5 - new Date().getTimezoneOffset() * 6e4);"
        " return d.toISOString().slice(0, 10); }"
    )
    return date.fromisoformat(text)


@pytest.fixture
def turning(browser, server, seed):
    context = new_context(
        browser, server, seed["cookies"]["sam"], extra=SHIFTED.replace("SHIFT", "0")
    )
    yield Phone(context.new_page(), server).open()
    context.close()


@pytest.fixture
def midweek(turning):
    """The phone on this week's Wednesday, whatever day it is: the next day is in its week too."""
    turning.page.evaluate(TURNED, 2 - local_today(turning).weekday())
    turning.until(lambda: "Today, Wed" in turning.page.inner_text("main"), "the Wednesday")
    return turning


def test_a_form_left_open_through_the_turn_of_the_day_is_for_the_new_day(turning, server):
    turning.tap("Did part", "link")
    before = turning.page.input_value(TODAY)
    turning.page.fill("#n0", "9")
    turning.page.evaluate(TURNED, 1)
    turning.until(lambda: turning.page.input_value(TODAY) != before, "the form to follow the day")
    turning.tap("Save")
    assert turning.ticks[0]["day"] == str(date.fromisoformat(before) + timedelta(days=1))
    assert turning.ticks[0]["b"][0]["s"][0]["n"] == 9


def test_a_form_that_nobody_looked_at_when_the_day_turned_is_for_the_new_day(turning):
    turning.tap("Did part", "link")
    before = date.fromisoformat(turning.page.input_value(TODAY))
    turning.page.evaluate("() => { self.shift += 86400000; }")
    turning.tap("Save")
    assert turning.ticks[0]["day"] == str(before + timedelta(days=1))


def test_a_week_that_stays_open_shows_the_new_day(midweek):
    midweek.page.evaluate(TURNED, 1)
    midweek.until(lambda: "Today, Thu" in midweek.page.inner_text("main"), "the new day")
    # What is for today is asked, not what was for the day before.
    midweek.done_as_asked()
    assert midweek.ticks[0]["day"] == str(local_today(midweek))


def test_the_day_is_never_restored_from_a_draft(phone):
    phone.tap("Did part", "link")
    today = phone.page.input_value(TODAY)
    phone.page.fill("[name=day]", str(date.fromisoformat(today) - timedelta(days=3)))
    phone.page.fill("[name=note]", "Called away")
    phone.until(lambda: phone.page.evaluate(KEPT_NOTE), "the draft")
    phone.page.reload()
    phone.loaded()
    phone.until(lambda: phone.page.input_value("[name=note]") == "Called away", "the draft back")
    assert phone.page.input_value(TODAY) == today


def test_a_draft_of_yesterday_stays_away(midweek):
    midweek.tap("Did part", "link")
    midweek.page.fill("[name=note]", "Called away")
    midweek.until(lambda: midweek.page.evaluate(KEPT_NOTE), "the draft")
    midweek.page.evaluate("() => { self.shift += 86400000; }")
    midweek.go("")
    midweek.page.wait_for_selector("#f", state="detached")
    midweek.tap("Did part", "link")
    midweek.page.evaluate(READ_TWICE)
    assert midweek.page.input_value("[name=note]") == ""


KEPT_NOTE = """() => new Promise((yes) => {
  const ask = indexedDB.open("practice");
  ask.onsuccess = () => {
    const found = ask.result.transaction("kv").objectStore("kv").get("draft");
    found.onsuccess = () => {
      ask.result.close();
      yes(!!found.result?.fields.some(([, value]) => value === "Called away"));
    };
  };
})"""
# A transaction of our own after the page's: by then what it read has been put in.
READ_TWICE = f"async () => {{ await ({KEPT_NOTE})(); await ({KEPT_NOTE})(); }}"


def test_a_receipt_names_the_day_when_it_is_not_today(phone):
    phone.tap("Did part", "link")
    phone.page.wait_for_selector("[name=day]")
    day = date.fromisoformat(phone.page.input_value(TODAY)) - timedelta(days=1)
    phone.page.fill("[name=day]", str(day))
    phone.tap("Save")
    phone.until(lambda: f"{day.day} {day:%b}" in phone.page.inner_text("#said"), "the words")
    phone.go("")
    phone.done_as_asked()
    assert "For" not in phone.page.inner_text("#said")


@pytest.mark.parametrize(
    ("shift", "words"),
    [
        (-25 * 60_000, "25 minutes behind"),
        (DAY, "24 hours ahead"),
        (3 * DAY, "3 days ahead"),
        (9 * 60_000, ""),
        (0, ""),
    ],
)
def test_a_clock_that_is_off_by_more_than_ten_minutes_is_told(browser, server, seed, shift, words):
    extra = SHIFTED.replace("SHIFT", str(shift))
    context = new_context(browser, server, seed["cookies"]["sam"], extra=extra)
    phone = Phone(context.new_page(), server).open()
    told = phone.page.inner_text("#clock")
    assert words in told
    assert bool(told) is bool(words)
    context.close()


def test_the_week_is_seven_days_and_a_tap_logs_for_that_one(phone, server, seed):
    rows = phone.page.locator(".days a")
    assert rows.count() == 7
    today = local_today(phone)
    monday = today - timedelta(days=today.weekday())
    # The first day, or last week's last one when today is the first: always one that has been.
    rows.nth(0).click()
    phone.page.get_by_role("link", name="Wall-back turns").click()
    assert phone.page.input_value(TODAY) == str(monday)
    phone.tap("Save")
    phone.all_sent()
    (row,) = server.rows()
    assert (row["day"], row["b"][0]["p"]) == (str(monday), seed["parts"][0])
    assert "last" not in row["b"][0]
    phone.go("")
    assert "Done: Wall-back turns" in phone.page.locator(".days a").nth(0).inner_text()


def test_a_day_shows_what_is_meant_on_it_and_where(phone, server, seed):
    server.sql(
        "UPDATE weeks_part SET days = '[6]', places = json_object('6', 'range') WHERE id = ?",
        seed["parts"][1].replace("-", ""),
    )
    phone.page.reload()
    phone.loaded()
    last = phone.page.locator(".days a").nth(6)
    phone.until(lambda: "Putting gate" in last.inner_text(), "what is meant on the last day")
    assert "range" in last.inner_text().lower()


def test_away_by_tapping_a_day(phone, server):
    last = phone.page.locator(".days a").nth(6)
    last.click()
    phone.tap("I’m away", "link")
    day = local_today(phone) + timedelta(days=6 - local_today(phone).weekday())
    assert (
        phone.page.input_value("[name=first]") == phone.page.input_value("[name=last]") == str(day)
    )
    phone.tap("Save")
    phone.all_sent()
    phone.go("")
    phone.until(lambda: "Excused" in phone.page.locator(".days a").nth(6).inner_text(), "the day")


def test_the_last_day_of_the_week_is_said(turning):
    to_sunday = 6 - local_today(turning).weekday()
    if to_sunday:
        assert "until Sun" in turning.page.inner_text("main")
    turning.page.evaluate(TURNED, to_sunday)
    turning.until(
        lambda: "last day of this week" in turning.page.inner_text("main"), "the last day"
    )


def at_last_week(turning, server, days_after: int) -> None:
    """A week sent three weeks ago, looked at so many days after it closed."""
    server.sql("UPDATE weeks_week SET published_on = date('now', '-20 days')")
    turning.page.reload()
    turning.loaded()
    ((closes,),) = server.sql("SELECT date(min(opens), '+6 days') FROM weeks_week")
    ahead = date.fromisoformat(closes) - local_today(turning)
    turning.page.evaluate("(n) => { self.shift += n * 86400000; }", ahead.days + days_after)
    turning.go("last")
    turning.page.wait_for_selector("h1:text('For last week')")


def test_the_day_after_last_week_it_can_be_made_up_and_says_what_is_left(turning, server):
    at_last_week(turning, server, 1)
    assert "Made up today" in turning.page.inner_text("main")
    first = turning.page.locator("main li a").first
    assert "7 visits left of last week" in first.inner_text()
    turning.page.context.set_offline(True)
    first.click()
    turning.tap("Save")
    assert turning.ticks[0]["b"][0]["last"] is True
    turning.go("last")
    turning.page.wait_for_selector("h1:text('For last week')")
    turning.until(lambda: "6 visits left of last week" in first.inner_text(), "one less")


def test_later_only_what_was_done_in_last_week_counts_and_its_day_is_asked(turning, server):
    at_last_week(turning, server, 3)
    assert "Last week is over" in turning.page.inner_text("main")
    turning.page.context.set_offline(True)
    turning.page.locator("main li a").first.click()
    turning.tap("Save")
    (tick,) = turning.ticks
    ((closes,),) = server.sql("SELECT date(min(opens), '+6 days') FROM weeks_week")
    assert tick["day"] == closes
    assert "last" not in tick["b"][0]
    turning.go("last")
    turning.page.wait_for_selector("h1:text('For last week')")
    first = turning.page.locator("main li a").first
    turning.until(lambda: "6 visits left of last week" in first.inner_text(), "one less")


def test_every_part_of_a_visit_is_shown_and_can_be_put_right(phone, server, seed):
    both = [{"p": part, "s": [{"n": 5}], "min": 5} for part in seed["parts"]]
    phone.page.evaluate(LOG_BOTH, [str(local_today(phone)), both])
    phone.page.reload()
    phone.loaded()
    phone.page.click("#sent")
    row = phone.page.locator("main li").first
    phone.until(lambda: "Putting gate" in row.inner_text(), "the visit")
    assert "Wall-back turns" in row.inner_text()
    phone.tap("Change", "link")
    phone.page.get_by_role("link", name="Putting gate").click()
    phone.page.fill("#n0", "18")
    phone.tap("Save")
    phone.all_sent()
    blocks = server.rows()[-1]["b"]
    assert [block["s"][0]["n"] for block in blocks] == [5, 18]


LOG_BOTH = """async ([day, b]) => {
  const key = (await (await caches.open("aside")).match("/keys").then((a) => a.json()));
  const [[who, { key: secret }]] = Object.entries(key);
  const at = new Date().toISOString().replace("Z", "+00:00");
  const e = [{ id: crypto.randomUUID(), v: 1, k: "log", who, day, at, b }];
  await fetch("/api/sync", { method: "POST", body: JSON.stringify({ sent: at, e }),
    headers: { "Content-Type": "application/json", Authorization: `LogKey ${secret}` } });
}"""


def test_what_waits_for_two_days_is_told_and_no_longer_once_it_is_sent(browser, server, seed):
    context = new_context(
        browser, server, seed["cookies"]["sam"], extra=SHIFTED.replace("SHIFT", "0")
    )
    phone = Phone(context.new_page(), server).open()
    context.set_offline(True)
    phone.page.evaluate("(days) => { self.shift = -days * 86400000; }", 3)
    phone.done_as_asked()
    assert phone.page.inner_text("#clock") == ""
    phone.page.evaluate(TURNED, 3)
    phone.until(lambda: "1 log waits on this phone" in phone.page.inner_text("#clock"), "the words")
    context.set_offline(False)
    phone.all_sent()
    phone.until(lambda: phone.page.inner_text("#clock") == "", "the words to go")
    context.close()
