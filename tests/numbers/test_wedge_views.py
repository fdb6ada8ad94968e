"""The wedge card's pages: who sees them, what they print, and what bad input is told."""

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from practice.shots.models import Club, Shot, Sitting
from tests.conftest import signed_in
from tests.numbers import make

pytestmark = pytest.mark.django_db
TEACH = {"owner", "coach", "assistant"}


def pages(student) -> dict[str, set[str]]:
    """Every page, and who may see it."""
    base = f"/students/{student.pk}"
    return {
        f"{base}/wedges/": TEACH,
        f"{base}/wedges/print/": TEACH | {"student"},
        f"/own/{student.pk}/wedges/": {"student"},
        f"{base}/balls/": TEACH,
        f"{base}/clubs/": TEACH,
    }


@pytest.mark.parametrize("page", range(5))
def test_each_page_opens_to_whom_it_is_for(student, cast, page):
    address, allowed = list(pages(student).items())[page]
    for name, user in cast.items():
        expected = 200 if name in allowed else 404
        assert signed_in(user).get(address).status_code == expected, name
    assert Client().get(address).status_code == 302


def test_a_guardian_sees_the_child_s_card_and_nobody_else_s(guardian_client, child, student):
    answer = guardian_client.get(f"/own/{child.pk}/wedges/")
    assert answer.status_code == 200
    page = answer.content.decode()
    # Said once, with what comes first; and nothing is to be looked up in a card that is none.
    assert "No card yet. The coach puts the clubs in, then each swing needs 5 balls." in page
    assert "Look it up" not in page
    make.balls(make.sitting(child), make.club(child), [45, 50, 55, 45, 55], length="hip")
    page = guardian_client.get(f"/own/{child.pk}/wedges/").content.decode()
    assert "What does Kim hit at" in page
    assert guardian_client.get(f"/own/{student.pk}/wedges/").status_code == 404
    assert guardian_client.get(f"/students/{child.pk}/wedges/print/").status_code == 200


def test_writing_about_a_child_stops_with_the_guardian_s_consent(coach_client, child):
    child.guardianships.update(withdrawn_at="2026-01-01T00:00:00Z")
    assert coach_client.post(f"/students/{child.pk}/clubs/", {"name": "54°"}).status_code == 404
    assert not Club.objects.exists()


def test_the_card_prints_figures_words_and_no_style(coach_client, student):
    clubs = make.card(student, days=4)
    make.balls(make.sitting(student), clubs["50°"], make.AT_65, target=65)
    page = coach_client.get(f"/students/{student.pk}/wedges/", {"at": "61"}).content.decode()
    assert "65 m lies in the gap from 60 to 71." in page
    assert "<strong>50° hip-high</strong>" in page
    assert "28 balls on 4 days, known to" in page
    assert "style=" not in page


@pytest.mark.parametrize("typed", ["far", "-3", "0", "900", "nan", "1e5", "6" * 50])
def test_a_distance_that_cannot_be_is_answered_in_a_sentence(coach_client, student, typed):
    make.card(student)
    page = coach_client.get(f"/students/{student.pk}/wedges/", {"at": typed, "within": typed})
    assert page.status_code == 200
    assert "Write a number from 1 to 200 m." in page.content.decode()
    assert "Write a number from 0.5 to 20 m." in page.content.decode()


def test_the_card_for_the_bag_has_both_units_and_a_line_for_too_few(coach_client, student):
    wedge = make.club(student)
    make.balls(make.sitting(student), wedge, [50.2] * 5, length="hip")
    make.balls(make.sitting(student), wedge, [70] * 4, length="chest")
    page = coach_client.get(f"/students/{student.pk}/wedges/print/").content.decode()
    assert "<b>50 m</b><span>55 yd</span><small>n 5</small>" in page
    assert page.count('class="blank"') == 2
    assert "70" not in page.split("<tbody>")[1].split("</tbody>")[0]


def test_the_pages_ask_as_often_for_many_balls_as_for_few(
    coach_client, student, django_assert_num_queries
):
    make.balls(make.sitting(student), make.club(student, "56°"), [50])
    address = f"/students/{student.pk}/wedges/"
    with CaptureQueriesContext(connection) as few:
        coach_client.get(address)
    clubs = make.card(student)
    for days_ago in range(5):
        make.balls(make.sitting(student, days_ago=days_ago), clubs["50°"], make.AT_65, target=65)
    with django_assert_num_queries(len(few)):
        coach_client.get(address)


def test_the_card_in_other_air_is_said_to_be_a_model(coach_client, student):
    make.card(student, {"54°": {"hip": 48}})
    address = f"/students/{student.pk}/wedges/"
    assert "There, m" not in coach_client.get(address).content.decode()
    page = coach_client.get(address, {"celsius": "30", "altitude": "1500"}).content.decode()
    assert "There, m" in page
    assert "Worked out, not measured" in page
    assert "Drift, m" not in page
    bad = coach_client.get(address, {"altitude": "9000", "humidity": "wet"}).content.decode()
    assert "Altitude, m: Write a number from -400 to 5000." in bad
    assert "Humidity, %: Write a number from 0 to 100." in bad


