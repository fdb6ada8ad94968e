"""What stands beside a week: limits in sentences, events and gym near it, and clashes."""

import pytest

from coaching.season import limits_pages, services
from coaching.season.clashes import Body, GymLine, GymLoad
from coaching.season.models import Event
from coaching.season.near import Near, near_of, read_near
from coaching.season.read import competition_in, golf_of, is_speed, read_golf
from coaching.season.season_context import SeasonBeside, beside, facts_of
from practice.care.hard_swings import Ceiling
from practice.care.limits import Limits
from practice.care.models import Screening, Stop
from practice.care.screening import Can
from practice.weeks.models import Excusal
from shared.people.models import Membership, Student
from tests.factories import (
    NOON,
    make_child,
    make_coach,
    make_drill,
    make_part,
    make_student,
    make_week,
)
from tests.season.make import LEGS, day

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday")]
HEAVY_ARMS = GymLine(GymLoad.HEAVY, Body.UPPER)


def shown(reader, student, limits=None, opens=None):
    return limits_pages.limits_shown(reader, student, opens, limits)


def limits(student, **more):
    return Limits(student.pk, **more)


def cup(first, last=None, name="Cup", kind="event"):
    return Event(kind=kind, name=name, first=day(first), last=day(first if last is None else last))


# --- limits in sentences --------------------------------------------------------------------


def test_nothing_that_limits_is_nothing_to_print(coach, student):
    said = shown(coach, student)
    assert not said
    assert (said.said, said.stops, said.most, said.has_event) == ((), (), None, False)
    assert (said.student, said.name, said.may_clear) == (student.pk, "Sam Sample", True)


def test_a_stop_says_why_to_those_who_read_it_and_whom_to_ask_to_others(coach, student):
    ladder = make_drill(student.studio, "Ladder")
    for drill, since in ((None, 0), (ladder, 0), (make_drill(student.studio, "Bat"), -1)):
        Stop.objects.create(student=student, drill=drill, since=day(since))
    said = shown(coach, student)
    assert said.stopped == (
        "No Bat since Sun 23 Feb: stopped for pain.",
        "No Ladder and no hard swings since Mon 24 Feb: stopped for pain.",
    )
    assert {stop.what for stop in said.stops} == {"Bat", "Ladder", "hard swings"}
    assert said
    assistant = make_coach(student.studio, Membership.Role.ASSISTANT)
    for found in (shown(assistant, student), limits_pages.limits_passed_on(student)):
        assert not found.may_clear
        assert found.stopped[0] == "No Bat since Sun 23 Feb, until a coach clears it."


@pytest.mark.parametrize(
    ("more", "read", "passed_on"),
    [
        (
            {"rests": True},
            "No hard swings for now: something hurts, after many more than usual.",
            "Rest from hard swings for now: ask the lead coach.",
        ),
        (
            {"asks_first": True},
            "Ask how it feels before any hard swings: see Care notes.",
            "Ask the lead coach before any hard swings.",
        ),
    ],
)
def test_a_rest_says_why_only_to_those_who_read_it(coach, student, more, read, passed_on):
    services.mark_gym(student=student, by=coach, lines={day(3): LEGS})
    found = limits(student, **more)
    said = shown(coach, student, found)
    assert said.lines[0] == read
    assert limits_pages.limits_passed_on(student, limits=found).lines[0] == passed_on
    # Where nobody swings hard no line says on which days.
    assert len(said.lines) == (1 if said.rests else 2)
    assert said.rests == ("rests" in more)
    assert said.said == said.lines


def test_an_event_week_says_how_much_it_may_ask(coach, student):
    services.add_event(student=student, kind="event", name="Cup", first=day(5))
    said = shown(coach, student)
    few = "At most 30 hard swings, none in the last 72 hours."
    assert said.lines == ("Event week: Cup, Sat 1 Mar.", few)
    assert (said.has_event, said.most) == (True, Ceiling(30, is_event=True))
    assert shown(coach, student, opens=day(7)).lines == ()
    rests = shown(coach, student, limits(student, rests=True))
    assert (rests.lines[1:], rests.most) == (("Event week: Cup, Sat 1 Mar.",), None)


@pytest.mark.parametrize(
    ("marked", "words"),
    [
        ({0: LEGS, 6: LEGS}, "Monday and Sunday"),
        ({-1: LEGS, 7: LEGS, 3: HEAVY_ARMS}, ""),
    ],
)
def test_heavy_legs_of_the_week_are_named(coach, student, marked, words):
    services.mark_gym(student=student, by=coach, lines={day(n): line for n, line in marked.items()})
    said = f"Heavy legs on {words}. No hard speed work then or a day later."
    assert shown(coach, student).lines == ((said,) if words else ())
    Stop.objects.create(student=student, since=day(0))
    assert shown(coach, student).lines == ()


