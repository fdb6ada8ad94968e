"""Figures of tests: made from what counts, when it is due, and told again as they were known."""

import json
from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest
import time_machine
from django.utils import timezone

from coaching.lessons.numbers import numbers_asked
from practice.log.models import Entry
from practice.numbers.now import reckoning
from practice.numbers.now.models import NumbersNow
from practice.numbers.now.reckoning import due, numbers_known_at, sweep
from practice.numbers.now.told import standing
from practice.numbers.now.values import NO_NUMBERS, from_json
from practice.shots.models import Sitting, StudioDays
from practice.shots.services import change_club, retire_club, take_back
from practice.shots.speed_services import set_block
from shared.jobs.models import Retry
from shared.kit.units import DISTANCE, SPEED
from shared.people.models import User
from tests.conftest import signed_in
from tests.factories import make_student
from tests.numbers import make, speeds

pytestmark = pytest.mark.django_db
START = datetime(2031, 2, 26, 20, tzinfo=UTC)


@pytest.fixture
def clock():
    with time_machine.travel(START, tick=False) as clock:
        yield clock


def numbers(student):
    return from_json(NumbersNow.objects.get(student=student).figures)


def waiting():
    return set(due(timezone.now()))


def mph(speed: float) -> float:
    return round(SPEED["mph"].from_si(speed), 1)


@pytest.mark.parametrize(
    ("figures", "expected"),
    [
        # Verdict, change and needed change as worked out beside the story of the demo.
        (speeds.INES, ("Up", 6.9, 5.2, False)),
        (speeds.PIET, ("", 0.4, 8.0, False)),
        (speeds.CALLUM, ("Down", -6.7, 5.3, True)),
    ],
)
def test_the_verdict_that_is_held(student, clock, figures, expected):
    speeds.many_days(student, figures)
    sweep()
    found = numbers(student).speed
    assert (found.verdict, mph(found.change), mph(found.needed), found.is_recent) == expected
    assert (found.days, found.newest) == (14, make.today_of(student))


def test_the_best_day_is_new_while_it_is_among_the_six_of_the_spread(student, clock):
    drill = speeds.many_days(student, speeds.PIET)
    sweep()
    found = numbers(student).speed
    assert (mph(found.best), mph(found.spread), found.is_new_best) == (157.0, 2.8, True)
    assert found.best_on == make.today_of(student) - timedelta(days=5 * 6)
    clock.shift(timedelta(days=6))
    speeds.one_day(student, drill, 152.0)
    sweep()
    found = numbers(student).speed
    assert (mph(found.best), found.is_new_best) == (157.0, False)


def test_a_best_day_of_the_start_is_not_new(student, clock):
    speeds.many_days(student, [157, 150, 152, 151, 150, 152, 151, 150, 152])
    sweep()
    assert not numbers(student).speed.is_new_best


def test_since_is_the_first_day_of_the_run_that_is_held(student, clock):
    """Three days at 160 beside three at 150, then those since beside the start, and so on."""
    speeds.many_days(student, [150.0] * 4 + [160.0] * 6)
    sweep()
    found = numbers(student).speed
    assert found.verdict == "Up"
    assert found.since == make.today_of(student) - timedelta(days=4 * 6)


def test_no_verdict_that_cannot_be_told_and_none_from_memory(student, clock):
    speeds.many_days(student, [150.0] * 7)
    sweep()
    assert numbers(student).speed.verdict == ""
    speeds.many_days(student, [160.0] * 8, drill=Sitting.objects.first().drill, from_memory=True)
    sweep()
    assert numbers(student).speed.verdict == ""


def test_the_missed_distance_and_its_hole(student, clock):
    clubs = make.card(student, days=4)
    kept = make.sitting(student, days_ago=1)
    make.balls(kept, clubs["50°"], make.AT_65, target=65)
    make.balls(kept, clubs["54°"], make.AT_65[:7], target=60)  # Too few for a word.
    sweep()
    (gap,) = numbers(student).missed
    assert (gap.target, round(gap.error, 2), gap.n) == (65, 4.15, 10)
    assert gap.hole == (60, 71)


def test_it_is_made_once_and_the_same_again(student, clock, django_assert_num_queries):
    speeds.many_days(student, speeds.PIET)
    assert sweep() == 1
    before = NumbersNow.objects.values().get()
    with django_assert_num_queries(6):  # Three are the sweep's own, two say who comes next.
        assert sweep() == 0
    clock.shift(timedelta(days=1))
    assert sweep() == 1
    assert NumbersNow.objects.values().get() == before | {"reckoned_at": timezone.now()}


@pytest.mark.parametrize("tests", [1, 14])
def test_it_costs_the_same_however_many_tests_there_are(
    student, clock, tests, django_assert_num_queries
):
    speeds.many_days(student, speeds.PIET[:tests])
    make.card(student)
    with django_assert_num_queries(30):  # Two of them say who comes next.
        sweep()


