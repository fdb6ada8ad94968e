"""The shelf: found by word, area, equipment and place, at a constant cost."""

from datetime import timedelta

import pytest
from django.utils import timezone

from practice.coach_counts.models import CheckedCount
from practice.drills import services
from practice.drills.models import Area
from practice.drills.queries import current_cautions
from practice.log.models import Entry, Result
from practice.shelf.queries import Search, Use, shelf, use_in, use_of
from practice.shots.models import Sitting
from tests.factories import (
    MONDAY,
    NOON,
    make_drill,
    make_part,
    make_student,
    make_studio,
    make_week,
    studio_of,
)


def log(part):
    entry = Entry(student=part.week.student, day=MONDAY, at=NOON, document={}, fingerprint="x")
    entry.root = entry.pk
    entry.save()
    return Result.objects.create(
        entry=entry, student=entry.student, opens=MONDAY, part=part, drill=part.drill
    )


@pytest.mark.parametrize(
    ("search", "names"),
    [
        (Search(), ["Gate", "Ladder", "Putts"]),
        (Search(words="ladder"), ["Ladder"]),
        (Search(words="chair stick"), ["Gate"]),
        (Search(words="chair hammer"), []),
        (Search(words="putting"), ["Putts"]),
        (Search(words="swing STICK"), ["Gate"]),
        (Search(words="carpet"), ["Putts"]),
        (Search(words="100%"), []),
    ],
)
def test_the_shelf_is_searched(db, search, names):
    studio = make_studio()
    make_drill(studio, "Ladder")
    make_drill(studio, "Gate", setup="Beside a chair.", equipment="Stick")
    make_drill(studio, "Putts", area=Area.PUTTING, places="green, carpet")
    make_drill(make_studio("Elsewhere"), "Ladder elsewhere")
    rows, more = shelf(studio, search)
    assert [row.name for row in rows] == names
    assert not more


def test_a_page_says_whether_more_follow(db):
    studio = make_studio()
    for number in range(5):
        make_drill(studio, f"Drill {number}")
    rows, more = shelf(studio, limit=3)
    assert ([row.name for row in rows], more) == (["Drill 0", "Drill 1", "Drill 2"], True)
    rows, more = shelf(studio, start=3, limit=3)
    assert ([row.name for row in rows], more) == (["Drill 3", "Drill 4"], False)


def test_use_counts_weeks_and_students_and_what_was_logged(wednesday, coach, student):
    drill = make_drill(studio_of(coach))
    one = make_part(make_week(student), drill)
    make_part(make_week(make_student(coach, "Second")), drill)
    make_part(make_week(make_student(coach, "Draft"), sent=False), drill)
    log(one)
    log(one)
    assert use_in(drill.studio) == {drill.pk: Use(weeks=2, students=2, logged=1)}


def test_a_test_that_was_taken_is_not_said_to_be_unasked(coach, student):
    """Test days are measured or counted, and seldom a part of a week."""
    speed, counted, unused = (
        make_drill(studio_of(coach), name, is_test=True) for name in ("Speed", "Check", "Cold")
    )
    other = make_student(coach, "Second")
    for who, days_ago in ((student, 1), (student, 1), (student, 8), (other, 1)):
        day = timezone.localdate() - timedelta(days=days_ago)
        Sitting.objects.create(student=who, drill=speed, day=day)
    for effort in (60, 80):
        CheckedCount.objects.create(
            student=student, drill=counted, effort=effort, reps=8, clean_reps=6,
            day=timezone.localdate(),
        )  # fmt: skip
    uses = use_in(speed.studio)
    assert uses == {speed.pk: Use(days=3, takers=2), counted.pk: Use(days=1, takers=1)}
    assert [use_of(each) for each in (speed, unused)] == [Use(days=3, takers=2), Use()]


@pytest.mark.parametrize("drills", [1, 30])
def test_the_shelf_costs_five_queries_however_full(
    wednesday, coach, student, drills, django_assert_num_queries
):
    studio = studio_of(coach)
    week = make_week(student)
    for number in range(drills):
        drill = make_drill(studio, f"Drill {number}")
        log(make_part(week, drill))
        services.set_caution(drill=drill, by=coach, when="If stiff,", stop="stop.")
    # 1: drills with their wording, 2: cautions, 3: weeks asked and logged, 4 and 5: test days
    with django_assert_num_queries(5):
        rows, _ = shelf(studio)
    assert all(row.caution == "If stiff, stop." and row.use.logged == 1 for row in rows)


def test_no_drills_have_no_cautions(db):
    assert current_cautions([]) == {}
