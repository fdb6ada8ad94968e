"""Somebody who joins from another zone than the studio's is offered their own."""

import pytest
from django.test import Client

from shared.people.models import Studio
from tests.browser import house
from tests.people.conftest import invited, path_of, place, prove_address, studio  # noqa: F401

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def details(browser, live_server, invited):  # noqa: F811
    """The last step, on a phone in Honolulu, of a studio in London."""
    Studio.objects.update(time_zone="Europe/London")
    client, path = Client(), path_of(invited)
    prove_address(client, path, "ada@example.org")
    context = browser.new_context(base_url=live_server.url, timezone_id="Pacific/Honolulu")
    cookie = {"name": "sessionid", "value": client.cookies["sessionid"].value}
    context.add_cookies([cookie | {"url": live_server.url}])
    page = context.new_page()
    page.set_default_timeout(house.PATIENCE * 1000)
    page.goto(f"{path}details/")
    yield page
    context.close()


def test_the_zone_is_that_of_the_phone_until_another_is_typed(details):
    assert details.get_attribute("[name=time_zone]", "value") == "Europe/London"
    assert details.input_value("[name=time_zone]") == "Pacific/Honolulu"
    details.fill("[name=time_zone]", "Europe/London")
    details.get_by_role("button", name="Join").click()
    details.wait_for_selector("text=ask your coach to invite your guardian")
    assert details.input_value("[name=time_zone]") == "Europe/London"
