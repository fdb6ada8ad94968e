"""The timetable: filled ahead, with exceptions, holidays and moves, and never twice."""

import re
from datetime import UTC, date, datetime, time, timedelta

import pytest
import time_machine

from coaching.lessons import services as lessons
from coaching.lessons.models import Lesson
from coaching.timetable import recurrence, services
from coaching.timetable.models import Holiday, Occurrence, Series
from shared.jobs.models import Retry
from shared.people.models import Guardianship, Student
from tests import factories
from tests.conftest import signed_in

NOON = datetime(2031, 2, 26, 12, tzinfo=UTC)  # A Wednesday.
TUESDAYS = [date(2031, 3, d) for d in (4, 11, 18, 25)]


@pytest.fixture(autouse=True)
def now(db):
    with time_machine.travel(NOON, tick=False) as traveller:
        yield traveller


@pytest.fixture
def coach():
    studio = factories.make_studio(time_zone="Europe/Paris")
    return factories.make_coach(studio, time_zone="Europe/Paris")


@pytest.fixture
def coach_client(coach):
    return signed_in(coach)


@pytest.fixture
def student(coach):
    return factories.make_student(coach, "Ada", time_zone="Europe/Paris")


@pytest.fixture
def series(student, coach) -> Series:
    return services.add_series(
        student=student, coach=coach, first=TUESDAYS[0], at=time(16, 30), rule=recurrence.weekly(1)
    )


def days_of(student) -> list[date]:
    return [each.at.date() for each in Lesson.objects.filter(student=student).order_by("at")]


def test_lessons_of_four_weeks_are_noted_at_once_and_the_student_has_a_next_one(series, student):
    assert days_of(student) == TUESDAYS
    student.refresh_from_db()
    assert student.next_lesson == TUESDAYS[0]


def test_as_time_goes_by_more_are_noted_and_none_twice(series, student, now):
    now.move_to(NOON + timedelta(days=8))
    assert services.fill_all() == 1
    assert services.fill_all() == 0
    assert days_of(student) == [*TUESDAYS, date(2031, 4, 1)]
    spring = Lesson.objects.filter(student=student).latest("at")
    assert spring.at == datetime(2031, 4, 1, 14, 30, tzinfo=UTC)  # Summer time since 30 March.


@pytest.mark.parametrize("broken", [{"rule": "FREQ=NEVER"}, {"time_zone": "Mars/Olympus"}])
def test_a_series_that_cannot_be_reckoned_stops_no_other(series, student, coach, now, broken):
    """The broken one is looked at first."""
    values = {"rule": series.rule, "time_zone": "Europe/Paris"} | broken
    other = Series.objects.create(
        pk="00000000-0000-4000-8000-000000000001", student=factories.make_student(coach),
        coach=coach, first=TUESDAYS[0], at=time(9), **values,
    )  # fmt: skip
    now.move_to(NOON + timedelta(days=8))
    assert services.fill_all() == 1
    assert days_of(student) == [*TUESDAYS, date(2031, 4, 1)]
    assert Retry.objects.get().row == str(other.pk)


def test_the_same_lesson_added_again_changes_nothing(series, student, coach):
    again = services.add_series(
        student=student, coach=coach, first=TUESDAYS[0], at=time(16, 30), rule=recurrence.weekly(1)
    )
    assert again == series
    assert len(days_of(student)) == 4


def test_a_lesson_planned_by_hand_at_that_hour_is_the_one(student, coach):
    at = recurrence.instant(TUESDAYS[0], time(16, 30), "Europe/Paris")
    by_hand = lessons.plan_lesson(student=student, coach=coach, at=at)
    series = services.add_series(
        student=student, coach=coach, first=TUESDAYS[0], at=time(16, 30), rule=recurrence.weekly(1)
    )
    assert days_of(student) == TUESDAYS
    assert series.occurrences.get(day=TUESDAYS[0]).lesson == by_hand


def test_a_lesson_taken_off_on_todays_page_stays_off(series, student):
    lessons.cancel_lesson(lesson=Lesson.objects.get(at__date=TUESDAYS[1]))
    services.fill_all()
    assert days_of(student) == [TUESDAYS[0], *TUESDAYS[2:]]
    services.put_back(series=series, day=TUESDAYS[1])
    assert days_of(student) == TUESDAYS


