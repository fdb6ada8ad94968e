"""What a season keeps: the plan, weekly minutes, events and the next one that follows."""

from datetime import timedelta

import pytest
import time_machine
from django.urls import reverse

from coaching.season import services
from coaching.season.models import AreaRamp, Event, PracticeDay, Priority, SeasonPlan
from coaching.season.services import WantedRamp
from practice.weeks.models import Excusal
from practice.weeks.places import DayPlace
from shared.kit.refused import Refused
from shared.people.history import as_known_at
from shared.people.models import Student, StudentWas
from tests.conftest import messages_on
from tests.factories import NOON, make_student
from tests.season.make import WEEK, day, make_plan, make_ramp, make_tally

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday")]


def address(name, *args, **query):
    return reverse(f"season:{name}", args=args, query=query or None)


def event(student, name="Cup", n=30, last=None, kind="event"):
    return services.add_event(
        student=student,
        kind=kind,
        name=name,
        first=day(n),
        last=None if last is None else day(last),
    )


def next_event(student):
    student.refresh_from_db()
    return student.next_event, student.next_event_name


def refused(words, call, *args, **more):
    with pytest.raises(Refused, match=words):
        call(*args, **more)


# --- the plan -------------------------------------------------------------------------------


@pytest.mark.parametrize(("days", "may"), [(0, False), (1, True), (1098, True), (1099, False)])
def test_a_season_takes_from_two_days_to_three_years(coach, student, days, may):
    def save():
        services.save_plan(student=student, by=coach, first=day(0), last=day(days))

    save() if may else refused("A season ends after it starts", save)
    assert SeasonPlan.objects.exists() == may


@pytest.mark.parametrize(
    ("phases", "words"),
    [
        ([(0, 0), (1, 20)], ""),
        ([(10, 20), (0, 9)], ""),
        ([(0, 9), (9, 20)], "“B” starts before “A” is over."),
        ([(9, 20), (0, 9)], "“A” starts before “B” is over."),
        ([(-1, 5)], "“A” reaches beyond the season."),
        ([(5, 21)], "“A” reaches beyond the season."),
        ([(5, 4)], "“A” ends before it starts."),
    ],
)
def test_phases_lie_in_the_season_one_after_the_other(coach, student, phases, words):
    rows = [
        {"name": name, "first": day(first), "last": day(last)}
        for name, (first, last) in zip("AB", phases, strict=False)
    ]

    def save():
        services.save_plan(student=student, by=coach, first=day(0), last=day(20), phases=rows)

    refused(words, save) if words else save()
    assert SeasonPlan.objects.exists() == (not words)


def test_a_season_written_again_keeps_its_minutes_and_says_when_it_was_changed(
    coach, student, wednesday
):
    plan = make_plan(student, priorities=[{"name": "One"}, {"name": "Two"}])
    make_ramp(plan)
    assert list(Priority.objects.order_by("place").values_list("place", "name")) == [
        (1, "One"),
        (2, "Two"),
    ]
    wednesday.shift(timedelta(days=1))
    make_plan(student, priorities=[{"name": "Two"}], phases=[])
    plan.refresh_from_db()
    assert plan.changed_at == NOON + timedelta(days=1)
    assert (plan.phases.count(), plan.priorities.get().place, plan.ramps.count()) == (0, 1, 1)


# --- the pages on which it is written -------------------------------------------------------


def test_the_pages_offer_what_stands_and_room_for_more(coach_client, student):
    page = coach_client.get(address("plan", student.pk))
    assert page.status_code == 200
    assert page.context["form"]["first"].value() == day(0)
    assert (len(page.context["phases"]), len(page.context["priorities"])) == (6, 3)
    phases = [{"name": str(n), "first": day(n), "last": day(n)} for n in range(7)]
    make_plan(student, phases=phases, priorities=[{"name": "Tempo"}])
    page = coach_client.get(address("plan", student.pk))
    names = [row["name"].value() for row in page.context["phases"]]
    assert names == ["0", "1", "2", "3", "4", "5", "6", None]
    names = [row["name"].value() for row in page.context["priorities"]]
    assert names == ["Tempo", None, None]


