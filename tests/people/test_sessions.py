"""How long somebody stays signed in, and how a sign-in ends from elsewhere."""

from datetime import timedelta

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from shared import settings as real
from shared.people import sessions
from shared.people.device_text import device_words
from shared.people.models import Membership, User, UserSession
from tests import factories
from tests.conftest import signed_in
from tests.factories import NOON

HOURS, DAYS = timedelta(hours=1), timedelta(days=1)


@pytest.fixture(autouse=True)
def real_ages(settings):
    settings.SESSION_AGES = real.SESSION_AGES


def still_in(client, clock, *steps):
    """Ask for a page after each of these steps; whether the last of them was answered.

    The page sends on whoever is in, with nothing looked up but who asks.
    """
    answers = []
    for step in steps:
        clock.shift(step)
        answers.append(client.get(reverse("account_change_password"))["Location"])
    return not answers[-1].startswith(reverse("account_login"))


@pytest.fixture
def clock(db):
    with time_machine.travel(NOON, tick=False) as moving:
        yield moving


@pytest.mark.parametrize(
    ("idle", "stays"), [(7 * HOURS, True), (9 * HOURS, False), (13 * DAYS, False)]
)
def test_whoever_works_here_is_out_after_eight_idle_hours(clock, coach, idle, stays):
    assert still_in(signed_in(coach), clock, idle) is stays


@pytest.mark.parametrize(("idle", "stays"), [(13 * DAYS, True), (15 * DAYS, False)])
def test_students_stay_two_idle_weeks(clock, student, idle, stays):
    assert still_in(signed_in(student.user), clock, idle) is stays


@pytest.mark.parametrize(("days", "stays"), [(29, True), (31, False)])
def test_staff_sign_in_again_after_thirty_days_however_busy(clock, coach, days, stays):
    assert still_in(signed_in(coach), clock, *[7 * HOURS] * (days * 24 // 7 + 1)) is stays


@pytest.mark.parametrize(("days", "stays"), [(84, True), (98, False)])
def test_students_sign_in_again_after_ninety_days(clock, student, days, stays):
    assert still_in(signed_in(student.user), clock, *[7 * DAYS] * (days // 7)) is stays


def test_an_ended_session_is_out_at_its_next_request(coach):
    here, there = signed_in(coach), signed_in(coach)
    assert sessions.end(coach, sessions.stored_key(there.session.session_key))
    assert there.get("/settings/").status_code == 302
    assert here.get("/settings/").status_code == 200


def test_nobody_ends_somebody_elses_session(coach, student):
    theirs = signed_in(student.user)
    assert not sessions.end(coach, sessions.stored_key(theirs.session.session_key))
    assert theirs.get("/settings/").status_code == 200


def test_a_session_of_nobody_has_no_beginning(client, db):
    client.get("/account/login/")
    store = sessions.SessionStore()
    store["x"] = 1
    store.save()
    assert UserSession.objects.get(pk=sessions.stored_key(store.session_key)).began_at is None


def test_signing_in_begins_anew(clock, coach):
    """An age cannot be carried over from a session that was there before."""
    client = Client()
    store = sessions.SessionStore()
    store["x"] = 1
    store.save()
    client.cookies["sessionid"] = store.session_key
    clock.shift(DAYS)
    client.force_login(coach)
    assert UserSession.objects.get(user=coach).began_at == NOON + DAYS


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ("Mozilla/5.0 (iPhone; CPU iPhone OS 19_0 like Mac OS X)", "iPhone"),
        ("Mozilla/5.0 (Linux; Android 16; K)", "Android phone or tablet"),
        ("Mozilla/5.0 (Windows NT 10.0; Win64; x64)", "Windows computer"),
        ("Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7)", "Mac"),
        ("", "Device without a name"),
        ("<script>", "Device without a name"),
    ],
)
def test_a_device_in_words(said, words):
    assert device_words(said) == words


def test_the_page_of_many_sessions_is_bounded(coach, settings):
    for _ in range(60):
        factory = sessions.SessionStore()
        factory["_auth_user_id"] = str(coach.pk)
        factory.save()
    page = signed_in(coach).get("/settings/devices/")
    assert len(page.context["sessions"]) == sessions.MOST_SHOWN


def test_a_guardian_and_a_strength_coach_have_the_page_too(coach):
    child = factories.make_child(coach)
    strength = factories.make_coach(factories.studio_of(coach), "helper")
    for user in (child.guardianships.get().user, strength):
        assert "this device" in signed_in(user).get("/settings/devices/").content.decode()


def test_the_table_opens_nothing(coach):
    """Whoever reads the table of sessions has no cookie by it."""
    client = signed_in(coach)
    key = client.session.session_key
    row = UserSession.objects.get(user=coach)
    assert row.session_key != key
    thief = Client()
    thief.cookies["sessionid"] = row.session_key
    assert thief.get("/settings/").status_code == 302
    assert client.get("/settings/").status_code == 200


def test_a_session_from_before_is_kept_and_put_under_its_digest(coach):
    client = signed_in(coach)
    key = client.session.session_key
    UserSession.objects.filter(user=coach).update(session_key=key)
    assert client.get("/settings/").status_code == 200
    assert UserSession.objects.get(user=coach).session_key == sessions.stored_key(key)


def test_who_somebody_is_and_what_they_work_here_is_one_question(coach_client):
    """Each page asks for session, user and roles: they come together."""
    with CaptureQueriesContext(connection) as asked:
        assert coach_client.get("/settings/").status_code == 200
    tables = ("people_usersession", "people_user", "people_membership")
    about = [q["sql"] for q in asked if any(f'FROM "{name}"' in q["sql"] for name in tables)]
    assert len(about) == 1, about


@pytest.mark.parametrize("field", ["is_active", "password"])
def test_a_session_is_believed_by_django_s_own_rules(coach, field):
    """Not of who may not sign in any more, nor with a password of before."""
    client = signed_in(coach)
    User.objects.filter(pk=coach.pk).update(**{field: "" if field == "password" else False})
    assert client.get("/settings/").status_code == 302


def test_nobody_is_let_in_as_whom_the_row_of_a_session_names_alone(coach, student):
    client = signed_in(coach)
    UserSession.objects.update(user=student.user)
    assert client.get("/settings/").context["user"].pk == coach.pk


def test_work_that_ended_is_over_at_the_next_request(coach):
    client = signed_in(coach)
    assert client.get("/who/").status_code == 200
    Membership.objects.filter(user=coach).update(ended_at=NOON)
    assert client.get("/who/").status_code == 404


def test_every_role_is_read_with_the_session(coach):
    """One row a role: two in one studio, and one in another."""
    factories.make_coach(factories.studio_of(coach))
    here, there = factories.studio_of(coach), factories.make_studio()
    for studio, role in ((here, "assistant"), (there, "coach")):
        Membership.objects.create(user=coach, studio=studio, role=role)
    user = signed_in(coach).get("/settings/").context["user"]
    assert user.roles_by_studio == User.objects.get(pk=coach.pk).roles_by_studio
    assert set(user.roles_by_studio) == {here.pk, there.pk}
