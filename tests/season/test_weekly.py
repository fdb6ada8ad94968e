"""A week from the season plan, and fitted to the student's own days, on Set the week."""

from datetime import timedelta
from uuid import uuid4

import pytest
import time_machine
from django.urls import reverse

from coaching.planning import weekly
from coaching.season import limits_pages, services
from practice.care.models import Stop
from practice.compliance.models import WeekTally
from practice.drills.dose import parse
from practice.phone.bundle import bundle
from practice.weeks import plan, queries
from practice.weeks.models import Week
from practice.weeks.places import DayPlace
from tests.conftest import signed_in
from tests.factories import MONDAY, NOON, make_drill, make_part, make_week, studio_of
from tests.season.make import LEGS, day, make_plan, make_ramp

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday")]
NEXT = MONDAY + timedelta(7)


def address(student, name="set_week", opens=NEXT):
    return reverse(f"plans:{name}", args=[student.pk, opens])


def said(page):
    return str(next(iter(page.context["messages"])))


def row(drill, n=0, sessions="2", days=(), **more):
    fields = {"drill": str(drill.pk), "dose": "20 balls", "sessions": sessions, "minutes": "20"}
    fields |= {"days": [str(day) for day in days]} | more
    return {f"p{n}-{name}": value for name, value in fields.items()}


def form(*rows, do="fit"):
    fields = {"rows": len(rows), "note": "", "do": do}
    for each in rows:
        fields |= each
    return fields


# --- from the season plan -----------------------------------------------------------------


def test_a_week_starts_from_the_plan(coach_client, coach, student):
    make_ramp(make_plan(student), area="swing", start=60, target=90, opens=NEXT)
    week = make_week(student)
    make_part(
        week, make_drill(student.studio, area="swing"), dose="20 balls", minutes=10, sessions=3
    )
    putts = make_drill(student.studio, "Putts", area="putting")
    make_part(week, putts, dose="30 balls", minutes=10, sessions=1)
    assert "full swing 65 min" in coach_client.get(address(student)).content.decode()
    page = coach_client.post(address(student, "start"), {"from": "season"}, follow=True)
    swing, putting = queries.live_parts().filter(week__opens=NEXT)
    # 30 minutes of swing become 65: more than double is not given, so 20 a session.
    assert (swing.dose, swing.minutes, swing.sessions) == ("40 balls", 20, 3)
    assert putting.dose == "30 balls"  # Not in the plan: as it was.
    assert "full swing 60 of 65 min planned" in said(page)


def test_an_area_without_a_part_is_named_and_one_with_no_minutes_drops_out(coach_client, student):
    plan = make_plan(student)
    make_ramp(plan, area="swing", start=0, target=0, opens=NEXT)
    make_ramp(plan, area="wedges", start=40, target=40, opens=NEXT)
    week = make_week(student)
    make_part(week, make_drill(student.studio, area="swing"))
    make_part(week, make_drill(student.studio, "Putts", area="putting"))
    page = coach_client.post(address(student, "start"), {"from": "season"}, follow=True)
    assert "without a part yet: wedges (40 min)" in said(page)
    (part,) = queries.live_parts().filter(week__opens=NEXT)
    assert part.revision.name == "Putts"


def test_without_minutes_or_without_a_week_before_it_is_said(coach_client, student):
    make_plan(student)
    page = coach_client.post(address(student, "start"), {"from": "season"}, follow=True)
    assert "no minutes for this week" in said(page)
    make_ramp(student.season_plan)
    page = coach_client.post(address(student, "start"), {"from": "season"}, follow=True)
    assert "no week before" in said(page)
    assert not Week.objects.exists()


# --- fitted to the days ----------------------------------------------------------------------