def test_seasons_to_copy_from_are_the_newest_first_and_only_where_there_is_none(
    coach, coach_client, student, wednesday
):
    for name in ("Ann", "Ben"):
        make_plan(make_student(coach, name))
        wednesday.shift(timedelta(minutes=1))
    page = coach_client.get(address("plan", student.pk))
    assert [str(each.student) for each in page.context["others"]] == ["Ben", "Ann"]
    found = page.context["others"][1]
    page = coach_client.get(address("plan", student.pk, **{"from": found.pk}))
    assert page.context["copied"].whose == "Ann"
    own = make_plan(student, note="Own.")
    page = coach_client.get(address("plan", student.pk, **{"from": found.pk}))
    assert (page.context["copied"], page.context["others"]) == (None, [])
    assert page.context["form"]["note"].value() == own.note


def test_what_was_done_is_said_at_once(coach_client, student):
    form = {"first": "2031-01-06", "last": "2031-09-28", "note": ""}
    for name in ("phase", "priority"):
        form |= {f"{name}-TOTAL_FORMS": 0, f"{name}-INITIAL_FORMS": 0}
    page = coach_client.post(address("plan", student.pk), form, follow=True)
    assert (page.status_code, messages_on(page)) == (200, "The season is kept.")
    minutes = {"swing-target": "90", "swing-due": "2031-04-10"}
    page = coach_client.post(address("minutes", student.pk), minutes, follow=True)
    assert messages_on(page) == "The weekly minutes are kept."
    page = coach_client.post(address("re_ramp", student.pk), follow=True)
    assert messages_on(page) == ("The line begins anew from what was done in the last four weeks.")
    cup = {"kind": "event", "name": "Cup", "first": "2031-04-05"}
    page = coach_client.post(address("add_event", student.pk), cup, follow=True)
    assert messages_on(page) == "“Cup” is on the sheet."
    found = Event.objects.get()
    assert (found.first, found.last) == (day(40), day(40))
    page = coach_client.post(address("remove_event", student.pk, found.pk), follow=True)
    assert "“Cup” is off the sheet." in messages_on(page)
    away = {"kind": "away", "first": "2031-03-10"}
    page = coach_client.post(address("add_event", student.pk), away, follow=True)
    assert messages_on(page) == "The days are excused. Less is asked at once."
    excused = Excusal.objects.get()
    assert (excused.first, excused.last, excused.kind) == (day(14), day(14), "away")
    days = address("days", student.pk)
    page = coach_client.post(days, {f"d{n}-place": "home" for n in range(7)}, follow=True)
    assert messages_on(page) == "Kept. Your coach plans with these days from now on."


# --- weekly minutes -------------------------------------------------------------------------


def test_the_page_of_minutes_offers_what_stands_and_says_what_was_logged(coach_client, student):
    plan = make_plan(student)
    for ago, done in ((1, 44), (2, 51.9), (5, 900)):
        make_tally(student, ago, done)
    make_tally(student, 3, 60, area="wedges")
    wanted = WantedRamp("putting", 20, 40, day(42), 5, 0, 80)
    services.save_ramps(plan=plan, by=student.lead_coach, opens=day(0), wanted=[wanted])
    page = coach_client.get(address("minutes", student.pk))
    assert page.status_code == 200
    rows = {row.area: (row.initial, said) for row, said in page.context["rows"]}
    # 95.9 minutes in four weeks: as one before them is known, two were weeks of nothing.
    swing = "23 min a week logged in the last 4 weeks"
    assert rows["swing"] == ({"start": 23}, swing)
    assert rows["wedges"] == ({"start": 15}, "15 min a week logged in the last 4 weeks")
    stands = {
        "start": 20,
        "target": 40,
        "due": day(42),
        "cap": 5,
        "lighter_every": 0,
        "lighter": 80,
    }
    assert rows["putting"] == (stands, "nothing logged in the last four weeks")
    assert page.context["rows"][0][0].area_name == "Full swing"


def test_one_week_that_is_known_is_one_week(coach_client, student):
    make_plan(student)
    make_tally(student, 1, 30)
    page = coach_client.get(address("minutes", student.pk))
    assert page.context["rows"][0][1] == "30 min a week logged in the last 1 week"


