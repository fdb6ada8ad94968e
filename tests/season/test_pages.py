"""Season sheet, plan, weekly minutes, events, gym strip and own days: who may, what is said."""

from datetime import timedelta

import pytest
import time_machine
from django.urls import reverse

from coaching.season import services
from coaching.season.clashes import GymLine, GymLoad
from coaching.season.models import AreaRamp, Event, GymDay, Phase, PracticeDay, Priority, SeasonPlan
from coaching.season.read import read_season
from coaching.season.sheet_weeks import lines_of, weeks_back
from practice.care.models import Stop
from practice.weeks.models import Excusal
from practice.weeks.places import DayPlace
from shared.kit.refused import Refused
from shared.people.models import Guardianship, Membership, Student
from tests.conftest import signed_in
from tests.factories import (
    MONDAY,
    NOON,
    make_child,
    make_coach,
    make_drill,
    make_part,
    make_student,
    make_user,
    make_week,
    studio_of,
)
from tests.numbers.test_ladder import logged
from tests.season.make import LEGS, WEEK, day, make_plan, make_ramp, make_tally

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday")]


@pytest.fixture
def gym_coach(student):
    coach = make_coach(student.studio, Membership.Role.HELPER, name="Gym Coach")
    student.strength_coaches.add(coach)
    return coach


def at(name, *args, **query):
    return reverse(f"season:{name}", args=args, query=query or None)


def page_of(user, address):
    answer = signed_in(user).get(address)
    return answer.content.decode() if answer.status_code == 200 else answer.status_code


# --- who may see what -------------------------------------------------------------------

OPEN_TO = {
    # coach, assistant, strength coach, student, stranger
    "sheet": (200, 200, 404, 404, 404),
    "plan": (200, 404, 404, 404, 404),
    "minutes": (200, 404, 404, 404, 404),
    "strip": (200, 404, 200, 404, 404),
    "own_sheet": (404, 404, 404, 200, 404),
    "days": (200, 404, 404, 200, 404),
}


@pytest.mark.parametrize("name", OPEN_TO)
def test_each_page_is_open_to_those_it_is_for(coach, student, gym_coach, name):
    make_plan(student)
    assistant = make_coach(student.studio, Membership.Role.ASSISTANT)
    people = (coach, assistant, gym_coach, student.user, make_coach())
    answers = tuple(signed_in(who).get(at(name, student.pk)).status_code for who in people)
    assert answers == OPEN_TO[name]


@pytest.mark.parametrize("name", ["re_ramp", "add_event"])
def test_only_who_plans_may_change_a_season(coach, student, gym_coach, name):
    assistant = make_coach(student.studio, Membership.Role.ASSISTANT)
    for who in (assistant, gym_coach, student.user, make_coach()):
        assert signed_in(who).post(at(name, student.pk), EVENT).status_code == 404
    assert not Event.objects.exists()


def test_a_guardian_sees_the_childs_sheet_and_tells_its_days(coach):
    guardian = make_user("Guardian")
    child = make_child(coach, guardian)
    assert "Season sheet of" in page_of(guardian, at("own_sheet", child.pk))
    assert (
        signed_in(guardian).post(at("days", child.pk), days_form(d0=(30, "home"))).status_code
        == 302
    )
    Guardianship.objects.update(withdrawn_at=NOON)
    # What is kept stays open to the guardian; nothing is written any more.
    assert "Season sheet of" in page_of(guardian, at("own_sheet", child.pk))
    assert (
        signed_in(guardian).post(at("days", child.pk), days_form(d0=(10, "home"))).status_code
        == 404
    )


def test_without_consent_nothing_is_written(coach, coach_client):
    child = make_child(coach)
    plan = make_plan(child)
    make_ramp(plan)
    Guardianship.objects.update(withdrawn_at=NOON)
    assert coach_client.post(at("add_event", child.pk), EVENT).status_code == 404
    assert coach_client.post(at("re_ramp", child.pk)).status_code == 404
    assert coach_client.post(at("strip", child.pk), gym_form(d0="rest")).status_code == 404
    assert coach_client.post(at("days", child.pk), days_form(d0=(30, "home"))).status_code == 404
    assert not Event.objects.exists()
    assert not GymDay.objects.exists()


