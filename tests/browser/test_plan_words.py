"""The words of a plan are tapped: they stand in their field, and another tap takes them out."""

import pytest

from coaching.reminders.models import ReminderRule
from tests.browser.test_pages_axe import opened

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_a_plan_is_four_taps_and_one_to_save(browser, live_server, student):
    page = opened(browser, live_server, student.user)
    page.goto(f"/reminders/{student.pk}/")
    for words in ("after school", "at the club", "in the garage", "it rains", "the short form"):
        page.get_by_role("button", name=words, exact=True).click()
    club = page.get_by_role("button", name="at the club", exact=True)
    garage = page.get_by_role("button", name="in the garage", exact=True)
    assert (club.get_attribute("aria-pressed"), garage.get_attribute("aria-pressed")) == (
        "false",
        "true",
    )
    garage.click()
    assert page.locator("[name=place]").input_value() == ""
    page.get_by_role("button", name="Save", exact=True).click()
    assert page.get_by_text("After school, part 1; if it rains, the short form.").is_visible()
    rule = ReminderRule.objects.get()
    assert (rule.plan.moment, rule.plan.place) == ("after school", "")
    page.context.close()