def test_the_young_hear_their_number_once(coach):
    child = make_child(coach)
    rest = "two days of rest"
    assert shown(coach, child).lines == (f"Under 16: at most 40 hard swings a week, {rest}.",)
    services.add_event(student=child, kind="event", name="Cup", first=day(5))
    assert shown(coach, child).lines[-1] == f"Under 16: {rest} a week."
    Stop.objects.create(student=child, since=day(0))
    assert shown(coach, child, opens=day(7)).lines == (f"Under 16: {rest} a week.",)


@pytest.mark.parametrize(
    ("first", "last", "named"),
    [(-3, -1, ""), (-3, 0, "Mon 24 Feb"), (0, 0, "Mon 24 Feb"), (6, 9, "Sun 2 Mar"), (7, 7, "")],
)
def test_an_event_is_named_in_each_week_that_it_lies_in(coach, student, first, last, named):
    services.add_event(student=student, kind="event", name="Cup", first=day(first), last=day(last))
    services.add_event(student=student, kind="test", name="Test", first=day(0))
    found = shown(coach, student).lines
    assert found[:1] == ((f"Event week: Cup, {named}.",) if named else ())


@pytest.mark.parametrize(
    ("written", "name", "said"),
    [
        (-1, "Own", "Event week: Cup, Fri 28 Feb."),
        (0, "Own", "Event week: Own, Mon 24 Feb."),
        (0, "", "Event week: Event, Mon 24 Feb."),
        (6, "Own", "Event week: Cup, Fri 28 Feb."),
    ],
)
def test_the_first_event_of_the_week_is_named_also_from_the_students_page(
    coach, student, written, name, said
):
    services.add_event(student=student, kind="event", name="Cup", first=day(4))
    Student.objects.update(next_event=day(written), next_event_name=name)
    student.refresh_from_db()
    assert shown(coach, student).lines[0] == said


def test_of_several_each_has_its_own_week(coach):
    ann, ben = make_student(coach, "Ann"), make_student(coach, "Ben")
    for who in (ann, ben):
        services.mark_gym(student=who, by=coach, lines={day(2): LEGS, day(9): LEGS})
        services.mark_gym(student=who, by=coach, lines={day(10): LEGS})
    found = limits_pages.limits_of_several(coach, [ben, ann], {ann.pk: day(7)})
    assert [each.name for each in found] == ["Ben", "Ann"]
    assert [each.lines[0].split(".")[0] for each in found] == [
        "Heavy legs on Wednesday",
        "Heavy legs on Wednesday and Thursday",
    ]
    given = {ann.pk: limits(ann, rests=True), ben.pk: limits(ben)}
    found = limits_pages.limits_of_several(coach, [ann, ben], {}, given)
    assert [each.rests for each in found] == [True, False]


# --- what is near ---------------------------------------------------------------------------


def test_near_is_from_three_days_before_to_the_day_after(coach, student):
    for n in (-4, -3, 7, 8):
        services.add_event(student=student, kind="test", name=str(n), first=day(n))
        services.mark_gym(student=student, by=coach, lines={day(n): HEAVY_ARMS})
        Excusal.objects.create(student=student, first=day(n), last=day(n))
    Excusal.objects.create(student=student, first=day(3), last=day(4), withdrawn_at=NOON)
    found = near_of(student, day(0))
    assert [event.name for event in found.events] == ["-3", "7"]
    assert found.gym == {day(-3): HEAVY_ARMS, day(7): HEAVY_ARMS}
    assert sorted(found.away) == [(day(-3), day(-3)), (day(7), day(7))]
    assert (found.excused, found.is_limited) == (set(), False)
    assert read_near([], {}) == {}


def test_excused_are_the_days_of_the_week_with_both_ends(coach, student):
    found = Near(day(0), away=[(day(-2), day(0)), (day(4), day(5)), (day(6), day(9))])
    assert found.excused == {day(0), day(4), day(5), day(6)}
    assert Near(day(0), away=[(day(7), day(7)), (day(-1), day(-1))]).excused == set()


def test_each_one_s_own_is_near_in_order_and_a_screening_counts_from_any_day(coach):
    ann, ben = make_student(coach, "Ann"), make_student(coach, "Ben")
    for name, first in (("B", 3), ("A", 3), ("C", 1)):
        services.add_event(student=ann, kind="event", name=name, first=day(first))
    line = GymLine(GymLoad.MEDIUM, Body.LOWER, jumps=True)
    services.mark_gym(student=ben, by=coach, lines={day(9): line})
    for who, can in ((ann, Can.CAN), (ben, Can.CANNOT)):
        Screening.objects.create(student=who, day=day(-400), movement="trunk", can=can, by=coach)
    found = read_near([ann, ben], {ann.pk: day(0), ben.pk: day(7)})
    assert [event.name for event in found[ann.pk].events] == ["C", "A", "B"]
    assert found[ben.pk].gym == {day(9): line}
    assert (found[ann.pk].gym, found[ben.pk].events) == ({}, [])
    assert [found[who.pk].is_limited for who in (ann, ben)] == [False, True]