def test_the_gyms_list_is_for_the_strength_coach_and_coaches(coach, student, gym_coach):
    make_student(make_coach(), "Stranger")
    for who in (coach, gym_coach):
        page = page_of(who, at("gym"))
        assert "Sam Sample" in page
        assert "Stranger" not in page
        # The list of strength is the strength coach's own: to others the link led nowhere.
        assert (reverse("progress:strength_roster") in page) == (who == gym_coach)
    assert page_of(student.user, at("gym")) == 404


def test_a_strength_coach_keeps_the_strips_of_those_shared_and_of_no_others(
    coach, student, gym_coach
):
    other = make_student(coach, "Not Shared")
    page = page_of(gym_coach, at("gym"))
    assert "Sam Sample" in page
    assert "Not Shared" not in page
    assert page_of(gym_coach, at("strip", other.pk)) == 404
    assert signed_in(gym_coach).post(at("strip", other.pk), gym_form(d0="rest")).status_code == 404
    student.strength_coaches.remove(gym_coach)
    assert page_of(gym_coach, at("strip", student.pk)) == 404
    assert "Nobody here yet" in page_of(gym_coach, at("gym"))


def test_the_strength_coach_sees_limits_and_no_words_about_pain(student, gym_coach):
    drill = make_drill(student.studio, "Speed set", area="speed")
    Stop.objects.create(student=student, drill=drill, since=MONDAY, clearing_words="wrist hurt")
    page = page_of(gym_coach, at("strip", student.pk))
    assert "No Speed set since Mon 24 Feb, until a coach clears it." in page
    assert "wrist" not in page


# --- the sheet --------------------------------------------------------------------------


def test_an_empty_sheet_says_what_comes_first(coach, student):
    page = page_of(coach, at("sheet", student.pk))
    assert "There is no season yet" in page
    assert "Write the season" in page
    assert "Your coach has not written a season yet." in page_of(
        student.user, at("own_sheet", student.pk)
    )


def test_the_sheet_says_where_the_season_stands(coach, student):
    plan = make_plan(student, weeks=11)
    make_ramp(plan, start=60, target=90)
    for ago in range(1, 7):
        make_tally(student, ago)
    services.add_event(student=student, kind="event", name="Spring cup", first=day(40))
    services.add_event(student=student, kind="test", name="Speed test", first=day(4))
    services.mark_gym(student=student, by=coach, lines={day(3): LEGS})
    page = page_of(coach, at("sheet", student.pk))
    for words in (
        "Sharpen: week 1 of 7.",
        # 11 weeks at 2 visits; 4 were asked.
        "that makes 22 more visits, not the 44 asked. The usual comes from 6 past weeks.",
        "On to Speed once the move holds at a felt 90",
        "Spring cup",
        "event week: Spring cup",
        "Fri 28 Feb: Speed test the day after heavy legs.",
        "66 min this week, 90 min by the week of",
        "60 min a week logged, 4 weeks",
        "lighter week",
        "Build up again from this week",
    ):
        assert words in page
    own = page_of(student.user, at("own_sheet", student.pk))
    assert "Sharpen: week 1 of 7." in own
    assert "Build up again" not in own


def test_a_cap_that_is_too_low_for_the_target_says_when_it_would_stand(coach, student):
    make_ramp(make_plan(student), start=100, target=200, weeks=3)
    assert "The cap of 10 % a week does not let it stand by then" in page_of(
        coach, at("sheet", student.pk)
    )


