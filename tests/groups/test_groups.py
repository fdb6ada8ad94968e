"""Groups: who is in one, a week for all, who was there, and what it writes into the logs."""

import re
from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from coaching.groups import services
from coaching.groups.models import Attended, Group, GroupSession
from coaching.groups.ratio import ratio_words
from practice.compliance.models import WeekTally
from practice.log.models import Entry, Result
from practice.weeks.models import Week, WeekTemplate
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
WEDNESDAY = MONDAY + timedelta(2)


@pytest.fixture
def squad(coach):
    """A group of a child and an adult."""
    group = services.make_group(studio=studio_of(coach), by=coach, name="Squad")
    group.students.set([make_child(coach, name="Ada"), make_student(coach, "Ben")])
    return group


def met(group, students, **fields):
    form = {"id": str(uuid4()), "day": str(WEDNESDAY), "minutes": "60", "adults": "1"}
    return form | {"present": [str(student.pk) for student in students]} | fields


def hold(client, group, students, **fields):
    return client.post(
        reverse("groups:hold", args=[group.pk]), met(group, students, **fields), follow=True
    )


# --- the group -------------------------------------------------------------------------


def test_a_group_is_made_filled_renamed_and_ended(coach_client, coach):
    ada, ben = make_student(coach, "Ada"), make_student(coach, "Ben")
    coach_client.post("/groups/", {"name": "Squad"})
    group = Group.objects.get()
    change = reverse("groups:change", args=[group.pk])
    coach_client.post(change, {"name": "Saturday squad", "students": [str(ada.pk)]})
    body = coach_client.get(reverse("groups:show", args=[group.pk])).content.decode()
    assert "Saturday squad" in body
    assert ada.name in body
    assert ben.name not in body
    coach_client.post(change, {"do": "end"})
    assert "Saturday squad" not in coach_client.get("/groups/").content.decode().split("<h1>")[1]
    assert coach_client.get(reverse("groups:show", args=[group.pk])).status_code == 404
    coach_client.post("/groups/", {"name": "Saturday squad"})
    assert Group.objects.count() == 2


@pytest.mark.parametrize("name", ["Squad", "  ", "x" * 61])
def test_a_name_that_is_taken_or_none_is_said_beside_the_field(coach_client, squad, name):
    assert coach_client.post("/groups/", {"name": name}).status_code == 400
    assert Group.objects.count() == 1


def test_no_group_takes_the_name_of_another(coach_client, squad):
    coach_client.post("/groups/", {"name": "Juniors"})
    change = reverse("groups:change", args=[Group.objects.get(name="Juniors").pk])
    assert coach_client.post(change, {"name": squad.name}).status_code == 400
    assert Group.objects.filter(name=squad.name).count() == 1


def test_nobody_of_another_studio_gets_in(coach_client, coach, squad):
    stranger = make_student(make_coach(), "Stranger")
    change = reverse("groups:change", args=[squad.pk])
    page = coach_client.post(change, {"name": "Squad", "students": [str(stranger.pk)]})
    assert page.status_code == 400
    assert not squad.students.filter(pk=stranger.pk).exists()


def test_who_has_left_is_not_shown_any_more(coach_client, squad):
    squad.students.filter(name="Ben").update(left_on=MONDAY)
    body = coach_client.get(reverse("groups:show", args=[squad.pk])).content.decode()
    assert "Ada" in body
    assert not re.search(r"\bBen\b", body)


# --- a week for all --------------------------------------------------------------------


def test_a_week_goes_to_all_of_the_group_each_with_a_percent(coach_client, coach, squad):
    drill = make_drill(studio_of(coach))
    record = {"drill": str(drill.pk), "dose": "20 balls", "sessions": 2, "minutes": 10}
    template = WeekTemplate.objects.create(
        studio=studio_of(coach), name="Wedges", parts=[record], author=coach
    )
    outsider = make_student(coach, "Cleo")
    address = f"/weeks/several/?group={squad.pk}"
    page = coach_client.get(address)
    assert [row.name for row in page.context["rows"]] == ["Ada", "Ben"]
    assert all(row.is_ticked for row in page.context["rows"])
    ada, ben = squad.students.order_by("name")
    ticked = {"student": [str(ada.pk), str(ben.pk)], f"percent-{ada.pk}": "-50", "do": "send"}
    answer = coach_client.post(address, ticked | {"source": f"template:{template.pk}"})
    assert answer["Location"] == reverse("groups:show", args=[squad.pk])
    doses = {week.student.name: week.parts.get().dose for week in Week.objects.all()}
    assert doses == {"Ada": "10 balls", "Ben": "20 balls"}
    assert not outsider.weeks.exists()


def test_a_group_of_another_studio_ticks_nobody(coach, squad):
    client = signed_in(make_coach())
    page = client.get(f"/weeks/several/?group={squad.pk}")
    assert page.context["rows"] == []
    assert "Squad" not in page.content.decode()


# --- who was there ---------------------------------------------------------------------


def test_a_session_is_minutes_and_hard_swings_in_each_log_and_never_credit(
    coach_client, coach, squad
):
    ada, ben = squad.students.order_by("name")
    make_part(make_week(ada), make_drill(studio_of(coach)))
    page = hold(coach_client, squad, [ada], minutes="45", balls="30", hard="8", adults="2")
    assert "It is in the log of Ada" in messages_on(page)
    (result,) = Result.objects.all()
    assert (result.student, result.what, result.filed) == (ada, "group", Result.Filed.UNPLANNED)
    assert result.entry.writer == coach
    tally = WeekTally.objects.get(student=ada, opens=MONDAY)
    assert (tally.unplanned_minutes, tally.balls, tally.hard_swings) == (45, 30, 8)
    assert (tally.credited_minutes, tally.credit) == (0, 0)
    assert not Entry.objects.filter(student=ben).exists()
    body = page.content.decode()
    assert "one junior, two adults" in body
    rows = {row.name: row.attended for row in page.context["page"].members}
    assert rows == {"Ada": "1 of 1", "Ben": "0 of 1"}


