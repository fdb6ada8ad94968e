"""Strength: only of adults who agreed, seen only by whom they agreed to, gone when withdrawn."""

import uuid
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError
from django.test import Client

from practice.numbers.strength.sets import sets_of
from practice.strength.models import Lift, StrengthConsent
from practice.strength.services import agree, keep_lift, withdraw
from shared.kit.refused import Refused
from tests.conftest import signed_in
from tests.factories import make_child, make_coach, make_student, make_user, studio_of
from tests.numbers.make import today_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast(coach, student):
    studio = studio_of(coach)
    strength_coach = make_coach(studio, role="helper")
    student.strength_coaches.add(strength_coach)
    return {
        "owner": make_coach(studio, role="owner"),
        "coach": coach,
        "assistant": make_coach(studio, role="assistant"),
        "strength coach": strength_coach,
        "not shared with": make_coach(studio, role="helper"),
        "other strength coach": make_coach(role="helper"),
        "student": student.user,
        "fellow": make_student(coach, "Fellow").user,
        "stranger": make_coach(),
        "nobody": make_user(),
    }


@pytest.fixture
def agreed(student):
    agree(student=student)
    return student


def lift(student, mass=100.0, reps=5, *, days_ago=0, body_mass=None, **fields):
    given = {
        "student": student,
        "by": student.user,
        "lift_id": uuid.uuid4(),
        "name": "squat",
        "mass": mass,
        "reps": reps,
        "body_mass": body_mass,
        "was_supervised": True,
        "day": today_of(student) - timedelta(days=days_ago),
    }
    return keep_lift(**given | fields)


def form_of(student, **fields):
    return {
        "id": str(uuid.uuid4()),
        "name": "squat",
        "mass": "100",
        "reps": "5",
        "body_mass": "",
        "day": str(today_of(student)),
    } | fields


def page(student):
    return f"/students/{student.pk}/strength/"


def own(student):
    return f"/own/{student.pk}/strength/"


# --- who ---


def test_without_consent_there_is_no_page(student, cast):
    for name, user in cast.items():
        assert signed_in(user).get(page(student)).status_code == 404, name
        expected = 200 if name == "student" else 404
        assert signed_in(user).get(own(student)).status_code == expected, name


def test_with_consent_those_it_names_see_it(agreed, cast):
    lift(agreed)
    for name, user in cast.items():
        expected = 200 if name in {"coach", "strength coach"} else 404
        assert signed_in(user).get(page(agreed)).status_code == expected, name
        expected = 200 if name == "student" else 404
        assert signed_in(user).get(own(agreed)).status_code == expected, name
    assert Client().get(page(agreed)).status_code == 302


def test_only_the_student_and_the_strength_coach_write(agreed, cast):
    for name, address in (("student", own(agreed)), ("strength coach", page(agreed))):
        assert signed_in(cast[name]).post(address, form_of(agreed)).status_code == 302, name
    outside = ("not shared with", "other strength coach", "fellow", "stranger")
    for name in ("owner", "coach", "assistant", *outside):
        assert signed_in(cast[name]).post(page(agreed), form_of(agreed)).status_code == 404, name
    assert Lift.objects.count() == 2


@pytest.mark.parametrize("years", [17, 18])
def test_of_a_minor_there_is_nothing_not_even_for_the_guardian(coach, cast, years):
    guardian = make_user("Guardian")
    from django.utils import timezone

    # Only the year is known: in doubt the younger.
    child = make_child(coach, guardian, born_year=timezone.now().year - years)
    with pytest.raises(Refused):
        agree(student=child)
    StrengthConsent.objects.create(student=child, text_version=1)
    for user in (*cast.values(), guardian, child.user):
        for address in (page(child), own(child)):
            assert signed_in(user).get(address).status_code == 404
            assert signed_in(user).post(address, form_of(child)).status_code == 404
    with pytest.raises(Refused):
        lift(child)
    assert not Lift.objects.exists()


def test_the_roster_names_only_who_agreed(agreed, cast, coach):
    make_student(coach, "Silent Sid")
    answer = signed_in(cast["strength coach"]).get("/strength/").content.decode()
    assert agreed.name in answer
    assert "Silent Sid" not in answer
    unshared = signed_in(cast["not shared with"]).get("/strength/").content.decode()
    assert agreed.name not in unshared
    assert (
        agreed.name
        not in signed_in(cast["other strength coach"]).get("/strength/").content.decode()
    )
    for name in ("coach", "student", "nobody"):
        assert signed_in(cast[name]).get("/strength/").status_code == 404


# --- the consent ---


def test_the_student_agrees_and_takes_it_back(student_client, student):
    assert b"I agree" in student_client.get(own(student)).content
    student_client.post(own(student), {"agree": "yes"})
    student_client.post(own(student), form_of(student, body_mass="80"))
    assert Lift.objects.count() == 1
    back = f"/own/{student.pk}/strength/back/"
    student_client.post(back)
    assert Lift.objects.count() == 1  # Not without being sure.
    student_client.post(back, {"sure": "yes"})
    assert not Lift.objects.exists()
    assert b"I agree" in student_client.get(own(student)).content
    changes = StrengthConsent.objects.get().changes.order_by("pk")
    assert list(changes.values_list("agreed", flat=True)) == [True, False]
    with pytest.raises(Refused):
        lift(student)


