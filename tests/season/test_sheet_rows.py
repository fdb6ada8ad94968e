"""The season sheet as its rows: where the season stands, events, areas, and the line week by week.

Days and minutes are worked by hand from the house's rules."""

import pytest

from coaching.season import services
from coaching.season.clashes import GymLine, GymLoad
from coaching.season.models import Event, Measure, Priority, SeasonPlan
from coaching.season.read import read_season
from coaching.season.sheet import sheet_of, target_words
from practice.weeks.models import Excusal
from practice.weeks.places import DayPlace
from shared.people.models import Student, User
from tests.factories import make_drill, make_part, make_week
from tests.season.make import LEGS, WEEK, day, make_plan, make_ramp, make_tally

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday")]


def sheet(student, today=2):
    return sheet_of(student, day(today), student.lead_coach)


def excuse(student, first, last):
    Excusal.objects.create(student=student, first=day(first), last=day(last))


# --- where the season stands --------------------------------------------------------------


def test_phases_say_how_long_they_are_and_which_is_now(student):
    phases = [("Rebuild", -70, -1), ("Sharpen", 0, 48), ("Taper", 49, 55), ("Play", 56, 63)]
    make_plan(
        student,
        note="Slowly.",
        phases=[{"name": name, "first": day(a), "last": day(b)} for name, a, b in phases],
    )
    here = sheet(student)
    assert (here.days, here.note) == ("Mon 16 Dec to Sun 13 Jul 2031", "Slowly.")
    assert [(row.days, row.weeks, row.when) for row in here.phases] == [
        ("Mon 16 Dec to Sun 23 Feb", "10 weeks", "over"),
        ("Mon 24 Feb to Sun 13 Apr", "7 weeks", "now"),
        ("Mon 14 Apr to Sun 20 Apr", "1 week", ""),
        ("Mon 21 Apr to Mon 28 Apr", "2 weeks", ""),
    ]


def test_without_a_season_nothing_is_said_of_one(student):
    here = sheet(student)
    assert (here.has_plan, here.is_gym_marked) == (False, False)
    assert {here.days, here.note, here.phase, here.left, here.returning} == {""}
    rows = (here.phases, here.priorities, here.events, here.past_events, here.ahead, here.areas)
    assert not any(rows)
    assert [row.plan for row in here.back] == ["no line yet"] * 7


@pytest.mark.parametrize(
    ("today", "said"),
    [
        (-71, "The season starts on Mon 16 Dec 2030."),
        (-70, "Rebuild: week 1 of 10."),
        (-1, "Rebuild: week 10 of 10."),
        (0, "Sharpen: week 1 of 7."),
        (6, "Sharpen: week 1 of 7."),
        (7, "Sharpen: week 2 of 7."),
        (48, "Sharpen: week 7 of 7."),
        (49, "Between phases."),
        (139, "Between phases."),
        (140, "The season ended on Sun 13 Jul 2031."),
    ],
)
def test_the_day_says_which_week_of_which_phase_it_is(student, today, said):
    make_plan(student)
    assert sheet(student, today).phase == said


def test_both_ends_of_a_phase_are_in_it(student):
    make_plan(student)
    assert [[row.when for row in sheet(student, n).phases] for n in (-1, 0, 48, 49)] == [
        ["now", ""],
        ["over", "now"],
        ["over", "now"],
        ["over", "over"],
    ]


@pytest.mark.parametrize(
    ("last", "left"),
    [
        (-1, "No weeks are left in this season."),
        (0, "1 week left."),
        (6, "1 week left."),
        (7, "2 weeks left."),
    ],
)
def test_the_weeks_left_are_counted_with_this_one(student, last, left):
    make_plan(student)
    SeasonPlan.objects.update(last=day(last))
    assert sheet(student).left.startswith(left)


