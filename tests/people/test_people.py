"""The owner's page, one's own settings, and the installation's checks."""

import sqlite3
from importlib import import_module

import pytest
import time_machine
from django.core.checks import run_checks
from django.core.management import get_commands, load_command_class
from django.db import connection
from django.test import RequestFactory

from shared.people import checks
from shared.people.context import Frame
from shared.people.models import Invitation, Membership, Studio
from shared.site import sqlite
from tests import factories, house_map
from tests.conftest import signed_in

STUDIO = {
    "name": "Test room",
    "time_zone": "Europe/London",
    "first_weekday": "0",
    "safeguarding_contact": "",
    "reply_time": "soon",
}
SETTINGS = {
    "name": "Sam S.",
    "time_zone": "Asia/Tokyo",
    "distance_unit": "yd",
    "speed_unit": "kmh",
    "mass_unit": "lb",
}


@pytest.mark.parametrize("kind", ["coach", "assistant", "helper"])
def test_the_owner_invites_staff(owner_client, studio, kind):
    said = {"kind": kind, "name": "New", "email": "New@Example.org"}
    page = owner_client.post("/people/", said)
    made = Invitation.objects.get()
    assert (made.kind, made.email, made.studio) == (kind, "new@example.org", studio)
    assert page["Location"] == f"/invitations/{made.pk}/"


@pytest.mark.parametrize(
    "bad", [{"kind": "owner"}, {"kind": "student"}, {"email": ""}, {"name": ""}]
)
def test_nothing_else_is_invited_there(owner_client, bad):
    said = {"kind": "coach", "name": "New", "email": "new@example.org"} | bad
    page = owner_client.post("/people/", said)
    assert page.context["form"].errors
    assert not Invitation.objects.exists()


@pytest.mark.parametrize(
    ("day", "words"),
    [
        ("2031-02-26", "looked over today."),
        ("2030-11-28", "looked over 90 days ago."),
        ("2030-11-27", "looked over 91 days ago. Look them over again."),
        ("", "no day is written down"),
    ],
)
def test_the_owner_reads_how_long_ago_the_bays_were_looked_over(owner, day, words):
    with time_machine.travel(factories.NOON, tick=False):
        client = signed_in(owner)
        client.post("/people/studio/", STUDIO | {"bays_checked_on": day})
        assert words in client.get("/people/").content.decode()


def test_a_day_still_to_come_is_no_day_the_bays_were_looked_over(owner, studio):
    with time_machine.travel(factories.NOON, tick=False):
        page = signed_in(owner).post("/people/studio/", STUDIO | {"bays_checked_on": "2031-03-01"})
    assert "That day is still to come." in page.content.decode()
    studio.refresh_from_db()
    assert studio.bays_checked_on is None


@pytest.mark.parametrize("who", ["coach_client", "assistant_client", "stranger_client"])
def test_the_page_is_the_owners(request, who, coach, owner):
    client = request.getfixturevalue(who)
    membership = coach.memberships.get()
    assert client.get("/people/").status_code == 404
    assert client.get("/people/studio/").status_code == 404
    assert client.post(f"/people/{membership.pk}/end/").status_code == 404
    assert client.post("/people/", {"kind": "coach"}).status_code == 404
    membership.refresh_from_db()
    assert membership.ended_at is None


def test_work_ended_ends_at_the_next_request(owner_client, coach, coach_client, student):
    assert coach_client.get("/students/").status_code == 200
    owner_client.post(f"/people/{coach.memberships.get().pk}/end/")
    assert coach_client.get("/students/").status_code == 404
    assert coach_client.get(f"/students/{student.pk}/edit/").status_code == 404


def test_the_last_owner_stays(owner_client, owner):
    page = owner_client.post(f"/people/{owner.memberships.get().pk}/end/", follow=True)
    assert b"keeps at least one owner" in page.content
    assert owner.memberships.get().ended_at is None


def test_one_of_two_owners_may_go(owner_client, owner, studio):
    other = factories.make_coach(studio, Membership.Role.OWNER)
    owner_client.post(f"/people/{other.memberships.get().pk}/end/")
    assert other.memberships.get().ended_at is not None


def test_the_other_studios_staff_is_out_of_reach(owner_client):
    elsewhere = factories.make_coach().memberships.get()
    assert owner_client.post(f"/people/{elsewhere.pk}/end/").status_code == 404


def test_the_owner_changes_the_studio(owner_client, studio):
    said = {
        "name": "New name",
        "time_zone": "Europe/Madrid",
        "first_weekday": "6",
        "safeguarding_contact": "Rosa, 01632 960 001",
        "reply_time": "the same day",
    }
    assert owner_client.post("/people/studio/", said).status_code == 302
    studio.refresh_from_db()
    assert (studio.name, studio.time_zone, studio.first_weekday) == ("New name", "Europe/Madrid", 6)
    page = owner_client.post("/people/studio/", said | {"time_zone": "Nowhere"})
    assert page.context["form"].errors["time_zone"]


# --- settings -----------------------------------------------------------------


def test_a_new_time_zone_moves_the_students_own_places_along(student_client, student, coach):
    other = factories.make_student(coach, "Other")
    assert student_client.post("/settings/", SETTINGS).status_code == 302
    student.refresh_from_db()
    other.refresh_from_db()
    assert student.time_zone == student.user.time_zone == "Asia/Tokyo"
    assert other.time_zone == "UTC"
    assert (student.user.name, student.user.distance_unit) == ("Sam S.", "yd")
    assert (student.user.speed_unit, student.user.mass_unit) == ("kmh", "lb")