def test_a_line_whose_week_is_over_does_not_stand_in_the_way_of_another(coach_client, student):
    """The page brings it along as it stands; it is refused only where it is changed."""
    plan = make_plan(student)
    old = make_ramp(plan, "wedges", 20, 40, opens=day(-35), weeks=2)
    stands = {"wedges-start": "20", "wedges-target": "40", "wedges-due": str(old.due)}
    swing = {"swing-start": "60", "swing-target": "90", "swing-due": "2031-04-10"}
    assert coach_client.post(address("minutes", student.pk), stands | swing).status_code == 302
    assert set(AreaRamp.objects.values_list("area", "opens")) == {
        ("wedges", day(-35)),
        ("swing", day(0)),
    }
    changed = stands | {"wedges-target": "50"}
    page = coach_client.post(address("minutes", student.pk), changed | swing)
    assert (page.status_code, page.context["error"]) == (
        400,
        "The week of the target is over already.",
    )


def test_an_emptied_area_asks_nothing_from_this_week_on_and_may_stay_so(
    coach_client, student, wednesday
):
    make_ramp(make_plan(student), opens=day(-14))
    coach_client.post(address("minutes", student.pk), {})
    row = AreaRamp.objects.get(opens=day(0))
    assert (row.start_minutes, row.target_minutes, row.due) == (0, 0, day(0))
    assert AreaRamp.objects.count() == 2  # Weeks before keep the line they had.
    wednesday.shift(timedelta(weeks=3))
    page = coach_client.get(address("minutes", student.pk))
    (initial,) = [row.initial for row, _ in page.context["rows"] if row.area == "swing"]
    form = {f"swing-{name}": str(value) for name, value in initial.items()}
    assert coach_client.post(address("minutes", student.pk), form).status_code == 302
    assert AreaRamp.objects.count() == 2


def test_the_week_of_a_target_may_be_this_one(student):
    plan, opens = make_plan(student), day(0)
    save = {"plan": plan, "by": student.lead_coach, "opens": opens}
    (row,) = services.save_ramps(**save, wanted=[WantedRamp("swing", 60, 60, opens)])
    assert (row.opens, row.due) == (opens, opens)
    over = WantedRamp("swing", 60, 61, opens - WEEK)
    refused("over already", services.save_ramps, **save, wanted=[over])
    every = WantedRamp("swing", 60, 61, opens, lighter_every=1)
    refused("Every second to twelfth", services.save_ramps, **save, wanted=[every])


@pytest.mark.parametrize(
    "more",
    [{"start": 61}, {"target": 91}, {"due": day(49)}, {"cap": 9}, {"lighter_every": 5},
     {"lighter": 71}],
)  # fmt: skip
def test_each_change_of_a_line_begins_it_anew_and_none_leaves_it(student, more):
    plan = make_plan(student)
    stands = {"area": "swing", "start": 60, "target": 90, "due": day(42)}
    save = {"plan": plan, "by": student.lead_coach}
    services.save_ramps(**save, opens=day(-7), wanted=[WantedRamp(**stands)])
    assert services.save_ramps(**save, opens=day(0), wanted=[WantedRamp(**stands)]) == []
    (row,) = services.save_ramps(**save, opens=day(0), wanted=[WantedRamp(**stands | more)])
    assert (row.opens, row.is_from_reality) == (day(0), False)
    assert [each.pk for each in services.current_ramps(plan)] == [row.pk]


def test_a_line_that_was_to_begin_later_gives_way(student):
    plan = make_plan(student)
    make_ramp(plan, opens=day(14))
    make_ramp(plan, opens=day(0), target=80)
    assert AreaRamp.objects.get().opens == day(0)


def test_begun_anew_the_base_is_the_four_weeks_before_since_anything_is_known(student):
    plan = make_plan(student)
    for area in ("swing", "putting"):
        make_ramp(plan, area, 100, 150, opens=day(-7))
    make_tally(student, 0, 500)
    make_tally(student, 3, 61)
    swing = {row.area: row for row in services.re_ramp(plan=plan, by=plan.student.lead_coach)}
    # A sitting of 61 minutes three weeks ago, and since then nothing.
    assert swing["swing"].start_minutes == 20
    assert swing["putting"].start_minutes == 0
    assert services.minutes_done(student, day(0)) == {"swing": [61, 0, 0]}
    make_tally(student, 5, 500, area="speed")
    assert services.minutes_done(student, day(0)) == {"swing": [0, 61, 0, 0]}