def test_weeks_that_are_excused_whole_are_not_left(student):
    make_plan(student, weeks=4, phases=[])
    excuse(student, 7, 13)
    excuse(student, 14, 19)
    assert sheet(student).left.startswith("3 weeks left.")


def test_the_usual_comes_from_open_past_weeks_with_a_plan(student):
    make_plan(student, weeks=2, phases=[])
    for ago in (1, 2, 3):
        make_tally(student, ago)
    make_tally(student, 0, sessions=7)
    make_tally(student, 4, sessions=7, has_plan=False)
    make_tally(student, 5, sessions=7, open_days=0)
    make_tally(student, 6, sessions=3, open_days=1)
    make_tally(student, 7, sessions=7)
    assert sheet(student).left == (
        "2 weeks left. With the usual 2 visits a week that makes 4 more visits, not the 8 asked."
        " The usual comes from 4 past weeks."
    )


@pytest.mark.parametrize(("days", "said"), [(6, ""), (7, "Back after 7 days off")])
def test_a_week_off_is_what_hard_swings_come_back_from(student, days, said):
    make_plan(student)
    excuse(student, -1 - days, -2)
    assert sheet(student).returning.startswith(said)
    assert bool(sheet(student).returning) == bool(said)


# --- events ---------------------------------------------------------------------------------


def test_events_say_when_they_are_and_move_to_over_the_day_after(student):
    for name, first, last in (
        ("Gone", -9, -9),
        ("Went", -1, 1),
        ("Runs", 0, 2),
        ("Began", 1, 3),
        ("Now", 2, 2),
        ("Next", 3, 3),
        ("Sixth", 8, 8),
        ("Seventh", 9, 9),
        ("Twelfth", 15, 15),
        ("Fortnight", 16, 17),
    ):
        services.add_event(
            student=student, kind="test", name=name, first=day(first), last=day(last)
        )
    here = sheet(student)
    assert [(row.name, row.days, row.when) for row in here.events] == [
        ("Runs", "Mon 24 Feb to Wed 26 Feb", ""),
        ("Began", "Tue 25 Feb to Thu 27 Feb", "yesterday"),
        ("Now", "Wed 26 Feb", "today"),
        ("Next", "Thu 27 Feb", "tomorrow"),
        ("Sixth", "Tue 4 Mar", "Tuesday"),
        ("Seventh", "Wed 5 Mar", "in 1 week"),
        ("Twelfth", "Tue 11 Mar", "in 1 week"),
        ("Fortnight", "Wed 12 Mar to Thu 13 Mar", "in 2 weeks"),
    ]
    assert [row.name for row in here.past_events] == ["Went", "Gone"]
    assert {row.kind for row in here.events} == {"test day"}
    assert all(row.may_remove for row in here.events)


def test_of_what_is_over_the_last_ten_and_half_a_year_are_shown(student):
    Event.objects.bulk_create(
        Event(student=student, kind="test", name=str(n), first=day(-n), last=day(-n))
        for n in (*range(1, 12), 182)
    )
    assert [row.name for row in sheet(student).past_events] == [str(n) for n in range(1, 11)]
    Event.objects.filter(first__gt=day(-11)).delete()
    assert [row.name for row in sheet(student).past_events] == ["11", "182"]
    Event.objects.filter(name="182").update(first=day(-183), last=day(-183))
    assert [row.name for row in sheet(student).past_events] == ["11"]


def test_sixty_events_behind_hide_none_of_the_sixty_that_may_be_ahead(student):
    Event.objects.bulk_create(
        Event(student=student, kind="test", name=str(n), first=day(n), last=day(n))
        for n in range(-58, 62)
    )
    assert [row.name for row in sheet(student).events] == [str(n) for n in range(2, 62)]


