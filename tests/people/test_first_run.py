import threading

import pytest
from django.core.management import CommandError, call_command
from django.db import OperationalError, connection
from django.test import Client

from shared.people import events, first_run
from shared.people.events import Offer
from shared.people.models import Membership, Studio, User
from tests import factories

FORM = {
    "name": "Garage Room",
    "time_zone": "Europe/London",
    "first_weekday": "6",
    "owner_name": "Odile Owner",
    "email": "Odile@Example.org",
    "password": "heel toe heel toe",
}


def test_an_empty_house_leads_to_the_first_run(client, db):
    assert client.get("/")["Location"] == "/welcome/"
    assert b"Make your studio" in client.get("/welcome/").content


def test_the_owner_is_owner_and_coach_and_signed_in(client, db):
    page = client.post("/welcome/", FORM)
    assert page["Location"] == "/students/"
    studio = Studio.objects.get()
    assert (studio.name, studio.first_weekday) == ("Garage Room", 6)
    owner = User.objects.get(email="odile@example.org")
    assert owner.check_password("heel toe heel toe")
    assert owner.time_zone == "Europe/London"
    roles = Membership.objects.filter(user=owner, studio=studio).values_list("role", flat=True)
    assert set(roles) == {"owner", "coach"}
    assert client.get("/students/").status_code == 200


@pytest.mark.parametrize(
    ("field", "bad"),
    [
        ("name", ""),
        ("time_zone", "Europe/Atlantis"),
        ("first_weekday", "7"),
        ("owner_name", ""),
        ("email", "no address"),
        ("password", "short"),
        ("password", "1234567890"),
        ("password", "odile@example.org"),
    ],
)
def test_a_wrong_line_is_shown_and_nothing_is_kept(client, db, field, bad):
    page = client.post("/welcome/", FORM | {field: bad})
    assert page.context["form"].errors[field]
    assert not Studio.objects.exists()
    assert not User.objects.exists()


# --- on a public server ------------------------------------------------------------------


@pytest.fixture
def public(settings, db):
    settings.PRODUCTION = True


@pytest.mark.parametrize("typed", [None, "", "ABCD-EFGH-IJKL", "0" * 41])
def test_a_public_server_is_not_given_to_whoever_comes_first(client, public, typed):
    said = FORM if typed is None else FORM | {"set_up_code": typed}
    page = client.post("/welcome/", said)
    assert page.context["form"].errors["set_up_code"]
    assert page.content.decode().count("setup_code") >= 1
    assert first_run.set_up_code() not in page.content.decode()
    assert not Studio.objects.exists()
    assert not User.objects.exists()


@pytest.mark.parametrize("retyped", [str, str.lower, lambda code: f" {code.replace('-', ' ')} "])
def test_whoever_reads_the_log_makes_the_studio(client, public, capsys, retyped):
    call_command("setup_code")
    code = capsys.readouterr().out.strip()
    assert code in first_run.log_line()
    assert len(code.replace("-", "")) == 12
    assert client.post("/welcome/", FORM | {"set_up_code": retyped(code)}).status_code == 302
    assert Studio.objects.get().name == "Garage Room"
    call_command("setup_code")
    assert "There is a studio already" in capsys.readouterr().out
    assert first_run.log_line() == ""


def test_the_code_is_this_servers_own(public, settings):
    code = first_run.set_up_code()
    settings.SECRET_KEY = "another server's"
    assert not first_run.is_set_up_code(code)


def test_the_code_cannot_be_guessed_through(client, public):
    tries = [client.post("/welcome/", FORM | {"set_up_code": str(n)}) for n in range(21)]
    assert {page.status_code for page in tries[:20]} == {200}
    assert tries[20].status_code == 429
    assert (
        client.post("/welcome/", FORM | {"set_up_code": first_run.set_up_code()}).status_code == 429
    )


def test_a_laptop_asks_for_no_code(client, db, capsys):
    assert b"set_up_code" not in client.get("/welcome/").content
    call_command("setup_code")
    assert "PRODUCTION is off" in capsys.readouterr().out
    assert first_run.log_line() == ""


def test_a_public_server_offers_no_demo(client, public):
    assert b"Load the demo" not in client.get("/welcome/").content
    assert client.post("/demo/load/").status_code == 404
    assert not Studio.objects.exists()


