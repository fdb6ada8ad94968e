"""What is noted on Wednesday: from what was known then, once, and how it comes out."""

from datetime import UTC, date, datetime, timedelta

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext

from coaching.board.rules.states import State
from coaching.track_record import services
from coaching.track_record.models import WordKept
from coaching.track_record.tasks import tick_task
from practice.compliance.models import WeekTally
from practice.weeks.models import Excusal
from shared.jobs.models import Retry
from shared.kit.weeks import day_starts_at
from shared.people.models import Student
from tests.factories import MONDAY, make_coach, make_student, make_studio, make_week, studio_of
from tests.track_record.conftest import WEDNESDAY_NIGHT

pytestmark = pytest.mark.django_db
WEEK_OVER = datetime(2031, 3, 3, 3, 1, tzinfo=UTC)
FIGURES = ("said", "chance", "share", "at", "by_forecast", "enough")


def figures(word: WordKept) -> list:
    return [getattr(word, name) for name in FIGURES]


@pytest.fixture
def steady(life):
    """Practises on Monday, Wednesday, Friday and Saturday; two sessions done by Wednesday."""
    student = life.student("Steady")
    life.past(student, (0, 2, 4, 5))
    week = life.week(student)
    life.log(week, 0)
    life.log(week, 2)
    return week


def test_nothing_is_noted_before_the_evening(steady):
    assert services.note_words(WEDNESDAY_NIGHT - timedelta(minutes=10)) == 0


def test_the_word_of_wednesday_evening_is_noted_once(steady):
    assert services.note_words(WEDNESDAY_NIGHT) == 1
    assert services.note_words(WEDNESDAY_NIGHT) == 0
    word = WordKept.objects.get()
    assert (word.said, word.opens, word.closed_at) == (State.IN_STEP, MONDAY, None)
    assert word.at == datetime(2031, 2, 26, 21, tzinfo=UTC)
    assert word.share == pytest.approx(7 / 8)
    assert 0.5 < word.chance < 1


def test_a_late_tick_notes_what_was_known_in_time(life, steady):
    services.note_words(WEDNESDAY_NIGHT)
    in_time = figures(WordKept.objects.get())
    WordKept.objects.all().delete()
    life.log(steady, 3)
    # Tuesday's practice and one of two weeks ago, both written on Friday.
    friday = datetime(2031, 2, 28, 12, tzinfo=UTC)
    life.log(steady, 1, at=friday)
    before = steady.student.weeks.get(opens=MONDAY - timedelta(weeks=2))
    life.log(before, 1, at=friday)
    Excusal.objects.create(student=steady.student, first=MONDAY, last=MONDAY, told_at=friday)
    services.note_words(datetime(2031, 3, 1, 12, tzinfo=UTC))
    assert figures(WordKept.objects.get()) == in_time


def test_it_is_wednesday_on_the_students_own_clock(life):
    student = life.student("Far", time_zone="Pacific/Auckland")
    life.week(student)
    assert services.spoken_at(student, MONDAY) == datetime(2031, 2, 26, 8, tzinfo=UTC)
    assert services.note_words(datetime(2031, 2, 26, 7, 59, tzinfo=UTC)) == 0
    assert services.note_words(datetime(2031, 2, 26, 8, 1, tzinfo=UTC)) == 1


def test_a_week_that_opens_on_sunday_has_its_wednesday_too():
    sunday = date(2031, 2, 23)
    assert services.wednesday_of(sunday) == date(2031, 2, 26)
    assert services.wednesday_of(date(2031, 2, 26)) == date(2031, 2, 26)


def test_a_week_sent_after_wednesday_has_no_word(life):
    week = life.week(life.student("Late"))
    week.sent_at = WEDNESDAY_NIGHT
    week.save()
    assert services.note_words(WEDNESDAY_NIGHT + timedelta(days=1)) == 0


def test_whoever_left_has_no_word(life, steady):
    Student.objects.update(left_on=MONDAY)
    assert services.note_words(WEDNESDAY_NIGHT) == 0


def test_the_week_closes_once_and_says_whether_it_was_reached(life, steady):
    services.note_words(WEDNESDAY_NIGHT)
    life.log(steady, 4)
    assert services.close_words(WEEK_OVER - timedelta(minutes=2)) == 0
    assert services.close_words(WEEK_OVER) == 1
    assert services.close_words(WEEK_OVER) == 0
    word = WordKept.objects.get()
    assert (word.credit, word.reached) == (0.75, False)


def test_what_is_written_in_the_two_days_after_still_counts(life, steady):
    services.note_words(WEDNESDAY_NIGHT)
    life.log(steady, 4)
    services.close_words(WEEK_OVER)
    life.log(steady, 5, at=WEEK_OVER + timedelta(hours=5))
    assert services.close_words(WEEK_OVER + timedelta(days=1, hours=23)) == 0
    assert WordKept.objects.get().reached is False
    assert services.close_words(WEEK_OVER + timedelta(days=2)) == 1
    assert WordKept.objects.get().reached is True
    WeekTally.objects.filter(opens=MONDAY).update(credit=0.1)
    for days in (2, 3, 4, 5, 6, 9):
        assert services.close_words(WEEK_OVER + timedelta(days=days, hours=1)) == 0


