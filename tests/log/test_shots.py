"""Shots in an entry: written once with it, replaced and taken back with it, refused by name."""

import json
import math
from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from practice.log.document import parse
from practice.log.fields import Refusal
from practice.log.models import Entry, Result
from practice.shots.models import Club, Shot, Sitting
from tests import factories
from tests.log.entries import back, block, change, entry, measured

SPEEDS = [45.2852, 46.1, 44.9, 45.7, 46.3, 45.5]


def counted():
    rows = Shot.objects.filter(sitting__counts=True).order_by("sitting__at", "number")
    return list(rows.values_list("carry", flat=True))


def test_shots_are_rows_of_their_entry_in_the_order_they_were_hit(phone, student, part):
    one = measured(student, part)
    assert phone.receipt(one) == ["stored", ""]
    sitting = Sitting.objects.get()
    assert str(sitting.entry_id) == one["id"]
    assert (sitting.student, sitting.drill) == (student, part.drill)
    assert (sitting.day, sitting.at) == (date(2031, 2, 26), Entry.objects.get().at)
    assert (sitting.device, sitting.ball, sitting.place) == ("Radar", "range", "bay 2")
    assert (sitting.indoors, sitting.evidence) == (True, "measured")
    assert (sitting.counts, sitting.from_memory) == (True, False)
    assert sitting.written_by == student.user
    rows = Shot.objects.order_by("number")
    assert [(r.number, r.club.name, r.length, r.carry) for r in rows] == [
        (1, "54", "chest", 58.0),
        (2, "54", "chest", 61.5),
        (3, "54", "chest", 60.0),
    ]
    assert {r.student for r in rows} == {student}


def test_every_figure_of_a_ball_is_kept_and_what_is_not_said_is_null(phone, student):
    said = {
        "target": 60.0,
        "effort": 80,
        "carry": 0,
        "total": 65.25,
        "side": -3.5,
        "ball_speed": 31.2,
        "club_speed": 27.7,
    }
    phone.receipt(measured(student, balls=[said, {"club_speed": 30}]))
    first, second = Shot.objects.order_by("number")
    assert {name: getattr(first, name) for name in said} == said
    assert (first.club, first.length) == (None, "")
    assert {name: getattr(second, name) for name in said} == dict.fromkeys(said) | {
        "club_speed": 30.0
    }


def test_sent_again_it_is_had_and_nothing_is_doubled(phone, student, part):
    one = measured(student, part)
    assert [phone.receipt(one)[0] for _ in range(3)] == ["stored", "had", "had"]
    assert (Sitting.objects.count(), Shot.objects.count()) == (1, 3)


def test_a_change_replaces_the_shots_and_the_first_are_kept(phone, student, part):
    one = measured(student, part)
    other = measured(student, part, (70.0, 71.0))
    phone.receipt(one)
    phone.receipt(change(one, v=2, b=other["b"]))
    assert counted() == [70.0, 71.0]
    assert Shot.objects.count() == 5


def test_a_change_that_brings_no_balls_takes_them_out(phone, student, part):
    one = measured(student, part)
    phone.receipt(one)
    phone.receipt(change(one, v=2, b=measured(student, part, ())["b"]))
    assert counted() == []


def test_an_older_phone_changes_an_entry_and_leaves_its_shots(phone, student, part):
    one = measured(student, part)
    phone.receipt(one)
    newer = change(one, v=1, b=[block(part, (3,))], day="2031-02-25", felt=8)
    phone.receipt(newer)
    assert counted() == [58.0, 61.5, 60.0]
    sitting = Sitting.objects.get()
    assert (str(sitting.entry_id), sitting.day) == (newer["id"], date(2031, 2, 25))
    # And what was taken out does not come back by it.
    phone.receipt(change(one, v=2, b=measured(student, part, ())["b"]))
    phone.receipt(change(one, v=1, b=[block(part, (3,))]))
    assert counted() == []


def test_taken_back_they_count_no_more_and_stay(phone, student, part):
    one = measured(student, part)
    phone.receipt(one)
    phone.receipt(back(one))
    assert counted() == []
    assert Shot.objects.count() == 3
    phone.receipt(change(one, v=2, b=one["b"]))
    assert counted() == [58.0, 61.5, 60.0]


def test_written_more_than_48_hours_after_they_are_from_memory(phone, student):
    phone.receipt(measured(student) | {"day": "2031-02-23"})
    phone.receipt(measured(student) | {"day": "2031-02-24"})
    marks = Sitting.objects.order_by("day").values_list("from_memory", flat=True)
    assert list(marks) == [True, False]


def test_without_a_device_somebody_saw_it(phone, student):
    phone.receipt(measured(student, device="", indoors=None))
    sitting = Sitting.objects.get()
    assert (sitting.evidence, sitting.indoors) == ("seen", None)


def test_a_club_is_made_once_and_is_the_students_own(phone, coach, student):
    theirs = Club.objects.create(student=factories.make_student(coach), name="54")
    phone.receipt(measured(student))
    phone.receipt(
        measured(student, balls=[{"club": "60", "carry": 40}, {"club": " 54 ", "carry": 9}])
    )
    own = Club.objects.filter(student=student)
    assert {club.name: club.shots.count() for club in own} == {"54": 4, "60": 1}
    assert not theirs.shots.exists()


