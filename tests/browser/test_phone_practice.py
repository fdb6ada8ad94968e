"""The practice screen: set by set, a tap a rep, a finished log at the end."""

import pytest

from tests.browser.house import Phone, handed, new_context, resize
from tests.browser.test_phone_access import TWICE
from tests.browser.test_phone_clock import SHIFTED

pytestmark = pytest.mark.browser


def walk(phone: Phone, part: str) -> None:
    phone.go(f"walk={part}")
    phone.page.wait_for_selector(".walk, h2")


def reps(phone: Phone, letters: str) -> None:
    for letter in letters:
        phone.page.click(f"#do [data-do=rep][data-arg='{letter}']")


def other(phone: Phone, name: str) -> None:
    """What is seldom needed lies in a fold, beside which one button stands."""
    phone.page.click(".walk summary:has-text('Something else')")
    phone.tap(name)


def test_beside_the_surface_one_button_stands_in_sight(phone, seed):
    walk(phone, seed["parts"][0])
    seen = [each.inner_text() for each in phone.page.locator(".walk button:visible").all()]
    assert seen == ["Take the last one back"]
    # Without a rest or a time there is nothing to hear.
    assert phone.page.get_by_text("Sound is on").count() == 0


def test_a_ladder_is_walked_to_a_finished_log(phone, server, seed):
    phone.tap("Practise it now", "link")
    phone.page.wait_for_selector("text=Set 1 of 3: 10 at 50 %")
    reps(phone, "1" * 9)
    assert "9 of 10 9 clean" in " ".join(phone.page.inner_text("#count").split())
    reps(phone, "0")
    # Between two sets the same place counts nothing.
    phone.tap("Begin set 2")
    phone.until(lambda: "Set 2 of 3: 8 at 70\u00a0%" in phone.page.inner_text("main"), "the words")
    reps(phone, "10")
    phone.tap("Take the last one back")
    reps(phone, "1" * 7)
    phone.tap("Begin set 3")
    other(phone, "The rest of this set is done")
    phone.page.wait_for_selector("text=All of it is done")
    assert phone.ticks == []
    phone.tap("Save")
    phone.all_sent()
    (row,) = server.rows()
    assert row["b"][0]["s"] == [
        {"n": 10, "c": 9, "e": 50}, {"n": 8, "c": 8, "e": 70}, {"n": 6, "e": 90},
    ]  # fmt: skip
    assert "as" not in row["b"][0]
    # It comes back to the part, which says what counted.
    assert "Today counts as a whole visit." in phone.page.inner_text("main")


def test_a_reload_in_the_middle_loses_nothing_and_logs_nothing(phone, server, seed):
    walk(phone, seed["parts"][0])
    reps(phone, "110")
    kept = f"walk {seed['students']['Sam Sample']} {seed['parts'][0]}"
    recall = handed("recall")
    phone.until(
        lambda: phone.page.evaluate(f"async () => (await {recall}('{kept}'))?.said[0]") == "110",
        "the third tap to be kept",
    )
    phone.page.reload()
    phone.loaded()
    phone.page.wait_for_selector("#count >> text=3 of 10")
    assert server.rows() == []
    other(phone, "Finish here")
    phone.page.wait_for_selector("text=So far")
    phone.tap("Save")
    phone.all_sent()
    assert server.rows()[0]["b"][0]["s"][0] == {"n": 3, "c": 2, "e": 50}


def test_what_is_counted_is_saved_once_and_never_again_as_asked(phone, server, seed):
    """12 counted, then to This week: what stands there saves those, and nothing logs them twice."""
    part = seed["parts"][0]
    walk(phone, part)
    reps(phone, "1" * 10)
    phone.tap("Begin set 2")
    reps(phone, "11")
    phone.go("")
    assert phone.page.get_by_role("button", name="Done as asked").count() == 0
    phone.page.reload()
    phone.loaded()
    phone.page.get_by_role("link", name="12 counted: save them or go on").wait_for()
    phone.tap("Did part", "link")
    assert [phone.page.input_value(f"#n{n}") for n in range(3)] == ["10", "2", "0"]
    phone.tap("Save")
    phone.all_sent()
    (row,) = server.rows()
    assert [step["n"] for step in row["b"][0]["s"]] == [10, 2, 0]
    # It is over with that: whoever practises again begins at nothing.
    walk(phone, part)
    phone.page.wait_for_selector("#count >> text=0 of 10")


def test_done_as_asked_ends_what_was_counted_before(phone, server, seed):
    """Tapped before the second script has come, it is the one log of that practice."""
    part = seed["parts"][0]
    walk(phone, part)
    reps(phone, "111")
    phone.page.evaluate(f"(id) => {handed('DO')}.asked(id)", part)
    phone.until(lambda: phone.ticks, "the tick")
    walk(phone, part)
    phone.page.wait_for_selector("#count >> text=0 of 10")


