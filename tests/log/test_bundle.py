"""What a phone is told, and in how many queries."""

import gzip
import json
from datetime import timedelta

import brotli
import pytest
import time_machine
from django.db import connection

from practice.clips.models import Clip
from practice.drills.models import Caution, DrillRevision
from practice.log.models import Entry, Line
from practice.phone.bundle import bundle, link_bundle
from practice.weeks.models import Excusal, Part
from shared.people.models import User
from tests import factories
from tests.factories import MONDAY, NOON
from tests.log.entries import Phone, entry, measured

WEEK = timedelta(days=7)


def test_a_part_as_the_phone_needs_it(phone, student, part):
    phone.receipt(entry(student, part, b=[{"p": str(part.pk), "as": True}]))
    Part.objects.filter(pk=part.pk).update(days=[1, 3])
    answer = phone.week().json()
    assert (answer["today"], answer["zone"]) == ("2031-02-26", student.time_zone)
    (week,) = answer["weeks"]
    assert (week["opens"], week["closes"]) == ("2031-02-24", "2031-03-02")
    (row,) = week["parts"]
    assert row["steps"][2] == {
        "n": 6, "sets": 1, "each": 6, "u": "reps", "e": 90, "back": False, "label": "6@90",
    }  # fmt: skip
    assert (row["rounds"], row["test"]) == (1, False)
    assert row["days"] == ["2031-02-25", "2031-02-27"]
    assert (row["sessions"], row["sessionsDone"], row["left"]) == (3, 1.0, 2)
    assert row["stopped"] is None


def test_rounds_and_sets_are_in_the_counts(phone, student):
    drill = factories.make_drill(student.studio, dose="2 rounds: 3x8@50, 5 min")
    factories.make_part(factories.make_week(student), drill)
    steps = phone.week().json()["weeks"][0]["parts"][0]["steps"]
    assert [(step["n"], step["u"]) for step in steps] == [(48, "reps"), (10, "min")]
    assert [(step["sets"], step["each"]) for step in steps] == [(3, 8), (1, 5)]
    assert phone.week().json()["weeks"][0]["parts"][0]["rounds"] == 2


def test_last_week_and_the_next_if_it_is_out(phone, student):
    for n in (-2, -1, 0, 1, 2):
        factories.make_week(student, MONDAY + n * WEEK, sent=n != 1)
    assert [week["opens"] for week in phone.week().json()["weeks"]] == ["2031-02-17", "2031-02-24"]


def test_what_was_logged_of_an_older_week_keeps_its_name(phone, student, part):
    old = factories.make_part(
        factories.make_week(student, MONDAY - 2 * WEEK),
        factories.make_drill(student.studio, "Towel drill"),
    )
    phone.receipt(entry(student, part))
    assert phone.week().json()["names"] == {}
    phone.receipt(entry(student, old, day=str(MONDAY - timedelta(days=8))))
    assert phone.week().json()["names"] == {str(old.pk): "Towel drill"}
    assert link_bundle(student, student.user)["names"] == {}


def test_removed_parts_and_withdrawn_cautions_are_not_told(phone, student, part):
    other = factories.make_part(part.week, factories.make_drill(student.studio), removed_at=NOON)
    Caution.objects.create(drill=part.drill, version=1, when="Old", stop="stop.")
    Caution.objects.create(drill=part.drill, version=2, when="New", stop="x", withdrawn_at=NOON)
    answer = phone.week().json()
    assert [row["id"] for row in answer["weeks"][0]["parts"]] == [str(part.pk)]
    assert answer["cautions"] == {}
    assert other.pk != part.pk


def test_only_the_latest_version_of_a_caution_is_told(phone, part):
    for version in (1, 2):
        Caution.objects.create(drill=part.drill, version=version, when=f"V{version}", stop="stop.")
    (told,) = phone.week().json()["cautions"].values()
    assert told == {"text": "V2 stop.", "read": False}


def test_lines_and_days_away_are_told(phone, student, coach):
    Line.objects.create(student=student, author=coach, text="Well done")
    Excusal.objects.create(student=student, first=MONDAY, last=MONDAY)
    answer = phone.week().json()
    assert [(line["by"], line["text"]) for line in answer["lines"]] == [("Coach One", "Well done")]
    assert answer["excused"] == [{"first": "2031-02-24", "last": "2031-02-24"}]