def test_the_card_in_wind_is_in_the_readers_units(coach, coach_client, student):
    make.card(student, {"54°": {"hip": 48}})
    coach.speed_unit = "kmh"
    coach.save()
    address = f"/students/{student.pk}/wedges/"
    against = coach_client.get(address, {"wind": "18", "blows": "against"}).context["air"]
    (row,) = against["rows"]
    assert [row.carry, row.drift] == ["48", ""]
    assert float(row.there) < 48
    (row,) = coach_client.get(address, {"wind": "18", "blows": "behind"}).context["air"]["rows"]
    assert float(row.there) > 48 - (48 - float(against["rows"][0].there))
    # 18 km/h are 5 m/s: the lag rule, W (T - X / V), gives this wedge six metres or so.
    (row,) = coach_client.get(address, {"wind": "18", "blows": "right"}).context["air"]["rows"]
    assert row.drift.endswith(" left")
    assert 2 < float(row.drift.split()[0]) < 9
    page = coach_client.get(address, {"wind": "120"}).content.decode()
    assert "Wind, km/h: Write a number from 0 to 90 km/h." in page


def test_where_nearer_pays_is_for_the_coach_only(coach_client, student):
    wedge = make.club(student)
    for days_ago in range(4):
        kept = make.sitting(student, days_ago=days_ago)
        make.balls(kept, wedge, [57, 61, 64], sides=[1, -2, 3], target=60, length="chest")
        make.balls(kept, wedge, [38, 41, 40], sides=[1, 0, 0.5], target=40, length="hip")
        make.balls(kept, wedge, [81, 84], target=80, length="full")
    page = coach_client.get(f"/students/{student.pk}/wedges/")
    far, near = page.context["worth"].rows
    assert (far.about, far.stands_on, far.off) == ("60 m", "12 balls, 4 days", "3.2 m")
    assert float(far.saves.split()[0]) > float(near.saves.split()[0]) > 0
    assert page.context["worth"].words == ""
    assert "Where does ending nearer pay most?" in page.content.decode()


def test_where_it_pays_most_is_left_open_where_days_differ(coach_client, student):
    wedge = make.club(student)
    for days_ago, off in enumerate((0.5, 6, 2)):
        kept = make.sitting(student, days_ago=days_ago)
        make.balls(kept, wedge, [60 + off] * 4, sides=[0.5] * 4, target=60)
        make.balls(kept, wedge, [40 - off] * 4, sides=[0.2] * 4, target=40)
    page = coach_client.get(f"/students/{student.pk}/wedges/")
    assert page.context["worth"].words == "Which pays most cannot be told yet."
    assert "Which pays most cannot be told yet." in page.content.decode()


def test_where_nearer_pays_needs_ten_balls_over_three_days(coach_client, student):
    wedge = make.club(student)
    for days_ago in range(2):
        kept = make.sitting(student, days_ago=days_ago)
        make.balls(kept, wedge, [57, 61, 64] * 4, sides=[1, -2, 3] * 4, target=60)
    assert coach_client.get(f"/students/{student.pk}/wedges/").context["worth"] is None


# --- putting balls in ---


def send(client, student, **fields):
    wedge = Club.objects.filter(student=student).first() or make.club(student)
    form = make.typed(wedge.pk, **{"day": make.today_of(student)} | fields)
    return client.post(f"/students/{student.pk}/balls/", form), form


def test_a_line_of_carries_is_kept_in_metres(coach_client, student):
    answer, _ = send(coach_client, student, target="60", sides="1 -2 0 3 −1.5")
    assert answer.status_code == 302
    shots = Shot.objects.order_by("number")
    assert [shot.carry for shot in shots] == [58, 61, 60.5, 59.5, 60]
    assert [shot.side for shot in shots] == [1, -2, 0, 3, -1.5]
    assert {shot.target for shot in shots} == {60}


def test_yards_are_kept_as_metres(coach, coach_client, student):
    coach.distance_unit = "yd"
    coach.save(update_fields=["distance_unit"])
    send(coach_client, student, carries="100 50", target="75")
    assert [shot.carry for shot in Shot.objects.order_by("number")] == [91.44, 45.72]
    assert Shot.objects.first().target == pytest.approx(68.58, abs=1e-12)


def test_sending_the_form_twice_keeps_the_balls_once(coach_client, student):
    _, form = send(coach_client, student)
    assert coach_client.post(f"/students/{student.pk}/balls/", form).status_code == 302
    assert Shot.objects.count() == 5