def test_agreeing_twice_is_agreeing_once(agreed):
    agree(student=agreed)
    withdraw(student=agreed)
    withdraw(student=agreed)
    agree(student=agreed)
    assert StrengthConsent.objects.get().changes.count() == 3


def test_nobody_agrees_for_another(student, cast):
    for name in ("coach", "strength coach", "fellow"):
        signed_in(cast[name]).post(own(student), {"agree": "yes"})
    assert not StrengthConsent.objects.exists()


# --- figures ---


def test_the_estimate_with_the_range_of_the_formulas(agreed):
    """Epley 1985, Brzycki 1993, Lombardi 1989: 100 x 10 is 133.3, 133.3 and 125.9."""
    lift(agreed, 100, 10)
    found = sets_of(agreed)[0].heaviest
    assert (found.value, found.low, found.high) == pytest.approx((133.3333, 125.8925, 133.3333))


def test_one_lift_is_itself(agreed, student_client):
    lift(agreed, 120, 1)
    found = sets_of(agreed)[0].heaviest
    assert found.value == found.low == found.high == 120
    assert "120 kg, lifted" in student_client.get(own(agreed)).content.decode()


@pytest.mark.parametrize(("days", "ratio"), [(0, 1.25), (60, 1.25), (61, None)])
def test_body_mass_holds_for_sixty_days(agreed, days, ratio):
    """100 kg at 80 kg of body mass is 1.25 (definition)."""
    lift(agreed, 50, 5, days_ago=days, body_mass=80)
    lift(agreed, 100, 1)
    found = next(each for each in sets_of(agreed) if each.mass == 100)
    assert found.times_body_mass == ratio


def test_a_later_body_mass_says_nothing_of_an_earlier_lift(agreed):
    lift(agreed, 100, 1, days_ago=10)
    lift(agreed, 50, 5, body_mass=80)
    assert sets_of(agreed)[1].times_body_mass is None


def test_pounds_are_kept_as_kilograms(agreed, student_client):
    agreed.user.mass_unit = "lb"
    agreed.user.save(update_fields=["mass_unit"])
    student_client.post(own(agreed), form_of(agreed, mass="220.46226218"))
    assert Lift.objects.get().mass == pytest.approx(100, abs=1e-6)
    assert "220.5 lb × 5" in student_client.get(own(agreed)).content.decode()


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"reps": "11"}, "Write 10 or less."),
        ({"reps": "0"}, "Write 1 or more."),
        ({"reps": "1"}, "A single lift is only kept if somebody qualified was there."),
        ({"mass": "0"}, "A lift lies between 0 and 500 kg."),
        ({"mass": "900"}, "A lift lies between 0 and 500 kg."),
        ({"mass": "nan"}, "Write a number, such as 2.5."),
        ({"body_mass": "9"}, "A body mass lies between 25 and 300 kg."),
        ({"name": ""}, "This is empty. Please fill it in."),
        ({"day": "2999-01-01"}, "That day is still to come."),
        ({"day": "2001-01-01"}, "That day is more than a year ago."),
    ],
)
def test_a_set_that_cannot_be_is_said(agreed, student_client, fields, sentence):
    answer = student_client.post(own(agreed), form_of(agreed, **fields))
    assert answer.status_code == 200
    assert sentence in answer.content.decode()
    assert not Lift.objects.exists()


def test_a_set_is_kept_once_and_its_id_is_nobody_else_s(agreed, student_client, cast):
    form = form_of(agreed)
    student_client.post(own(agreed), form)
    student_client.post(own(agreed), form)
    assert Lift.objects.count() == 1
    fellow = cast["fellow"].student_places.get()
    agree(student=fellow)
    answer = signed_in(cast["fellow"]).post(own(fellow), form)
    assert "This id is taken" in answer.content.decode()


def test_a_set_is_deleted_by_who_may_write(agreed, cast):
    kept = lift(agreed)
    address = f"/students/{agreed.pk}/strength/{kept.pk}/remove/"
    for name in ("coach", "owner", "fellow", "stranger", "other strength coach"):
        assert signed_in(cast[name]).post(address).status_code == 404, name
    assert signed_in(cast["strength coach"]).post(address).status_code == 302
    assert not Lift.objects.exists()


def test_the_page_sets_no_lift_and_no_target(agreed, student_client):
    lift(agreed)
    text = student_client.get(own(agreed)).content.decode()
    assert "No lift and no target is set here." in text
    assert "style=" not in text


def test_the_database_refuses_a_single_lift_alone(agreed):
    alone = Lift(student=agreed, name="squat", mass=100, reps=1, day=today_of(agreed))
    with pytest.raises(ValidationError, match="somebody qualified"):
        alone.full_clean(exclude=["by"])
    with pytest.raises(IntegrityError):
        alone.save()


def test_queries_do_not_grow(agreed, django_assert_num_queries):
    for days_ago in range(20):
        lift(agreed, days_ago=days_ago, body_mass=80)
    with django_assert_num_queries(1):
        sets_of(agreed)
