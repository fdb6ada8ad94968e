"""Set the week in a real browser: how few taps it takes, by touch and by keys alone."""

from datetime import timedelta

import pytest
from django.utils import timezone

from coaching.lessons.models import Finding, Lesson
from coaching.season.models import GymDay
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


def add(page, n: int) -> None:
    """Add the first drill of the list as part n."""
    page.locator("#add-drill").click()
    page.locator("#drill-list [role=option]").first.click()
    page.wait_for_function(f"() => document.activeElement.id === 'p{n}-dose'")


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
        hand.add(name, names.index(name))
    hand.tap(page.locator("#head-0"))
    hand.type(page.locator("#p0-dose"), "12@40, 9@60, 6@80")
    hand.tap(page.locator("#head-1"))
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
    first, second = shelf(student)[:2]
    open_week(page, student)
    for n, name in enumerate((first, second)):
        hand.key("Alt+n")
        hand.word(name)
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
    add(page, 0)
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
    add(page, 0)
    page.locator("#p0-dose").fill("2x10@95")
    page.locator("#p0-sessions").fill("4")
    page.locator("#sums").get_by_text("80").first.wait_for()
    assert page.locator("#sums").get_by_text("That is above it").is_visible()
    assert page.locator("#p0-sessions").input_value() == "4"


def test_removing_a_part_leaves_the_focus_on_the_page(page, student):
    open_week(page, student)
    for n in range(2):
        add(page, n)
    page.locator("#p1-dose").focus()
    page.keyboard.press("Alt+Delete")
    page.wait_for_function("() => document.activeElement.id === 'p0-dose'")
    page.keyboard.press("Alt+Delete")
    page.wait_for_function("() => document.activeElement.id === 'add-drill'")


def test_what_is_typed_while_a_part_is_being_added_stays(page, student):
    open_week(page, student)
    add(page, 0)
    held = []
    page.route("**/week/**", lambda route: route.continue_() if held else held.append(route))
    page.locator("#add-drill").click()
    page.locator("#drill-list [role=option]").first.click()
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
    add(page, 0)
    page.route("**/week/**", lambda route: route.fulfill(status=503, body=""))
    page.locator("#p0-dose").fill("5@50")
    page.get_by_text("Not kept yet").wait_for()
    page.unroute("**/week/**")
    page.locator("#p0-sessions").fill("2")
    kept(page)
    page.reload()
    assert page.locator("#p0-dose").input_value() == "5@50"


# --- parts as lines, drills by typing, the days as a strip ----------------------------------


def names_found(page) -> list[str]:
    return page.eval_on_selector_all(
        "#drill-list [role=option]", "all => all.map(one => one.firstChild.textContent)"
    )


def test_of_the_parts_one_is_open(page, student):
    open_week(page, student)
    for n in range(3):
        add(page, n)
        assert page.locator("details.part[open]").count() == 1
    page.locator("#head-0").click()
    assert page.locator("details.part[open]").get_attribute("id") == "part-0"
    page.reload()
    assert page.locator("details.part").count() == 3
    assert page.locator("details.part[open]").count() == 0


def test_the_lessons_and_last_weeks_drills_stand_first(page, student):
    """Nothing typed: the drill of the last lesson, that of last week, then the shelf."""
    first, second = student.studio.drills.filter(is_test=True).order_by("pk")[:2]
    lesson = Lesson.objects.create(
        student=student, coach=student.lead_coach, state="closed", ending="none",
        at=timezone.now() - timedelta(3), opened_at=timezone.now() - timedelta(3),
    )  # fmt: skip
    Finding.objects.create(lesson=lesson, fault="sways").drills.add(first)
    make_part(make_week(student, queries.this_opening(student) - timedelta(7)), second)
    open_week(page, student)
    page.locator("#add-drill").click()
    found = names_found(page)
    assert found[:2] == [first.current.name, second.current.name]
    assert len(found) == len(set(found)) == student.studio.drills.count()


