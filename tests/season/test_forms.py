"""What each field of a season takes, and what it says of the rest."""

import pytest
from django.http import QueryDict

from coaching.season import forms
from coaching.season.clashes import Body, GymLine, GymLoad
from coaching.season.models import Measure, PracticeDay
from coaching.season.services import WantedRamp
from practice.weeks.places import DayPlace
from shared.people.models import Student, User
from tests.factories import NOON, make_coach, make_drill, studio_of
from tests.season.make import day

EVENT = {"kind": "event", "name": "Cup", "first": "2031-04-05"}
PLAN = {"first": "2031-01-06", "last": "2031-09-28"}
PHASE = {"name": "Build", "first": "2031-01-06", "last": "2031-03-30"}
PRIORITY = {"name": "Speed", "measure": "ball", "value": "150"}
RAMP = {"start": "60", "target": "90", "due": "2031-04-10"}
DAY = {"minutes": "30", "place": "home"}


def form_of(kind, said, reader=None):
    more = {
        forms.PriorityForm: {"student": Student(), "reader": reader or User(speed_unit="mph")},
        forms.RampForm: {"area": "swing"},
        forms.DayForm: {"weekday": 0},
    }
    return kind(said, **more.get(kind, {}))


def faults_of(kind, said):
    return {
        name: [str(word) for word in words] for name, words in form_of(kind, said).errors.items()
    }


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        (forms.EventForm, EVENT),
        (forms.EventForm, EVENT | {"last": EVENT["first"]}),
        (forms.EventForm, {"kind": "away", "first": "2031-04-05"}),
        (forms.PlanForm, PLAN),
        (forms.PhaseForm, PHASE),
        (forms.PhaseForm, {}),
        (forms.PriorityForm, PRIORITY),
        (forms.PriorityForm, {"measure": "other"}),
        (forms.PriorityForm, {"name": "Tempo", "measure": "other"}),
        (forms.RampForm, RAMP),
        (forms.RampForm, {}),
        (forms.GymDayForm, {}),
        (forms.DayForm, {"place": "home"}),
    ],
)
def test_what_may_be_left_out_may_be(kind, said):
    assert faults_of(kind, said) == {}


@pytest.mark.parametrize(
    ("kind", "said", "name", "most"),
    [
        (forms.EventForm, EVENT, "name", 80),
        (forms.PlanForm, PLAN, "note", 600),
        (forms.PhaseForm, PHASE, "name", 40),
        (forms.PriorityForm, PRIORITY, "name", 80),
        (forms.PriorityForm, PRIORITY, "words", 120),
    ],
)
def test_words_have_a_length(kind, said, name, most):
    assert faults_of(kind, said | {name: "x" * most}) == {}
    assert list(faults_of(kind, said | {name: "x" * (most + 1)})) == [name]


@pytest.mark.parametrize(
    ("kind", "said", "name", "low", "high"),
    [
        (forms.PriorityForm, PRIORITY, "effort", 10, 100),
        (forms.RampForm, RAMP, "start", 0, 3000),
        (forms.RampForm, RAMP, "target", 0, 3000),
        (forms.RampForm, RAMP, "cap", 1, 100),
        (forms.RampForm, RAMP, "lighter_every", 0, 12),
        (forms.RampForm, RAMP, "lighter", 1, 100),
        (forms.DayForm, DAY, "minutes", 0, 600),
        (forms.DayForm, DAY | {"more_place": "net"}, "more_minutes", 0, 600),
    ],
)
def test_numbers_are_taken_to_the_bounds_that_are_said(kind, said, name, low, high):
    for number in (low, high):
        assert faults_of(kind, said | {name: str(number)}) == {}
    for number in (low - 1, high + 1, "many"):
        words = f"Write a whole number from {low} to {high}."
        assert faults_of(kind, said | {name: str(number)}) == {name: [words]}


TARGET = "Write the target as a number, or choose “in words”."