@pytest.mark.parametrize(
    ("next_event", "name", "events"),
    [
        (2, "Old cup", [("Old cup", False), ("Speed test", True)]),
        (9, "", [("Speed test", True), ("Event", False)]),
        (4, "Old cup", [("Speed test", True)]),
        (1, "Old cup", [("Speed test", True)]),
    ],
)
def test_what_only_the_students_page_names_stands_among_the_events(
    student, next_event, name, events
):
    """Until it is over, and once: an event of the season on that day is taken to be it."""
    services.add_event(student=student, kind="test", name="Speed test", first=day(4))
    Student.objects.update(next_event=day(next_event), next_event_name=name)
    student.refresh_from_db()
    assert [(row.name, row.may_remove) for row in sheet(student).events] == events


# --- gym, days ------------------------------------------------------------------------------


def test_the_strip_and_its_clashes_are_those_of_this_week_and_the_next(student, coach):
    """What was marked before is asked for what reaches over, and is not shown."""
    speed = make_drill(student.studio, "Speed set", area="speed")
    for opens, days in ((-1, [6]), (0, [0]), (1, [6]), (2, [0])):
        make_part(make_week(student, day(7 * opens)), speed, days=days)
    heavy = GymLine(GymLoad.HEAVY)
    services.mark_gym(
        student=student, by=coach, lines={day(-2): heavy, day(-1): LEGS, day(13): LEGS}
    )
    here = sheet(student)
    assert here.clashes == [
        "Mon 24 Feb: Speed set the day after heavy legs.",
        "Mon 24 Feb: hard speed work the day after hard speed work.",
        "Mon 24 Feb: the third hard day in a row, golf and gym together.",
        "Sun 9 Mar: Speed set on a day of heavy legs.",
    ]
    assert not here.is_gym_marked
    services.mark_gym(student=student, by=coach, lines={day(-3): heavy, day(2): LEGS})
    here = sheet(student)
    # The third in a row was the Sunday.
    assert not any("third hard day" in words for words in here.clashes)
    assert here.is_gym_marked
    assert [cell.words for cell in here.gym] == [
        *["not marked"] * 2,
        "heavy, legs",
        *["not marked"] * 4,
    ]
    assert [cell.is_today for cell in here.gym].index(True) == 2


def test_own_days_are_said_from_monday_on_with_their_places(student):
    services.set_days(
        student=student,
        times=[(5, DayPlace.RANGE, 90), (5, DayPlace.COURSE, 30), (0, DayPlace.NET, 45)],
    )
    assert sheet(student).own_days == [
        "Monday: 45 min net at home",
        "Saturday: 30 min course or short-game lawn, 90 min range or bay",
    ]


# --- priorities -----------------------------------------------------------------------------


def test_one_priority_with_a_ladder_beside_one_without_says_where_it_stands(student):
    drill = make_drill(student.studio, "Sway gate")
    aims = [
        {"name": "Sway", "stage": "shape", "drill": drill, "by": day(40)},
        {"name": "Putts", "measure": "other", "words": "fewer than 30"},
        {"name": "Tempo", "drill": drill},
    ]
    make_plan(student, priorities=aims)
    rows = sheet(student).priorities
    assert [(row.place, row.stage, row.target, row.by) for row in rows] == [
        (1, "Shape", "", "by Sat 5 Apr 2031"),
        (2, "", "fewer than 30", ""),
        (3, "", "", ""),
    ]
    assert rows[0].gate == (
        "On to Flow once the move holds at a felt 60 to 70 (ladder of “Sway gate”)"
    )
    assert [row.stands for row in rows] == ["Nothing is known at 60 to 70 yet.", "", ""]
    assert [row.gate for row in rows[1:]] == ["", ""]


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"measure": Measure.BALL_SPEED, "value": 67.056}, "150.0 mph everyday ball speed"),
        ({"measure": Measure.CLUB_SPEED, "value": 44.704}, "100.0 mph everyday club speed"),
        ({"measure": Measure.CLEAN, "value": 70, "effort": 90}, "70 of 100 clean at a felt 90"),
        ({"measure": Measure.CLEAN, "value": 70}, "70 of 100 clean at a felt effort"),
        ({"measure": Measure.CARRY_ERROR, "value": 2.5}, "carry at most 2.5 m off"),
        ({"measure": Measure.OTHER, "value": 12, "words": "pars"}, "12, pars"),
        ({"measure": Measure.OTHER, "words": "in one piece"}, "in one piece"),
    ],
)
def test_each_kind_of_target_is_said_in_its_own_words(fields, said):
    assert target_words(Priority(**fields), User(speed_unit="mph", distance_unit="m")) == said


