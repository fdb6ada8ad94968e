"""One week for several students, templates and excused days: the pages."""

import re
from datetime import timedelta

import pytest
from django.urls import reverse

from practice.care.models import Stop
from practice.compliance.models import WeekTally
from practice.weeks import queries
from practice.weeks.models import Excusal, Week, WeekTemplate
from shared.people.models import Membership
from tests.conftest import messages_on, signed_in
from tests.factories import (
    MONDAY,
    NOON,
    make_child,
    make_coach,
    make_drill,
    make_part,
    make_student,
    make_week,
    studio_of,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday")]
NEXT = MONDAY + timedelta(7)
SEVERAL = "/weeks/several/"


@pytest.fixture
def template(coach):
    drill = make_drill(studio_of(coach))
    record = {"drill": str(drill.pk), "dose": "20 balls", "sessions": 2, "minutes": 10}
    return WeekTemplate.objects.create(
        studio=studio_of(coach), name="Wedges", parts=[record], author=coach
    )


def give(client, students, source, do="send", **more):
    fields = {"source": source, "student": [str(s.pk) for s in students], "do": do}
    return client.post(SEVERAL, fields | more)


def dose(student):
    return queries.live_parts().get(week__student=student, week__opens=NEXT).dose


def test_one_tap_ticks_everybody_and_one_nobody(coach_client, coach, template):
    """The second week of forty-five was forty-five taps, for all of them had a week by then."""
    for name in ("Anna", "Ben", "Cleo"):
        make_student(coach, name)
    source = f"template:{template.pk}"
    page = give(coach_client, [], source, do="all").content.decode()
    everybody = page.count('name="student"')
    assert everybody >= 3
    assert len(re.findall(r'name="student" value="[^"]+" checked', page)) == everybody
    assert f'value="{source}" selected' in page, "what was chosen stays"
    assert not Week.objects.exists(), "nothing is sent"
    page = give(coach_client, [], source, do="none").content.decode()
    assert " checked" not in page


# --- several ----------------------------------------------------------------------


def test_a_template_goes_to_those_ticked_each_with_a_percent(coach_client, coach, template):
    anna, ben, cleo = (make_student(coach, name) for name in ("Anna", "Ben", "Cleo"))
    percents = {f"percent-{ben.pk}": "-50"}
    give(coach_client, [anna, ben], f"template:{template.pk}", **percents)
    assert (dose(anna), dose(ben)) == ("20 balls", "10 balls")
    assert set(Week.objects.values_list("state", flat=True)) == {"sent"}
    assert not cleo.weeks.exists()


@pytest.mark.parametrize(("when", "weeks"), [("this", 0), ("next", 1), ("after", 2), ("never", 1)])
def test_it_is_given_for_this_week_the_next_or_the_one_after(
    coach_client, student, template, when, weeks
):
    page = give(coach_client, [student], f"template:{template.pk}", do="look", when=when).text
    assert page.count(f'<option value="{when}" selected') == (when in {"this", "after"})
    give(coach_client, [student], f"template:{template.pk}", when=when)
    assert Week.objects.get().opens == MONDAY + timedelta(weeks=weeks)


def test_another_students_week_can_be_given(coach_client, coach, student):
    week = make_week(student)
    make_part(week, make_drill(studio_of(coach)), dose="7@40")
    anna = make_student(coach, "Anna")
    give(coach_client, [anna], f"week:{week.pk}", do="draft")
    assert dose(anna) == "7@40"
    assert anna.weeks.get().state == Week.State.DRAFT


def test_looking_shows_what_it_comes_to_and_writes_nothing(coach_client, coach, template):
    anna = make_student(coach, "Anna")
    WeekTally.objects.create(student=anna, opens=MONDAY - timedelta(7), minutes=10)
    page = give(coach_client, [anna], f"template:{template.pk}", do="look")
    body = page.content.decode()
    assert "20 min, usual 10:" in body
    assert "more than the usual" in body
    assert "(200 % of it)" in body
    assert not Week.objects.exists()


def test_a_child_whose_record_is_withdrawn_is_left_out_and_stops_nobody(
    coach_client, coach, template
):
    anna, child = make_student(coach, "Anna"), make_child(coach, name="Ben")
    child.guardianships.update(withdrawn_at=NOON)
    give(coach_client, [child, anna], f"template:{template.pk}")
    page = coach_client.get(SEVERAL)
    assert "sent to Anna" in messages_on(page)
    assert not re.search(r"\bBen\b", page.content.decode())
    assert not Week.objects.filter(student=child).exists()


@pytest.mark.parametrize(
    ("case", "said"),
    [
        (("", True, ""), "Choose a template"),
        (("template:nonsense", True, ""), "Choose a template"),
        (("own", False, ""), "Tick at least one"),
        (("own", True, "lots"), "not a whole percent"),
        (("own", True, "500"), "percent, not 500"),
    ],
)
def test_what_is_missing_is_said_and_the_form_kept(coach, template, case, said):
    source, ticked, percent = case
    anna, coach_client = make_student(coach, "Anna"), signed_in(coach)
    source = f"template:{template.pk}" if source == "own" else source
    percents = {f"percent-{anna.pk}": percent}
    page = give(coach_client, [anna] if ticked else [], source, **percents)
    assert page.status_code == 400
    assert said in page.content.decode()
    assert f'value="{percent}"' in page.content.decode()
    assert not Week.objects.exists()


def test_strangers_students_and_templates_do_not_exist(coach, student, template):
    stranger = make_coach()
    client = signed_in(stranger)
    own = make_student(stranger, "Own")
    week = make_week(student)
    for source in (f"template:{template.pk}", f"week:{week.pk}"):
        assert give(client, [own, student], source).status_code == 400
    assert Week.objects.get() == week


def test_an_assistant_gives_no_weeks(student):
    helper = signed_in(make_coach(student.studio, Membership.Role.ASSISTANT))
    for address in (SEVERAL, "/weeks/templates/", f"/students/{student.pk}/excuse/"):
        assert helper.get(address).status_code == 404


@pytest.mark.parametrize("many", [1, 20])
def test_the_page_costs_the_same_for_any_roster(
    coach_client, coach, template, many, django_assert_num_queries
):
    for n in range(many):
        student = make_student(coach, f"Student {n}")
        make_week(student)
        WeekTally.objects.create(student=student, opens=MONDAY, minutes=10)
    # 1 session, user and roles; 2 the studio; 3 students; 4 the template; 5 its drills; 6 usual
    # minutes; 7 weeks there already; 8 templates; 9 recent weeks; 10 groups; 11-12 the tests of
    # its drills, and how days differ here; the limits; the frame.
    with django_assert_num_queries(15):
        give(coach_client, [], f"template:{template.pk}", do="look")


# --- templates ------------------------------------------------------------------------


def test_templates_are_listed_renamed_and_deleted(coach_client, template):
    assert "Ladder: 20 balls; 2 times" in coach_client.get("/weeks/templates/").content.decode()
    address = reverse("plans:template", args=[template.pk])
    coach_client.post(address, {"name": "Half wedges", "do": "rename"})
    template.refresh_from_db()
    assert template.name == "Half wedges"
    coach_client.post(address, {"do": "delete"})
    assert not WeekTemplate.objects.exists()


def test_a_name_that_cannot_be_is_said(coach_client, template):
    address = reverse("plans:template", args=[template.pk])
    page = coach_client.post(address, {"name": " "}, follow=True)
    assert "Give the template a name" in messages_on(page)


def test_a_strangers_template_does_not_exist(template):
    client = signed_in(make_coach())
    address = reverse("plans:template", args=[template.pk])
    assert client.post(address, {"do": "delete"}).status_code == 404
    assert "Wedges" not in client.get("/weeks/templates/").content.decode()


# --- excused days ---------------------------------------------------------------------


def days(first, last, kind="away"):
    return {"first": str(first), "last": str(last), "kind": kind}


def test_days_are_excused_and_taken_back(coach_client, coach, student):
    address = reverse("plans:excuse", args=[student.pk])
    page = coach_client.post(address, days(MONDAY, MONDAY + timedelta(2)), follow=True)
    assert "3 days excused" in messages_on(page)
    excusal = Excusal.objects.get()
    assert (excusal.told_by, excusal.kind) == (coach, "away")
    coach_client.post(reverse("plans:withdraw", args=[student.pk, excusal.pk]))
    assert queries.excused_days(student, MONDAY) == set()


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        (days(NEXT, MONDAY), "before the first"),
        (days("soon", MONDAY), "Write a day, such as"),
        (days(MONDAY, MONDAY, "lazy"), "That is not in the list."),
        (days(MONDAY, MONDAY + timedelta(200)), "at most 92"),
    ],
)
def test_days_that_cannot_be_are_said_beside_the_field(coach_client, student, fields, said):
    page = coach_client.post(reverse("plans:excuse", args=[student.pk]), fields)
    assert page.status_code == 400
    assert said in page.content.decode()
    assert not Excusal.objects.exists()


