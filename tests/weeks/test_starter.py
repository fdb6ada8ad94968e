"""The weeks that ship with the app."""

import pytest

from practice.drills.dose import parse
from practice.drills.shipped import shipped, stock_shelf
from practice.weeks.models import WeekTemplate
from practice.weeks.plan import MOST_PARTS, MOST_SESSIONS
from practice.weeks.starter import starter_weeks, stock_templates
from shared.people.events import studio_made
from tests.factories import make_coach, studio_of


@pytest.mark.django_db
def test_a_new_studio_finds_five_weeks_to_start_from():
    coach = make_coach()
    studio = studio_of(coach)
    for hook in studio_made:
        hook(studio, coach)
    found = WeekTemplate.objects.filter(studio=studio)
    assert sorted(week.name for week in found) == sorted(week["name"] for week in starter_weeks())
    shelf = {str(drill.pk) for drill in studio.drills.all()}
    for template in found:
        assert template.parts
        assert {part["drill"] for part in template.parts} <= shelf
        assert all(0 < part["minutes"] <= 60 for part in template.parts)


@pytest.mark.django_db
def test_what_a_studio_has_is_left_alone():
    coach = make_coach()
    studio = studio_of(coach)
    stock_shelf(studio, coach)
    WeekTemplate.objects.create(studio=studio, name="Our own", author=coach)
    stock_templates(studio, coach)
    assert WeekTemplate.objects.filter(studio=studio).count() == 1


@pytest.mark.parametrize("week", starter_weeks(), ids=lambda week: week["name"])
def test_each_part_is_a_drill_that_ships_with_an_amount_that_can_be_read(week):
    drills = {drill["slug"]: drill for drill in shipped()}
    assert 1 <= len(week["parts"]) <= MOST_PARTS
    for part in week["parts"]:
        drill, dose = drills[part["drill"]], parse(part["dose"])
        assert 1 <= part["sessions"] <= MOST_SESSIONS
        # Nothing here may be hard: whoever is hurt or young may be given it as it is.
        assert drill["area"] != "speed"
        assert dose.hard_reps == 0
        assert "min_age" not in drill


def test_there_are_five():
    assert len({week["name"] for week in starter_weeks()}) == 5