@pytest.mark.parametrize(
    ("kind", "said", "faults"),
    [
        (forms.EventForm, EVENT | {"first": ""}, {"first": "Choose a day."}),
        (forms.EventForm, EVENT | {"name": ""}, {"name": "Give it a name."}),
        (
            forms.EventForm,
            EVENT | {"last": "2031-04-04"},
            {"last": "The last day cannot be before the first."},
        ),
        (forms.PlanForm, {}, {"first": "Choose a day.", "last": "Choose a day."}),
        (forms.PhaseForm, PHASE | {"first": ""}, {"first": "Choose a day."}),
        (
            forms.PhaseForm,
            PHASE | {"last": "May"},
            {"last": "Write a date as in 2031-02-24."},
        ),
        (
            forms.PhaseForm,
            {"last": "2031-03-30"},
            {"name": "Give the phase a name, or take its days out."},
        ),
        (
            forms.PriorityForm,
            {"measure": "other", "words": "as ever"},
            {"name": "Give the priority a name, or take its target out."},
        ),
        (
            forms.PriorityForm,
            {"measure": "ball", "value": "0"},
            {"name": "Give the priority a name, or take its target out."},
        ),
        (forms.PriorityForm, PRIORITY | {"value": ""}, {"value": TARGET}),
        (forms.PriorityForm, PRIORITY | {"value": "fast"}, {"value": "Write a number."}),
        (
            forms.PriorityForm,
            PRIORITY | {"value": "1000.5"},
            {"value": "Write a number from 0 to 1000."},
        ),
        (
            forms.PriorityForm,
            PRIORITY | {"value": "-1"},
            {"value": "Write a number from 0 to 1000."},
        ),
        (
            forms.PriorityForm,
            PRIORITY | {"measure": "clean", "value": "101"},
            {"value": "At most 100 of 100 can be clean."},
        ),
        (forms.RampForm, RAMP | {"due": ""}, {"due": "Choose the week of the target."}),
        (forms.RampForm, RAMP | {"due": "May"}, {"due": "Write a date as in 2031-02-24."}),
        (
            forms.RampForm,
            RAMP | {"lighter_every": "1"},
            {"lighter_every": "Every second to twelfth week can be lighter, or none (0)."},
        ),
        (
            forms.DayForm,
            DAY | {"more_minutes": "20", "more_place": "home"},
            {"more_place": "The same place twice: add the minutes up instead."},
        ),
    ],
)
def test_a_fault_is_said_once_beside_its_field(kind, said, faults):
    assert faults_of(kind, said) == {name: [words] for name, words in faults.items()}


@pytest.mark.parametrize(
    ("measure", "value"), [("ball", "0"), ("ball", "1000"), ("clean", "100"), ("carry", "101")]
)
def test_targets_up_to_their_bounds_are_taken(measure, value):
    assert faults_of(forms.PriorityForm, PRIORITY | {"measure": measure, "value": value}) == {}


# --- what is made of it ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("measure", "typed", "kept"),
    [
        # An international mile is 1,609.344 m; a yard 0.9144 m.
        ("ball", "150", 67.056),
        ("club", "100", 44.704),
        ("carry", "10", 9.144),
        ("clean", "70", 70),
        ("other", "12", None),
    ],
)
def test_a_target_is_kept_in_si_and_shown_as_it_was_typed(measure, typed, kept):
    reader = User(speed_unit="mph", distance_unit="yd")
    form = form_of(forms.PriorityForm, PRIORITY | {"measure": measure, "value": typed}, reader)
    assert form.is_valid()
    value = form.priority["value"]
    assert value == (None if kept is None else pytest.approx(kept))
    shown = forms.shown_value(measure, value, reader)
    assert shown == ("" if kept is None else typed)


def test_a_row_without_a_name_is_none():
    for kind, said in ((forms.PhaseForm, {}), (forms.PriorityForm, {"measure": "other"})):
        form = form_of(kind, said)
        assert form.is_valid()
        assert (form.phase if kind is forms.PhaseForm else form.priority) is None


def test_a_new_priority_is_measured_in_words_and_one_that_stands_by_its_own():
    more = {"student": Student(), "reader": User(speed_unit="mph", distance_unit="yd")}
    assert forms.PriorityForm(**more)["measure"].value() == Measure.OTHER
    assert forms.PriorityForm(initial={"measure": "ball"}, **more)["measure"].value() == "ball"
    labels = dict(forms.PriorityForm(**more).fields["measure"].choices)
    assert labels[Measure.BALL_SPEED] == "everyday ball speed, mph"
    assert labels[Measure.CARRY_ERROR] == "carry, at most so many yd off"


