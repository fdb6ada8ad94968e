"""Balls typed one by one on the phone: kept as typed, offline, once, in their own unit."""

import re

import pytest

from tests.browser.house import Phone, new_context, until, verdict
from tests.browser.killable import SHELL_KEPT

pytestmark = pytest.mark.browser

SPEEDS = ("101.3", "99,5", "102", "101", "98", "103")
MPH = 0.44704  # NIST SP 811 (2008), B.8, exact.
YARD = 0.9144
SHOTS = """SELECT number, club_speed, carry, target, side, length, club_id IS NULL
    FROM shots_shot JOIN shots_sitting ON sitting_id = shots_sitting.id
    WHERE counts ORDER BY shots_sitting.rowid, number"""


@pytest.fixture
def context(browser, server, seed):
    context = new_context(browser, server, seed["cookies"]["wanda"])
    yield context
    context.close()


@pytest.fixture
def tests(seed) -> dict[str, str]:
    return dict(zip(("speed", "called", "wedges"), seed["measured_parts"], strict=True))


def begin(phone: Phone, part: str) -> None:
    phone.go(f"balls={part}")
    warmed(phone)


def begin_cold(phone: Phone, part: str) -> None:
    """From the phone's storage alone."""
    phone.page.goto("about:blank")
    phone.open(f"#balls={part}")
    warmed(phone)


def warmed(phone: Phone) -> None:
    """A test begins with its protocol; one that has begun goes on."""
    phone.page.wait_for_selector("#now p, [data-do=ready]")
    if phone.page.locator("[data-do=ready]").count():
        phone.tap("I am warmed up")
    phone.page.wait_for_selector("#now p")


def number(phone: Phone):
    return phone.page.locator("[data-figure]").first


def balls(phone: Phone, *typed: str) -> None:
    for text in typed:
        before = phone.page.locator("#got li").count()
        number(phone).fill(text)
        phone.tap("Next ball")
        phone.until(lambda n=before: phone.page.locator("#got li").count() == n + 1, "the ball")


def save(phone: Phone) -> dict:
    phone.tap("Save")
    return phone.ticks[-1]


def now(phone: Phone) -> str:
    return phone.page.inner_text("#now")


def test_a_speed_test_is_typed_ball_by_ball_and_its_median_comes_last(phone, server, tests):
    phone.page.get_by_role("link", name="Log it ball by ball").click()
    warmed(phone)
    phone.page.wait_for_selector("text=Ball 1 of 6")
    assert number(phone).get_attribute("inputmode") == "decimal"
    assert phone.page.get_by_label("Club speed, mph").count() == 1
    balls(phone, *SPEEDS[:5])
    assert "Ball 6 of 6" in now(phone)
    assert "median" not in now(phone)
    balls(phone, SPEEDS[5])
    # By hand: sorted 98 99.5 101 101.3 102 103, the middle two give 101.15.
    assert "median 101.2 mph, 6 balls, from 98 to 103 mph" in now(phone)
    entry = save(phone)
    assert (entry["v"], entry["b"][0]["s"]) == (2, [{"n": 6, "e": 100}])
    phone.all_sent()
    found = server.sql(SHOTS)
    want = [round(float(text.replace(",", ".")) * MPH, 4) for text in SPEEDS]
    assert [row[1] for row in found] == pytest.approx(want, abs=1e-9)
    assert [row[0] for row in found] == [1, 2, 3, 4, 5, 6]


def test_six_speeds_without_signal_and_a_reload_are_six_rows(phone, context, server, tests):
    until(lambda: phone.page.evaluate(SHELL_KEPT), "the shell to be kept")
    context.set_offline(True)
    begin_cold(phone, tests["speed"])
    balls(phone, *SPEEDS[:4])
    number(phone).fill("101")
    phone.until(
        lambda: phone.page.evaluate(KEPT, "balls ").get("typed") == {"club_speed": "101"},
        "the draft",
    )
    phone.page.reload()
    phone.loaded()
    phone.page.wait_for_selector("text=Ball 5 of 6")
    # As it was typed, the half-typed fifth too.
    assert number(phone).input_value() == "101"
    phone.tap("Next ball")
    balls(phone, SPEEDS[5])
    # A request that outlives its page is let through by a browser that only plays offline.
    with phone.page.expect_event("requestfailed", lambda sent: "/api/sync" in sent.url):
        save(phone)
    phone.page.reload()
    phone.loaded()
    assert server.rows() == []
    assert phone.pill() == "1 kept on this phone"
    context.set_offline(False)
    phone.page.evaluate("() => dispatchEvent(new Event('online'))")
    phone.all_sent()
    assert len(server.sql(SHOTS)) == 6
    assert verdict(phone.ticks, server.rows()) == ([], [])
    # What was kept is not there to be typed again.
    begin_cold(phone, tests["speed"])
    assert "Ball 1 of 6" in now(phone)


