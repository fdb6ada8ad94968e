"""One tap does one thing: a second one on the same point writes nothing more."""

import pytest

from tests.browser.house import Phone, new_context

pytestmark = pytest.mark.browser

# Every 300 ms for 5 s. How long lies between them is of no matter here: nothing waits.
TAPS = 17
AT = """(at) => {
  const box = document.querySelector(at).getBoundingClientRect();
  return [box.x + box.width / 2, box.y + box.height / 2];
}"""


def tapped_often(phone: Phone, at: str, taps: int = TAPS) -> None:
    """Tap where a button stands, and go on tapping there whatever comes to stand there."""
    phone.page.locator(at).first.scroll_into_view_if_needed()
    point = phone.page.evaluate(AT, at)
    before = len(phone.ticks)
    phone.page.mouse.click(*point)
    phone.until(lambda: len(phone.ticks) > before, f"the tick of {at}")
    for _ in range(taps - 1):
        phone.page.mouse.click(*point)
        # A tap that writes would be kept before the page has drawn twice more.
        phone.page.evaluate(
            "() => new Promise((on) => requestAnimationFrame(() => setTimeout(on)))"
        )
    phone.all_sent()


PLACES = {
    "as asked": ("", "[data-do=asked]", "log"),
    "a form": ("#log=PART", "[form=f]", "log"),
    "other practice": ("#other", "[form=f]", "log"),
    "days away": ("#away", "[form=f]", "away"),
    "for last week": ("#log=LAST", "[form=f]", "log"),
    "pain": ("#hurts=PART", ".tens button:nth-child(10)", "log"),
    "fifteen minutes": ("#short", "[data-do=short]", "log"),
}


@pytest.mark.parametrize("name", PLACES)
def test_tapping_the_same_point_for_five_seconds_writes_once(phone, server, seed, name):
    screen, at, kind = PLACES[name]
    last = phone.page.evaluate(LAST)
    phone.go(screen.replace("PART", seed["parts"][0]).replace("LAST", last))
    phone.page.wait_for_selector(at)
    if name == "other practice":
        phone.page.fill("#balls", "40")
    tapped_often(phone, at)
    assert [tick["k"] for tick in phone.ticks] == [kind]
    assert len(server.rows()) == 1


LAST = """() => fetch("/api/week").then((a) => a.json()).then((w) => w.weeks[0].parts[0].id)"""


def test_a_caution_is_read_and_no_tap_on_it_logs(browser, server, seed):
    context = new_context(browser, server, seed["cookies"]["kim"])
    phone = Phone(context.new_page(), server).open()
    tapped_often(phone, "[data-do=read]")
    assert [tick["k"] for tick in phone.ticks] == ["read"]
    context.close()


def test_on_a_small_phone_what_frees_the_day_stands_above_the_bar(browser, server, seed):
    viewport = {"width": 320, "height": 568}
    context = new_context(browser, server, seed["cookies"]["kim"], viewport=viewport)
    phone = Phone(context.new_page(), server).open()
    (understood,) = boxes(phone, "[data-do=read]")
    bar = phone.page.locator("footer").bounding_box()
    assert understood["y"] + understood["height"] <= bar["y"]
    context.close()


def test_the_corner_for_pain_writes_nothing_however_often_it_is_tapped(phone):
    point = phone.page.evaluate(AT, "#do a[href^='#hurts']")
    for _ in range(TAPS):
        phone.page.mouse.click(*point)
    phone.until(lambda: "In which drill?" in phone.page.inner_text("main"), "the words")
    assert phone.ticks == []


def test_a_part_that_is_saved_says_so_until_it_is_logged_again(phone, server):
    phone.tap("Done as asked")
    assert phone.page.inner_text("article h2") == "Wall-back turns"
    phone.page.get_by_role("button", name="Saved", exact=True).click()
    phone.until(lambda: "saved already" in phone.page.inner_text("#said"), "the words")
    phone.page.reload()
    phone.loaded()
    assert phone.page.get_by_role("button", name="Saved", exact=True).count() == 1
    # The next part is there to be done; the first one, opened again, is still saved.
    phone.go("")
    phone.page.wait_for_selector("article h2:text('Putting gate')")
    phone.page.get_by_role("link", name="1. Wall-back turns").click()
    assert phone.page.get_by_role("button", name="Done as asked").count() == 0
    phone.tap("Log more", "link")
    phone.tap("Save")
    phone.all_sent()
    assert len(server.rows()) == 2


def boxes(phone: Phone, at: str) -> list[dict]:
    return [place.bounding_box() for place in phone.page.locator(at).all()]


def overlap(a: dict, b: dict) -> bool:
    apart = (
        a["x"] + a["width"] <= b["x"] or b["x"] + b["width"] <= a["x"]
        or a["y"] + a["height"] <= b["y"] or b["y"] + b["height"] <= a["y"]
    )  # fmt: skip
    return not apart