@pytest.mark.parametrize("moved", [-3, -1, 1, 3])
def test_weeks_that_opened_on_another_weekday_are_weeks_too(student, moved):
    """The studio began its weeks on another day a week ago: 60 minutes each were read as 15."""
    plan = make_plan(student)
    make_ramp(plan, opens=day(-14))
    make_tally(student, 1)
    for ago in (2, 3, 4, 5, 6):
        tally = make_tally(student, ago)
        tally.opens += timedelta(days=moved)
        tally.save()
    assert services.minutes_done(student, day(0)) == {"swing": [60, 60, 60, 60]}
    (row,) = services.re_ramp(plan=plan, by=plan.student.lead_coach)
    assert row.start_minutes == 60


def test_begun_anew_what_was_taken_off_stays_off(student):
    plan = make_plan(student)
    for area in ("swing", "putting"):
        make_ramp(plan, area, opens=day(-14))
        make_tally(student, {"swing": 1, "putting": 2}[area], area=area)
    by, gone = plan.student.lead_coach, WantedRamp("swing", 0, 0, day(28))
    services.save_ramps(plan=plan, by=by, opens=day(0), wanted=[gone])
    assert [row.area for row in services.re_ramp(plan=plan, by=by)] == ["putting"]
    gone = WantedRamp("putting", 0, 0, day(28))
    services.save_ramps(plan=plan, by=by, opens=day(0), wanted=[gone])
    with pytest.raises(Refused, match="no weekly minutes yet"):
        services.re_ramp(plan=plan, by=by)


@pytest.mark.parametrize(
    ("due", "weeks", "then"),
    # Over, with a season that ends in eight weeks, or this one: then it is four weeks.
    [(-7, 9, 56), (0, 9, 56), (7, 9, 7), (-7, 1, 21), (-7, 4, 21), (-7, 5, 28)],
)
def test_a_target_that_is_over_gets_the_seasons_end_or_four_weeks(student, due, weeks, then):
    plan = make_plan(student, weeks=weeks, phases=[])
    wanted = WantedRamp("swing", 60, 90, day(due), 7, 3, 80)
    save = {"plan": plan, "by": student.lead_coach, "opens": day(-14)}
    services.save_ramps(**save, wanted=[wanted])
    (row,) = services.re_ramp(plan=plan, by=student.lead_coach)
    assert (row.due, row.is_from_reality) == (day(then), True)
    assert (row.cap_percent, row.lighter_every, row.lighter_percent) == (7, 3, 80)


# --- events ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        (30, 43, ""),
        (30, 44, "An event takes 14 days at most."),
        (30, 29, "The last day cannot be before the first."),
        (2 - 366, None, ""),
        (1 - 366, None, "between a year back and three years ahead"),
        (2 + 1098, None, ""),
        (3 + 1098, None, "between a year back and three years ahead"),
    ],
)
def test_events_lie_where_the_words_say(student, first, last, words):
    if words:
        refused(words, event, student, n=first, last=last)
    else:
        event(student, n=first, last=last)
    assert Event.objects.exists() == (not words)


def test_sixty_events_ahead_are_enough(student):
    Event.objects.bulk_create(
        Event(student=student, kind="test", name=str(n), first=day(n), last=day(n))
        for n in range(1, 61)
    )
    event(student, "Sixtieth")  # The first of them was yesterday.
    refused("At most 60 events ahead", event, student, "One more")
    Event.objects.filter(name="7").delete()
    assert event(student, " One more ").name == "One more"


def test_the_next_event_is_the_nearest_competition_that_is_not_over(student):
    event(student, "Test", 3, kind="test")
    assert next_event(student) == (None, "")
    event(student, "Runs", 0, 2)
    event(student, "Over", -1, 1)
    event(student, "Later", 9)
    assert next_event(student) == (day(0), "Runs")
    event(student, "Also", 0)
    services.remove_event(event=Event.objects.select_related("student").get(name="Runs"))
    assert next_event(student) == (day(9), "Later")


