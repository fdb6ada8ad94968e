"""What a coach takes in at a glance, counted: lines, pixels and words, for small and large rosters.

Our own budgets (no source): nine students on the first screen of a phone, fifteen on that of
a desktop; fifteen words a line; bars of 56 and 64 pixels.
"""

import re
from datetime import timedelta

import pytest

from coaching.lessons.models import Lesson
from coaching.lessons.services import plan_lesson
from coaching.season.services import add_event
from practice.care.models import Stop
from practice.weeks.models import Week
from tests.board.make import history, present_week
from tests.browser.test_pages_axe import opened
from tests.factories import MONDAY, WEDNESDAY_EVENING, make_drill, make_student
from tests.log.entries import Phone, entry
from tests.season.make import make_plan

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("wednesday_evening"),
]
DESKTOP, PHONE = {"width": 1280, "height": 800}, {"width": 390, "height": 844}
# Past weeks and minutes left of students who stand in different groups.
KINDS = (
    ("10- 12- 5- 9- 10- 3-", 50),
    ("10- 12- 40+ 9-", 30),
    ("42+ 40+ 40+ 44+", 30),
)
BOTTOMS = """() => [...document.querySelectorAll('.board-item .board-line')]
    .map((line) => line.getBoundingClientRect().bottom + scrollY)"""
# Words as they are seen: what is for screen readers alone is left out.
WORDS = """() => [...document.querySelectorAll('.board-item .board-line')].map((line) => {
    const seen = line.cloneNode(true);
    for (const hidden of seen.querySelectorAll('.visually-hidden, title')) hidden.remove();
    return seen.textContent.trim().split(/\\s+/).length;
})"""
TALL = "document.documentElement.scrollHeight"
WIDE = "document.documentElement.scrollWidth"
A4_PAGE = re.compile(rb"/Type\s*/Page\b")


def roster(coach, many: int) -> None:
    for number in range(many):
        weeks, left = KINDS[number % len(KINDS)]
        student = make_student(coach, f"Sam Longname {number:03}")
        history(student, weeks)
        present_week(student, left=left)


def who(browser, live_server, coach, size, theme="light"):
    page = opened(browser, live_server, coach)
    page.emulate_media(color_scheme=theme)
    page.set_viewport_size(size)
    page.goto("/who/")
    return page


@pytest.mark.parametrize("many", [14, 45, 200])
def test_who_needs_me_fits(browser, live_server, coach, many):
    roster(coach, many)
    # The theme changes nothing that grows with the roster.
    for theme in ("light", "dark") if many == 14 else ("light",):
        page = who(browser, live_server, coach, PHONE, theme)
        fits(page, many)
        page.context.close()


def fits(page, many: int) -> None:
    thumb = page.locator(".masthead-links").bounding_box()
    seen = [bottom for bottom in page.evaluate(BOTTOMS) if bottom <= thumb["y"]]
    assert len(seen) >= 9
    assert page.evaluate(WIDE) <= PHONE["width"]
    assert max(page.evaluate(WORDS)) <= 15
    tall = page.evaluate(TALL)
    page.set_viewport_size(DESKTOP)
    page.goto("/who/")
    lines = page.evaluate(BOTTOMS)
    if len(lines) >= 15:
        assert lines[14] <= DESKTOP["height"]
    if many == 14:
        assert len(page.locator("main").inner_text().split()) <= 300
        assert page.evaluate(TALL) <= DESKTOP["height"] + 100
    if many == 45:
        assert page.evaluate(TALL) <= 2300
        assert tall <= 3400


def test_the_bars_leave_the_screen_to_the_page(browser, live_server, coach, student):
    page = who(browser, live_server, coach, PHONE)
    assert page.locator(".masthead").bounding_box()["height"] <= 56
    thumb = page.locator(".masthead-links").bounding_box()
    assert thumb["height"] <= 64
    assert thumb["y"] + thumb["height"] == PHONE["height"]
    page.set_viewport_size({"width": 320, "height": 640})
    assert page.evaluate(WIDE) <= 320
    page.set_viewport_size(DESKTOP)
    assert page.locator(".masthead").bounding_box()["height"] <= 96
    page.context.close()


def test_a_line_opens_in_place_by_tap_and_by_keys(browser, live_server, coach):
    roster(coach, 3)
    page = who(browser, live_server, coach, DESKTOP)
    openers = page.locator("[data-open]")
    openers.nth(0).focus()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    page.get_by_text("How was this worked out?").wait_for()
    assert openers.nth(1).get_attribute("aria-expanded") == "true"
    assert openers.nth(0).get_attribute("aria-expanded") == "false"
    page.keyboard.press("Escape")
    assert openers.nth(1).get_attribute("aria-expanded") == "false"
    assert not page.get_by_text("How was this worked out?").is_visible()
    openers.nth(0).click()
    page.locator("#inside-0").get_by_text("Send a shorter week", exact=True).wait_for()
    page.context.close()