def test_sent_again_by_another_tab_it_is_there_once(phone, context, server, tests):
    begin(phone, tests["speed"])
    balls(phone, *SPEEDS)
    server.fault("reply")  # Stored; the answer is cut off, and so it is sent again.
    save(phone)
    Phone(context.new_page(), server).open()
    phone.all_sent()
    assert len(server.rows()) == 1
    assert server.sql("SELECT count(*) FROM shots_shot") == [(6,)]


def test_a_change_replaces_the_balls_and_a_take_back_uncounts_them(phone, server, tests):
    begin(phone, tests["speed"])
    balls(phone, *SPEEDS)
    first = save(phone)
    phone.all_sent()
    phone.page.click("#sent")
    phone.tap("Change", "link")
    phone.page.wait_for_selector("text=All balls are in")
    phone.tap("Take it back : ball 6")
    balls(phone, "104")
    changed = save(phone)
    phone.all_sent()
    assert (changed["k"], changed["target"]) == ("change", first["id"])
    assert changed["b"][0] | {"shots": None} == first["b"][0] | {"shots": None}
    assert server.sql(SHOTS)[-1][1] == pytest.approx(104 * MPH, abs=1e-4)
    assert len(server.sql(SHOTS)) == 6
    assert server.sql("SELECT count(*) FROM shots_shot") == [(12,)]
    phone.page.click("#sent")
    phone.tap("Take it back")
    phone.all_sent()
    assert server.sql(SHOTS) == []


def test_a_club_named_again_is_the_one_that_is_chosen(phone, server, tests):
    begin(phone, tests["wedges"])
    for club in ("54", "60"):
        if phone.page.locator("summary", has_text="Another club").count():
            phone.page.locator("summary", has_text="Another club").click()
        phone.page.fill("[data-club]", club)
        phone.page.keyboard.press("Tab")
        phone.page.wait_for_selector(f"[name=club][value='{club}']:checked")
        balls(phone, "50")
    phone.page.get_by_label("54", exact=True).check()
    # Typed before the club is named again, and still there after it.
    number(phone).fill("40")
    phone.page.locator("summary", has_text="Another club").click()
    phone.page.fill("[data-club]", "60")
    phone.page.keyboard.press("Tab")
    phone.page.wait_for_selector("[name=club][value='60']:checked")
    assert number(phone).input_value() == "40"
    save(phone)
    phone.all_sent()
    clubs = server.sql(
        "SELECT name FROM shots_shot JOIN shots_club ON club_id = shots_club.id ORDER BY number"
    )
    assert clubs == [("54",), ("60",), ("60",)]


def test_targets_come_in_their_order_and_one_taken_back_comes_again(phone, server, tests):
    begin(phone, tests["called"])
    targets = []
    for text in ("58", "43,5", "61"):
        targets.append(re.search(r"Target (\d+) yd", now(phone))[1])
        balls(phone, text)
    assert targets == ["60", "40", "60"]
    phone.tap("Take it back : ball 1")
    phone.page.wait_for_selector("text=Ball 3 of 4 · Target 60 yd")
    balls(phone, "57", "38")
    assert "Off the target: median 2.5 yd, 4 balls, from 1 to 3.5 yd" in now(phone)
    save(phone)
    phone.all_sent()
    assert [row[3] for row in server.sql(SHOTS)] == [36.576, 54.864, 54.864, 36.576]


def test_club_and_swing_are_tapped_once_and_remembered(phone, server, tests):
    begin(phone, tests["wedges"])
    phone.page.fill("[data-club]", "54")
    phone.page.keyboard.press("Tab")
    phone.page.get_by_label("chest-high").check()
    balls(phone, "60", "61")
    phone.page.get_by_label("hip-high").check()
    phone.page.locator("summary", has_text="Other numbers").click()
    phone.page.get_by_label("Side, yd").fill("2")
    phone.page.get_by_label("Left").check()
    balls(phone, "45")
    phone.page.locator("summary", has_text="Device, ball and place").click()
    phone.page.get_by_label("Place").fill("bay 2")
    phone.page.get_by_label("Roof").select_option("1")
    save(phone)
    phone.all_sent()
    rows = server.sql(SHOTS)
    assert [(row[5], row[6]) for row in rows] == [("chest", 0), ("chest", 0), ("hip", 0)]
    assert rows[2][4] == pytest.approx(-2 * YARD, abs=1e-4)
    assert server.sql("SELECT place, indoors FROM shots_sitting") == [("bay 2", 1)]
    begin_cold(phone, tests["called"])
    assert phone.page.get_by_label("54").is_checked()
    assert phone.page.get_by_label("hip-high").is_checked()
    assert phone.page.locator("summary", has_text="bay 2").count() == 1