def test_free_sessions_are_put_on_the_students_days(coach_client, coach, student):
    services.set_days(
        student=student,
        times=[(0, DayPlace.NET, 40), (3, DayPlace.NET, 40), (5, DayPlace.RANGE, 60)],
    )
    ladder = make_drill(studio_of(coach), "Ladder", places="range, net, bay")
    range_only = make_drill(studio_of(coach), "Targets", places="range")
    page = coach_client.post(
        address(student), form(row(ladder), row(range_only, 1, sessions="1"))
    ).content.decode()
    assert "Mon 3 Mar, net at home: Ladder 20 min" in page
    assert "Sat 8 Mar, range or bay: Targets 20 min" in page
    assert "Every part fits, each as often as asked." in page
    typed = Week.objects.get(student=student).typed["rows"]
    assert [each["days"] for each in typed][1] == ["5"]
    assert not queries.live_parts().exists()  # Typed and not sent; the coach edits freely.


def test_the_place_is_kept_with_its_day_and_the_student_reads_it(coach_client, coach, student):
    services.set_days(student=student, times=[(0, DayPlace.NET, 40), (5, DayPlace.RANGE, 60)])
    ladder = make_drill(studio_of(coach), "Ladder", places="range, net, bay")
    page = coach_client.post(address(student), form(row(ladder, sessions="2")))
    assert "Mon net at home, Sat range or bay." in page.content.decode()
    (typed,) = Week.objects.get(student=student).typed["rows"]
    assert typed["places"] == "0:net 5:range"
    # Moved by hand from Saturday to Friday: of that day no place is known.
    as_typed = row(ladder, sessions="2", days=("0", "4"), places=typed["places"])
    coach_client.post(address(student), form(as_typed, do="send"))
    (part,) = queries.live_parts()
    assert (part.days, part.places) == ([0, 4], {"0": "net"})
    with time_machine.travel(NOON + timedelta(days=7)):
        (told,) = bundle(student, student.user)["weeks"][-1]["parts"]
        plain = signed_in(student.user).get(reverse("log:plain")).content.decode()
    assert told["days"] == ["2031-03-03", "2031-03-07"]
    assert told["at"] == {"2031-03-03": "net at home"}
    assert "Mon 3 Mar net at home, Fri 7 Mar" in plain
    # The same week sent again is no change, places and all.
    again = form(as_typed | {"p0-id": part.pk, "revision": "1"}, do="send")
    page = coach_client.post(address(student), again, follow=True)
    assert "Nothing was changed." in page.content.decode()


@pytest.mark.parametrize("places", ["0:moon", "9:net", "net", "0:net:net", "x" * 201])
def test_a_place_that_is_none_is_not_kept(coach_client, coach, student, places):
    ladder = make_drill(studio_of(coach), "Ladder")
    coach_client.post(address(student), form(row(ladder, days=("0",), places=places), do="send"))
    assert not queries.live_parts().exclude(places={}).exists()


def test_the_next_week_keeps_places_and_a_shorter_one_drops_them_with_their_days():
    spec = plan.PartSpec(
        uuid4(), parse("20 balls"), 2, 30.0, days=(0, 3), places=((0, "net"), (3, "range"))
    )
    (shorter,) = plan.shorten([spec], usual=None)
    assert (shorter.sessions, shorter.days, shorter.places) == (1, (0,), ((0, "net"),))


def test_what_is_fixed_stays_and_what_cannot_be_fitted_is_named(coach_client, coach, student):
    services.set_days(student=student, times=[(0, DayPlace.NET, 40)])
    ladder = make_drill(studio_of(coach), "Ladder", places="net")
    targets = make_drill(studio_of(coach), "Targets", places="range")
    page = coach_client.post(
        address(student), form(row(ladder, days=[2]), row(targets, 1, sessions="1"))
    ).content.decode()
    typed = Week.objects.get(student=student).typed["rows"]
    assert typed[0]["days"] == ["0", "2"]
    assert "“Ladder” is fixed to Wednesday: no time is told that day." in page
    assert "“Targets” does not fit once: it needs range or bay" in page