def test_before_after_and_between_the_phases(coach, student):
    plan = make_plan(student, phases=[])
    address = at("sheet", student.pk)
    assert "Between phases." in page_of(coach, address)
    SeasonPlan.objects.update(first=day(7))
    assert "The season starts on Mon 3 Mar 2031." in page_of(coach, address)
    SeasonPlan.objects.update(first=day(-70), last=day(-1))
    assert "The season ended on Sun 23 Feb 2031." in page_of(coach, address)
    assert plan.pk


def test_after_a_week_off_hard_swings_come_back_in_steps(coach, student):
    make_plan(student)
    Excusal.objects.create(student=student, first=day(-10), last=day(-2))
    assert "Back after 9 days off: hard swings at half" in page_of(coach, at("sheet", student.pk))


@pytest.mark.parametrize(
    ("back", "said"),
    [(6, "at half"), (-7, "at half"), (-8, "at three quarters"), (-14, "at three quarters")],
)
def test_they_come_back_from_this_week_on_for_two_weeks(coach, student, back, said):
    make_plan(student)
    Excusal.objects.create(student=student, first=day(back - 9), last=day(back))
    assert f"Back after 10 days off: hard swings {said}" in page_of(coach, at("sheet", student.pk))


@pytest.mark.parametrize("back", [7, -15])
def test_who_is_still_away_or_long_back_hears_of_no_return(coach, student, back):
    make_plan(student)
    Excusal.objects.create(student=student, first=day(back - 9), last=day(back))
    assert "Back after" not in page_of(coach, at("sheet", student.pk))


@pytest.mark.parametrize(("done", "bar"), [(30, (60, 30, 0)), (80, (60, 60, 20))])
def test_a_week_that_is_over_shows_what_was_done_of_the_line_and_what_beyond(student, done, bar):
    plan = make_plan(student)
    make_ramp(plan, start=60, target=60)
    tally = make_tally(student, 0, done)
    season = read_season(student, MONDAY)
    row = weeks_back(season, lines_of(season), {MONDAY: tally})[0]
    assert (row.bar.asked, row.bar.done, row.bar.extra) == bar


def test_both_ends_of_days_away_are_away(student):
    make_plan(student)
    Excusal.objects.create(student=student, first=day(-1), last=day(1))
    assert read_season(student, MONDAY).away == {day(-1), day(0), day(1)}


def test_a_phase_that_begins_on_the_last_day_of_a_week_names_it(coach, student):
    begins = {"name": "Sharpen", "first": day(6), "last": day(48)}
    make_plan(student, phases=[begins])
    weeks = weeks_back(read_season(student, MONDAY), {}, {})
    assert (weeks[0].phase, weeks[1].phase) == ("Sharpen", "")


def test_targets_are_in_the_readers_units(coach, student):
    make_plan(
        student,
        priorities=[
            {"name": "Speed", "measure": "ball", "value": 67.056},
            {"name": "Wedges", "measure": "carry", "value": 3, "words": "at 50"},
            {"name": "Ladder", "measure": "clean", "value": 70, "effort": 90},
        ],
    )
    page = page_of(coach, at("sheet", student.pk))
    # 150 mph is exactly 67.056 m/s.
    assert "150.0 mph everyday ball speed" in page
    assert "carry at most 3 m off, at 50" in page
    assert "70 of 100 clean at a felt 90" in page
    coach.speed_unit = "mps"
    coach.save()
    assert "67.1 m/s" in page_of(coach, at("sheet", student.pk))


def test_a_gate_says_where_the_move_stands_with_its_counts(coach, student):
    drill = make_drill(student.studio, "Sway gate", dose="20@60, 20@90")
    part = make_part(make_week(student), drill)
    aim = {"name": "Sway", "stage": "shape", "drill": drill}
    make_plan(student, priorities=[aim, {"name": "Speed", "stage": "speed", "drill": drill}])
    assert "Nothing is known at 60 to 70 yet." in page_of(coach, at("sheet", student.pk))
    for ago in (0, 1):
        logged(student, part, {60: (18, 20), 90: (8, 20)}, days_ago=ago)
    page = page_of(coach, at("sheet", student.pk))
    counts = "Clean in 21 days: 36 of 40 at 60 · 16 of 40 at 90"
    assert f"The gate is open: it holds at 60. {counts}" in page
    # The gate to Keep is two test days: only the counts are said.
    assert page.count(counts) == 2


