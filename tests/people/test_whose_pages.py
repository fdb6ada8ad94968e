"""Whose pages these are: the studio and the coach stand on each that a student or family reads."""

import pytest

from tests import factories
from tests.conftest import signed_in
from tests.test_routes import address, asked, routes, things_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday")]
# The page of the phone is one for every student, and works without signal; cards for a bag.
OTHERWISE = {"log:shell", "log:part_card", "progress:print_card"}


@pytest.fixture
def child(coach):
    studio = factories.studio_of(coach)
    studio.name = "Oak Room"
    studio.save(update_fields=["name"])
    return factories.make_child(coach, factories.make_user("Gil Guardian"), name="Kim")


@pytest.mark.parametrize("who", ["student", "guardian"])
def test_studio_and_coach_stand_on_every_page(coach, child, who):
    things = things_of(child)
    guardian = child.guardianships.get().user
    client = signed_in(child.user if who == "student" else guardian)
    missing, read = [], 0
    for route in routes():
        answer = asked(client, "get", address(route, things))
        is_page = answer.get("Content-Type", "").startswith("text/html") and not answer.streaming
        if answer.status_code != 200 or not is_page or route.name in OTHERWISE:
            continue
        read += 1
        page = answer.content.decode()
        missing += [
            f"{route.name}: {name}" for name in ("Oak Room", "Coach One") if name not in page
        ]
    assert read > 20
    assert not missing, "\n".join(missing)


def test_of_two_studios_none_stands_for_the_other(coach, child):
    guardian = child.guardianships.get().user
    other = factories.make_coach(name="Coach Two")
    factories.make_child(other, guardian, name="Ann")
    page = signed_in(guardian).get("/settings/").content.decode()
    assert "Coach of Kim: Coach One, Oak Room" in page
    assert "Coach of Ann: Coach Two, Test room" in page
    assert ">Between Lessons</a>" in page


def test_who_teaches_reads_the_name_of_the_program(coach, child):
    page = signed_in(coach).get("/students/").content.decode()
    assert ">Between Lessons</a>" in page
    assert "Your coach:" not in page
