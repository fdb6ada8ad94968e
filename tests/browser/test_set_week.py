"""Set the week in a real browser: how few taps it takes, by touch and by keys alone."""

from datetime import timedelta

import pytest

from practice.drills.shipped import stock_shelf
from practice.weeks import queries
from practice.weeks.models import Week
from tests.browser import house
from tests.browser.hand import Hand
from tests.conftest import signed_in
from tests.factories import make_coach, make_part, make_student, make_week, studio_of

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
SIZE = {"width": 390, "height": 844}


@pytest.fixture
def student():
    coach = make_coach(name="Coach One")
    stock_shelf(studio_of(coach), coach)
    return make_student(coach, "Sam Sample")


@pytest.fixture
def page(browser, live_server, student):
    context = browser.new_context(viewport=SIZE, has_touch=True, base_url=live_server.url)
    cookie = signed_in(student.lead_coach).cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": cookie, "url": live_server.url}])
    page = context.new_page()
    page.set_default_timeout(house.PATIENCE * 1000)
    faults = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    # A script or style that the content policy refuses is reported on the console only.
    page.on("console", lambda line: "Policy" in line.text and faults.append(line.text))
    yield page
    context.close()
    assert not faults


def open_week(page, student) -> None:
    page.goto(f"/students/{student.pk}/week/")


def shelf(student, **only) -> list[str]:
    drills = student.studio.drills.filter(**only).select_related("current")
    return sorted(drill.current.name for drill in drills)


def alone_in_its_letter(names: list[str]) -> list[str]:
    letters = [name[0] for name in names]
    return [name for name in names if letters.count(name[0]) == 1]


def kept(page):
    """Wait until the server has what was typed."""
    page.wait_for_function("() => document.getElementById('kept').textContent.includes('Kept')")


def sent(student) -> list:
    week = Week.objects.get(student=student, state=Week.State.SENT)
    return list(queries.live_parts().filter(week=week))


def test_from_an_empty_week_to_a_sent_one(page, student):
    """Three parts, one with a dose of its own, one fixed to two days, and words to the student."""
    hand, names = Hand(page), shelf(student, is_test=False)[:3]
    open_week(page, student)
    hand.count += 1  # The link on the board or the student's page.
    for name in names:
        hand.choose(page.locator("#add-drill"), name)
        hand.tap(page.locator("#add"))
        page.wait_for_selector(f"#p{names.index(name)}-dose")
    hand.type(page.locator("#p0-dose"), "12@40, 9@60, 6@80")
    hand.type(page.locator("#p1-sessions"), "2")
    for day in (1, 4):
        hand.tap(page.locator("#part-1 .day").nth(day))
    hand.type(page.locator("#note"), "Slowly.")
    hand.tap(page.get_by_role("button", name="Send the week"))
    page.wait_for_selector("text=The week is sent to Sam Sample.")
    parts = sent(student)
    assert [part.revision.name for part in parts] == names
    assert (parts[0].dose, parts[1].sessions, parts[1].days) == ("12@40, 9@60, 6@80", 2, [1, 4])
    assert parts[0].week.note == "Slowly."
    # Issue: 40 from an empty roster; entering the student may take the other 15.
    assert hand.count <= 25, hand.count


def test_last_week_ten_percent_more_in_four(page, student):
    drill = student.studio.drills.filter(is_test=False).first()
    now = queries.this_opening(student)
    make_part(make_week(student, now - timedelta(7)), drill, dose="20 balls", minutes=10)
    hand = Hand(page)
    open_week(page, student)
    hand.count += 1  # The link 'Set the week'.
    hand.tap(page.get_by_role("button", name="Last week, 10 % more"))
    hand.tap(page.get_by_role("button", name="Send the week"))
    page.wait_for_selector("text=The week is sent to Sam Sample.")
    week = Week.objects.get(student=student, opens__gte=now)
    assert [part.dose for part in queries.live_parts().filter(week=week)] == ["22 balls"]
    assert hand.count <= 4


def test_by_keys_alone(page, student):
    """Two parts, the second moved first, its dose mended, and sent; no pointer at all."""
    hand = Hand(page)
    first, second = alone_in_its_letter(shelf(student))[:2]
    open_week(page, student)
    for n, name in enumerate((first, second)):
        hand.key("Alt+n")
        hand.begin(name)
        hand.key("Tab")
        hand.key("Enter")
        page.wait_for_function(f"() => document.activeElement.id === 'p{n}-dose'")
    hand.key("Alt+ArrowUp")
    page.wait_for_function("() => document.activeElement.id === 'p0-dose'")
    hand.key("Control+a")
    hand.word("7@40")
    hand.key("Control+Enter")
    page.wait_for_selector("text=The week is sent to Sam Sample.")
    parts = sent(student)
    assert [part.revision.name for part in parts] == [second, first]
    assert parts[0].dose == "7@40"
    assert hand.count <= 25, hand.count


def test_what_is_typed_survives_closing_the_page(page, student):
    open_week(page, student)
    page.locator("#add").click()
    page.locator("#p0-dose").fill("12@40, 9@6o")
    page.locator("#p0-dose-error mark").wait_for()
    kept(page)
    assert page.locator("#p0-dose-error mark").text_content() == "9@6o"
    assert page.locator("#p0-dose").get_attribute("aria-invalid") == "true"
    page.goto("about:blank")
    open_week(page, student)
    assert page.locator("#p0-dose").input_value() == "12@40, 9@6o"


def test_it_adds_up_while_one_types(page, student):
    open_week(page, student)
    page.locator("#add").click()
    page.locator("#p0-dose").fill("2x10@95")
    page.locator("#p0-sessions").fill("4")
    page.locator("#sums").get_by_text("80").first.wait_for()
    assert page.locator("#sums").get_by_text("Above that ceiling").is_visible()
    assert page.locator("#p0-sessions").input_value() == "4"


def test_removing_a_part_leaves_the_focus_on_the_page(page, student):
    open_week(page, student)
    for n in range(2):
        page.locator("#add").click()
        page.locator(f"#p{n}-dose").wait_for()
    page.locator("#p1-dose").focus()
    page.keyboard.press("Alt+Delete")
    page.wait_for_function("() => document.activeElement.id === 'p0-dose'")
    page.keyboard.press("Alt+Delete")
    page.wait_for_function("() => document.activeElement.id === 'add-drill'")


def test_what_is_typed_while_a_part_is_being_added_stays(page, student):
    open_week(page, student)
    page.locator("#add").click()
    page.locator("#p0-dose").wait_for()
    held = []
    page.route("**/week/**", lambda route: route.continue_() if held else held.append(route))
    page.locator("#add").click()
    house.until(lambda: page.wait_for_timeout(1) or held, "the question to be on its way")
    page.locator("#p0-dose").fill("7@40")
    held[0].continue_()
    page.locator("#p1-dose").wait_for()
    assert page.locator("#p0-dose").input_value() == "7@40"
    page.reload()
    assert page.locator("#p0-dose").input_value() == "7@40"
    assert page.locator("#p1-dose").count() == 1


def test_no_answer_is_said_and_tried_again(page, student):
    open_week(page, student)
    page.locator("#add").click()
    page.locator("#p0-dose").wait_for()
    page.route("**/week/**", lambda route: route.fulfill(status=503, body=""))
    page.locator("#p0-dose").fill("5@50")
    page.get_by_text("Not kept yet").wait_for()
    page.unroute("**/week/**")
    page.locator("#p0-sessions").fill("2")
    kept(page)
    page.reload()
    assert page.locator("#p0-dose").input_value() == "5@50"