def test_practice_of_an_area_without_a_line_is_not_beyond_the_plan(coach, student):
    make_ramp(make_plan(student), start=60, target=60)
    tally = make_tally(student, 0, 60)
    tally.parts.append(tally.parts[0] | {"area": "putting", "done_minutes": 45})
    tally.minutes = 105
    tally.save()
    page = page_of(coach, at("sheet", student.pk))
    assert "60 of 60 minutes done" in page
    assert "105 min" in page
    assert "beyond what was asked" not in page


@pytest.mark.parametrize("many", [1, 12])
def test_the_sheet_costs_the_same_however_long_the_season(
    coach, coach_client, student, many, django_assert_num_queries
):
    plan = make_plan(student)
    for n in range(many):
        make_tally(student, n)
        make_ramp(plan, start=10 + n, opens=MONDAY - n * WEEK)
        services.add_event(student=student, kind="event", name=f"Cup {n}", first=day(7 * n))
        services.mark_gym(student=student, by=coach, lines={day(n): LEGS})
        week = make_week(student, MONDAY + n * WEEK)
        make_part(week, make_drill(student.studio, f"Drill {n}"), days=[1])
        Excusal.objects.create(student=student, first=day(20 + n), last=day(20 + n))
    student.refresh_from_db()
    # 1 session, user and roles; 2 the student; 3 plan; 4 ramps; 5 days away; 6 events; 7 phases;
    # 8 priorities; 9 tallies; 10 gym; 11 parts; 12 events near; 13 own days; the limits, the frame.
    with django_assert_num_queries(4):
        coach_client.get(at("sheet", student.pk))


# --- writing the season -----------------------------------------------------------------


def plan_form(**more):
    fields = {"first": "2031-01-06", "last": "2031-09-28", "note": ""}
    fields |= {"phase-TOTAL_FORMS": 2, "phase-INITIAL_FORMS": 0}
    fields |= {"phase-0-name": "Build", "phase-0-first": "2031-01-06", "phase-0-last": "2031-03-30"}
    fields |= {"priority-TOTAL_FORMS": 2, "priority-INITIAL_FORMS": 0}
    fields |= {
        "priority-0-name": "Speed",
        "priority-0-measure": "ball",
        "priority-0-value": "150",
        "priority-0-stage": "speed",
        "priority-1-measure": "words",
    }
    fields["priority-1-measure"] = "other"
    return fields | more


def test_a_season_is_written_and_read_back(coach_client, student):
    assert coach_client.post(at("plan", student.pk), plan_form()).status_code == 302
    assert Phase.objects.get().name == "Build"
    assert Priority.objects.get().value == pytest.approx(67.056)
    page = coach_client.get(at("plan", student.pk)).content.decode()
    assert 'value="Build"' in page
    assert 'value="150"' in page
    assert coach_client.post(at("plan", student.pk), plan_form()).status_code == 302
    assert SeasonPlan.objects.count() == Phase.objects.count() == 1


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("first", "24.2.2031", "Write a date as in 2031-02-24."),
        ("first", "2031-02-30", "Write a date as in 2031-02-24."),
        ("last", "", "Choose a day."),
        ("last", "2031-01-01", "A season ends after it starts"),
        ("last", "2040-01-01", "takes three years at most"),
        ("phase-0-last", "", "Choose a day."),
        ("phase-0-last", "2030-12-01", "“Build” ends before it starts."),
        ("phase-0-last", "2031-12-01", "“Build” reaches beyond the season."),
        ("phase-0-name", "", "Give the phase a name, or take its days out."),
        ("priority-0-value", "fast", "Write a number."),
        ("priority-0-value", "", "Write the target as a number"),
        ("priority-0-value", "-3", "from 0 to 1000"),
        ("priority-0-name", "", "Give the priority a name"),
    ],
)
def test_what_cannot_be_is_said_beside_it_and_nothing_is_lost(
    coach_client, student, field, value, words
):
    answer = coach_client.post(at("plan", student.pk), plan_form(note="Slowly", **{field: value}))
    page = answer.content.decode()
    assert answer.status_code == 400
    assert words in page
    assert "Slowly" in page
    assert not SeasonPlan.objects.exists()


