"""Test day: one protocol for several students, typed in the reader's unit, kept in SI."""

import re
from datetime import timedelta
from functools import partial
from uuid import uuid4

import pytest
from django.urls import reverse

from coaching.groups import services
from practice.care.models import Stop
from practice.compliance.models import WeekTally
from practice.drills.models import Area
from practice.log.models import Entry, Result
from practice.numbers.speed.book import speed_book
from practice.numbers.speed.queries import read_speeds
from practice.shots.models import Shot, Sitting
from shared.kit.units import SPEED
from shared.people.models import Membership
from tests.conftest import messages_on, signed_in
from tests.factories import (
    MONDAY,
    make_child,
    make_coach,
    make_drill,
    make_part,
    make_student,
    make_week,
    studio_of,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday")]
WEDNESDAY = MONDAY + timedelta(2)


@pytest.fixture
def speed_test(coach):
    return make_drill(
        studio_of(coach), "Speed test", "6@max",
        is_test=True, area=Area.SPEED, measures="club_speed", min_age=12,
    )  # fmt: skip


@pytest.fixture
def squad(coach):
    group = services.make_group(studio=studio_of(coach), by=coach, name="Squad")
    group.students.set([make_child(coach, name="Ada", born_year=2016), make_student(coach, "Ben")])
    return group


def address(group, test):
    return f"{reverse('groups:test_day_of_group', args=[group.pk])}?test={test.pk}"


def typed(figures, **fields):
    form = {"id": str(uuid4()), "day": str(WEDNESDAY), "measure": "ball_speed", "device": "Box"}
    form |= {f"balls-{student.pk}": text for student, text in figures.items()}
    return form | {"ball": "soft", "place": "Bay 1", "roof": "in", "club": "Driver"} | fields


def test_a_speed_test_of_a_group_is_in_every_book(coach_client, coach, squad, speed_test):
    ada, ben = squad.students.order_by("name")
    figures = {ada: "100 101,5 99 102 100 98", ben: "150.4 151 149"}
    page = coach_client.post(address(squad, speed_test), typed(figures), follow=True)
    assert "Kept for Ada, Ben" in messages_on(page)
    line = speed_book(read_speeds(ada, WEDNESDAY)).lines[0]
    assert line.line.quantity == "ball_speed"
    assert (line.line.device, line.line.place, line.line.club) == ("Box", "Bay 1", "Driver")
    # Six swings, their middle 100 mph: 44.704 m/s by the definition of the mile, 1609.344 m.
    assert line.days[0].figure == pytest.approx(44.704, abs=1e-3)
    assert Shot.objects.filter(student=ben).count() == 3
    assert set(Sitting.objects.values_list("evidence", "written_by")) == {("measured", coach.pk)}


def test_nothing_is_judged_on_the_page(coach_client, squad, speed_test):
    ada = squad.students.get(name="Ada")
    page = coach_client.post(address(squad, speed_test), typed({ada: "100 101"}), follow=True)
    body = re.sub(r"<[^>]+>", " ", page.content.decode())
    assert not any(word in body for word in ("Up", "Level", "Down", "held"))


def test_a_test_that_the_week_asks_for_is_credited_to_it(coach_client, squad, speed_test):
    ada, ben = squad.students.order_by("name")
    part = make_part(make_week(ada), speed_test, sessions=1)
    coach_client.post(address(squad, speed_test), typed({ada: "100 101 99 100 100 98", ben: "150"}))
    of_ada, of_ben = Result.objects.order_by("student__name")
    assert (of_ada.part, of_ada.filed) == (part, Result.Filed.IN_WEEK)
    assert (of_ben.part, of_ben.filed) == (None, Result.Filed.UNPLANNED)
    assert WeekTally.objects.get(student=ada, opens=MONDAY).credit == 1


def test_the_same_form_again_adds_nothing(coach_client, squad, speed_test):
    form = typed({squad.students.get(name="Ben"): "150 151"})
    for _ in range(2):
        coach_client.post(address(squad, speed_test), form)
    assert (Entry.objects.count(), Shot.objects.count()) == (1, 2)


def test_targets_come_in_the_order_of_the_protocol(coach_client, coach, squad):
    test = make_drill(
        studio_of(coach), "Three distances", "3 balls",
        is_test=True, area=Area.WEDGES, measures="carry", targets="65, 40, 90 m",
    )  # fmt: skip
    ben = squad.students.get(name="Ben")
    page = coach_client.get(address(squad, test))
    assert "In this order: 65, 40, 90 m." in page.content.decode()
    form = typed({ben: "63 44 88.5"}, measure="", length="hip", club="54")
    coach_client.post(address(squad, test), form)
    rows = list(Shot.objects.order_by("number").values_list("target", "carry", "length"))
    assert rows == [(65.0, 63.0, "hip"), (40.0, 44.0, "hip"), (90.0, 88.5, "hip")]


@pytest.mark.parametrize(
    ("figures", "said"),
    [
        ("150 fast", "cannot be read"),
        ("150 900", "900 cannot be"),
        ("", "at least one student"),
        (" ".join(["150"] * 301), "At most 300 balls"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_kept(coach_client, squad, speed_test, figures, said):
    form = typed({squad.students.get(name="Ben"): figures})
    page = coach_client.post(address(squad, speed_test), form)
    assert page.status_code == 400
    assert said in page.content.decode()
    assert not Entry.objects.exists()


def test_a_limit_and_too_few_years_leave_no_box(coach_client, coach, squad, speed_test):
    ada, ben = squad.students.order_by("name")
    young = make_child(coach, name="Cleo", born_year=2023)
    squad.students.add(young)
    Stop.objects.create(student=ben, since=MONDAY)
    form = typed({ada: "100", ben: "150", young: "80"})
    body = coach_client.get(address(squad, speed_test)).content.decode()
    assert "A limit stands until a coach clears it" in body
    assert "From 12 years on." in body
    coach_client.post(address(squad, speed_test), form)
    assert list(Entry.objects.values_list("student", flat=True)) == [ada.pk]


def test_of_one_student_and_taken_back_again(coach_client, coach, speed_test):
    ben = make_student(coach, "Ben")
    own = f"{reverse('groups:test_day', args=[ben.pk])}?test={speed_test.pk}"
    page = coach_client.post(own, typed({ben: "150 151"}), follow=True)
    assert "Entered by you lately" in page.content.decode()
    entry = Entry.objects.get()
    back = reverse("groups:test_day_back", args=[ben.pk, entry.pk])
    page = coach_client.post(back, {"test": str(speed_test.pk), "group": "none"}, follow=True)
    assert "Ben: taken back." in messages_on(page)
    assert not Sitting.objects.filter(counts=True).exists()
    assert coach_client.post(back).status_code == 404


def test_what_the_student_logged_is_not_taken_back_here(coach_client, coach, squad, speed_test):
    """An assistant's entry is the assistant's to take back; a coach's the coach's."""
    ben = squad.students.get(name="Ben")
    helper = make_coach(squad.studio, Membership.Role.ASSISTANT)
    signed_in(helper).post(address(squad, speed_test), typed({ben: "150"}))
    back = reverse("groups:test_day_back", args=[ben.pk, Entry.objects.get().pk])
    assert coach_client.post(back).status_code == 404
    assert Entry.objects.get().counts


def test_where_and_with_what_is_remembered(coach_client, squad, speed_test):
    coach_client.post(address(squad, speed_test), typed({squad.students.get(name="Ben"): "150"}))
    form = coach_client.get(address(squad, speed_test)).context["form"]
    names = ("device", "ball", "place", "roof", "club", "measure")
    said = [form[name].value() for name in names]
    assert said == ["Box", "soft", "Bay 1", "in", "Driver", "ball_speed"]


def test_units_are_the_readers(coach, squad, speed_test):
    coach.speed_unit = "kmh"
    coach.save()
    ben = squad.students.get(name="Ben")
    signed_in(coach).post(address(squad, speed_test), typed({ben: "180"}))
    # 180 km/h is 50 m/s by definition.
    assert Shot.objects.get().ball_speed == pytest.approx(50.0)
    assert SPEED["kmh"].from_si(50.0) == pytest.approx(180.0)


@pytest.mark.parametrize("many", [1, 10])
def test_the_page_costs_the_same_for_any_group(
    coach_client, coach, many, speed_test, django_assert_num_queries
):
    group = services.make_group(studio=studio_of(coach), by=coach, name="Squad")
    group.students.set([make_student(coach, f"Student {n}") for n in range(many)])
    # 1 session, user and roles; 2 the group; 3 students; 4 tests; 5 where it was last; then the
    # limits, the caution, what was entered lately, and the frame.
    with django_assert_num_queries(11):
        coach_client.get(address(group, speed_test))


def test_a_speed_far_from_the_students_own_is_asked_about_and_kept_when_it_is_right(
    coach_client, squad, speed_test
):
    """15.2 for 152: nothing is lost, nothing kept before the answer, and it is only asked."""
    ben = squad.students.get(name="Ben")
    post = partial(coach_client.post, address(squad, speed_test))
    post(typed({ben: "150 151 152 150 151 149"}))
    slip = typed({ben: "151 15.2 150"})
    page = post(slip).content.decode()
    assert "15.2 mph is far from the usual 150. Is it right?" in page
    assert "151 15.2 150" in page
    assert Shot.objects.filter(student=ben).count() == 6
    post(slip | {"sure": "on"})
    assert Shot.objects.filter(student=ben).count() == 9
