"""The phone's screens by the rules of WCAG 2.2 AA, in both themes."""

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.browser.house import Phone, new_context, resize
from tests.browser.test_phone_shell import SCREENS

pytestmark = pytest.mark.browser
RULES = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"],
    "resultTypes": ["violations"],  # What passes is not carried over, only counted.
}


def test_no_screen_breaks_a_rule(browser, server, seed):
    # So high that no row lies half under the bar, where a scroll would free it.
    viewport = {"width": 390, "height": 3000}
    context = new_context(browser, server, seed["cookies"]["sam"], viewport=viewport)
    phone = Phone(context.new_page(), server).open()
    phone.done_as_asked()
    phone.all_sent()
    for screen in SCREENS:
        phone.go(screen.replace("PART", seed["parts"][0]))
        for theme in ("light", "dark"):
            phone.page.emulate_media(color_scheme=theme)
            found = Axe().run(phone.page, options=RULES)
            assert found.violations_count == 0, f"{screen}, {theme}: {found.generate_report()}"
    context.close()


def test_pain_is_told_on_a_page_without_faults(phone):
    phone.tap("Something hurts", "link")
    phone.tap("6")
    phone.page.wait_for_selector("text=Thank you for saying it")
    found = Axe().run(phone.page, options=RULES)
    assert found.violations_count == 0, found.generate_report()


def with_a_card(context, server, seed) -> Phone:
    """A phone on which five wedge balls stand in a sitting that is not kept yet."""
    phone = Phone(context.new_page(), server).open(f"#balls={seed['measured_parts'][2]}")
    phone.page.wait_for_selector("[data-do=ready]")
    phone.tap("I am warmed up")
    phone.page.wait_for_selector("#now p")
    phone.page.fill("[data-club]", "54")
    phone.page.keyboard.press("Tab")
    phone.page.get_by_label("chest-high").check()
    for carry in ("60", "61", "62", "63", "64"):
        phone.page.locator("[data-figure]").first.fill(carry)
        phone.tap("Next ball")
    phone.page.wait_for_selector("text=All balls are in")
    phone.page.evaluate("() => document.querySelectorAll('details').forEach((d) => d.open = 1)")
    return phone


def look_up(phone: Phone) -> None:
    phone.tap("Save")
    phone.all_sent()
    phone.page.goto("about:blank")
    phone.open("#card")
    phone.page.fill("#far", "65")
    phone.page.wait_for_selector("#hits li")


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_balls_and_the_wedge_card_break_no_rule(browser, server, seed, theme):
    context = new_context(browser, server, seed["cookies"]["wanda"], color_scheme=theme)
    phone = with_a_card(context, server, seed)
    found = Axe().run(phone.page, options=RULES)
    assert found.violations_count == 0, found.generate_report()
    look_up(phone)
    found = Axe().run(phone.page, options=RULES)
    assert found.violations_count == 0, found.generate_report()
    context.close()


def test_balls_and_the_wedge_card_in_large_text_on_a_small_phone(browser, server, seed):
    viewport = {"width": 320, "height": 700}
    cookie = seed["cookies"]["wanda"]
    context = new_context(browser, server, cookie, viewport=viewport, bypass_csp=True, extra=TWICE)
    phone = with_a_card(context, server, seed)
    assert phone.page.evaluate("() => document.documentElement.scrollWidth") <= 320
    assert phone.page.evaluate(COVERED) <= 0.5
    look_up(phone)
    assert phone.page.evaluate("() => document.documentElement.scrollWidth") <= 320
    context.close()


def test_text_at_twice_the_size_needs_no_sideways_scroll(browser, server, seed):
    context = new_context(browser, server, seed["cookies"]["sam"], bypass_csp=True, extra=TWICE)
    phone = Phone(context.new_page(), server).open()
    for screen in SCREENS:
        phone.go(screen.replace("PART", seed["parts"][0]))
        for width in (320, 390):
            resize(phone.page, width, 700)
            at = f"{screen or 'the week'} at {width}"
            assert phone.page.evaluate("() => document.documentElement.scrollWidth") <= width, at
            assert phone.page.evaluate(COVERED) <= 0.5, f"the buttons cover {at}"
    context.close()


TWICE = """
addEventListener("DOMContentLoaded", () => {
  const style = document.createElement("style");
  style.textContent = "html { font-size: 212.5% }";
  document.head.append(style);
});
"""
COVERED = """() => {
  const footer = document.querySelector("footer");
  const sticks = getComputedStyle(footer).position === "sticky";
  return sticks ? footer.offsetHeight / innerHeight : 0;
}"""


def test_on_its_side_with_large_text_the_bar_stays_in_sight_beside_whole_words(
    browser, server, seed
):
    viewport = {"width": 844, "height": 390}
    cookie = seed["cookies"]["sam"]
    context = new_context(browser, server, cookie, viewport=viewport, bypass_csp=True, extra=TWICE)
    phone = Phone(context.new_page(), server).open()
    for screen in SCREENS:
        phone.go(screen.replace("PART", seed["parts"][0]))
        at = screen or "the week"
        phone.page.evaluate("() => scrollTo(0, 200)")
        box = phone.page.locator("#do").bounding_box()
        assert box["y"] >= 0, at
        assert box["y"] + box["height"] <= 390, at
        assert phone.page.evaluate(BROKEN) == [], at
        assert phone.page.evaluate("() => document.documentElement.scrollWidth") <= 844, at
    context.close()


# Words of the heading that are wider than the place they have.
BROKEN = """() => {
  const head = document.querySelector("h1"), at = document.createElement("span");
  head.after(at);
  at.style.font = getComputedStyle(head).font;
  at.style.position = "absolute";
  const wide = head.textContent.split(" ").filter((word) => {
    at.textContent = word;
    return at.offsetWidth > head.clientWidth;
  });
  at.remove();
  return wide;
}"""


def test_on_its_side_the_action_is_on_the_first_screen(browser, server, seed):
    context = new_context(browser, server, seed["cookies"]["sam"])
    phone = Phone(context.new_page(), server).open()
    for screen in SCREENS:
        phone.go(screen.replace("PART", seed["parts"][0]))
        for width, height in ((844, 390), (667, 375), (568, 320)):
            resize(phone.page, width, height)
            at = f"{screen or 'the week'} at {width}"
            box = phone.page.locator("#do").bounding_box()
            assert box["y"] + box["height"] <= height, at
            assert phone.page.evaluate("() => document.documentElement.scrollWidth") <= width, at
    context.close()