@pytest.mark.parametrize(
    ("first", "last", "is_in"),
    [(-2, -1, False), (-2, 0, True), (6, 8, True), (7, 8, False), (2, 3, True)],
)
def test_a_competition_lies_in_a_week_with_any_of_its_days(first, last, is_in):
    assert (competition_in([cup(first, last)], day(0)) is not None) == is_in
    assert competition_in([cup(first, last, kind="test")], day(0)) is None


# --- hard golf ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("area", "dose", "is_hard"),
    [
        ("speed", "20 balls", True),
        ("swing", "3x5@max", True),
        ("swing", "12@60, 3@max", True),
        ("swing", "12@60", False),
        ("putting", "", False),
    ],
)
def test_speed_work_is_of_its_area_or_as_hard_as_one_can(area, dose, is_hard):
    assert is_speed(area, dose) == is_hard


def test_hard_golf_is_what_was_sent_for_these_days(coach, student):
    speed = make_drill(student.studio, "Speed set", area="speed")
    make_part(make_week(student, day(-7)), speed, days=[5, 6])
    part = make_part(make_week(student), speed, days=[0, 3])
    make_part(make_week(student, day(7), sent=False), speed, days=[0])
    taken = make_part(part.week, speed, days=[1])
    taken.removed_at = NOON
    taken.save()
    services.add_event(student=student, kind="event", name="Cup", first=day(2), last=day(4))
    services.add_event(student=student, kind="test", name="Test", first=day(-1))
    found = {(hard.day, hard.what, hard.is_speed) for hard in read_golf(student, day(-1), day(3))}
    assert found == {
        (day(-1), "Speed set", True),
        (day(0), "Speed set", True),
        (day(3), "Speed set", True),
        (day(2), "Cup", False),
        (day(3), "Cup", False),
        (day(-1), "Test", True),
    }
    assert golf_of([], day(0), day(1)) == {}
    assert read_golf(student, day(20), day(21)) == []


# --- beside a week that is being set ----------------------------------------------------------


def facts(events=(), gym=None, speed=(), hard=0, most=None):
    known = SeasonBeside(day(0), list(events), gym or {})
    return facts_of(known, speed, planned_hard=hard, most=most)


def test_test_days_of_the_week_are_facts():
    tests = [cup(n, name=str(n), kind="test") for n in (-1, 0, 6, 7)]
    assert facts(tests) == ["Test day: 0 on Mon 24 Feb.", "Test day: 6 on Sun 2 Mar."]
    assert facts([cup(2)]) == []


@pytest.mark.parametrize(("hard", "over"), [(29, None), (30, None), (31, 1), (60, 30)])
def test_hard_swings_beyond_what_the_week_may_ask_are_a_suggestion(hard, over):
    words = f"{hard} hard swings are planned: a suggestion to take out {over} of them."
    assert facts(hard=hard, most=Ceiling(30, is_event=True)) == ([words] if over else [])
    assert facts(hard=hard) == []


def test_clashes_of_what_is_fixed_and_of_events_are_said_of_the_week_alone():
    legs = {day(-1): LEGS, day(4): LEGS}
    assert facts([cup(5)], legs, [(0, "Speed set"), (6, "Speed set")]) == [
        "Clash: Mon 24 Feb: Speed set the day after heavy legs.",
        "Clash: Sat 1 Mar: Cup the day after heavy legs.",
    ]
    test = cup(4, name="Test", kind="test")
    assert facts([test], legs)[1:] == ["Clash: Fri 28 Feb: Test on a day of heavy legs."]
    before = [cup(-1, name="Before", kind="test")]
    assert facts(before, legs) == []


def test_the_event_that_only_the_students_page_names_stands_beside():
    near_it = Near(day(0), events=[cup(3)])

    def names(next_event, name=""):
        who = Student(next_event=next_event, next_event_name=name)
        return [event.name for event in beside(who, near_it).events]

    assert names(None) == ["Cup"]
    assert names(day(3), "Own") == ["Cup"]
    assert names(day(4), "Own") == ["Cup", "Own"]
    assert names(day(4)) == ["Cup", "Event"]
    assert beside(Student(), near_it).opens == day(0)
