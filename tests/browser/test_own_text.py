"""What a student and a family read on a phone: large everywhere, the bar at the thumb too."""

from collections.abc import Iterable

import pytest
from django.urls import reverse

from practice.phone.own_pages import OF_STUDENT
from shared.people.models import Guardianship, Student
from tests.browser.test_pages_axe import opened

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
TEXT = 17
LETTERS = 12
TARGET = 44
TWICE = "document.documentElement.style.fontSize = '34px'"
# Every word in sight but those inside a drawing, whose figures stand in the table beside it.
SMALL = """(least) => {
  const words = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT), small = [];
  while (words.nextNode()) {
    const at = words.currentNode.parentElement, said = words.currentNode.data.trim();
    const size = parseFloat(getComputedStyle(at).fontSize);
    if (!said || at.closest("svg, script, style, .visually-hidden")) continue;
    if (size < least && at.checkVisibility()) small.push(`${said}: ${size}`);
  }
  return small;
}"""
# The letters of a drawing come out as large as its width makes them.
DRAWN = """(least) => [...document.querySelectorAll("svg.chart text")].map((each) => [
  each.textContent, parseFloat(getComputedStyle(each).fontSize) * each.getScreenCTM().a,
]).filter(([, size]) => size < least).map(([words, size]) => `${words}: ${size} in a drawing`)"""
BAR = """() => [...document.querySelectorAll(".masthead-links a")].map((each) => {
  const box = each.getBoundingClientRect();
  return [each.textContent, box.width, box.height, each.scrollWidth - each.clientWidth];
})"""
WIDE = """() => [...document.querySelectorAll("main *:not(.wide *)")]
  .filter((each) => each.getBoundingClientRect().right > innerWidth)
  .map((each) => `${each.tagName} ${each.className}`).slice(0, 4).join(", ")"""
GUARDIANS = ("log:child", "log:child_phones", "consents", "reminders:of")


def addresses(names: Iterable[str], who: Student) -> list[str]:
    return [reverse(name, args=[who.pk]) for name in names] + ["/settings/", "/settings/devices/"]


def faults(page, addresses: list[str]) -> list[str]:
    found = []
    for address in addresses:
        answer = page.goto(address)
        assert answer.status == 200, address
        page.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = 1; })")
        for width, height in ((390, 844), (320, 568), (844, 390)):
            page.set_viewport_size({"width": width, "height": height})
            at = f"{address} at {width}"
            if width < 800:
                found += [f"{at}: {each}" for each in page.evaluate(SMALL, TEXT)]
                found += [f"{at}: {each}" for each in page.evaluate(DRAWN, LETTERS)]
            for name, wide, high, over in page.evaluate(BAR) if width < 800 else ():
                if min(wide, high) < TARGET or over > 0:
                    found.append(f"{at}: the bar's {name} is {wide} by {high}, {over} too wide")
            if page.evaluate("document.documentElement.scrollWidth") > width:
                found.append(f"{at}: scrolls sideways")
        page.evaluate(TWICE)
        for width in (390, 320):
            page.set_viewport_size({"width": width, "height": 700})
            if page.evaluate("document.documentElement.scrollWidth") > width:
                wide = page.evaluate(WIDE)
                found.append(f"{address} at {width}, twice as large: scrolls sideways by {wide}")
    return found


def test_nothing_a_student_or_a_family_reads_on_a_phone_is_small(browser, live_server, demo):
    student = Student.objects.get(name="Tamsin Orlebar")
    page = opened(browser, live_server, student.user)
    found = faults(page, [*addresses((name for _, name, _ in OF_STUDENT), student), "/log/plain"])
    page.context.close()
    tie = Guardianship.objects.filter(ended_at=None).first()
    page = opened(browser, live_server, tie.user)
    found += faults(page, addresses(GUARDIANS, tie.student))
    page.context.close()
    assert found == [], "\n".join(found)