def test_units_changed_while_an_entry_waits_change_nothing_of_it(phone, context, server, tests):
    begin(phone, tests["wedges"])
    balls(phone, "100")
    number(phone).fill("110")
    phone.until(
        lambda: phone.page.evaluate(KEPT, "balls ").get("typed") == {"carry": "110"}, "the draft"
    )
    server.sql("UPDATE people_user SET distance_unit = 'm' WHERE distance_unit = 'yd'")
    try:
        # The week with the new unit arrives; what is half typed keeps its own.
        phone.page.reload()
        phone.loaded()
        phone.page.wait_for_selector("#got li")
        phone.until(lambda: phone.page.evaluate(KEPT, "week ")["units"]["m"]["si"] == 1, "metres")
        assert phone.page.get_by_label("Carry, yd").input_value() == "110"
        phone.tap("Next ball")
        save(phone)
        phone.all_sent()
        assert [row[2] for row in server.sql(SHOTS)] == pytest.approx([91.44, 100.584])
        begin_cold(phone, tests["wedges"])
        assert phone.page.get_by_label("Carry, m").count() == 1
    finally:
        server.sql("UPDATE people_user SET distance_unit = 'yd' WHERE speed_unit = 'mph'")


def test_what_is_no_carry_is_said_and_stays_typed(phone, tests):
    told = phone.page.get_by_text("Carry is a number from 0 to 492.1 yd. Nothing was added.")
    for typed in ("", "abc", "-5", "1e3", "999", "12.3.4", "٥٠", "1 2"):
        phone.go("")
        begin(phone, tests["wedges"])
        assert told.count() == 0
        number(phone).fill(typed)
        phone.tap("Next ball")
        told.wait_for()
        assert number(phone).input_value() == typed
        assert phone.page.locator("#got li").count() == 0


def test_a_number_left_in_the_box_is_kept_by_save(phone, server, tests):
    begin(phone, tests["wedges"])
    balls(phone, "60")
    number(phone).fill("62")
    save(phone)
    phone.all_sent()
    assert len(server.sql(SHOTS)) == 2


def test_words_that_were_kept_with_the_balls_do_not_come_again(phone, tests):
    begin(phone, tests["speed"])
    phone.page.locator("summary", has_text="Minutes, how it felt").click()
    phone.page.fill("[name=note]", "Windy")
    balls(phone, "100")
    assert save(phone)["note"] == "Windy"
    phone.all_sent()
    begin_cold(phone, tests["speed"])
    assert phone.page.input_value("[name=note]") == ""
    assert phone.page.evaluate(KEPT, "draft") == {}


def test_the_rest_is_counted_in_words_and_holds_nobody_up(phone, tests):
    begin(phone, tests["speed"])
    assert phone.page.inner_text("#rest") == ""
    phone.page.evaluate("() => { self.clock = Date.now(); Date.now = () => self.clock; }")
    balls(phone, "100")
    assert phone.page.inner_text("#rest") == "Rest: 45 seconds more."
    balls(phone, "101")  # At once, if somebody wants to.
    phone.page.evaluate("() => { self.clock += 44000; }")
    phone.page.wait_for_selector("text=Rest: 1 second more.")
    phone.page.evaluate("() => { self.clock += 1000; }")
    phone.page.wait_for_selector("text=Rested. The next ball may go.")


def test_a_figure_far_from_the_usual_is_asked_about_once_also_without_signal(
    phone, context, server, tests
):
    begin(phone, tests["speed"])
    balls(phone, *SPEEDS)
    save(phone)
    phone.all_sent()
    phone.until(lambda: phone.page.evaluate(KEPT, "week ").get("usual"), "what is usual")
    until(lambda: phone.page.evaluate(SHELL_KEPT), "the shell to be kept")
    context.set_offline(True)
    begin_cold(phone, tests["speed"])
    doubted(phone, "15.2")
    # The middle of 98 to 103 is 101.15.
    assert "Really 15.2 mph? You usually have about 101." in now(phone)
    assert phone.page.locator("#got li").count() == 0
    assert number(phone).input_value() == "15.2"
    phone.tap("Yes, 15.2 mph")
    phone.page.wait_for_selector("text=Ball 2 of 6")
    balls(phone, "15.6")  # Like what was said to be right.
    doubted(phone, "160")
    number(phone).fill("106")  # It was a slip, and mended.
    assert "Really" not in now(phone)
    balls(phone, "106")
    doubted(phone, "170", by="Save")
    save(phone)
    context.set_offline(False)
    phone.page.evaluate("() => dispatchEvent(new Event('online'))")
    phone.all_sent()
    speeds = [row[1] / MPH for row in server.sql(SHOTS)[6:]]
    assert speeds == pytest.approx([15.2, 15.6, 106, 170], abs=1e-3)