def test_phases_that_overlap_are_refused(coach_client, student):
    more = {
        "phase-1-name": "Sharpen",
        "phase-1-first": "2031-03-30",
        "phase-1-last": "2031-05-01",
    }
    page = coach_client.post(at("plan", student.pk), plan_form(**more)).content.decode()
    assert "“Sharpen” starts before “Build” is over." in page


def test_somebody_elses_drill_is_no_ladder_here(coach_client, student):
    theirs = make_drill(studio_of(make_coach()))
    answer = coach_client.post(
        at("plan", student.pk), plan_form(**{"priority-0-drill": str(theirs.pk)})
    )
    assert answer.status_code == 400


# --- weekly minutes ---------------------------------------------------------------------


def minutes_form(**more):
    return {"swing-start": "60", "swing-target": "90", "swing-due": "2031-04-10"} | more


def test_weekly_minutes_are_kept_from_this_week_on(coach_client, student):
    make_plan(student)
    make_tally(student, 1, 44)
    assert 'value="44"' in coach_client.get(at("minutes", student.pk)).content.decode()
    assert coach_client.post(at("minutes", student.pk), minutes_form()).status_code == 302
    ramp = AreaRamp.objects.get()
    # The Thursday names the week that opens on Monday 7 April.
    assert (ramp.opens, ramp.due, ramp.cap_percent) == (MONDAY, day(42), 10)
    coach_client.post(at("minutes", student.pk), minutes_form())
    assert AreaRamp.objects.count() == 1
    coach_client.post(at("minutes", student.pk), {})
    assert AreaRamp.objects.get().target_minutes == 0


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("swing-start", "many", "from 0 to 3000"),
        ("swing-target", "-1", "from 0 to 3000"),
        ("swing-due", "soon", "Write a date as in"),
        ("swing-due", "", "Choose the week of the target."),
        ("swing-due", "2031-01-01", "The week of the target is over already."),
        ("swing-due", "2036-01-01", "from 1 to 104 weeks"),
        ("swing-cap", "0", "from 1 to 100"),
        ("swing-lighter_every", "1", "Every second to twelfth week"),
    ],
)
def test_minutes_that_cannot_be_are_said_beside_them(coach_client, student, field, value, words):
    make_plan(student)
    answer = coach_client.post(at("minutes", student.pk), minutes_form(**{field: value}))
    assert answer.status_code == 400
    assert words in answer.content.decode()
    assert not AreaRamp.objects.exists()


def test_minutes_need_a_season_first(coach_client, student):
    assert coach_client.get(at("minutes", student.pk)).status_code == 404


def test_the_line_begins_anew_from_what_was_done_without_a_jump(coach_client, student):
    plan = make_plan(student)
    make_ramp(plan, start=100, target=150, opens=MONDAY - 4 * WEEK, weeks=10)
    for ago, done in ((4, 100), (3, 100), (2, 0), (1, 0)):
        make_tally(student, ago, done)
    coach_client.post(at("re_ramp", student.pk))
    old, new = AreaRamp.objects.order_by("opens")
    # The mean of 100, 100, 0, 0; towards the same target by the same week.
    assert (new.opens, new.start_minutes, new.target_minutes) == (MONDAY, 50, 150)
    assert (new.due, new.is_from_reality) == (old.due, True)
    coach_client.post(at("re_ramp", student.pk))
    assert AreaRamp.objects.count() == 2