def test_somebody_elses_student_is_not_excused(student):
    excusal = student.excusals.create(first=MONDAY, last=MONDAY)
    client = signed_in(make_coach())
    assert client.post(f"/students/{student.pk}/excuse/", days(MONDAY, MONDAY)).status_code == 404
    withdraw = reverse("plans:withdraw", args=[student.pk, excusal.pk])
    assert client.post(withdraw).status_code == 404


def test_an_excusal_of_another_student_is_not_taken_back(coach_client, coach, student):
    other = make_student(coach, "Other").excusals.create(first=MONDAY, last=MONDAY)
    withdraw = reverse("plans:withdraw", args=[student.pk, other.pk])
    assert coach_client.post(withdraw).status_code == 404
    assert Excusal.objects.get().withdrawn_at is None


@pytest.mark.parametrize("many", [2, 3])
def test_stops_of_many_are_folded_under_their_names(coach, coach_client, many):
    names = [f"Sam Stopped {n}" for n in range(many)]
    for name in names:
        Stop.objects.create(student=make_student(coach, name), drill=None, since=MONDAY)
    page = coach_client.get(SEVERAL).content.decode()
    assert page.count("No hard swings since") == many
    assert ("Something is stopped for " + ", ".join(names) in page) == (many == 3)
    assert page.index("No hard swings since") < page.index('name="source"')


def test_the_newest_weeks_stand_first_and_older_ones_are_asked_for(coach, coach_client, student):
    """What was ticked stays, and older weeks stay among the choices from then on."""
    for ago in range(10):
        make_week(student, MONDAY - timedelta(weeks=ago))
    at = reverse("plans:several")
    page = coach_client.get(at)
    assert len(page.context["weeks"]) == 8
    assert "Older weeks" in page.content.decode()
    page = coach_client.post(at, {"do": "older", "student": str(student.pk)})
    assert len(page.context["weeks"]) == 10
    assert page.context["rows"][0].is_ticked
    assert "Older weeks" not in page.content.decode()
    assert 'name="older"' in page.content.decode()
    oldest = page.context["weeks"][-1].key
    page = coach_client.post(at, {"do": "look", "older": "1", "source": oldest})
    assert f'value="{oldest}" selected' in page.content.decode()