def test_a_student_is_found_by_three_letters_from_any_page(browser, live_server, coach):
    roster(coach, 3)
    wanted = make_student(coach, "Zora Quill")
    page = who(browser, live_server, coach, PHONE)
    page.goto("/drills/")
    page.locator("h1").wait_for()
    page.keyboard.press("/")
    page.keyboard.type("qui")
    page.get_by_role("option", name="Zora Quill").wait_for()
    page.keyboard.press("Enter")
    page.wait_for_url(f"**/students/{wanted.pk}/")
    page.context.close()


@pytest.mark.parametrize("joined", [True, False])
def test_forty_five_students_are_two_screens_of_a_phone(browser, live_server, coach, joined):
    for number in range(45):
        make_student(coach, f"Sam Longname {number:02}", with_user=joined)
    page = who(browser, live_server, coach, PHONE)
    page.goto("/students/")
    last = page.locator("#roster > li").last.bounding_box()
    assert last["y"] + last["height"] <= 2 * PHONE["height"]
    assert page.evaluate(WIDE) <= PHONE["width"]
    page.get_by_role("searchbox", name="Name").fill("name 07")
    page.wait_for_function("document.querySelectorAll('#roster > li:not([hidden])').length === 1")
    page.context.close()


def test_a_long_list_to_tick_is_sieved_and_keeps_what_is_ticked(browser, live_server, coach):
    students = [make_student(coach, f"Sam Longname {number:02}") for number in range(45)]
    page = who(browser, live_server, coach, DESKTOP)
    for size in (DESKTOP, PHONE):
        page.set_viewport_size(size)
        page.goto(f"/students/{students[0].pk}/try-out/")
        long_list_is_sieved(page, size)
    page.context.close()


def long_list_is_sieved(page, size) -> None:
    form = page.locator("form", has=page.get_by_role("button", name="Draw"))
    assert form.bounding_box()["height"] <= 1.5 * size["height"]
    page.get_by_label("Sam Longname 07").check()
    field = page.get_by_role("searchbox", name="Find in together with")
    field.fill("name 31")
    page.get_by_label("Sam Longname 30").wait_for(state="hidden")
    shown = page.locator(".choice-list .tick:visible").all_inner_texts()
    assert [each.strip() for each in shown] == ["Sam Longname 07", "Sam Longname 31"]
    field.press("Enter")
    assert page.locator(".error-text").count() == 0, "Enter sent the form."


def test_a_week_for_forty_eight_is_sent_without_scrolling(browser, live_server, coach):
    """Two names beside each other, the button always in sight, the percent once one is ticked."""
    for number in range(47):
        make_student(coach, f"Sam Longname {number:02}")
    make_student(coach, "Featherstonehaugh-Cholmondeley")
    page = who(browser, live_server, coach, PHONE)
    for width in (390, 320):
        page.set_viewport_size(PHONE | {"width": width})
        page.goto("/weeks/several/")
        forty_eight_fit(page, width)
    page.context.close()


def forty_eight_fit(page, width: int) -> None:
    send = page.get_by_role("button", name="Send to those ticked").bounding_box()
    menu = page.locator("nav").last.bounding_box()
    assert send["y"] + send["height"] <= menu["y"] <= PHONE["height"]
    assert page.evaluate(WIDE) <= width
    assert page.evaluate(TALL) <= (2 if width == PHONE["width"] else 2.3) * PHONE["height"]
    first = page.get_by_label("Sam Longname 01", exact=True).bounding_box()
    second = page.get_by_label("Sam Longname 02", exact=True).bounding_box()
    assert (first["y"], first["x"] < second["x"]) == (second["y"], True)
    percent = page.get_by_label("Percent more or less for Sam Longname 03")
    assert not percent.is_visible()
    page.get_by_label("Sam Longname 03", exact=True).check()
    assert percent.is_visible()