# --- weekly minutes -------------------------------------------------------------------------


def test_an_area_says_what_it_asks_now_and_what_was_logged_lately(student):
    plan = make_plan(student)
    make_ramp(plan, "swing", 60, 90)
    make_ramp(plan, "putting", 0, 20, opens=day(7))
    make_ramp(plan, "wedges", 20, 0)
    make_ramp(plan, "speed", 0, 0)
    make_tally(student, 0, 500)
    make_tally(student, 5, 500)
    make_tally(student, 4, 31)
    areas = {row.name: row for row in sheet(student).areas}
    assert set(areas) == {"Full swing", "Putting", "Wedges"}
    # 30 minutes in seven weeks, of which one is lighter.
    assert areas["Full swing"].now == "65 min"
    assert areas["Full swing"].target == "90 min by the week of Mon 7 Apr"
    assert areas["Full swing"].lately == "31 min a week logged, 1 week"
    assert areas["Putting"].now == "starts later"
    assert areas["Wedges"].lately == "0 min a week logged, 1 week"
    make_tally(student, 1, 30)
    assert sheet(student).areas[0].lately == "30 min a week logged, 2 weeks"


def test_without_a_log_nothing_was_logged_lately(student):
    make_ramp(make_plan(student))
    make_tally(student, 5)
    assert sheet(student).areas[0].lately == "nothing logged yet"


@pytest.mark.parametrize(
    ("target", "weeks", "cap", "says"),
    [
        (110, 0, 10, ""),
        # 110, 121, 133, a lighter week, 146, 160.
        (160, 2, 10, "it would in the week of Mon 31 Mar."),
        # Five minutes a week are 520 in two years.
        (3000, 0, 1, "does not let it stand by then."),
    ],
)
def test_a_target_that_the_cap_keeps_away_says_when_it_would_stand(
    student, target, weeks, cap, says
):
    wanted = services.WantedRamp("swing", 100, target, day(7 * weeks), cap)
    plan = make_plan(student)
    services.save_ramps(plan=plan, by=student.lead_coach, opens=day(0), wanted=[wanted])
    said = sheet(student).areas[0].says
    assert said.endswith(says)
    assert said.startswith(f"The cap of {cap} % a week" if says else "")
    assert bool(said) == bool(says)


def test_a_week_away_after_the_week_of_the_target_puts_it_off(student):
    """The sentence and the line beside it name one week."""
    make_ramp(make_plan(student), start=100, target=160, weeks=2)
    excuse(student, 21, 27)
    here = sheet(student)
    (week,) = [row.opens for row in here.ahead if row.plan == "160 min"][:1]
    assert here.areas[0].says.endswith(f"it would in the week of {week}.")
    assert week != "Mon 31 Mar"


# --- the line, week by week -----------------------------------------------------------------