@pytest.mark.parametrize(
    "bad",
    [{"time_zone": "x"}, {"distance_unit": "ft"}, {"speed_unit": ""}, {"name": ""}],
)
def test_a_wrong_setting_is_shown_and_nothing_kept(student_client, student, bad):
    page = student_client.post("/settings/", SETTINGS | bad)
    assert set(page.context["form"].errors) == set(bad)
    student.user.refresh_from_db()
    assert student.user.time_zone == "UTC"


def test_settings_cannot_change_what_is_not_on_the_page(student_client, student):
    extra = {"email": "eve@example.org", "is_superuser": "on", "is_active": "", "language": "xx"}
    student_client.post("/settings/", SETTINGS | extra)
    before = student.user.email
    student.user.refresh_from_db()
    assert student.user.email == before
    assert not student.user.is_superuser
    assert student.user.is_active
    assert student.user.language == "en"


def test_the_language_is_asked_only_where_there_is_a_choice(student_client, settings):
    assert "language" not in student_client.get("/settings/").context["form"].fields
    settings.LANGUAGES = [("en", "English"), ("fr", "français")]
    assert "language" in student_client.get("/settings/").context["form"].fields


def test_a_page_in_the_frame_costs_a_coach_one_query_for_it(coach, django_assert_num_queries):
    with django_assert_num_queries(1):
        frame = Frame(coach, RequestFactory().get("/"))
        assert frame.is_teaching
        assert not frame.is_owner


def test_the_frame_shows_each_their_own_pages(
    coach_client, student_client, guardian_client, owner_client
):
    coach = coach_client.get("/settings/").content
    assert b'href="/students/"' in coach
    assert b'href="/people/"' not in coach
    assert b'href="/people/"' in owner_client.get("/settings/").content
    student = student_client.get("/settings/").content
    assert b"This week" in student
    assert b"What counted" in student
    assert b'href="/students/"' not in student
    guardian = guardian_client.get("/settings/").content
    assert b">This week</a>" in guardian
    assert b">Kim</a>" in guardian


@pytest.mark.parametrize("page", ["moved", "speed", "wedges", "ladder", "load"])
def test_every_page_of_the_numbers_lights_their_place(student, student_client, page):
    shown = student_client.get(f"/own/{student.pk}/{page}/").text
    assert f'<a href="/own/{student.pk}/wedges/" aria-current="true">Numbers</a>' in shown


# --- checks -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("version", "sound"),
    [
        # sqlite.org, release notes of the WAL-reset fix: 3.51.3, 3.50.7, 3.44.6.
        ((3, 40, 1), False),
        ((3, 44, 5), False),
        ((3, 44, 6), True),
        ((3, 45, 0), False),
        ((3, 50, 6), False),
        ((3, 50, 7), True),
        ((3, 51, 2), False),
        ((3, 51, 3), True),
        ((3, 53, 0), True),
    ],
)
@pytest.mark.parametrize("production", [True, False])
def test_an_unsound_sqlite_is_an_error_in_production(
    monkeypatch, settings, version, sound, production
):
    monkeypatch.setattr(sqlite3, "sqlite_version_info", version)
    monkeypatch.setattr(connection, "vendor", "sqlite")
    settings.PRODUCTION = production
    found = [message.id for message in checks.check_sqlite()]
    assert found == ([] if sound else ["people.E001" if production else "people.W001"])
    assert sqlite.is_sound(version) is sound


def test_another_database_is_not_asked(monkeypatch):
    monkeypatch.setattr(connection, "vendor", "postgresql")
    monkeypatch.setattr(sqlite, "is_sound", lambda _: False)
    assert checks.check_sqlite() == []


def test_every_command_of_ours_runs_them_first(monkeypatch):
    """But what brings a backup back, on a machine that has nothing yet."""
    monkeypatch.setattr(sqlite3, "sqlite_version_info", (3, 40, 0))
    monkeypatch.setattr(connection, "vendor", "sqlite")
    own = {
        name: app for name, app in get_commands().items() if app.split(".")[0] in house_map.HOUSES
    }
    silent = set()
    for name, app in own.items():
        asked = load_command_class(app, name).requires_system_checks
        found = run_checks(tags=None if asked == "__all__" else asked) if asked else []
        if "people.W001" not in {each.id for each in found}:
            silent.add(name)

    assert len(own) > 15
    assert silent == {"restore"}


def test_the_cache_table_comes_with_the_migrations_and_goes_with_them(db):
    migration = import_module("shared.people.migrations.0003_shared_cache")
    editor = connection.schema_editor()
    editor.deferred_sql = []
    migration.drop_table(None, editor)
    assert "shared_cache" not in connection.introspection.table_names()
    migration.make_table(None, editor)
    assert "shared_cache" in connection.introspection.table_names()


def test_a_name_of_somebody_else_is_escaped(coach_client, coach, studio):
    Studio.objects.update(name="<b>Nice</b>")
    factories.make_student(coach, "<script>x</script>")
    page = coach_client.get("/students/").content
    assert b"<script>x" not in page
    assert b"&lt;script&gt;x" in page


def test_signed_in_pages_are_kept_by_nobody(student_client):
    assert student_client.get("/settings/")["Cache-Control"] == "private, no-store"
    assert signed_in(factories.make_user()).get("/")["Cache-Control"] == "private, no-store"
