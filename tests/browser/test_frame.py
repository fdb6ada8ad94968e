"""What stands around every page: the masthead on a phone, and what is typed beside our words."""

import pytest

from shared.people.models import Membership
from tests import factories
from tests.browser.test_pages_axe import opened
from tests.conftest import signed_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
MIDDLES = """(links) => links.map((each) => {
    const box = each.getBoundingClientRect();
    return (box.top + box.bottom) / 2;
})"""
RIGHT_TO_LEFT = "\N{RIGHT-TO-LEFT OVERRIDE}"


def test_on_a_phone_the_coachs_pages_lie_at_the_thumb_in_one_line(
    browser, live_server, coach, student
):
    page = opened(browser, live_server, coach)
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto("/students/")
    for links, many in ((".masthead-links a", 5), (".masthead-own :is(a, button)", 2)):
        assert page.locator(links).count() == many
        middles = page.locator(links).evaluate_all(MIDDLES)
        assert max(middles) - min(middles) <= 2
    assert page.get_by_role("link", name="Between Lessons").is_visible()
    assert page.locator(".masthead [aria-current=page]").inner_text() == "Students"
    page.context.close()


def test_a_name_that_turns_the_writing_turns_only_itself(browser, live_server, coach, student):
    student.name = f"{RIGHT_TO_LEFT}Kim"
    student.save(update_fields=["name"])
    page = opened(browser, live_server, coach)
    page.set_viewport_size({"width": 1280, "height": 844})
    page.goto("/gym/")
    name = page.locator("main li a").bounding_box()
    beside = page.locator("main li .quiet").bounding_box()
    assert beside["x"] >= name["x"] + name["width"]
    page.context.close()


def test_a_name_longer_than_the_phone_is_broken(browser, live_server, coach, student):
    student.name = "W" * 60
    student.save(update_fields=["name"])
    page = opened(browser, live_server, coach)
    for address in ("/students/", "/who/", "/gym/", f"/students/{student.pk}/"):
        page.goto(address)
        assert page.evaluate("document.documentElement.scrollWidth") <= 320, address
    page.context.close()


def test_the_words_of_a_student_are_offered_to_whom_they_open(coach, student):
    owner = factories.make_coach(student.studio, Membership.Role.OWNER)
    address = f"/students/{student.pk}/words/"
    for user, opens in ((coach, True), (owner, False)):
        client = signed_in(user)
        assert (client.get(address).status_code == 200) is opens
        page = client.get(f"/students/{student.pk}/lessons/").content.decode()
        assert (f'href="{address}"' in page) is opens