@pytest.mark.parametrize("zone", ["Pacific/Kiritimati", "Pacific/Pago_Pago"])
def test_each_word_is_looked_at_twice_in_any_zone(life, zone):
    """An hour after another until both looks are over, then a day: the next would look again."""
    student = life.student("Far", time_zone=zone)
    WordKept.objects.create(student=student, opens=MONDAY, at=WEDNESDAY_NIGHT, said="Tight")
    hours = (*range(24, 24 * 5), *range(24 * 5, 24 * 14, 24))
    moments = (datetime(2031, 3, 1, tzinfo=UTC) + timedelta(hours=n) for n in hours)
    looked = [moment for moment in moments if services.close_words(moment)]
    over = day_starts_at(MONDAY + timedelta(days=7), zone)
    assert looked == [over, over + timedelta(days=2)]


def test_what_is_late_because_nothing_ran_is_looked_at_as_soon_as_something_runs(life, steady):
    services.note_words(WEDNESDAY_NIGHT)
    month = timedelta(days=30)
    assert services.close_words(WEEK_OVER + month) == 1
    assert services.close_words(WEEK_OVER + month + timedelta(days=2)) == 0


def test_a_week_excused_afterwards_came_out_neither_way(life, steady):
    services.note_words(WEDNESDAY_NIGHT)
    WeekTally.objects.filter(opens=MONDAY).update(credit=None)
    services.close_words(WEEK_OVER)
    assert WordKept.objects.get().reached is None
    assert WordKept.objects.get().closed_at is not None


def test_a_week_with_nothing_left_is_noted_as_done(life):
    week = life.week(life.student("Quick"), sessions=1)
    life.log(week, 0)
    services.note_words(WEDNESDAY_NIGHT)
    word = WordKept.objects.get()
    assert (word.said, word.chance) == (State.DONE, 1.0)


def test_the_tick_does_all_of_it(life, steady):
    with time_machine.travel(WEDNESDAY_NIGHT, tick=False):
        assert services.tick() == 2  # The word, and the studio's rhythm.
        assert services.tick() == 0


def test_with_nothing_to_do_a_tick_looks_once_an_hour(life, steady):
    with time_machine.travel(WEDNESDAY_NIGHT - timedelta(minutes=30), tick=False):
        assert services.tick() == 1  # The rhythm.
    with (
        time_machine.travel(WEDNESDAY_NIGHT, tick=False),
        CaptureQueriesContext(connection) as asked,
    ):
        assert services.tick() == 0
    assert not [each for each in asked.captured_queries if "weeks_week" in each["sql"]]
    with time_machine.travel(WEDNESDAY_NIGHT + timedelta(minutes=30), tick=False):
        assert services.tick() == 1


def test_a_week_that_is_over_closes_by_the_tick(life, steady):
    with time_machine.travel(WEDNESDAY_NIGHT, tick=False):
        services.tick()
    with time_machine.travel(WEEK_OVER, tick=False):
        assert services.tick() == 2  # The word closed, and next week's rhythm.


def test_queries_do_not_grow_with_what_is_closed(life, django_assert_num_queries):
    for number in range(5):
        WordKept.objects.create(
            student=life.student(f"S {number}"), opens=MONDAY, at=WEDNESDAY_NIGHT, said="Tight"
        )
    services.close_words(WEDNESDAY_NIGHT)  # The first time a sweep makes its own row.
    # The sweep, who waits, the last look, words that are over and that settle, all of them,
    # tallies, claim and end; and for each word its turn and itself.
    with django_assert_num_queries(9 + 5 * 2):
        assert services.close_words(WEEK_OVER) == 5


def test_a_student_a_day_behind_the_studio_has_a_word_and_stops_no_other(coach, life):
    """Entered on Thursday in Sydney, which is Wednesday in Los Angeles."""
    home = studio_of(coach)
    home.time_zone = "Australia/Sydney"
    home.save()
    far = life.student("Far", time_zone="America/Los_Angeles")
    Student.objects.filter(pk=far.pk).update(joined_on=date(2031, 2, 27))
    other = make_coach(make_studio("Other"))
    life.week(far)
    near = make_week(make_student(other, "Near"), sent_at=WEDNESDAY_NIGHT - timedelta(days=3))
    late = datetime(2031, 2, 27, 6, tzinfo=UTC)  # Ten in the evening in Los Angeles.
    assert services.note_words(late) == 2
    assert set(WordKept.objects.values_list("student", flat=True)) == {far.pk, near.student_id}


def test_one_that_cannot_be_noted_waits_and_stops_no_other(life, steady, monkeypatch):
    other = life.week(life.student("Other"))
    usual = services.past_of

    def past_of(student):
        if student == steady.student:
            raise IndexError("list index out of range")
        return usual(student)

    monkeypatch.setattr(services, "past_of", past_of)
    assert services.note_words(WEDNESDAY_NIGHT) == 1
    assert WordKept.objects.get().student_id == other.student_id
    assert Retry.objects.get().row == str(steady.pk)


def test_celery_s_tick_does_it(life, steady):
    with time_machine.travel(WEDNESDAY_NIGHT, tick=False):
        tick_task()
    assert WordKept.objects.count() == 1