def doubted(phone: Phone, typed: str, by: str = "Next ball") -> None:
    """Type what is asked about, and wait until the question takes a tap."""
    turn = phone.turn()
    number(phone).fill(typed)
    phone.page.get_by_role("button", name=by, exact=True).click()
    phone.page.wait_for_selector(f"text=Really {typed} mph?")
    phone.until(lambda: phone.turn() != turn, "the question to take a tap")


def test_enter_is_the_next_ball(phone, tests):
    begin(phone, tests["speed"])
    for text in SPEEDS:
        number(phone).fill(text)
        phone.page.keyboard.press("Enter")
    phone.page.wait_for_selector("text=All balls are in")


def test_pain_in_the_middle_of_a_test_loses_no_ball(phone, server, tests):
    begin(phone, tests["speed"])
    balls(phone, *SPEEDS[:3])
    phone.tap("Something hurts", "link")
    phone.tap("2")
    phone.page.wait_for_selector("text=Thank you for saying it")
    phone.all_sent()
    begin_cold(phone, tests["speed"])
    assert "Ball 4 of 6" in now(phone)


def test_an_older_server_asks_to_wait_and_nothing_is_lost(phone, server, tests):
    begin(phone, tests["speed"])
    balls(phone, *SPEEDS)
    held = {"ok": True, "me": "x", "r": {}}

    def answer(route):
        sent = route.request.post_data_json["e"]
        held["r"] = {entry["id"]: ["hold", "version"] for entry in sent}
        route.fulfill(json=held)

    phone.page.route("**/api/sync", answer)
    entry = save(phone)
    phone.until(lambda: held["r"].get(entry["id"]), "the older server's answer")
    assert phone.pill() == "1 kept on this phone"
    phone.page.unroute("**/api/sync")
    phone.page.evaluate("() => dispatchEvent(new Event('online'))")
    phone.all_sent()
    assert len(server.sql(SHOTS)) == 6


def test_the_wedge_card_is_looked_up_without_signal_from_a_cold_start(browser, own_server, seed):
    context = new_context(browser, own_server, seed["cookies"]["wanda"])
    phone = Phone(context.new_page(), own_server).open()
    for part, club, carries in (
        (seed["measured_parts"][2], "54", ("60", "62", "61", "63", "59")),
        (seed["measured_parts"][2], "60", ("40", "41", "39", "42", "38")),
        (seed["measured_parts"][2], "48", ("80", "82")),
    ):
        begin(phone, part)
        bag = phone.page.locator("summary", has_text="Another club")
        if bag.count():
            bag.click()
        phone.page.fill("[data-club]", club)
        phone.page.keyboard.press("Tab")
        phone.page.get_by_label("chest-high").check()
        balls(phone, *carries)
        save(phone)
    phone.all_sent()
    until(lambda: phone.page.evaluate(SHELL_KEPT), "the shell to be kept")
    phone.until(lambda: len(phone.page.evaluate(KEPT, "week ")["card"]["swings"]) == 3, "the card")
    phone.page.close()
    own_server.stop()
    phone = Phone(context.new_page(), own_server).open("#card")
    phone.page.get_by_label("Distance, yd").fill("57,5")
    first = phone.page.locator("#hits li").first.inner_text()
    assert first.startswith("54 chest-high: 3.5 yd long, expected miss ")
    assert "5 balls, newest Today" in first
    phone.page.get_by_label("Distance, yd").fill("43")
    assert phone.page.locator("#hits li").first.inner_text().startswith("60 chest-high: 3 yd short")
    phone.page.get_by_label("Distance, yd").fill("nothing")
    assert phone.page.locator("#hits li").count() == 0
    assert "48 chest-high\nToo few balls: 2 of 5." in phone.page.inner_text("main")
    context.close()


KEPT = """(name) => new Promise((yes) => {
  const ask = indexedDB.open("practice");
  ask.onsuccess = () => {
    const kv = ask.result.transaction("kv").objectStore("kv");
    const all = kv.getAll(IDBKeyRange.bound(name, `${name}~`));
    all.onsuccess = () => { ask.result.close(); yes(all.result.find(Boolean) || {}); };
  };
})"""


def test_what_was_typed_for_one_part_is_not_there_for_another(phone, server, tests):
    begin(phone, tests["speed"])
    balls(phone, "101")
    begin(phone, tests["called"])
    phone.page.goto("about:blank")
    phone.open(f"#balls={tests['wedges']}")
    phone.page.wait_for_selector("[data-do=ready]")
    assert phone.page.locator("#got li").count() == 0
