"""What a screen reader says of each phone screen: the accessible tree as Chromium makes it."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

import pytest
import yaml

from tests.browser.house import Phone, new_context
from tests.browser.test_phone_shell import SCREENS

pytestmark = pytest.mark.browser

TAPPED = {"button", "link"}
FILLED = {"textbox", "checkbox", "radio", "combobox", "spinbutton", "slider"}
MORE_SCREENS = [
    "#day=TODAY",
    "#change=ENTRY",
    "#balls=PART",
    "#who",
    "#card",
    "#remind",
]


@dataclass(frozen=True)
class Control:
    """What is tapped or filled: what it is called, where it leads, and its group."""

    role: str
    name: str
    url: str
    group: str


def controls(node, group: str = "") -> Iterator[Control]:
    """Of a tree as `aria_snapshot` writes it: lists of `role "name"`, with what is inside."""
    for each in node if isinstance(node, list) else []:
        ((said, inside),) = each.items() if isinstance(each, dict) else [(each, None)]
        role, _, rest = str(said).partition(" ")
        name = rest[1 : rest.rindex('"')] if rest.startswith('"') else ""
        if role in TAPPED | FILLED:
            found = [child for child in inside or [] if isinstance(child, dict)]
            url = next((child["/url"] for child in found if "/url" in child), "")
            yield Control(role, name, url, group)
        yield from controls(inside, name if name and role in {"group", "radiogroup"} else group)


def faults(tree: str) -> list[str]:
    """Controls without a name, and those that are called alike and do not do the same."""
    found = list(controls(yaml.BaseLoader(tree).get_single_data()))
    assert len(found) > 3
    silent = [f"{each} says nothing" for each in found if not any(map(str.isalnum, each.name))]
    # Two links to one place may be called alike; a field is told by its group too.
    tapped = {each for each in found if each.role == "link"}
    called = [(each.role, each.name) for each in tapped]
    called += [(each.role, each.name) for each in found if each.role == "button"]
    called += [(each.role, each.group, each.name) for each in found if each.role in FILLED]
    return silent + [f"{name} is there {n} times" for name, n in Counter(called).items() if n > 1]


def test_a_control_without_a_name_and_two_called_alike_are_told():
    tree = """
    - button
    - 'button "Change : one"'
    - 'button "Change : two"'
    - group "Sets":
      - textbox "Done": "10"
    - textbox "Done"
    - link "This week":
      - /url: "#"
    - link "This week":
      - /url: "#"
    - button "Save"
    - button "Save"
    """
    (silent, twice) = faults(tree)
    assert "says nothing" in silent
    assert twice == "('button', 'Save') is there 2 times"


def whole(phone: Phone) -> str:
    """The tree of the page with every fold open."""
    phone.page.evaluate("() => document.querySelectorAll('details').forEach((d) => d.open = 1)")
    return phone.page.locator("body").aria_snapshot()


def test_every_control_of_every_screen_says_what_it_does(browser, server, seed):
    context = new_context(browser, server, seed["cookies"]["sam"])
    phone = Phone(context.new_page(), server).open()
    found = [f"before a save: {each}" for each in faults(whole(phone))]
    for _ in range(2):
        phone.done_as_asked()
    phone.all_sent()
    today, entry = phone.ticks[-1]["day"], phone.ticks[-1]["id"]
    # Each of them opened cold; where its looks are measured it is gone to.
    for screen in [*SCREENS, *MORE_SCREENS]:
        phone.page.goto("about:blank")
        named = screen.replace("PART", seed["parts"][0]).replace("TODAY", today)
        phone.open(named.replace("ENTRY", entry))
        found += [f"{screen}: {each}" for each in faults(whole(phone))]
    context.close()
    assert not found, "\n".join(found)


def test_the_receipt_is_said_by_a_place_that_was_there_before_it(phone):
    place = phone.page.locator("#said[role=status]")
    assert place.evaluate("(x) => getComputedStyle(x).display") != "none"
    assert place.inner_text() == ""
    phone.tap("Done as asked")
    said = phone.page.get_by_role("status").filter(has_text="Kept: Wall-back turns")
    assert said.count() == 1
    # Where one is now, the next key begins.
    assert phone.page.evaluate("() => document.activeElement.tagName") == "H1"
    phone.all_sent()
    assert phone.page.get_by_role("status").filter(has_text="All sent").count() == 1