def test_the_stop_rule_leads_to_the_end_and_counts_in_full(phone, server, seed):
    walk(phone, seed["parts"][0])
    other(phone, "The rest of this set is done")
    phone.tap("Begin set 2")
    reps(phone, "000")
    phone.tap("Back to the step below")
    phone.page.wait_for_selector("text=it counts in full")
    phone.tap("Save")
    phone.all_sent()
    block = server.rows()[0]["b"][0]
    assert block["stop"] is True
    assert [step["n"] for step in block["s"]] == [10, 3, 0]


def test_a_wet_screen_that_says_it_twice_is_heard_once(browser, server, seed):
    # The clock stands still, so that no machine is too slow for these.
    context = new_context(browser, server, seed["cookies"]["sam"])
    phone = Phone(context.new_page(), server).open()
    walk(phone, seed["parts"][0])
    phone.page.evaluate(f"() => {{ performance.now = () => 5e6; {handed('TIMES')}.guard = 700; }}")
    phone.page.evaluate(
        """() => {
        for (let n = 0; n < 3; n++) document.querySelector("#do [data-do=rep]").click(); }"""
    )
    assert "1 of 10" in phone.page.inner_text("#count")
    context.close()


def test_several_parts_are_one_entry(phone, server, seed):
    phone.tap("Several parts at once", "link")
    for box in phone.page.locator("[name=p]").all():
        box.check()
    phone.tap("Save")
    phone.page.wait_for_selector("h1:text('Kept')")
    counted = phone.page.locator("main section p", has_text="Today counts as a whole visit.")
    assert [text.split(":")[0] for text in counted.all_inner_texts()] == [
        "Wall-back turns",
        "Putting gate",
    ]
    phone.all_sent()
    (row,) = server.rows()
    assert [(block["p"], block["as"]) for block in row["b"]] == [(p, True) for p in seed["parts"]]


def test_a_test_begins_with_its_protocol_and_a_warm_body(browser, server, seed):
    context = new_context(browser, server, seed["cookies"]["wanda"])
    phone = Phone(context.new_page(), server).open()
    # A measured part, too, is done as asked with one tap.
    assert phone.page.get_by_role("button", name="Done as asked").count() == 1
    phone.tap("Log it ball by ball", "link")
    phone.page.wait_for_selector("text=Before the test")
    assert "45 seconds after each ball" in phone.page.inner_text("main")
    assert phone.page.locator("[data-figure]").count() == 0
    phone.tap("I am warmed up")
    phone.page.wait_for_selector("text=Ball 1 of 6")
    context.close()


def test_the_surface_takes_the_lower_half_and_is_on_the_first_screen(phone, seed):
    for width, height in ((320, 640), (390, 844), (844, 390)):
        resize(phone.page, width, height)
        phone.go("")
        walk(phone, seed["parts"][0])
        phone.page.wait_for_selector("#count")
        box = phone.page.locator("#do .main button").bounding_box()
        assert box["height"] >= 0.33 * height, width
        assert box["y"] + box["height"] <= height, width
        assert phone.page.evaluate("() => document.documentElement.scrollWidth") <= width


SEEN = """(at) => document.querySelector(at).getBoundingClientRect().bottom
  <= document.querySelector("footer").getBoundingClientRect().top"""


def test_on_a_small_phone_the_count_and_the_cue_stand_above_the_surface(browser, server, seed):
    viewport = {"width": 320, "height": 568}
    context = new_context(browser, server, seed["cookies"]["sam"], viewport=viewport)
    phone = Phone(context.new_page(), server).open()
    walk(phone, seed["parts"][0])
    phone.tap("Clean")
    phone.page.wait_for_selector("#count:has-text('1 of 10')")
    assert phone.page.evaluate(SEEN, ".reps")
    assert phone.page.evaluate(SEEN, ".walk .cue")
    context.close()


def test_with_large_text_the_count_stands_above_the_surface(browser, server, seed):
    context = new_context(browser, server, seed["cookies"]["sam"], bypass_csp=True, extra=TWICE)
    phone = Phone(context.new_page(), server).open()
    walk(phone, seed["parts"][0])
    phone.page.wait_for_selector("#count")
    assert phone.page.evaluate(SEEN, ".reps")
    context.close()


def test_a_part_that_is_to_be_read_first_is_named_where_it_cannot_be_ticked(browser, server, seed):
    context = new_context(browser, server, seed["cookies"]["kim"])
    phone = Phone(context.new_page(), server).open()
    phone.tap("Several parts at once", "link")
    assert phone.page.locator("[name=p]").count() == 1
    phone.tap("Slow turns: read before you start", "link")
    phone.page.wait_for_selector("text=If your back is stiff")
    phone.tap("Understood")
    phone.tap("Several parts at once", "link")
    assert phone.page.locator("[name=p]").count() == 2
    assert phone.page.get_by_role("link", name="read before you start").count() == 0
    context.close()