def test_an_id_of_somebody_else_s_balls_adds_nothing_to_them(coach, coach_client, student, cast):
    other = cast["fellow"].student_places.get()
    kept = make.sitting(other)
    answer, _ = send(coach_client, student, id=str(kept.pk))
    assert answer.status_code == 200
    assert "This id is taken" in answer.content.decode()
    assert not Shot.objects.exists()


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"carries": "58,61,60"}, "“58,61,60” cannot be read. Put a space between the numbers"),
        ({"carries": "58,61"}, "“58,61” cannot be read"),
        ({"carries": "58 sixty"}, "“sixty” cannot be read"),
        ({"carries": " , "}, "Write 1 to 200 carries."),
        ({"carries": "50 " * 201}, "Write 1 to 200 carries."),
        ({"carries": "58 5800"}, "A carry lies between 0 and 400 m; 5800 cannot be."),
        ({"carries": "58 -4"}, "A carry lies between 0 and 400 m; -4 cannot be."),
        ({"sides": "1 2"}, "There are 5 carries and 2 sides"),
        ({"sides": "1 2 3 4 900"}, "A miss to the side lies between -150 and 150 m"),
        ({"target": "0"}, "A target lies between 0 and 400 m; 0 cannot be."),
        ({"day": "2999-01-01"}, "That day is still to come."),
        ({"day": "2001-01-01"}, "That day is more than a year ago."),
        ({"club": "00000000-0000-4000-8000-000000000000"}, "That is not in the list any more."),
    ],
)
def test_what_cannot_be_kept_is_said_and_nothing_typed_is_lost(
    coach_client, student, fields, sentence
):
    answer, _ = send(coach_client, student, note="", device="box 7", **fields)
    page = answer.content.decode()
    assert answer.status_code == 200
    assert sentence in page
    assert 'value="box 7"' in page
    assert not Sitting.objects.exists()


def test_balls_of_last_week_are_from_memory(coach_client, student):
    today = make.today_of(student)
    send(coach_client, student, day=today.replace(day=1) if today.day > 5 else today)
    kept = Sitting.objects.get()
    assert kept.from_memory == ((today - kept.day).days > 2)


def test_taken_back_balls_count_no_more(coach_client, student):
    send(coach_client, student)
    kept = Sitting.objects.get()
    coach_client.post(f"/students/{student.pk}/balls/{kept.pk}/back/")
    kept.refresh_from_db()
    assert not kept.counts


def test_a_stranger_takes_nothing_back(student, cast, coach_client):
    send(coach_client, student)
    kept = Sitting.objects.get()
    for name in ("helper", "student", "fellow", "stranger"):
        address = f"/students/{student.pk}/balls/{kept.pk}/back/"
        assert signed_in(cast[name]).post(address).status_code == 404
    kept.refresh_from_db()
    assert kept.counts


# --- clubs ---


def test_a_club_is_put_in_changed_and_taken_out(coach_client, student):
    base = f"/students/{student.pk}/clubs/"
    coach_client.post(base, {"name": "54°", "loft": "54"})
    wedge = Club.objects.get()
    coach_client.post(f"{base}{wedge.pk}/", {"name": "sand", "loft": "55", "changed_on": ""})
    wedge.refresh_from_db()
    # A loft that differs has changed today, unless the day was given.
    assert (wedge.name, wedge.loft, wedge.changed_on) == ("sand", 55, make.today_of(student))
    coach_client.post(f"{base}{wedge.pk}/retire/")
    wedge.refresh_from_db()
    assert wedge.retired_on == make.today_of(student)
    coach_client.post(f"{base}{wedge.pk}/retire/")
    wedge.refresh_from_db()
    assert wedge.retired_on is None


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"name": ""}, "This is empty. Please fill it in."),
        ({"name": "54°"}, "There is a club of that name already"),
        ({"name": "x", "loft": "120"}, "Write 80 or less."),
        ({"name": "x" * 21}, "Write 20 letters or less."),
    ],
)
def test_a_club_that_cannot_be_is_said(coach_client, student, fields, sentence):
    make.club(student)
    page = coach_client.post(f"/students/{student.pk}/clubs/", fields).content.decode()
    assert sentence in page
    assert Club.objects.count() == 1


def test_somebody_else_s_club_is_a_404(coach_client, student, cast):
    theirs = make.club(cast["fellow"].student_places.get())
    assert coach_client.get(f"/students/{student.pk}/clubs/{theirs.pk}/").status_code == 404


def test_a_carry_far_from_the_swing_s_own_is_asked_about(coach_client, student):
    make.card(student, {"54°": {"hip": 48}})
    club = student.clubs.get()
    page, _ = send(coach_client, student, club=str(club.pk), carries="48 4.8", sides="")
    assert "4.8 m is far from the usual 48. Is it right?" in page.content.decode()
    balls = Shot.objects.filter(student=student).count()
    send(coach_client, student, club=str(club.pk), carries="48 4.8", sides="", sure="on")
    assert Shot.objects.filter(student=student).count() == balls + 2
