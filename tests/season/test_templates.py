"""A season kept as a template of the studio's, and begun from for somebody else."""

from datetime import timedelta

import pytest
from django.urls import reverse

from coaching.season import templates
from coaching.season.models import Phase, Priority, SeasonPlan, SeasonTemplate
from shared.kit.refused import Refused
from tests import factories
from tests.conftest import messages_on, signed_in
from tests.season.make import day, make_plan

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday")]


@pytest.fixture
def season(student) -> SeasonPlan:
    drill = factories.make_drill(student.studio)
    priority = {"name": "Sway", "stage": "flow", "drill": drill, "measure": "clean", "value": 70,
                "effort": 65, "by": day(40)}  # fmt: skip
    return make_plan(student, note="After the operation.", priorities=[priority])


def keep(client, student, name: str):
    page = reverse("season:save_template", args=[student.pk])
    return client.post(page, {"name": name}, follow=True)


def test_a_season_is_kept_and_begun_from_for_another(coach, coach_client, student, season):
    page = keep(coach_client, student, " Summer ")
    assert messages_on(page) == "Kept as the template “Summer”. Other seasons start there."
    template = SeasonTemplate.objects.get()
    assert (template.name, template.days) == ("Summer", (season.last - season.first).days)
    other = factories.make_student(coach, "Robin Other")
    address = reverse("season:plan", args=[other.pk])
    page = coach_client.get(address, {"from": str(template.pk)})
    assert "Copied from the template “Summer”." in page.content.decode()
    assert not SeasonPlan.objects.filter(student=other).exists()
    told = {name: page.context["form"][name].value() for name in ("first", "last", "note")}
    first = told["first"]
    assert told == {"first": first, "last": first + timedelta(days=template.days), "note": ""}
    moved = first - season.first
    shown = [{name: row[name].value() for name in ("name", "first", "last")}
             for row in page.context["phases"]][:2]  # fmt: skip
    assert shown == [
        {"name": phase.name, "first": phase.first + moved, "last": phase.last + moved}
        for phase in Phase.objects.filter(plan=season).order_by("first")
    ]
    row = page.context["priorities"][0]
    priority = Priority.objects.get(plan=season)
    told = {name: row[name].value() for name in ("name", "stage", "drill", "effort", "by")}
    assert told == {"name": "Sway", "stage": "flow", "drill": priority.drill_id, "effort": 65,
                    "by": day(40) + moved}  # fmt: skip


def test_the_same_name_takes_the_place_of_the_first(coach_client, student, season):
    keep(coach_client, student, "Summer")
    Phase.objects.filter(plan=season).delete()
    keep(coach_client, student, "Summer")
    assert SeasonTemplate.objects.get().phases == []


@pytest.mark.parametrize("name", ["", "   ", "x" * 81])
def test_without_a_name_nothing_is_kept(coach_client, student, season, name):
    page = keep(coach_client, student, name)
    assert messages_on(page) == "Give it a name of 1 to 80 letters."
    assert not SeasonTemplate.objects.exists()


def test_a_studio_keeps_thirty_and_offers_all_of_them(coach, season):
    studio = season.student.studio
    SeasonTemplate.objects.bulk_create(
        SeasonTemplate(studio=studio, name=f"{n:02}", days=7, author=coach) for n in range(29)
    )
    for _ in range(2):
        templates.save_template(plan=season, name="x" * 80, by=coach)
    with pytest.raises(Refused, match="up to 30 seasons"):
        templates.save_template(plan=season, name="Two", by=coach)
    offered = [each.name for each in templates.templates_of(studio)]
    assert (len(offered), offered[0], offered[-1]) == (30, "00", "x" * 80)


def test_a_drill_that_left_the_shelf_drops_out(coach, season):
    template = templates.save_template(plan=season, name="One", by=coach)
    drill = Priority.objects.get().drill
    drill.archived_at = factories.NOON
    drill.save(update_fields=["archived_at"])
    (priority,) = templates.of_template(template, day(0)).priorities
    assert priority["drill"] is None


def test_deleting_one_leaves_the_seasons(coach, coach_client, student, season):
    template = templates.save_template(plan=season, name="One", by=coach)
    address = reverse("season:delete_template", args=[student.pk, template.pk])
    assert messages_on(coach_client.post(address, follow=True)) == "The template “One” is deleted."
    assert not SeasonTemplate.objects.exists()
    assert SeasonPlan.objects.count() == 1


def test_another_studio_s_is_nobody_s(coach, student, season):
    template = templates.save_template(plan=season, name="One", by=coach)
    stranger = factories.make_coach(name="Stranger")
    theirs = factories.make_student(stranger, "Theirs")
    client = signed_in(stranger)
    address = reverse("season:delete_template", args=[theirs.pk, template.pk])
    assert client.post(address).status_code == 404
    page = client.get(reverse("season:plan", args=[theirs.pk]), {"from": str(template.pk)})
    assert page.context["copied"] is None