def test_what_makes_it_due(coach, student, clock):
    assert not waiting()
    drill = speeds.many_days(student, speeds.PIET)
    assert waiting() == {student}
    sweep()
    assert not waiting()
    clock.shift(timedelta(minutes=1))
    late = speeds.one_day(student, drill, 151)
    assert waiting() == {student}
    sweep()
    take_back(sitting=late)
    assert waiting() == {student}
    sweep()
    clock.shift(timedelta(minutes=1))
    set_block(student=student, by=coach, starts_on=None, ball_speed=70.0, club_speed=None)
    assert waiting() == {student}
    sweep()
    assert not waiting()


def test_a_change_from_the_phone_makes_it_due_though_as_many_sittings_count(student, clock):
    speeds.many_days(student, speeds.PIET)
    sweep()
    first = Sitting.objects.order_by("-day").first()
    clock.shift(timedelta(minutes=5))
    entry = Entry.objects.create(
        student=student, root=uuid4(), day=first.day, at=START, document={}, kind="log"
    )
    Sitting.objects.filter(pk=first.pk).update(entry=entry, at=START)
    assert waiting() == {student}


def test_a_phone_that_is_ahead_does_not_make_it_due_for_ever(student, clock):
    drill = speeds.many_days(student, speeds.PIET)
    speeds.one_day(student, drill, 151, at=START + timedelta(days=3))
    sweep()
    assert not waiting()


def test_whoever_left_waits_for_nothing(student, clock):
    speeds.many_days(student, speeds.PIET)
    student.left_on = make.today_of(student)
    student.save()
    assert not waiting()


def test_one_that_fails_keeps_nobody_waiting_and_is_said(coach, student, clock, monkeypatch):
    other = make_student(coach, "Other")
    for each in (student, other):
        speeds.many_days(each, speeds.PIET, drill=speeds.speed_drill(each, name=each.name))
    whole = reckoning.reckon

    def breaks(who, now):
        if who == student:
            raise ValueError("no figures")
        whole(who, now)

    monkeypatch.setattr(reckoning, "reckon", breaks)
    assert sweep() == 1
    retry = Retry.objects.get()
    assert (retry.row, retry.why) == (str(student.pk), "ValueError: no figures")
    assert NumbersNow.objects.filter(student=other).exists()


def test_a_sweep_is_bounded(coach, student, clock, monkeypatch):
    monkeypatch.setattr(reckoning, "AT_ONCE", 1)
    for name in ("Ann", "Bo"):
        who = make_student(coach, name)
        speeds.one_day(who, speeds.speed_drill(who, name=name), 150)
    assert [sweep(), sweep(), sweep()] == [1, 1, 0]


def test_as_known_then_nothing_later_has_a_part(student, clock):
    """Every moment lived through is told again the same from the end."""
    drill = speeds.speed_drill(student)
    seen = []
    for figure in speeds.CALLUM:
        clock.shift(timedelta(days=6))
        speeds.one_day(student, drill, figure, at=timezone.now())
        sweep()
        seen.append((timezone.now(), make.today_of(student), numbers(student)))
        clock.shift(timedelta(hours=1))
    assert len({found for *_, found in seen}) > 4
    for at, today, found in seen:
        assert numbers_known_at(student.pk, student.studio_id, at, today) == found
    assert numbers_known_at(student.pk, student.studio_id, START, START.date()) == NO_NUMBERS


def test_the_phone_counts_from_when_it_arrived_until_it_was_taken_back(student, clock):
    drill = speeds.many_days(student, speeds.PIET, at=START - timedelta(hours=1))
    made = numbers_known_at(student.pk, student.studio_id, START, START.date())
    assert made.speed.days == 14
    root = uuid4()
    late = Entry.objects.create(
        student=student,
        root=root,
        day=START.date(),
        at=START - timedelta(hours=2),
        received_at=START + timedelta(hours=1),
        document={},
        kind=Entry.Kind.LOG,
    )
    sitting = speeds.one_day(student, drill, 150.8, days_ago=3, entry=late, at=late.at)
    assert numbers_known_at(student.pk, student.studio_id, START, START.date()) == made
    after = START + timedelta(hours=2)
    assert numbers_known_at(student.pk, student.studio_id, after, START.date()).speed.days == 15
    Entry.objects.create(
        student=student,
        root=root,
        day=START.date(),
        at=after,
        received_at=START + timedelta(hours=3),
        document={},
        kind=Entry.Kind.TAKE_BACK,
        counts=False,
    )
    Sitting.objects.filter(pk=sitting.pk).update(counts=False)
    assert numbers_known_at(student.pk, student.studio_id, after, START.date()).speed.days == 15
    assert (
        numbers_known_at(student.pk, student.studio_id, START + timedelta(hours=4), START.date())
        == made
    )