def test_nothing_to_begin_anew_is_said(coach_client, student):
    make_plan(student)
    answer = coach_client.post(at("re_ramp", student.pk), follow=True)
    assert "no weekly minutes yet" in str(next(iter(answer.context["messages"])))


def test_a_target_whose_week_is_over_gets_the_end_of_the_season(coach_client, student):
    make_ramp(make_plan(student, weeks=9), opens=MONDAY - 5 * WEEK, weeks=2)
    coach_client.post(at("re_ramp", student.pk))
    assert AreaRamp.objects.order_by("opens").last().due == MONDAY + 8 * WEEK


# --- events -----------------------------------------------------------------------------

EVENT = {"kind": "event", "name": "Spring cup", "first": "2031-04-05", "last": ""}


def test_an_event_becomes_the_next_event_of_the_student(coach_client, student):
    coach_client.post(at("add_event", student.pk), EVENT)
    coach_client.post(at("add_event", student.pk), EVENT)
    coach_client.post(
        at("add_event", student.pk), EVENT | {"name": "Early cup", "first": "2031-03-08"}
    )
    student.refresh_from_db()
    assert Event.objects.count() == 2
    assert (student.next_event_name, student.next_event) == ("Early cup", day(12))
    early = Event.objects.get(name="Early cup")
    coach_client.post(at("remove_event", student.pk, early.pk))
    student.refresh_from_db()
    assert student.next_event_name == "Spring cup"
    coach_client.post(at("remove_event", student.pk, Event.objects.get().pk))
    student.refresh_from_db()
    assert student.next_event is None


def test_what_is_written_on_the_students_page_is_an_event_of_the_season(coach_client, student):
    fields = {
        "name": student.name,
        "hand": "right",
        "time_zone": "UTC",
        "lead_coach": student.lead_coach_id,
        "next_event": "2031-04-05",
        "next_event_name": "Spring cup",
    }
    address = reverse("student_edit", args=[student.pk])
    assert coach_client.post(address, fields).status_code == 302
    coach_client.post(address, fields | {"next_event": "2031-04-06"})
    event = Event.objects.get()
    assert (event.first, event.last, event.name) == (day(41), day(41), "Spring cup")


def test_an_event_from_before_there_were_seasons_stands_on_the_sheet(coach, student):
    Student.objects.update(next_event=day(9), next_event_name="Old cup")
    page = page_of(coach, at("sheet", student.pk))
    assert "Old cup" in page
    assert "Take off" not in page


def test_when_an_event_is_over_the_next_one_follows(student):
    services.add_event(student=student, kind="event", name="First", first=day(3))
    services.add_event(student=student, kind="event", name="Second", first=day(30))
    assert services.follow_all() == 0
    with time_machine.travel(NOON + timedelta(5), tick=False):
        assert services.follow_all() == 1
        assert services.follow_all() == 0
    student.refresh_from_db()
    assert student.next_event_name == "Second"


def test_days_away_are_excused_days(coach_client, student):
    form = EVENT | {"kind": "away", "name": "", "first": "2031-03-03", "last": "2031-03-05"}
    coach_client.post(at("add_event", student.pk), form)
    assert not Event.objects.exists()
    assert Excusal.objects.get().last == day(9)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"first": "5 April"}, "Write a date as in 2031-02-24."),
        ({"first": ""}, "Choose a day."),
        ({"name": ""}, "Give it a name."),
        ({"last": "2031-04-04"}, "The last day cannot be before the first."),
        ({"last": "2031-05-04"}, "14 days at most"),
        ({"first": "2001-04-05"}, "between a year back and three years ahead"),
        ({"first": "2099-04-05"}, "between a year back and three years ahead"),
        ({"kind": "away", "first": "2039-04-05"}, "up to a year ahead"),
        ({"kind": "party"}, "That is not in the list."),
    ],
)
def test_a_bad_event_is_said_beside_it(coach_client, student, changed, words):
    answer = coach_client.post(at("add_event", student.pk), EVENT | changed)
    assert answer.status_code == 400
    assert words in answer.content.decode()
    assert not Event.objects.exists()