@pytest.mark.django_db
def test_ladders_to_choose_from_are_those_on_the_studios_shelf():
    coach = make_coach()
    here = studio_of(coach)
    for name in ("Sway", "Bump"):
        make_drill(here, name)
    gone = make_drill(here, "Gone")
    gone.archived_at = NOON
    gone.save(update_fields=["archived_at"])
    unwritten = make_drill(here, "Unwritten")
    unwritten.current = None
    unwritten.save(update_fields=["current"])
    make_drill(studio_of(make_coach()), "Theirs")
    form = forms.PriorityForm(student=Student(studio=here), reader=coach)
    assert [str(drill) for drill in form.fields["drill"].queryset] == ["Bump", "Sway"]


@pytest.mark.parametrize(
    ("more", "wanted"),
    [
        ({}, (60, 10, 4, 70)),
        ({"start": ""}, (0, 10, 4, 70)),
        ({"cap": "5", "lighter_every": "0", "lighter": "100"}, (60, 5, 0, 100)),
        ({"lighter_every": "2"}, (60, 10, 2, 70)),
        ({"lighter_every": "12"}, (60, 10, 12, 70)),
    ],
)
def test_what_is_left_empty_is_as_the_page_says(more, wanted):
    """'Left empty, it grows by 10 percent a week. Every 4th week is lighter, at 70 percent.'"""
    form = form_of(forms.RampForm, RAMP | more)
    assert form.is_valid()
    start, cap, every, lighter = wanted
    assert form.wanted(lambda due: due) == WantedRamp(
        "swing", start, 90, day(45), cap, every, lighter
    )


def test_a_target_of_nothing_is_one_and_none_is_none():
    form = form_of(forms.RampForm, RAMP | {"target": "0"})
    assert form.is_valid()
    assert form.wanted(lambda due: due).target == 0
    form = form_of(forms.RampForm, {"start": "60"})
    assert form.is_valid()
    assert form.wanted(lambda due: due) is None


@pytest.mark.parametrize(
    ("said", "line"),
    [
        ({}, None),
        ({"body": "lower", "jumps": "on"}, None),
        ({"load": "heavy", "body": "lower"}, GymLine(GymLoad.HEAVY, Body.LOWER)),
        ({"load": "medium", "jumps": "on"}, GymLine(GymLoad.MEDIUM, Body.BOTH, jumps=True)),
    ],
)
def test_a_day_of_the_gym_without_a_load_is_not_marked(said, line):
    form = forms.GymDayForm(said)
    assert form.is_valid()
    assert form.line() == line


def test_a_day_has_up_to_two_places():
    form = form_of(forms.DayForm, {"minutes": "0", "place": "net", "more_minutes": "20"})
    assert form.is_valid()
    assert list(form.times()) == [(0, DayPlace.HOME, 20)]
    form = form_of(forms.DayForm, DAY | {"more_minutes": "20", "more_place": "net"})
    assert form.is_valid()
    assert list(form.times()) == [(0, DayPlace.HOME, 30), (0, DayPlace.NET, 20)]


def test_the_seven_days_stand_in_the_order_of_the_week_with_what_was_told():
    told = [
        PracticeDay(weekday=5, place="net", minutes=40),
        PracticeDay(weekday=5, place="range", minutes=90),
        PracticeDay(weekday=6, place="home", minutes=15),
    ]
    rows = forms.day_forms(told, 6, None)
    assert [row.weekday for row in rows] == [6, 0, 1, 2, 3, 4, 5]
    assert [row.name for row in rows][:2] == ["Sunday", "Monday"]
    assert rows[0].initial == {"minutes": 15, "place": "home"}
    assert rows[1].initial == {}
    assert rows[6].initial == {
        "minutes": 40,
        "place": "net",
        "more_minutes": 90,
        "more_place": "range",
    }
    posted = forms.day_forms(told, 0, QueryDict("d5-minutes=10&d5-place=home"))
    assert posted[5].is_valid()
    assert list(posted[5].times()) == [(5, DayPlace.HOME, 10)]