def test_everything_that_arrived_is_listed_and_nothing_of_others(phone, student, coach):
    one = entry(student, day="2031-01-02")
    assert phone.receipt(one)[0] == "stored"
    answer = phone.week().json()
    assert answer["have"] == [one["id"]]
    assert answer["since"] == "2030-12-28"
    assert answer["entries"] == []  # Older than the fortnight that is shown.


def test_seated_players_read_their_own_set_up(phone, student):
    drill = factories.make_drill(student.studio, setup="Stand", setup_seated="Sit")
    factories.make_part(factories.make_week(student), drill)
    student.plays_seated = True
    student.save(update_fields=["plays_seated"])
    assert phone.week().json()["weeks"][0]["parts"][0]["setup"] == "Sit"


def clip_of(student, drill, **fields):
    said = {"kind": "video/mp4", "size": 9, "digest": "d", "expires_on": MONDAY + WEEK}
    return Clip.objects.create(
        student=student, author=student.lead_coach, drill=drill, **(said | fields)
    )


def test_the_one_to_copy_comes_with_its_part(phone, student, part, coach):
    clip_of(student, part.drill)
    clip_of(factories.make_student(coach), part.drill, is_model=True)
    clip_of(student, part.drill, is_model=True, removed_at=NOON)
    clip_of(student, part.drill, is_model=True, expires_on=MONDAY)
    (row,) = phone.week().json()["weeks"][0]["parts"]
    assert row["clip"] is None
    shown = clip_of(
        student, part.drill, is_model=True, seconds=7.6, words="high hands", still="a still"
    )
    (row,) = phone.week().json()["weeks"][0]["parts"]
    assert row["clip"] == {
        "page": f"/clips/{shown.pk}/",
        "at": f"/clips/{shown.pk}/file/",
        "still": f"/clips/{shown.pk}/still/",
        "picture": False,
        "length": "8 s",
        "words": "high hands",
    }


def test_of_a_minor_no_clip_is_told_while_no_guardian_agrees(coach):
    child = factories.make_child(coach)
    part = factories.make_part(factories.make_week(child), factories.make_drill(child.studio))
    clip_of(child, part.drill, is_model=True)

    def told():
        return bundle(child, coach)["weeks"][0]["parts"][0]["clip"]

    child.guardianships.update(consents_to_clips=False)
    assert told() is None
    child.guardianships.update(consents_to_clips=True)
    assert told()


@pytest.mark.parametrize("many", [1, 12])
def test_the_number_of_queries_does_not_grow(
    phone, student, coach, many, django_assert_num_queries
):
    for n in (-1, 0, 1):
        week = factories.make_week(student, MONDAY + n * WEEK)
        for _ in range(many):
            drill = factories.make_drill(student.studio)
            part = factories.make_part(week, drill)
            Caution.objects.create(drill=drill, when="If", stop="stop.")
            if n == 0:
                phone.receipt(entry(student, part))
                phone.receipt(measured(student, part, [60.0] * 5))
                Line.objects.create(student=student, author=coach, text="A line")
    # all that hangs on the student alone; cautions with those read, drills, what is usual, wedge
    # balls; findings, what was screened
    with django_assert_num_queries(8):  # Of the first time: that the weeks are handed over.
        bundle(student, student.user)
    with django_assert_num_queries(7):
        answer = bundle(student, student.user)
    assert len(answer["weeks"][1]["parts"]) == many
    # and the key with its student
    with django_assert_num_queries(8):
        phone.week()


def test_an_entry_is_taken_in_few_queries(phone, student, part, django_assert_max_num_queries):
    one = entry(student, part)
    turn = int(connection.features.has_select_for_update)
    # The key with its student; a transaction's two and, on PostgreSQL, its turn; what is here;
    # part, entry, result; the tally's five and its row; the key's own date.
    with django_assert_max_num_queries(14 + turn):
        phone.receipt(one)
    # The key; the transaction's two and its turn; what is here, had before.
    with django_assert_max_num_queries(5 + turn):
        phone.receipt(one)
    assert Entry.objects.count() == 1


def test_a_short_form_comes_as_steps_with_its_minutes(phone, student):
    drill = factories.make_drill(student.studio, short_form="5@50, 3@70", seconds_per_rep=30)
    plain = factories.make_drill(student.studio, "Gate", "20 balls")
    week = factories.make_week(student)
    for each in (drill, plain):
        factories.make_part(week, each)
    (row,) = phone.week().json()["weeks"]
    short, none = (part["short"] for part in row["parts"])
    assert [step["n"] for step in short["steps"]] == [5, 3]
    # 24 reps of 30 s are 12 minutes, and the part is given 15: a third of it takes 5.
    assert short["minutes"] == 5
    assert none is None