def test_one_day_is_moved_and_the_next_is_as_usual(series, student):
    to = datetime(2031, 3, 6, 9, tzinfo=UTC)
    services.move(series=series, day=TUESDAYS[0], at=to)
    services.fill_all()
    assert days_of(student) == [to.date(), *TUESDAYS[1:]]
    student.refresh_from_db()
    assert student.next_lesson == to.date()


def test_a_day_beyond_what_is_noted_can_be_taken_off_or_moved_before(series, student, now):
    services.take_off(series=series, day=date(2031, 4, 1))
    services.move(series=series, day=date(2031, 4, 8), at=datetime(2031, 4, 9, 9, tzinfo=UTC))
    now.move_to(NOON + timedelta(days=20))
    services.fill_all()
    ahead = [day for day in days_of(student) if day > TUESDAYS[-1]]
    assert ahead == [date(2031, 4, 9), date(2031, 4, 15)]


def test_in_a_holiday_no_lesson_takes_place_and_after_taking_it_out_it_does(series, student, coach):
    holiday = services.add_holiday(
        studio=factories.studio_of(coach), first=TUESDAYS[1], last=TUESDAYS[2], name="Spring"
    )
    services.fill_all()
    assert days_of(student) == [TUESDAYS[0], TUESDAYS[3]]
    services.remove_holiday(holiday=holiday)
    assert days_of(student) == TUESDAYS


def test_the_timetable_says_which_day_comes_next_and_why_others_do_not(series, coach, coach_client):
    def row():
        page = re.sub(r"\s+", " ", coach_client.get("/timetable/").content.decode())
        return re.search(r'every Tuesday at 16:30 <span class="quiet">([^<]*)<', page)[1]

    assert row() == "next Tue 4 Mar"
    services.take_off(series=series, day=TUESDAYS[0])
    assert row() == "next Tue 11 Mar, not Tue 4 Mar (off)"
    services.add_holiday(
        studio=factories.studio_of(coach), first=TUESDAYS[1], last=TUESDAYS[1], name=""
    )
    assert row() == "next Tue 18 Mar, not Tue 4 Mar (off), not Tue 11 Mar (holiday)"
    services.move(series=series, day=TUESDAYS[2], at=datetime(2031, 3, 17, 9, 0, tzinfo=UTC))
    assert row() == "next Mon 17 Mar, not Tue 4 Mar (off), not Tue 11 Mar (holiday)"


def test_a_holiday_takes_no_lesson_that_was_begun(series, student, coach, now):
    now.move_to(recurrence.instant(TUESDAYS[0], time(16, 30), "Europe/Paris"))
    lessons.open_lesson(student=student, by=coach)
    services.add_holiday(
        studio=factories.studio_of(coach), first=TUESDAYS[0], last=TUESDAYS[1], name=""
    )
    assert days_of(student) == [TUESDAYS[0], *TUESDAYS[2:], date(2031, 4, 1)][:3]
    with pytest.raises(lessons.Refused, match="has begun already"):
        services.take_off(series=series, day=TUESDAYS[0])


def test_the_look_asks_no_more_for_many_and_rests_an_hour(
    coach, series, now, django_assert_num_queries
):
    for n in range(30):
        services.add_series(
            student=factories.make_student(coach, f"Student {n}"), coach=coach, first=TUESDAYS[0],
            at=time(9), rule=series.rule,
        )  # fmt: skip
    with django_assert_num_queries(3):  # Series, their days, holidays.
        assert list(services._to_fill(NOON)) == []
    assert services.fill_all() == 0
    Occurrence.objects.filter(series=series, day=TUESDAYS[1]).delete()
    assert services.fill_all() == 0
    now.move_to(NOON + timedelta(hours=1, minutes=1))
    assert services.fill_all() == 1


def test_ended_it_leaves_what_was(series, student, now):
    services.end_series(series=series, last=TUESDAYS[1])
    now.move_to(NOON + timedelta(days=40))
    services.fill_all()
    assert days_of(student) == TUESDAYS[:2]


def test_of_a_child_whose_record_ended_nothing_more_is_noted(coach, now):
    child = factories.make_child(coach, name="Kim", time_zone="Europe/Paris")
    services.add_series(
        student=child, coach=coach, first=TUESDAYS[0], at=time(16, 30), rule=recurrence.weekly(1)
    )
    Guardianship.objects.update(withdrawn_at=NOON)
    now.move_to(NOON + timedelta(days=8))
    assert services.fill_all() == 0
    Student.objects.update(left_on=NOON.date())
    assert services.fill_all() == 0