def test_a_drill_is_found_by_name_by_area_and_by_words(page, student):
    open_week(page, student)
    field = page.locator("#add-drill")
    field.fill("lad")
    assert names_found(page)[0] == "Effort ladder" or "Putting gate and ladder" in names_found(page)
    field.fill("short game")
    assert names_found(page) == ["Landing spot"]
    field.fill("no such drill anywhere")
    assert not page.locator("#drill-list").is_visible()
    assert page.locator("#add-said").text_content() == "No drill has these words."
    assert field.get_attribute("aria-expanded") == "false"


def test_the_field_is_a_combobox_by_the_keys(page, student):
    """WAI-ARIA authoring practices, combobox with a listbox: arrows, Enter, Escape."""
    open_week(page, student)
    field = page.locator("#add-drill")
    field.focus()
    page.keyboard.press("ArrowDown")
    assert field.get_attribute("aria-expanded") == "true"
    active = "document.getElementById('add-drill').getAttribute('aria-activedescendant')"
    first = page.evaluate(active)
    page.keyboard.press("ArrowDown")
    assert page.evaluate(active) not in {first, None}
    page.keyboard.press("ArrowUp")
    assert page.evaluate(active) == first
    page.keyboard.press("Escape")
    assert field.get_attribute("aria-expanded") == "false"
    for n, drill in enumerate(("Effort ladder", "Landing spot")):
        page.keyboard.type(drill)
        page.keyboard.press("Shift+Enter")
        page.locator(f"#head-{n}").wait_for()
        page.wait_for_function("() => document.activeElement.id === 'add-drill'")
    assert page.locator("details.part[open]").count() == 0
    assert "Landing spot" in page.locator("#head-1").text_content()


def test_several_are_ticked_and_added_at_once(page, student):
    open_week(page, student)
    page.get_by_text("Tick several").click()
    for name in ("Effort ladder", "Landing spot", "In-between"):
        page.locator("#shelf").get_by_label(name, exact=True).check()
    page.locator("#add").click()
    page.locator("#part-2").wait_for()
    kept_parts = page.locator(".part-head strong").all_text_contents()
    assert kept_parts == ["1. Landing spot", "2. Effort ladder", "3. In-between"]


def test_the_strip_says_what_lies_on_each_day(page, student):
    opens = queries.week_to_set(student)
    student.next_event, student.next_event_name = opens + timedelta(5), "Spring cup"
    student.next_lesson = opens + timedelta(6)
    student.save()
    student.excusals.create(first=opens, last=opens)
    GymDay.objects.create(student=student, day=opens + timedelta(2), load="heavy", body="lower")
    open_week(page, student)
    add(page, 0)
    page.locator("#part-0 .day").nth(3).click()
    page.locator("#strip").get_by_text("Part 1").wait_for()
    days = [" ".join(day.split()) for day in page.locator("#strip li").all_text_contents()]
    assert [day.split(" ", 2)[2:] for day in days] == [
        ["away"], [], ["gym heavy"], ["Part 1"], [], ["event"], ["lesson"],
    ]  # fmt: skip


def test_five_closed_parts_stand_on_one_screen(page, student):
    """Budget of reading.md: one screen on a desktop, one and a half on a phone."""
    week = make_week(student, queries.week_to_set(student), sent=False)
    for drill in student.studio.drills.filter(is_test=False).order_by("pk")[:5]:
        make_part(week, drill, dose=drill.current.dose, minutes=12)
    for width, height, most in ((1280, 800, 800), (390, 844, 1266)):
        page.set_viewport_size({"width": width, "height": height})
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            open_week(page, student)
            five_parts_fit(page, width, most)


def five_parts_fit(page, width: int, most: int) -> None:
    assert page.locator("details.part").count() == 5
    bottom = page.evaluate(
        "() => document.querySelector('.send-bar').getBoundingClientRect().bottom + scrollY"
    )
    last = page.evaluate(
        "() => document.getElementById('note').getBoundingClientRect().bottom + scrollY"
    )
    assert max(bottom, last) <= most
    assert page.evaluate("document.documentElement.scrollWidth") <= width