def test_somebody_elses_event_cannot_be_taken_off(coach_client, student):
    other = make_student(make_coach())
    event = services.add_event(student=other, kind="event", name="Theirs", first=day(9))
    assert coach_client.post(at("remove_event", student.pk, event.pk)).status_code == 404
    assert Event.objects.exists()


# --- the gym strip ----------------------------------------------------------------------


def gym_form(times="1", **days):
    """Loads by day, as in d0="heavy legs"."""
    fields = {"times": times}
    for prefix, words in days.items():
        load, _, body = words.partition(" ")
        body = {"legs": "lower", "arms": "upper"}.get(body, "both")
        fields |= {f"{prefix}-load": load, f"{prefix}-body": body}
    return fields


def test_the_strength_coach_marks_a_week_and_clashes_show_to_both(coach, student, gym_coach):
    drill = make_drill(student.studio, "Speed set", area="speed")
    make_part(make_week(student), drill, days=[3])
    client = signed_in(gym_coach)
    answer = client.post(at("strip", student.pk), gym_form(d2="heavy legs", d4="light"))
    assert answer.status_code == 302
    words = "Thu 27 Feb: Speed set the day after heavy legs."
    for who, address in (
        (gym_coach, at("strip", student.pk)),
        (gym_coach, at("gym")),
        (coach, at("sheet", student.pk)),
        (coach, reverse("plans:set_week", args=[student.pk, MONDAY])),
    ):
        assert words in page_of(who, address)
    assert "Golf: Speed set" in page_of(gym_coach, at("strip", student.pk))


def test_a_mark_is_changed_taken_off_and_repeated(student, gym_coach):
    client = signed_in(gym_coach)
    client.post(at("strip", student.pk), gym_form("4", d0="heavy legs"))
    assert GymDay.objects.count() == 4
    first = GymDay.objects.earliest("day")
    client.post(at("strip", student.pk), gym_form("4", d0="heavy legs"))
    assert GymDay.objects.earliest("day").pk == first.pk  # The same again writes nothing.
    client.post(at("strip", student.pk), gym_form(d0="rest"))
    assert GymDay.objects.get(day=MONDAY).load == "rest"
    client.post(at("strip", student.pk), gym_form())
    assert not GymDay.objects.filter(day=MONDAY).exists()
    assert GymDay.objects.count() == 3


def test_an_unmarked_week_offers_the_last_one(student, gym_coach):
    services.mark_gym(student=student, by=gym_coach, lines={day(0): LEGS})
    page = page_of(gym_coach, at("strip", student.pk, **{"from": "2031-03-05"}))
    assert "below is last week’s" in page
    assert not GymDay.objects.filter(day__gte=day(7)).exists()


@pytest.mark.parametrize(
    "bad", [{"d0-load": "brutal"}, {"d0-load": "rest", "d0-body": "tail"}, {"times": "53"}]
)
def test_a_mark_that_cannot_be_writes_nothing(student, gym_coach, bad):
    answer = signed_in(gym_coach).post(at("strip", student.pk), gym_form(d1="rest") | bad)
    assert answer.status_code == 400
    assert not GymDay.objects.exists()


@pytest.mark.parametrize(
    "text", ["yesterday", "2031-13-01", "0001-01-01", "9999-12-31", "2099-01-01"]
)
def test_a_week_that_cannot_be_is_not_found(student, gym_coach, text):
    assert page_of(gym_coach, at("strip", student.pk, **{"from": text})) == 404


def test_marking_asks_for_a_sensible_number_of_weeks(student, gym_coach):
    with pytest.raises(Refused, match="from 1 to 12 weeks"):
        services.mark_gym(
            student=student, by=gym_coach, lines={MONDAY: GymLine(GymLoad.REST)}, times=99
        )