# --- there is one ------------------------------------------------------------------------


def test_there_is_no_second_first_run(client, coach):
    assert client.get("/welcome/")["Location"] == "/"
    assert client.post("/welcome/", FORM)["Location"] == "/"
    assert Studio.objects.count() == 1
    with pytest.raises(first_run.AlreadyMade):
        first_run.make_studio(**FORM | {"first_weekday": 0})


def test_who_makes_a_studio_fills_it(db, monkeypatch):
    filled = []
    monkeypatch.setattr(events, "studio_made", [lambda studio, user: filled.append((studio, user))])
    monkeypatch.setattr(first_run, "studio_made", events.studio_made)
    owner = first_run.make_studio(**FORM | {"first_weekday": 0})
    assert filled == [(Studio.objects.get(), owner)]


def test_a_failing_hook_leaves_nothing(db, monkeypatch):
    def fail(studio, user):
        raise RuntimeError("no shelf")

    monkeypatch.setattr(first_run, "studio_made", [fail])
    with pytest.raises(RuntimeError, match="no shelf"):
        first_run.make_studio(**FORM | {"first_weekday": 0})
    assert not Studio.objects.exists()
    assert not User.objects.exists()


def test_others_may_offer_something_on_the_first_page(client, db, monkeypatch):
    offer = Offer("/somewhere/", "Look around", "An example.", {"which": "small"})
    monkeypatch.setattr(events, "first_run_offers", [lambda: [offer]])
    page = client.get("/welcome/").content.decode()
    assert 'action="/somewhere/"' in page
    assert 'name="which" value="small"' in page


def test_walk_ins_stand_on_the_front_door(client, coach, monkeypatch):
    monkeypatch.setattr(events, "walk_ins", [lambda: [Offer("/in/", "Priya", "coach")]])
    assert b'action="/in/"' in client.get("/").content
    monkeypatch.setattr(events, "walk_ins", [list])
    assert client.get("/")["Location"] == "/account/login/"


@pytest.mark.django_db(transaction=True)
def test_of_many_first_runs_at_once_one_wins():
    start = threading.Barrier(8)
    outcomes = []

    def run(number: int) -> None:
        said = FORM | {"first_weekday": 0, "email": f"owner{number}@example.org"}
        start.wait()
        try:
            first_run.make_studio(**said)
            outcomes.append("made")
        except first_run.AlreadyMade:
            outcomes.append("was there")
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(n,)) for n in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(outcomes) == ["made"] + ["was there"] * 7
    assert Studio.objects.count() == 1
    assert Membership.objects.count() == 2


def test_home_leads_each_to_their_own_work(coach_client, student_client, guardian_client, child):
    assert coach_client.get("/")["Location"] in {"/who/", "/students/"}
    assert student_client.get("/")["Location"] == "/log"
    assert guardian_client.get("/")["Location"] == f"/child/{child.pk}/"


def test_somebody_with_two_roles_chooses(coach, coach_client):
    factories.make_student(coach, "Myself", user=coach)
    page = coach_client.get("/")
    assert [place.text for place in page.context["places"]] == [
        "Coaching",
        "My own practice",
    ]


def test_somebody_whom_no_studio_knows_is_told_what_to_do(db):
    from tests.conftest import signed_in

    page = signed_in(factories.make_user("Nobody")).get("/")
    assert b"Nothing is open to you yet" in page.content


def test_a_strength_coach_comes_straight_to_the_gym_strips(studio):
    from tests.conftest import signed_in

    helper = factories.make_coach(studio, Membership.Role.HELPER)
    page = signed_in(helper).get("/", follow=True)
    assert page.redirect_chain[-1][0] == "/gym/"
    assert "Gym strips" in page.content.decode()


def test_a_stranger_without_a_sign_in_is_asked_for_one(coach):
    for address in ("/students/", "/settings/", "/people/", "/students/new/"):
        assert Client().get(address)["Location"].startswith("/account/login/")


def test_the_set_up_code_before_the_tables_are_made_is_a_sentence(monkeypatch, settings):
    settings.PRODUCTION = True

    def no_table():
        raise OperationalError("no such table: people_studio")

    monkeypatch.setattr(first_run, "is_first_run", no_table)
    with pytest.raises(CommandError, match=r"Run: manage\.py migrate"):
        call_command("setup_code")