def test_what_was_said_is_kept_with_what_came_of_it(student, clock):
    """Up after the start and still so a month later; up, and not so any more."""
    speeds.many_days(student, [*speeds.INES, 155.2, 154.9, 155.5])
    sweep()
    (up,) = numbers(student).said
    assert (up.word, up.still) == ("Up", True)
    fallen = make_student(student.lead_coach, "Fallen")
    rose = [150.0, 150.4, 149.8, 150.2, *[158.0, 158.4, 157.8] * 2, *[150.1] * 10]
    speeds.many_days(fallen, rose, drill=speeds.speed_drill(student, "Another test"))
    sweep()
    said = numbers(fallen).said
    assert said[0].word == "Up"
    assert said[0].still is False


def test_a_large_house_is_gone_through_in_several_sweeps(coach, student, clock, monkeypatch):
    monkeypatch.setattr(reckoning, "AT_ONE_LOOK", 2)
    others = [make_student(coach, name) for name in ("Ann", "Bo", "Cy", "Di")]
    for who in (student, *others):
        speeds.one_day(who, speeds.speed_drill(who, name=who.name), 150)
    assert [sweep(), sweep(), sweep()] == [2, 2, 1]
    assert not waiting()
    speeds.one_day(student, speeds.speed_drill(student, name="More"), 151)
    assert sum(sweep() for _ in range(3)) == 1


# --- what is kept of it for a coach's page of one student ---


def measured(student):
    drill = speeds.many_days(student, speeds.INES)
    clubs = make.card(student, days_ago=3)
    kept = make.sitting(student, days_ago=1)
    make.balls(kept, clubs["50°"], make.AT_65, target=65)
    return drill, clubs


@pytest.mark.parametrize("to_student", [False, True])
def test_what_is_kept_is_what_would_be_said_now_in_every_unit(
    student, clock, django_assert_num_queries, to_student
):
    measured(student)
    readers = [User(speed_unit=s, distance_unit=d) for s in SPEED for d in DISTANCE]
    assert standing(student) is None
    live = [numbers_asked(student).moved_said(reader, to_student=to_student) for reader in readers]
    assert {title for title, _ in live[0]} == {"Ball speed, Driver", "Wedge card"}
    assert len({str(said) for said in live}) == len(readers)
    sweep()
    for reader, said in zip(readers, live, strict=True):
        with django_assert_num_queries(1):
            assert numbers_asked(student).moved_said(reader, to_student=to_student) == said


CHANGES = {
    "balls": lambda student, drill, _: speeds.one_day(student, drill, 150.0),
    "taken back": lambda student, *_: take_back(sitting=student.sittings.first()),
    "an aim": lambda student, *_: set_block(
        student=student, by=student.lead_coach, starts_on=None, ball_speed=70.0, club_speed=None
    ),
    "days learnt": lambda student, *_: StudioDays.objects.create(
        studio=student.studio, made_at=timezone.now(), figures={"format": 0}
    ),
    "a loft": lambda student, _, clubs: change_club(
        club=clubs["54°"], name="54°", loft=53.0, changed_on=None
    ),
    "a club out of the bag": lambda student, _, clubs: retire_club(club=clubs["54°"]),
}


@pytest.mark.parametrize("change", CHANGES)
def test_after_a_change_nothing_kept_is_said_until_the_tick(student, clock, change):
    drill, clubs = measured(student)
    sweep()
    clock.shift(timedelta(minutes=1))
    assert standing(student)
    CHANGES[change](student, drill, clubs)
    clock.shift(timedelta(seconds=1))
    assert standing(student) is None


def figures_now():
    return json.dumps(NumbersNow.objects.get().figures)


def test_a_club_s_new_name_is_in_the_figures_with_the_next_sweep(student, coach, clock):
    """It took up to a day to reach the sheet, the door and the reports."""
    measured(student)
    sweep()
    assert "Driver" in figures_now()
    clock.shift(timedelta(minutes=1))
    club = student.clubs.get(name="Driver")
    page = f"/students/{student.pk}/clubs/{club.pk}/"
    assert signed_in(coach).post(page, {"name": "Big stick", "loft": "10"}).status_code == 302
    assert waiting() == {student}
    sweep()
    assert "Big stick" in figures_now()
    assert "Driver" not in figures_now()
    clock.shift(timedelta(minutes=1))
    assert not waiting()


def test_what_is_kept_is_said_for_a_day(student, clock):
    measured(student)
    sweep()
    clock.shift(timedelta(hours=23))
    assert standing(student)
    clock.shift(timedelta(hours=1))
    assert standing(student) is None


def test_of_who_was_never_measured_nothing_is_said_and_hardly_asked(
    student, clock, django_assert_num_queries
):
    with django_assert_num_queries(1):
        assert numbers_asked(student).moved_said(User(), to_student=False) == []
    make.club(student)
    said = numbers_asked(student).moved_said(User(), to_student=False)
    assert [title for title, _ in said] == ["Wedge card"]