@pytest.mark.parametrize("width", [320, 390])
def test_undo_stands_where_no_button_was_and_the_bar_keeps_its_height(browser, server, seed, width):
    viewport = {"width": width, "height": 740}
    context = new_context(browser, server, seed["cookies"]["sam"], viewport=viewport)
    phone = Phone(context.new_page(), server).open()
    before = boxes(phone, "footer :is(a, button):visible")
    heights = [phone.page.locator("footer").bounding_box()["height"]]
    phone.tap("Done as asked")
    (undo,) = boxes(phone, "#undo")
    assert [box for box in before if overlap(box, undo)] == []
    for screen in ("", "other", "away", "entries", f"log={seed['parts'][0]}", "hurts=", "last"):
        phone.go(screen)
        phone.page.wait_for_function("(to) => location.hash.slice(1) === to", arg=screen)
        heights.append(phone.page.locator("footer").bounding_box()["height"])
    assert len(set(heights)) == 1, heights
    context.close()


def test_taking_one_back_never_takes_the_next_one_too(phone, server):
    phone.done_as_asked()
    phone.done_as_asked()
    phone.all_sent()
    phone.page.click("#sent")
    phone.page.wait_for_selector("[data-do=back]")
    one = phone.page.locator("[data-do=back]").first
    point = [
        one.bounding_box()[k] + one.bounding_box()[s] / 2
        for k, s in (("x", "width"), ("y", "height"))
    ]
    before = len(phone.ticks)
    for _ in range(TAPS):
        phone.page.mouse.click(*point)
    phone.until(lambda: len(phone.ticks) > before, "the tick")
    phone.all_sent()
    assert [row["k"] for row in server.rows()] == ["log", "log", "back"]


def test_take_it_back_stands_only_by_what_it_takes_back(phone, server, seed):
    """In the bar of another log's page it would take back what nobody sees."""
    phone.done_as_asked()
    undo = phone.page.locator("#undo")
    assert undo.is_visible()
    # Its name says the log, for who cannot see it.
    assert "Wall-back turns" in undo.text_content()
    first = phone.ticks[0]["id"]
    for screen in (f"part={seed['parts'][1]}", f"change={first}", "away", "entries", "other"):
        phone.go(screen)
        assert not undo.is_visible(), screen
    phone.go(f"part={seed['parts'][0]}")
    assert undo.is_visible()


def test_what_one_tap_took_back_one_tap_puts_back(phone, server, seed):
    phone.tap("Several parts at once", "link")
    for box in phone.page.locator("[name=p]").all():
        box.check()
    phone.tap("Save")
    phone.all_sent()
    phone.go("entries")
    phone.tap("Take it back")
    phone.all_sent()
    assert server.sql("SELECT count(*) FROM log_entry WHERE counts") == [(0,)]
    phone.keep(phone.page.get_by_role("button", name="Put it back").click, "putting back")
    phone.all_sent()
    log, _, again = server.rows()
    assert (again["k"], again["target"], again["b"]) == ("change", log["id"], log["b"])
    assert server.sql("SELECT count(*) FROM log_entry WHERE counts") == [(1,)]
    assert phone.page.get_by_role("button", name="Take it back").count() == 1


def test_the_other_parts_of_a_visit_are_named_and_nothing_else(phone, server, seed):
    phone.tap("Several parts at once", "link")
    for box in phone.page.locator("[name=p]").all():
        box.check()
    phone.tap("Save")
    phone.go(f"change={phone.ticks[0]['id']}")
    phone.page.wait_for_selector("text=Also of this visit")
    text = phone.page.inner_text("main")
    assert "Putting gate, 20 done" in text
    assert "false" not in text


def test_the_step_below_is_turned_off_again_and_its_flag_never_outlives_its_words(phone, server):
    phone.tap("Did part", "link")
    box = phone.page.get_by_label("Back to the step below").first
    box.check()
    assert "counts in full" in phone.page.inner_text("#ruled")
    phone.until(lambda: phone.page.evaluate(DRAFTED, "stop"), "the draft")
    phone.page.reload()
    phone.loaded()
    phone.page.wait_for_function("() => document.querySelector('[name=stop]:checked')")
    assert "counts in full" in phone.page.inner_text("#ruled")
    phone.page.get_by_label("Back to the step below").first.uncheck()
    assert phone.page.inner_text("#ruled") == ""
    for n, count in enumerate((4, 0, 0)):
        phone.page.fill(f"#n{n}", str(count))
    phone.tap("Save")
    phone.all_sent()
    (row,) = server.rows()
    assert "stop" not in row["b"][0]
    ((done,),) = server.sql(
        "SELECT json_extract(parts, '$[0].sessions_done') FROM compliance_weektally"
    )
    assert done == pytest.approx(4 / 24)


