"""The coach's figures in a real browser, under the content policy of the real settings."""

import pytest

from tests.browser import house
from tests.conftest import signed_in
from tests.factories import make_coach, make_student
from tests.numbers.speeds import INES, many_days

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
LIGHT_MOSS, DARK_MOSS = "rgb(47, 93, 80)", "rgb(143, 199, 179)"


@pytest.fixture
def student():
    student = make_student(make_coach(name="Coach One"), "Sam Sample")
    many_days(student, INES)
    return student


@pytest.fixture
def opened(browser, live_server, student):
    """Opens the speed book; whatever the console says is in `said`."""
    contexts, said = [], []

    def open_page(**options):
        context = browser.new_context(base_url=live_server.url, **options)
        contexts.append(context)
        cookie = signed_in(student.lead_coach).cookies["sessionid"].value
        context.add_cookies([{"name": "sessionid", "value": cookie, "url": live_server.url}])
        page = context.new_page()
        page.set_default_timeout(house.PATIENCE * 1000)  # The first page imports SciPy.
        page.on("pageerror", lambda error: said.append(str(error)))
        page.on("console", lambda line: said.append(line.text))
        page.goto(f"/students/{student.pk}/speed/")
        return page

    yield open_page, said
    for context in contexts:
        context.close()


def colour(page) -> str:
    return page.evaluate("getComputedStyle(document.querySelector('.figure-plot path.point')).fill")


def test_a_figure_is_drawn_and_the_policy_refuses_nothing(opened):
    open_page, said = opened
    page = open_page(viewport={"width": 1280, "height": 800}, color_scheme="light")
    page.wait_for_selector(".is-drawn .main-svg")
    assert page.locator(".figure-plot path.point").count() == len(INES)
    assert not page.locator("svg.chart").is_visible()
    assert "Ball speed, mph" in page.locator(".figure-plot").text_content()
    assert said == []
    assert "'unsafe-inline'" not in page.request.get(page.url).headers["content-security-policy"]


def test_its_colours_are_those_of_the_theme_and_follow_it(opened):
    open_page, said = opened
    page = open_page(color_scheme="light")
    page.wait_for_selector(".is-drawn .main-svg")
    assert colour(page) == LIGHT_MOSS
    page.emulate_media(color_scheme="dark")
    house.until(lambda: colour(page) == DARK_MOSS, "the colours of the dark theme")
    assert said == []


def test_without_script_the_small_drawing_and_the_table_are_there(opened):
    open_page, _ = opened
    page = open_page(java_script_enabled=False)
    assert page.locator("svg.chart").is_visible()
    assert not page.locator(".figure-plot").is_visible()
    page.locator("summary", has_text="Show as table").click()
    rows = page.locator(".figure-table tbody tr")
    assert rows.count() == len(INES)
    assert f"{INES[-1]:.1f} mph" in rows.last.text_content()


def test_it_fits_the_narrowest_phone(opened):
    open_page, _ = opened
    page = open_page(viewport={"width": 320, "height": 640})
    page.get_by_role("button", name="Show the large chart").first.click()
    page.wait_for_selector(".is-drawn .main-svg")
    assert page.evaluate("document.documentElement.scrollWidth") <= 320


def test_a_phone_loads_the_large_chart_only_when_asked(opened):
    """Before: 1.3 MB of Plotly on every page of numbers. Bytes of scripts as they were sent."""
    open_page, said = opened
    page = open_page(viewport={"width": 390, "height": 844})
    scripts = """() => performance.getEntriesByType("resource")
        .filter(one => one.initiatorType === "script").map(one => one.name)"""
    assert page.locator("svg.chart").first.is_visible()
    assert not [name for name in page.evaluate(scripts) if "plotly" in name]
    page.get_by_role("button", name="Show the large chart").first.click()
    page.wait_for_selector(".is-drawn .main-svg")
    assert [name for name in page.evaluate(scripts) if "plotly" in name]
    assert page.get_by_role("button", name="Show the large chart").count() == 0
    assert said == []