def test_the_same_form_again_logs_nothing_more(coach_client, squad):
    everybody = list(squad.students.all())
    form = met(squad, everybody)
    for _ in range(2):
        coach_client.post(reverse("groups:hold", args=[squad.pk]), form)
    assert (GroupSession.objects.count(), Entry.objects.count()) == (1, 2)


def test_who_had_logged_the_session_already_keeps_that_one(coach_client, squad):
    ben = squad.students.get(name="Ben")
    hold(coach_client, squad, [ben])
    hold(coach_client, squad, list(squad.students.all()))
    assert Entry.objects.filter(student=ben).count() == 1
    assert (
        list(Attended.objects.filter(student=ben).values_list("entry", flat=True)).count(None) == 1
    )


def test_it_can_be_taken_back_for_a_week_and_then_stays(coach_client, squad, wednesday):
    everybody = list(squad.students.all())
    hold(coach_client, squad, everybody)
    session = GroupSession.objects.get()
    address = reverse("groups:take_back", args=[squad.pk, session.pk])
    wednesday.move_to(NOON + timedelta(days=9))
    assert "seven days" in messages_on(coach_client.post(address, follow=True))
    assert Entry.objects.filter(counts=True).count() == 2
    wednesday.move_to(NOON + timedelta(days=1))
    page = coach_client.post(address, follow=True)
    assert page.context["page"].sessions == []
    assert not Entry.objects.filter(counts=True).exists()
    assert WeekTally.objects.get(student=everybody[0], opens=MONDAY).minutes == 0


def test_nothing_is_kept_of_a_child_without_consent(coach_client, squad):
    ada, ben = squad.students.order_by("name")
    ada.guardianships.update(withdrawn_at=NOON)
    assert hold(coach_client, squad, [ada]).status_code == 400
    hold(coach_client, squad, [ben])
    assert list(Attended.objects.values_list("student", flat=True)) == [ben.pk]
    page = hold(coach_client, squad, [ada])
    assert page.status_code == 400
    assert GroupSession.objects.count() == 1


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"present": []}, "Tick who was there."),
        ({"minutes": "0"}, "Write 1 or more."),
        ({"adults": "0"}, "Write 1 or more."),
        ({"day": str(WEDNESDAY + timedelta(3))}, "has not come yet"),
        ({"hard": "-1"}, "Write 0 or more."),
    ],
)
def test_what_cannot_be_is_said_and_nothing_kept(coach_client, squad, fields, said):
    page = hold(coach_client, squad, list(squad.students.all()), **fields)
    assert page.status_code == 400
    assert said in page.content.decode()
    assert not GroupSession.objects.exists()
    assert not Entry.objects.exists()


def test_only_those_of_the_group_can_be_ticked(coach_client, coach, squad):
    outsider = make_student(coach, "Cleo")
    assert hold(coach_client, squad, [outsider]).status_code == 400
    assert not Entry.objects.exists()


def test_an_assistant_says_who_was_there_and_changes_no_group(coach, squad):
    helper = make_coach(squad.studio, Membership.Role.ASSISTANT, name="Jo")
    client = signed_in(helper)
    hold(client, squad, list(squad.students.all()))
    assert set(Entry.objects.values_list("writer", flat=True)) == {helper.pk}
    assert client.post("/groups/", {"name": "Another"}).status_code == 404
    change = reverse("groups:change", args=[squad.pk])
    assert client.post(change, {"do": "end"}).status_code == 404
    assert "Set a week" not in client.get(reverse("groups:show", args=[squad.pk])).content.decode()


def test_a_session_of_another_group_is_not_taken_back_through_this_one(coach_client, coach, squad):
    other = services.make_group(studio=squad.studio, by=coach, name="Other")
    session = squad.sessions.create(day=MONDAY, minutes=30, by=coach)
    address = reverse("groups:take_back", args=[other.pk, session.pk])
    assert coach_client.post(address).status_code == 404


# --- juniors to an adult ---------------------------------------------------------------


def test_the_ratio_is_told_and_defers():
    one = ratio_words(8, 1, "Basil, 01632 960 000")
    assert one.startswith("Under 18: eight juniors, one adult.")
    assert "governing body and local law" in one
    assert one.endswith("Ask Basil, 01632 960 000 where in doubt.")
    assert "two adults, up to 4 to each." in ratio_words(7, 2, "")
    assert ratio_words(0, 3, "Basil") == ""


@pytest.mark.parametrize("many", [1, 12])
def test_the_page_costs_the_same_for_any_group(
    coach_client, coach, many, django_assert_num_queries
):
    group = services.make_group(studio=studio_of(coach), by=coach, name="Squad")
    students = [make_child(coach, name=f"Child {n}") for n in range(many)]
    group.students.set(students)
    for n in range(many):
        session = group.sessions.create(
            day=MONDAY, minutes=30, by=coach, at=timezone.now() - timedelta(n)
        )
        session.attended.create(student=students[n])
    # 1 session, user and roles; 2 the group; 3 students; 4 the last session; 5 sessions; 6 who
    # was there; 7 asked; 8 usual; 9-11 the limits; 12 the frame.
    with django_assert_num_queries(11):
        coach_client.get(reverse("groups:show", args=[group.pk]))