def test_the_line_reaches_from_six_weeks_back_to_eleven_ahead(student):
    plan = make_plan(student)
    make_ramp(plan, "swing", 60, 60)
    make_ramp(plan, "wedges", 40, 40, opens=day(7))
    make_tally(student, 0, 45, asked_minutes=50.9)
    make_tally(student, 1, 30, has_plan=False)
    here = sheet(student)
    assert [row.opens for row in here.back] == [
        "Mon 24 Feb", "Mon 17 Feb", "Mon 10 Feb", "Mon 3 Feb", "Mon 27 Jan", "Mon 20 Jan",
        "Mon 13 Jan",
    ]  # fmt: skip
    now, before, earlier = here.back[:3]
    assert (now.plan, now.asked, now.done) == ("60 min", "50 min", "45 min")
    assert (before.plan, before.asked, before.done) == ("no line yet", "nothing sent", "30 min")
    assert (earlier.asked, earlier.done) == ("nothing sent", "0 min")
    assert [row.is_now for row in here.back] == [True, *[False] * 6]
    assert now.bar.label == "45 of 60 minutes done"
    assert before.bar is None
    assert [row.opens for row in here.ahead][::10] == ["Mon 3 Mar", "Mon 12 May"]
    assert [row.plan for row in here.ahead[:2]] == ["100 min", "100 min"]
    ahead = here.ahead[0]
    assert (ahead.bar.asked, ahead.bar.done, ahead.bar.extra) == (100, 0, 0)
    assert (ahead.bar.label, ahead.asked, ahead.done) == ("100 minutes planned", "", "")
    assert not any(row.is_now for row in here.ahead)
    # One scale for all bars: the longest is the sum of both areas, or what was done beyond it.
    assert {row.bar.scale for row in (now, *here.ahead)} == {100}
    make_tally(student, 2, 130)
    assert {row.bar.scale for row in (sheet(student).back[0], *sheet(student).ahead)} == {130}


def test_the_line_ends_with_the_season(student):
    make_plan(student, weeks=3, phases=[])
    assert [row.opens for row in sheet(student).ahead] == ["Mon 3 Mar", "Mon 10 Mar"]
    assert {row.plan for row in sheet(student).ahead} == {"no line yet"}
    SeasonPlan.objects.update(last=day(14))
    assert len(sheet(student).ahead) == 2
    SeasonPlan.objects.all().delete()
    assert sheet(student).ahead == []


def test_a_week_says_why_it_asks_less(student):
    make_ramp(make_plan(student), start=60, target=60, weeks=20)
    services.add_event(student=student, kind="event", name="Cup", first=day(13), last=day(14))
    services.add_event(student=student, kind="test", name="Test", first=day(29))
    excuse(student, 28, 29)
    excuse(student, 35, 41)
    rows = sheet(student).ahead[:6]
    assert [(row.kind, row.plan) for row in rows] == [
        # Half of 60 where there is an event, five sevenths where two days are off.
        ("event week: Cup", "30 min"),
        ("event week: Cup", "30 min"),
        ("lighter week", "42 min"),
        ("days away", "42 min"),
        ("away", "0 min"),
        # A quarter is lost, and comes back in eleven steps.
        ("", "46 min"),
    ]
    assert rows[4].bar is None


def test_the_line_stands_still_however_long_ago_it_began(student):
    """It is not asked to begin anew: five years later the sheet opens all the same."""
    plan = make_plan(student)
    make_ramp(plan, start=60, target=60, opens=day(0) - 260 * WEEK, weeks=3)
    assert sheet(student).back[0].plan in {"60 min", "42 min"}
    assert sheet(student).areas[0].now == sheet(student).back[0].plan


def test_every_phase_that_may_be_written_stands_on_the_sheet(student):
    first = [day(7 * n) for n in range(31)]
    phases = [{"name": f"Phase {n}", "first": a, "last": a} for n, a in enumerate(first)]
    with pytest.raises(services.Refused, match="30 phases at most"):
        make_plan(student, weeks=40, phases=phases)
    make_plan(student, weeks=40, phases=phases[:30])
    assert [row.name for row in sheet(student).phases][-1] == "Phase 29"


def test_days_away_before_half_a_year_are_over(student):
    make_plan(student)
    for last in (-183, -182):
        excuse(student, last, last)
    assert [span.last for span in read_season(student, day(2)).excusals] == [day(-182)]