DRAFTED = """(name) => new Promise((yes) => {
  const ask = indexedDB.open("practice");
  ask.onsuccess = () => {
    const found = ask.result.transaction("kv").objectStore("kv").get("draft");
    found.onsuccess = () => {
      ask.result.close();
      yes(!!found.result?.fields.some(([field]) => field === name));
    };
  };
})"""


def test_a_change_that_changes_nothing_is_not_written(phone, server):
    phone.tap("Did part", "link")
    phone.page.fill("#n1", "7")
    phone.tap("Save")
    phone.all_sent()
    phone.page.click("#sent")
    phone.tap("Change", "link")
    phone.page.get_by_role("button", name="Save", exact=True).click()
    phone.page.wait_for_selector("text=Nothing was changed")
    assert len(phone.ticks) == len(server.rows()) == 1


def test_after_the_save_one_true_sentence_and_the_work_of_the_week(phone, server):
    """Two parts: 7 visits of 15.5 minutes and 2 of 12 are 132.5 minutes asked."""
    server.sql("UPDATE weeks_part SET minutes = 15.5 WHERE minutes = 15")
    server.sql("UPDATE weeks_week SET published_on = date('now', '-20 days')")
    phone.page.reload()
    phone.loaded()
    phone.page.context.set_offline(True)
    phone.tap("Done as asked")
    text = phone.page.inner_text("main")
    assert "Today counts as a whole visit." in text
    assert "Done of this part: 1 of 7 visits." in text
    assert "Next: Putting gate" in text
    assert "15 minutes of 132 asked this week are done." in text
    phone.page.context.set_offline(False)
    phone.all_sent()
    # With the server's own count it is the same.
    phone.page.reload()
    phone.loaded()
    assert "15 minutes of 132 asked this week are done." in phone.page.inner_text("main")
    assert "Done of this part: 1 of 7 visits." in phone.page.inner_text("main")


def test_a_form_says_what_counted_as_the_one_tap_does(phone, server):
    """10 reps of 24 asked are 41 whole hundredths of a visit."""
    server.sql("UPDATE weeks_week SET published_on = date('now', '-20 days')")
    phone.page.reload()
    phone.loaded()
    phone.page.context.set_offline(True)
    phone.tap("Did part", "link")
    phone.page.fill("#n1", "0")
    phone.page.fill("#n2", "0")
    phone.tap("Save")
    phone.page.wait_for_selector("h1:text('Kept')")
    text = phone.page.inner_text("main")
    assert "Today counts as 41 % of a visit." in text
    assert "Next: Putting gate" in text
    assert phone.page.locator("main svg").count() == 1
    phone.tap("Take it back")
    phone.page.wait_for_selector("h1:text('Taken back')")
    assert "Today counts" not in phone.page.inner_text("main")


def test_what_adds_nothing_is_not_said_to_count(phone):
    phone.tap("Did part", "link")
    for n in range(3):
        phone.page.fill(f"#n{n}", "0")
    phone.page.fill("#min", "4")
    phone.tap("Save")
    phone.page.get_by_role("link", name="This week", exact=True).first.click()
    phone.page.get_by_role("link", name="1. Wall-back turns").click()
    phone.page.wait_for_selector("text=It adds nothing to what was asked")


def test_a_mis_tap_can_be_said_to_be_one_and_the_stop_stays(phone, server, seed):
    phone.tap("Something hurts", "link")
    phone.tap("6")
    phone.page.wait_for_selector("text=Thank you for saying it")
    phone.keep(phone.page.get_by_role("button", name="It was a mis-tap").click, "the mis-tap")
    phone.all_sent()
    told, change = server.rows()
    assert (change["target"], change["pain"]) == (told["id"], told["pain"])
    assert "mis-tap" in change["note"]
    assert server.sql("SELECT count(*) FROM care_stop WHERE cleared_at IS NULL")[0][0] > 0


def test_pain_is_told_without_a_week_and_before_a_caution_is_read(browser, server, seed):
    """The same corner on every screen, and what it is in is asked first."""
    context = new_context(browser, server, seed["cookies"]["kim"])
    phone = Phone(context.new_page(), server).open()
    corner = phone.page.locator("#do a[href^='#hurts']").bounding_box()
    assert phone.page.get_by_role("button", name="Understood").count() == 1
    server.sql("UPDATE weeks_week SET state = 'draft'")
    phone.page.reload()
    phone.loaded()
    phone.page.wait_for_selector("text=No week has been sent")
    assert phone.page.locator("#do a[href^='#hurts']").bounding_box() == corner
    phone.tap("Something hurts", "link")
    phone.page.get_by_label("Something else").check()
    phone.tap("3")
    phone.all_sent()
    (row,) = server.rows()
    assert row["pain"]["p"] is None
    server.sql("UPDATE weeks_week SET state = 'sent'")
    context.close()