@pytest.fixture
def full(coach):
    """A student with something in every line of the sheet, in long words."""
    student = make_student(coach, "Sam Longname", goal="to hit the fairway on the first tee")
    plan = make_plan(student, priorities=[
        {"name": "Keeps the hips back through the ball", "stage": "keep"},
        {"name": "Wedges from forty to seventy metres", "stage": "shape"},
        {"name": "Steady pace on long putts", "stage": "shape"},
    ])  # fmt: skip
    assert plan.priorities.count() == 3
    lesson = Lesson.objects.create(
        student=student, coach=coach, at=WEDNESDAY_EVENING - timedelta(days=9),
        opened_at=WEDNESDAY_EVENING - timedelta(days=9), state="closed", ending="none",
    )  # fmt: skip
    for place, cue in enumerate(("tail stays on the wall until the hands pass", "slow and low")):
        lesson.findings.create(position=place, fault="Sways", cue=cue)
    history(student, "10- 12- 40+ 9- 42+ 40- 38+ 44+")
    present_week(student, left=30)
    drill = make_drill(student.studio, "Ladder")
    Stop.objects.create(student=student, drill=None, since=MONDAY)
    Stop.objects.create(student=student, drill=drill, since=MONDAY)
    Phone(student).receipt(entry(student, note="Is my grip too strong now, or as it was before?"))
    add_event(student=student, kind="competition", name="Spring medal of the county",
              first=MONDAY + timedelta(days=12))  # fmt: skip
    plan_lesson(student=student, coach=coach, at=WEDNESDAY_EVENING + timedelta(days=2))
    student.excusals.create(first=MONDAY + timedelta(days=5), last=MONDAY + timedelta(days=6))
    return student


def test_the_sheet_stands_on_one_screen(browser, live_server, coach, full):
    page = who(browser, live_server, coach, DESKTOP)
    for student in (make_student(coach, "Robin Longname"), full):
        for theme in ("light", "dark"):
            page.emulate_media(color_scheme=theme)
            page.set_viewport_size(DESKTOP)
            page.goto(f"/students/{student.pk}/")
            assert page.evaluate(TALL) <= DESKTOP["height"], (student, theme)
            assert len(page.locator("main").inner_text().split()) <= 160
            page.set_viewport_size(PHONE)
            assert page.evaluate(TALL) <= 2 * PHONE["height"]
            assert page.evaluate(WIDE) <= PHONE["width"]
        assert len(A4_PAGE.findall(page.pdf(format="A4"))) == 1
    page.context.close()


def focus(page) -> dict:
    """What has the focus, and whether one can see that it has."""
    return page.evaluate(
        """() => {
        const at = document.activeElement;
        const shown = at.matches("input[type=checkbox], input[type=radio]") && at.closest("label")
            || at;
        const style = getComputedStyle(at), outer = getComputedStyle(shown);
        const box = shown.getBoundingClientRect();
        const rings = [style, outer].some((each) =>
            each.outlineStyle !== "none" && parseFloat(each.outlineWidth) >= 2
            || each.boxShadow !== "none");
        const x = Math.min(Math.max(box.x + Math.min(box.width, 40) / 2, 0), innerWidth - 1);
        const over = document.elementFromPoint(x, box.y + box.height / 2);
        return {
            tag: at.tagName, id: at.id, text: (at.value || at.innerText || "").trim(),
            href: at.getAttribute("href") || "", rings,
            uncovered: !!over && (shown.contains(over) || over.contains(shown)),
            inside: box.top >= 0 && box.bottom <= innerHeight + 1,
        };
    }"""
    )


def tab_to(page, wanted) -> None:
    """Tab until it has the focus; each stop on the way is seen."""
    for _ in range(150):
        page.keyboard.press("Tab")
        at = focus(page)
        if at["tag"] == "BODY":
            continue
        assert at["rings"], f"No ring on {at}"
        assert at["inside"], f"Out of sight: {at}"
        assert at["uncovered"], f"Covered: {at}"
        if wanted(at):
            return
    raise AssertionError("It is not reached by Tab.")


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("size", [DESKTOP, PHONE], ids=["desktop", "phone"])
def test_keys_alone_lead_from_the_first_page_to_a_sent_week(
    browser, live_server, coach, size, theme
):
    """No pointer and no shortcut: Tab, Enter and letters; where one is can always be seen."""
    student = make_student(coach, "Sam Longname")
    for name in ("Slow turns", "Ladder"):
        make_drill(student.studio, name, "12@40, 9@60")
    page = who(browser, live_server, coach, size, theme)
    page.goto("/")
    tab_to(page, lambda at: at["text"] == "Set the week")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    tab_to(page, lambda at: at["id"] == "add-drill")
    page.keyboard.type("slow")
    chosen = page.locator("#drill-list [aria-selected=true]")
    chosen.wait_for()
    page.keyboard.press("Enter")
    page.wait_for_function("() => document.activeElement.id === 'p0-dose'")
    page.keyboard.press("Control+a")
    page.keyboard.type("20 balls")
    tab_to(page, lambda at: at["id"] == "send")
    page.keyboard.press("Enter")
    page.get_by_text("The week is sent to Sam Longname.").wait_for()
    (part,) = Week.objects.get(student=student, state=Week.State.SENT).parts.all()
    assert part.dose == "20 balls"
    page.context.close()