# What a phone does beside its screen, written down.
SENSES = """
self.felt = []; self.heard = 0; self.held = 0;
Object.defineProperty(navigator, "vibrate", { value: (how) => !!felt.push(`${how}`) });
Object.defineProperty(navigator, "wakeLock", { value: { request: async () => {
  held++;
  return { addEventListener() {}, release: async () => { held--; } };
} } });
self.AudioContext = class {
  currentTime = 0;
  resume() {}
  createOscillator() {
    return { frequency: {}, connect() {}, stop() {}, start: () => { heard++; } };
  }
};
"""


@pytest.mark.parametrize("sound", [True, False])
def test_a_rest_is_counted_down_heard_and_felt_and_the_screen_stays_on(
    browser, server, seed, sound
):
    server.sql("UPDATE drills_drillrevision SET rest_seconds = 45")
    extra = SENSES + SHIFTED.replace("SHIFT", "0")
    context = new_context(browser, server, seed["cookies"]["sam"], extra=extra)
    phone = Phone(context.new_page(), server).open()
    walk(phone, seed["parts"][0])
    if not sound:
        other(phone, "Sound is on")
    reps(phone, "1")
    phone.page.wait_for_selector("#rest:has-text('Rest: 0:4')")
    assert phone.page.evaluate("() => [heard, held]") == [0, 1]
    phone.page.evaluate("() => { self.shift += 46000; }")
    phone.page.wait_for_selector("#rest:has-text('Rested.')")
    assert phone.page.evaluate("() => felt.at(-1)") == "200,100,200"
    assert phone.page.evaluate("() => heard") == int(sound)
    phone.tap("This week", "link")
    phone.until(lambda: phone.page.evaluate("() => held") == 0, "the screen to be let go")
    context.close()


def minutes_go(phone: Phone, minutes: int) -> None:
    phone.page.evaluate(f"() => {{ self.shift += {minutes * 60_000}; }}")


def finished(phone: Phone, part: str, minutes: int) -> None:
    """All sets of a part, with so much time on the clock."""
    walk(phone, part)
    minutes_go(phone, minutes)
    other(phone, "The rest of this set is done")
    phone.tap("Begin set 2")
    other(phone, "The rest of this set is done")
    phone.tap("Begin set 3")
    other(phone, "The rest of this set is done")


@pytest.fixture
def timed_phone(browser, server, seed):
    extra = SHIFTED.replace("SHIFT", "0")
    context = new_context(browser, server, seed["cookies"]["sam"], extra=extra)
    yield Phone(context.new_page(), server).open()
    context.close()


def test_minutes_are_asked_before_the_clock_is_shown_and_once_a_fortnight(
    timed_phone, server, seed
):
    phone, part = timed_phone, seed["parts"][0]
    finished(phone, part, 9)
    phone.page.wait_for_selector("text=One question, once a fortnight")
    assert "9" not in phone.page.inner_text("main")
    phone.page.fill("[name=guess]", "12")
    phone.tap("Say it")
    phone.page.wait_for_selector("text=You said 12 minutes. The clock says 9.")
    assert phone.page.input_value("[name=min]") == "9"
    phone.tap("Save")
    phone.all_sent()
    (block,) = server.rows()[0]["b"]
    assert (block["min"], block["t"], block["g"]) == (9, 9, 12)
    # The same day, and after a reload, nobody asks again.
    phone.page.reload()
    phone.loaded()
    finished(phone, part, 9)
    phone.page.wait_for_selector("text=All of it is done")
    assert phone.page.query_selector("[name=guess]") is None


def test_the_question_is_skipped_and_turned_off_and_on(timed_phone, server, seed):
    phone, part = timed_phone, seed["parts"][0]
    finished(phone, part, 9)
    phone.tap("Do not ask again")
    phone.page.wait_for_selector("text=All of it is done")
    assert "You said" not in phone.page.inner_text("main")
    phone.tap("Save")
    phone.all_sent()
    (block,) = server.rows()[0]["b"]
    assert block["t"] == 9
    assert "g" not in block
    # It is off after a reload too, until it is wanted again.
    phone.page.reload()
    phone.loaded()
    walk(phone, part)
    other(phone, "Ask me about minutes again")
    phone.page.wait_for_selector("text=Ask me about minutes again", state="detached")
    finished(phone, part, 9)
    phone.page.wait_for_selector("text=One question, once a fortnight")
    phone.tap("Skip it")
    phone.page.wait_for_selector("text=All of it is done")