@pytest.mark.parametrize("many", [1, 12])
def test_the_gyms_list_costs_the_same_however_many_students(
    coach, gym_coach, many, django_assert_num_queries
):
    for n in range(many):
        student = make_student(coach, f"Student {n}")
        services.mark_gym(student=student, by=gym_coach, lines={MONDAY: LEGS})
        services.add_event(student=student, kind="event", name="Cup", first=day(2))
        make_part(make_week(student), make_drill(student.studio, f"D{n}", area="speed"), days=[1])
    client = signed_in(gym_coach)
    # 1 session, user and roles; 2 the studio; 3 students; 4 gym; 5 parts; 6 events; 7 the frame.
    with django_assert_num_queries(6):
        client.get(at("gym"))


# --- days and places --------------------------------------------------------------------


def days_form(**days):
    fields = {f"d{n}-place": "home" for n in range(7)}
    for prefix, (minutes, place) in days.items():
        fields |= {f"{prefix}-minutes": str(minutes), f"{prefix}-place": place}
    return fields


def test_a_student_tells_days_minutes_and_places(student, student_client):
    form = days_form(d0=(45, "net"), d5=(90, "range"))
    form |= {"d5-more_minutes": "30", "d5-more_place": "course"}
    assert student_client.post(at("days", student.pk), form).status_code == 302
    told = PracticeDay.objects.order_by("weekday", "minutes").values_list(
        "weekday", "place", "minutes"
    )
    assert list(told) == [(0, "net", 45), (5, "course", 30), (5, "range", 90)]
    page = student_client.get(at("days", student.pk)).content.decode()
    assert "Told now: 165 minutes on 2 days." in page
    assert "Monday: 45 min net at home" in page_of(student.user, at("own_sheet", student.pk))
    student_client.post(at("days", student.pk), days_form())
    assert not PracticeDay.objects.exists()


@pytest.mark.parametrize(
    ("bad", "words"),
    [
        ({"d0-minutes": "an hour"}, "Write a whole number from 0 to 600."),
        ({"d0-minutes": "601"}, "Write a whole number from 0 to 600."),
        ({"d0-minutes": "30", "d0-place": "moon"}, "That is not in the list."),
        (
            {"d0-minutes": "30", "d0-more_minutes": "20", "d0-more_place": "home"},
            "The same place twice: add the minutes up instead.",
        ),
    ],
)
def test_days_that_cannot_be_are_said_and_what_was_told_stays(student, student_client, bad, words):
    services.set_days(student=student, times=[(2, DayPlace.NET, 40)])
    answer = student_client.post(at("days", student.pk), days_form() | bad)
    assert answer.status_code == 400
    assert words in answer.content.decode()
    assert PracticeDay.objects.get().minutes == 40


@pytest.mark.parametrize(
    ("times", "words"),
    [
        ([(0, DayPlace.NET, 5), (0, DayPlace.NET, 6)], "twice on one day"),
        ([(7, DayPlace.NET, 5)], "from 1 to 600"),
        ([(0, DayPlace.NET, 0)], "from 1 to 600"),
    ],
)
def test_the_command_refuses_days_that_cannot_be(student, times, words):
    with pytest.raises(Refused, match=words):
        services.set_days(student=student, times=times)


def test_a_season_is_copied_from_another_student_and_kept_when_it_is_saved(coach, coach_client):
    """Of whom the coach plans for alone; nothing is kept by looking."""
    ann, ben = make_student(coach, "Ann"), make_student(coach, "Ben")
    coach_client.post(at("plan", ann.pk), plan_form(note="Slowly"))
    season = SeasonPlan.objects.get(student=ann)
    page = coach_client.get(at("plan", ben.pk, **{"from": season.pk})).content.decode()
    assert "Copied from Ann. Nothing is kept until you save it." in page
    assert 'value="Build"' in page
    assert "Slowly" in page
    assert not SeasonPlan.objects.filter(student=ben).exists()
    stranger = make_coach(name="Else")
    theirs = make_student(stranger, "Theirs")
    assert "Copied" not in page_of(stranger, at("plan", theirs.pk, **{"from": season.pk}))