def test_gym_events_excused_days_and_the_week_before_are_known(coach, student):
    speed = make_drill(student.studio, "Speed set", area="speed", dose="3x5@max")
    make_part(make_week(student), speed, days=[6])
    services.mark_gym(student=student, by=coach, lines={NEXT + timedelta(2): LEGS})
    services.add_event(student=student, kind="event", name="Cup", first=NEXT + timedelta(6))
    student.excusals.create(first=NEXT + timedelta(4), last=NEXT + timedelta(4))
    specs = queries.specs_of(queries.week_of(student, MONDAY))
    task = weekly.task_of(student, NEXT, specs, weekly._drills(specs))
    assert task.heavy_legs == {2}
    assert task.events == {6}
    assert task.closed == {4}
    assert (task.speed_before, task.speed_after) == (True, False)
    assert task.blocks[0].is_speed


def test_days_that_are_over_are_not_planned_on(coach, student):
    specs = []
    task = weekly.task_of(student, MONDAY, specs, {})
    assert task.closed == {0, 1}


def test_a_part_by_total_takes_its_time_and_keeps_no_day(coach_client, coach, student):
    services.set_days(student=student, times=[(0, DayPlace.NET, 40)])
    putts = make_drill(studio_of(coach), "Putts")
    coach_client.post(address(student), form(row(putts, sessions="1", by_total="1")))
    assert Week.objects.get().typed["rows"][0]["days"] == []


def test_before_any_days_are_told_it_is_said(coach_client, coach, student):
    page = coach_client.post(address(student), form(row(make_drill(studio_of(coach)))))
    assert "no days are told yet" in page.content.decode()


def test_a_row_that_cannot_be_read_is_not_fitted(coach_client, coach, student):
    page = coach_client.post(
        address(student), form(row(make_drill(studio_of(coach)), dose="plenty"))
    )
    assert page.status_code == 400
    assert "look at part 1" in page.content.decode()


@pytest.mark.parametrize("many", [1, 8])
def test_fitting_costs_the_same_however_many_parts(
    coach_client, coach, student, many, django_assert_num_queries
):
    services.set_days(student=student, times=[(n, DayPlace.NET, 60) for n in range(7)])
    drills = [make_drill(studio_of(coach), f"Drill {n}") for n in range(many)]
    specs = form(*(row(drill, n, sessions="1") for n, drill in enumerate(drills)))
    coach_client.post(address(student), specs)
    with django_assert_num_queries(FIT_QUERIES):
        coach_client.post(address(student), specs)


# The page twice, each time with how much days here differ, the drills of the last lesson and the
# try-outs that were drawn.
FIT_QUERIES = 27


# --- an event in the week ---------------------------------------------------------------------


def test_who_swings_hard_never_has_no_ceiling_of_zero_before_an_event(coach, student):
    """'At most 0 hard swings, none in the last 72 hours' says one thing twice."""
    for weeks in range(3):
        WeekTally.objects.create(student=student, opens=day(-7 * weeks), hard_swings=0)
    services.add_event(student=student, kind="event", name="Spring cup", first=day(11))
    said = limits_pages.limits_shown(coach, student, day(7))
    assert "No hard swings before it." in str(said)
    assert "At most 0" not in str(said)


def test_where_no_hard_swing_is_allowed_no_line_counts_them(coach, student):
    """'No hard swings', and below it 'At most 30 hard swings': which of the two holds?"""
    services.add_event(student=student, kind="event", name="Spring cup", first=day(11))
    stop = Stop.objects.create(student=student, since=day(7))
    said = limits_pages.limits_shown(coach, student, day(7))
    assert said.lines == ("Event week: Spring cup, Fri 7 Mar.",)
    stop.delete()
    assert "At most 30 hard swings" in str(limits_pages.limits_shown(coach, student, day(7)))


def test_an_event_week_is_a_suggestion_beside_the_sums(coach_client, coach, student):
    services.add_event(student=student, kind="event", name="Spring cup", first=day(11))
    speed = make_drill(studio_of(coach), "Speed set", area="speed")
    page = coach_client.post(
        address(student), form(row(speed, sessions="4", dose="3x5@max"), do="keep"), follow=True
    ).content.decode()
    assert "Event week: Spring cup, Fri 7 Mar." in page
    assert "At most 30 hard swings, none in the last 72 hours." in page
    # 4 times 15 is 60; half of the ceiling of 60 without a base is 30.
    assert "a suggestion to take out 30 of them" in page