def test_what_is_measured_comes_with_the_part(phone, student):
    drill = factories.make_drill(
        student.studio, measures="carry", targets="60, 40 yd", rest_seconds=45
    )
    factories.make_part(factories.make_week(student), drill)
    DrillRevision.objects.update(targets="60, 40 yd")
    (week,) = phone.week().json()["weeks"]
    (part,) = week["parts"]
    assert (part["measures"], part["rest"]) == ("carry", 45)
    assert part["targets"] == [54.864, 36.576]
    # Of another release's text nothing is guessed.
    DrillRevision.objects.update(targets="near, far")
    assert phone.week().json()["weeks"][0]["parts"][0]["targets"] == []


def test_units_are_those_of_whoever_holds_the_phone(phone, student):
    User.objects.filter(pk=student.user_id).update(distance_unit="yd", speed_unit="kmh")
    units = phone.week().json()["units"]
    # NIST SP 811 (2008), B.8: a yard is 0.9144 m; 1 km/h is 1/3.6 m/s.
    assert units["m"] == {"sign": "yd", "si": 0.9144}
    assert units["m/s"] == {"sign": "km/h", "si": 1 / 3.6}


def test_clubs_the_last_sitting_and_the_wedge_card_come_along(phone, student):
    empty = phone.week().json()
    assert (empty["clubs"], empty["sitting"]) == ([], None)
    assert empty["card"] == {"series": "", "need": 5, "swings": []}
    phone.receipt(measured(student, carries=[60.0, 62.0, 61.0, 59.0, 58.0]))
    week = phone.week().json()
    assert week["clubs"] == ["54"]
    assert week["sitting"] == {
        "device": "Radar",
        "ball": "range",
        "place": "bay 2",
        "indoors": True,
    }
    (swing,) = week["card"]["swings"]
    assert (swing["club"], swing["length"], swing["carry"], swing["n"]) == ("54", "chest", 60.0, 5)
    assert (swing["newest"], swing["spread"] > 1.5) == ("2031-02-26", True)
    assert week["usual"] == []
    phone.receipt(measured(student, carries=[70.0]))
    assert phone.week().json()["usual"] == [
        {"of": "carry", "club": "54", "length": "chest", "middle": 60.5}
    ]
    assert link_bundle(student, student.user)["usual"] == []


def week_with(phone, **headers):
    return phone.client.get("/api/week", headers=headers)


def test_what_has_not_changed_is_not_sent_again(phone, student, part):
    first = week_with(phone)
    tag = {"If-None-Match": first.headers["ETag"]}
    again = week_with(phone, **tag)
    assert (again.status_code, again.content) == (304, b"")
    assert again.headers["ETag"] == first.headers["ETag"]
    assert again.headers["Cache-Control"] == "no-store"
    phone.receipt(entry(student, part))
    assert week_with(phone, **tag).status_code == 200
    assert week_with(phone, **{"If-None-Match": '"another"'}).status_code == 200


def test_the_time_alone_is_no_change_and_the_day_is_one(phone, part):
    first = week_with(phone)
    tag = {"If-None-Match": first.headers["ETag"]}
    with time_machine.travel(NOON + timedelta(hours=1)):
        assert week_with(phone, **tag).status_code == 304
    with time_machine.travel(NOON + timedelta(days=1)):
        assert week_with(phone, **tag).status_code == 200


def test_the_tag_of_one_student_says_nothing_to_another(phone, part, coach):
    other = Phone(factories.make_student(coach, "Another"))
    tag = {"If-None-Match": week_with(phone).headers["ETag"]}
    assert week_with(other, **tag).status_code == 200


@pytest.mark.parametrize(
    ("encoding", "opened"),
    [("br", brotli.decompress), ("gzip", gzip.decompress), ("identity", bytes)],
)
def test_it_comes_in_the_encoding_that_was_asked_for(phone, part, encoding, opened):
    answer = week_with(phone, **{"Accept-Encoding": encoding})
    assert json.loads(opened(answer.content))["weeks"][0]["parts"][0]["id"] == str(part.pk)
    assert answer.headers.get("Content-Encoding", "identity") == encoding