def test_todays_lessons_is_filled_from_it(series, coach_client, now):
    now.move_to(datetime(2031, 3, 4, 9, tzinfo=UTC))
    page = coach_client.get("/next/").text
    assert "Ada" in page
    assert "16:30" in page


# --- by its pages ----------------------------------------------------------------------


def test_a_lesson_is_added_moved_taken_off_and_ended_by_the_pages(coach_client, coach, student):
    asked = {
        "student": str(student.pk), "weekday": "1", "at": "16:30", "every": "1", "minutes": "60",
        "first": "2031-02-26", "coach": str(coach.pk),
    }  # fmt: skip
    page = coach_client.post("/timetable/", asked, follow=True).text
    assert "Ada: every Tuesday at 16:30, from Tue 4 Mar." in page
    at = f"/timetable/{Series.objects.get().pk}/"
    page = coach_client.post(f"{at}2031-03-04/move/", {"day": "2031-03-05", "at": "10:00"})
    assert "moved to Wed 5 Mar, 10:00" in coach_client.get(at).text
    coach_client.post(f"{at}2031-03-11/off/")
    assert days_of(student) == [date(2031, 3, 5), *TUESDAYS[2:]]
    coach_client.post(f"{at}2031-03-11/back/")
    assert len(days_of(student)) == 4
    coach_client.post(at, {"last": "2031-03-12"})
    assert days_of(student) == [date(2031, 3, 5), TUESDAYS[1]]


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"at": "late"}, "Write the time like 16:30."),
        ({"first": "soon"}, "Write the day like 2026-03-24."),
        ({"first": "0001-01-01"}, "Write the day like 2026-03-24."),
        ({"first": "9999-12-31"}, "Write the day like 2026-03-24."),
        ({"minutes": "0"}, "From 5 to 480 minutes."),
        ({"student": ""}, "Choose a student."),
    ],
)
def test_what_cannot_be_says_what_to_write(coach_client, coach, student, changed, words):
    asked = {
        "student": str(student.pk), "weekday": "1", "at": "16:30", "every": "1", "minutes": "60",
        "first": "2031-02-26", "coach": str(coach.pk),
    } | changed  # fmt: skip
    page = coach_client.post("/timetable/", asked)
    assert words in page.text
    assert not Series.objects.exists()


def test_a_wrong_move_keeps_what_was_typed(coach_client, series):
    page = coach_client.post(
        f"/timetable/{series.pk}/2031-03-04/move/", {"day": "2031-03-05", "at": "tea"}
    )
    assert "Write the time like 16:30." in page.text
    assert 'value="tea"' in page.text


@pytest.mark.parametrize("day", ["2031-03-05", "2031-99-99"])
def test_a_day_that_is_none_of_the_series_is_not_found(coach_client, series, day):
    assert coach_client.post(f"/timetable/{series.pk}/{day}/off/").status_code == 404


def test_a_holiday_that_ends_before_it_begins_is_said(coach_client, student):
    page = coach_client.post(
        "/timetable/holidays/", {"holiday-first": "2031-03-05", "holiday-last": "2031-03-04"}
    )
    assert "The last day is before the first." in page.text
    assert not Holiday.objects.exists()


def test_others_have_none_of_it(series, coach):
    stranger = signed_in(factories.make_coach(name="Stranger"))
    assert stranger.get(f"/timetable/{series.pk}/").status_code == 404
    assert stranger.post(f"/timetable/{series.pk}/2031-03-04/off/").status_code == 404
    assert not re.search(r"\bAda\b", stranger.get("/timetable/").text)
    assert Occurrence.objects.filter(lesson=None).count() == 0


def test_the_page_costs_the_same_for_many(
    coach_client, coach, series, django_assert_max_num_queries
):
    with django_assert_max_num_queries(20):
        coach_client.get("/timetable/")
    for number in range(20):
        services.add_series(
            student=factories.make_student(coach, f"S{number}"), coach=coach,
            first=TUESDAYS[0], at=time(8), rule=recurrence.weekly(number % 7),
        )  # fmt: skip
    with django_assert_max_num_queries(20):
        coach_client.get("/timetable/")
