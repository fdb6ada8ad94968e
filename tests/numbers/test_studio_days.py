"""How much days differ is learnt from a whole studio, kept weekly, and known to every claim."""

from datetime import UTC, datetime, timedelta
from random import Random

import pytest
import time_machine
from django.utils import timezone

from practice.measures.usual import HOUSE
from practice.numbers.now import studio_reckoning
from practice.numbers.now.models import NumbersNow
from practice.numbers.now.reckoning import due, reckon
from practice.numbers.now.studio_reckoning import sweep
from practice.numbers.speed.book import speed_book
from practice.numbers.speed.queries import read_speeds
from practice.shots import studio_days
from practice.shots.models import StudioDays
from practice.shots.studio_days import latest, usual_days
from shared.people.models import Student
from tests.factories import make_student, make_studio
from tests.numbers.make import today_of
from tests.numbers.speeds import many_days, speed_drill

pytestmark = pytest.mark.django_db
SPREAD = 0.6  # Mph from test day to test day.


@pytest.fixture
def clock():
    with time_machine.travel(datetime(2031, 2, 26, 12, tzinfo=UTC), tick=False) as clock:
        yield clock


@pytest.fixture
def steady(coach, student):
    """Five students whose test days hardly differ, and all their tests."""
    drill = speed_drill(student)
    found = [student, *(make_student(coach, f"Student {n}") for n in range(4))]
    random = Random(4)
    for each in found:
        many_days(each, [150 + random.gauss(0, SPREAD) for _ in range(10)], drill=drill)
    return found


def claim(student):
    (line,) = speed_book(read_speeds(student, today_of(student))).lines
    return line.claim


def test_what_the_studio_learnt_makes_a_claim_narrower(student, steady):
    before = claim(student)
    assert usual_days(student) == HOUSE
    assert sweep() == 1
    learnt = usual_days(student)
    assert learnt.ball_speed.students == 5
    assert learnt.ball_speed.ratio < HOUSE.ball_speed.ratio
    assert learnt.ball_speed.alike < HOUSE.ball_speed.alike
    # Nobody had club speed measured, and nothing was counted.
    assert (learnt.club_speed, learnt.reps) == (HOUSE.club_speed, HOUSE.reps)
    now = claim(student)
    assert now.reach < 0.7 * before.reach
    assert now.value == pytest.approx(before.value)


def test_it_is_made_weekly_and_figures_are_made_anew(clock, student, steady):
    reckon(student, timezone.now())
    kept = NumbersNow.objects.get().figures["speed"]["needed"]
    clock.shift(timedelta(minutes=1))
    assert [sweep(), sweep()] == [1, 0]
    assert student in due(timezone.now())
    reckon(student, timezone.now())
    assert NumbersNow.objects.get().figures["speed"]["needed"] < kept
    assert student not in due(timezone.now())
    clock.shift(timedelta(days=8))
    assert sweep() == 1
    assert StudioDays.objects.count() == 2


def test_what_was_known_then_stays_known(clock, student, steady):
    first = timezone.now()
    sweep()
    known = usual_days(student)
    clock.shift(timedelta(days=8))
    StudioDays.objects.create(studio=student.studio, made_at=timezone.now(), figures={"format": -1})
    assert usual_days(student) == HOUSE  # Of another format.
    assert usual_days(student, first) == known
    assert usual_days(student, first - timedelta(seconds=1)) == HOUSE
    text = Student.objects.annotate(usual=latest(first)).get(pk=student.pk).usual
    assert studio_days.known_from(text) == known


def test_a_studio_learns_from_its_own_students_alone(student, steady):
    other = make_studio("Another")
    assert studio_reckoning.learnt([], timezone.now()) == HOUSE
    sweep()
    assert not StudioDays.objects.filter(studio=other).exists()
    assert StudioDays.objects.get().studio == student.studio


def test_what_everybody_gained_is_no_ones_own_gain(coach, coach_client, student_client, student):
    """A range that opened again: all are eight mph up. Whoever gained twice that is up."""
    drill = speed_drill(student)
    others = [make_student(coach, f"Student {n}") for n in range(8)]
    random = Random(5)
    for each in [student, *others]:
        gain = 16 if each == others[0] else 8
        levels = [150] * 4 + [150 + gain] * 10
        many_days(each, [level + random.gauss(0, SPREAD) for level in levels], apart=9, drill=drill)
    page = f"/students/{student.pk}/speed/"
    assert claim(student).better
    assert "All students here" not in coach_client.get(page).content.decode()
    sweep()
    own, twice = claim(student), claim(others[0])
    assert (own.answer, twice.answer, twice.better) == ("cannot tell yet", "moved", True)
    assert own.together > 2.5
    assert own.value == pytest.approx(own.now - own.before - own.together)
    words = f"All students here went up {own.together / 0.44704:.1f} mph meanwhile."
    for client, at in ((coach_client, page), (student_client, f"/own/{student.pk}/speed/")):
        assert words in client.get(at).content.decode()
    assert "Cannot tell yet" in coach_client.get(page).content.decode()
    # What is kept reads back as it was learnt.
    learnt = usual_days(student).ball_speed.together
    again = studio_reckoning.learnt([student, *others], timezone.now()).ball_speed.together
    assert learnt.months
    assert (learnt.months, learnt.spread) == (again.months, pytest.approx(again.spread))
    # To the last digits but few: whoever is read first is summed first.
    assert learnt.shifts == pytest.approx(again.shifts)
    assert [*map(list, learnt.errors)] == [pytest.approx(list(row)) for row in again.errors]