def test_what_the_next_event_was_is_known_when_looking_back(student, wednesday):
    event(student, "Later", 30)
    wednesday.shift(timedelta(days=1))
    event(student, "Sooner", 20)
    event(student, "Sooner", 20)
    event(student, "Last", 40)
    was = [
        as_known_at([student.pk], NOON + timedelta(hours=hours)).get(student.pk)
        for hours in (-1, 1, 24)
    ]
    assert [each and each.next_event_name for each in was] == ["", "Later", None]
    assert StudentWas.objects.count() == 2  # The same again changes nothing.


def test_taking_another_off_leaves_what_only_the_students_page_names(student):
    Student.objects.update(next_event=day(5), next_event_name="Own")
    test = event(student, "Test", 3, kind="test")
    student.refresh_from_db()
    services.remove_event(event=Event.objects.select_related("student").get(pk=test.pk))
    assert next_event(student) == (day(5), "Own")


@pytest.mark.parametrize(
    ("written", "named", "events"),
    [
        # A competition on that day takes the name; one of that name moves, as long as it was.
        (20, "Open", [("Open", 20, 21), ("Later", 40, 40)]),
        (30, "Cup", [("Cup", 30, 31), ("Later", 40, 40)]),
        (40, "Cup", [("Cup", 20, 21), ("Cup", 40, 40)]),
        (30, "Open", [("Cup", 20, 21), ("Open", 30, 30), ("Later", 40, 40)]),
        (30, "", [("Cup", 20, 21), ("Event", 30, 30), ("Later", 40, 40)]),
        (2, "Today", [("Today", 2, 2), ("Cup", 20, 21), ("Later", 40, 40)]),
        (1, "Over", [("Cup", 20, 21), ("Later", 40, 40)]),
        (None, "", [("Cup", 20, 21), ("Later", 40, 40)]),
    ],
)
def test_what_is_written_on_the_students_page_is_taken_over(student, written, named, events):
    event(student, "Cup", 20, 21)
    event(student, "Later", 40)
    event(student, "Open", 20, kind="test")
    student.refresh_from_db()
    student.next_event = None if written is None else day(written)
    student.next_event_name = named
    student.save()
    services.take_over_next_event(student)
    rows = Event.objects.filter(kind="event").order_by("first", "last")
    assert [(row.name, row.first, row.last) for row in rows] == [
        (name, day(first), day(last)) for name, first, last in events
    ]
    name, first, _ = events[0]
    assert next_event(student) == (day(first), name)


def test_whose_last_event_is_over_follows_and_nobody_else(coach, student):
    """Two days after, as it may still be the day before elsewhere."""
    left = make_student(coach, "Left", left_on=day(0))
    tests = make_student(coach, "Tests")
    for who in (student, left):
        event(who, "First", 3)
        event(who, "Second", 5)
    event(tests, "First", 3)
    event(tests, "Test", 9, kind="test")
    for later, followed in ((2, 0), (3, 1), (5, 0)):
        with time_machine.travel(NOON + timedelta(later), tick=False):
            assert services.follow_all() == followed, later
    assert next_event(student) == (day(5), "Second")
    assert next_event(left) == (day(3), "First")
    assert next_event(tests) == (day(3), "First")


# --- own days -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("weekday", "minutes", "may"),
    [(0, 1, True), (6, 600, True), (-1, 5, False), (7, 5, False), (0, 0, False), (0, 601, False)],
)
def test_a_day_of_the_week_has_minutes_that_can_be(student, weekday, minutes, may):
    def told():
        services.set_days(student=student, times=[(weekday, DayPlace.NET, minutes)])

    told() if may else refused("from 1 to 600 minutes", told)
    assert PracticeDay.objects.exists() == may


def test_the_page_of_days_says_what_is_told(coach_client, student, student_client):
    times = [(0, DayPlace.NET, 45), (0, DayPlace.HOME, 5), (3, DayPlace.HOME, 20)]
    services.set_days(student=student, times=times)
    page = coach_client.get(address("days", student.pk))
    assert page.status_code == 200
    assert (page.context["total"], page.context["count"]) == (70, 2)
    assert (page.context["is_own"], page.context["is_planning"]) == (False, True)
    page = student_client.get(address("days", student.pk))
    assert (page.context["is_own"], page.context["is_planning"]) == (True, False)