def test_an_entry_of_version_1_has_no_shots(phone, student, part):
    one = measured(student, part) | {"v": 1}
    assert phone.receipt(one) == ["stored", ""]
    assert not Sitting.objects.exists()
    del one["b"][0]["shots"]
    assert Entry.objects.get().document == one


def test_balls_that_were_only_measured_count_as_done(phone, student):
    drill = factories.make_drill(student.studio, dose="2@50, 2@max")
    part = factories.make_part(factories.make_week(student), drill)
    balls = [{"club_speed": speed} for speed in SPEEDS]
    one = measured(student, part, balls=balls)
    del one["b"][0]["s"]
    phone.receipt(one)
    result = Result.objects.get()
    assert [step["n"] for step in result.steps] == [2, 4]
    assert (result.balls, result.hard_swings) == (6, 4)


def sentence(student, *balls, **fields):
    with pytest.raises(Refusal) as refused:
        parse(measured(student, balls=list(balls), **fields))
    return refused.value.sentence


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("ball", "said"),
    [
        ({"carry": -1}, "“carry” must be from 0 to 450 m."),
        ({"carry": 451}, "“carry” must be from 0 to 450 m."),
        ({"total": 500.5}, "“total” must be from 0 to 500 m."),
        ({"side": -201}, "“side” must be from -200 to 200 m."),
        ({"ball_speed": 0}, "“ball_speed” must be from 1 to 110 m/s."),
        ({"club_speed": 101}, "“club_speed” must be from 1 to 80 m/s."),
        ({"carry": 60, "target": 0}, "“target” must be from 1 to 450 m."),
        ({"carry": "60"}, "“carry” must be a number."),
        ({"carry": True}, "“carry” must be a number."),
        ({"carry": [60]}, "“carry” must be a number."),
        ({"target": 60}, "there is no number for it."),
        ({}, "there is no number for it."),
        ({"carry": 60, "length": "half"}, "the length of the swing is one of: hip, chest, full."),
        ({"carry": 60, "length": 3}, "“length” must be plain text."),
        ({"carry": 60, "club": "x" * 21}, "“club” is too long"),
        ({"carry": 60, "effort": 101}, "“effort” must be from 0 to 100"),
        ("60", "a ball is a JSON object."),
    ],
)
def test_a_number_that_cannot_be_is_refused_by_its_ball(student, ball, said):
    words = sentence(student, {"carry": 60.0}, ball)
    assert words.startswith(f"Ball 2: {said}")


@pytest.mark.django_db
@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, 1e300])
def test_what_is_no_number_is_refused(student, value):
    assert "beyond all practice" in sentence(student, {"carry": value})


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"device": "x" * 61}, "“device” is too long"),
        ({"indoors": "yes"}, "“indoors” must be true or false."),
        ({"place": 4}, "“place” must be plain text."),
    ],
)
def test_a_sitting_that_cannot_be_is_refused(student, fields, said):
    assert sentence(student, {"carry": 60}, **fields).startswith(said)


@pytest.mark.django_db
def test_too_many_balls_and_shots_of_another_shape_are_refused(student):
    assert "more than 300" in sentence(student, *[{"carry": 60}] * 301)
    for wrong in ([], 7, "x"):
        with pytest.raises(Refusal):
            parse(entry(student, v=2, b=[{"s": [], "shots": wrong}]))


def test_a_refused_ball_writes_nothing_and_fails_no_neighbour(phone, student, part):
    bad = measured(student, part, (60.0, -2.0))
    good = measured(student, part)
    answer = phone.sync(bad, good).json()
    assert answer["r"] == {bad["id"]: ["refused", "amount"], good["id"]: ["stored", ""]}
    assert answer["why"][bad["id"]].startswith("Ball 2: ")
    assert Sitting.objects.count() == 1


def test_three_hundred_balls_fit_in_an_entry(phone, student):
    balls = [
        {"club": "54", "length": "chest", "target": 60.5, "carry": 60.1234, "side": 1.5}
        for _ in range(300)
    ]
    assert phone.receipt(measured(student, balls=balls)) == ["stored", ""]
    assert Shot.objects.count() == 300


def test_shots_cost_a_log_three_queries_however_many(phone, student, part):
    def queries_of(one):
        with CaptureQueriesContext(connection) as found:
            assert phone.receipt(one)[0] == "stored"
        return len(found)

    phone.receipt(measured(student, part))  # The club is known from here on.
    plain = queries_of(entry(student, part))
    assert plain + 3 <= 20  # The bound of any log.
    # The clubs, the sitting, its shots.
    assert queries_of(measured(student, part)) == plain + 3
    assert queries_of(measured(student, part, [60.0] * 40)) == plain + 3


def test_the_document_reads_back_from_json_as_it_was(phone, student, part):
    one = measured(student, part)
    phone.receipt(json.loads(json.dumps(one)))
    assert Entry.objects.get().document == one
