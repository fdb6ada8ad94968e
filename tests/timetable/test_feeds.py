"""Calendar feeds, read back by vobject, which shares no code with icalendar that wrote them."""

from datetime import UTC, date, datetime, time, timedelta

import pytest
import time_machine
import vobject
from django.core.cache import cache
from django.urls import reverse

from coaching.lessons import services as lessons
from coaching.timetable import feeds, recurrence, services
from coaching.timetable.models import Feed
from shared.people import consent, lost_passkey
from shared.people import services as people
from shared.people.models import Guardianship
from tests import factories
from tests.care.forms_of import forms_of
from tests.conftest import signed_in

NOON = datetime(2031, 2, 26, 12, tzinfo=UTC)  # A Wednesday.
TUESDAYS = [date(2031, 3, d) for d in (4, 11, 18, 25)]


@pytest.fixture(autouse=True)
def now(db):
    cache.clear()
    with time_machine.travel(NOON, tick=False) as traveller:
        yield traveller


@pytest.fixture
def coach():
    studio = factories.make_studio(time_zone="Europe/Paris")
    return factories.make_coach(studio, name="Mara", time_zone="Europe/Paris")


@pytest.fixture
def student(coach):
    return factories.make_student(coach, "Ada Hill", time_zone="Europe/Paris")


@pytest.fixture
def series(student, coach):
    return services.add_series(
        student=student, coach=coach, first=TUESDAYS[0], at=time(16, 30), rule=recurrence.weekly(1)
    )


def path(link: str) -> str:
    return "/calendar/" + link.rpartition("/calendar/")[2]


def events(text: str):
    return vobject.readOne(text).contents.get("vevent", [])


def instants(text: str, until: datetime) -> list[datetime]:
    """Every lesson that a calendar shows, by vobject's reading of rules, days off and moves."""
    found, moved = [], {}
    for event in events(text):
        if "recurrence-id" in event.contents:
            moved[event.recurrence_id.value.astimezone(UTC)] = event.dtstart.value
    for event in events(text):
        if "recurrence-id" in event.contents:
            continue
        rule = event.getrruleset(addRDate=True)
        if rule is None:
            found.append(event.dtstart.value.astimezone(UTC))
            continue
        for each in (local.astimezone(UTC) for local in rule):
            if each > until:
                break
            found.append(moved.get(each, each).astimezone(UTC))
    return sorted(found)


def test_over_both_changes_of_the_clock_the_lesson_stays_at_half_past_four(series, coach, client):
    page = client.get(path(feeds.make(user=coach)))
    assert page["Content-Type"] == "text/calendar; charset=utf-8"
    found = instants(page.text, datetime(2031, 12, 1, tzinfo=UTC))
    # Paris: UTC+1, from 30 March UTC+2, from 26 October UTC+1 again.
    assert found[:6] == [datetime(2031, 3, d, 15, 30, tzinfo=UTC) for d in (4, 11, 18, 25)] + [
        datetime(2031, 4, d, 14, 30, tzinfo=UTC) for d in (1, 8)
    ]
    assert datetime(2031, 10, 21, 14, 30, tzinfo=UTC) in found
    assert datetime(2031, 10, 28, 15, 30, tzinfo=UTC) in found
    assert len(found) == 39


def test_a_moved_lesson_one_that_is_off_and_a_holiday(series, coach, student, client):
    to = datetime(2031, 3, 5, 9, tzinfo=UTC)
    services.move(series=series, day=TUESDAYS[0], at=to)
    services.take_off(series=series, day=TUESDAYS[1])
    services.add_holiday(
        studio=student.studio, first=date(2031, 6, 1), last=date(2031, 6, 30), name="Summer"
    )
    text = client.get(path(feeds.make(user=coach))).text
    found = instants(text, datetime(2031, 7, 5, tzinfo=UTC))
    assert found[:2] == [to, datetime(2031, 3, 18, 15, 30, tzinfo=UTC)]
    assert not [each for each in found if each.month == 6]
    assert found[-1] == datetime(2031, 7, 1, 14, 30, tzinfo=UTC)
    assert text.count(f"UID:{series.pk}@between-lessons") == 2


def test_two_moved_lessons_each_stand_in_the_place_of_their_own_day(series, coach, client, now):
    """By vobject's reading: one moved over a change of the clock, one moved twice."""
    over, again = datetime(2031, 3, 31, 8, tzinfo=UTC), datetime(2031, 3, 13, 9, tzinfo=UTC)
    services.move(series=series, day=TUESDAYS[3], at=over)
    services.move(series=series, day=TUESDAYS[1], at=datetime(2031, 3, 12, 9, tzinfo=UTC))
    now.shift(timedelta(minutes=1))
    services.move(series=series, day=TUESDAYS[1], at=again)
    text = client.get(path(feeds.make(user=coach))).text
    found = instants(text, datetime(2031, 4, 2, tzinfo=UTC))
    assert found == [
        datetime(2031, 3, 4, 15, 30, tzinfo=UTC), again, datetime(2031, 3, 18, 15, 30, tzinfo=UTC),
        over, datetime(2031, 4, 1, 14, 30, tzinfo=UTC),
    ]  # fmt: skip
    assert len({each.uid.value for each in events(text)}) == 1
    assert text.count("RECURRENCE-ID") == 2


def test_what_the_calendar_shows_is_what_todays_lessons_will_be(
    series, coach, student, client, now
):
    services.move(series=series, day=TUESDAYS[1], at=datetime(2031, 3, 12, 9, tzinfo=UTC))
    services.take_off(series=series, day=TUESDAYS[2])
    text = client.get(path(feeds.make(user=coach))).text
    for _ in range(30):
        now.shift(timedelta(days=7))
        services.fill_all()
    until = datetime(2031, 9, 30, tzinfo=UTC)
    noted = student.lessons.filter(at__lte=until).order_by("at").values_list("at", flat=True)
    assert instants(text, until) == list(noted)


def test_its_uids_stay_and_only_what_changed_is_newer(series, coach, client, now):
    link = path(feeds.make(user=coach))
    (before,) = events(client.get(link).text)
    now.shift(timedelta(days=1))
    assert client.get(link).text.count("BEGIN:VEVENT") == 1
    services.take_off(series=series, day=TUESDAYS[1])
    (after,) = events(client.get(link).text)
    assert after.uid.value == before.uid.value
    assert after.last_modified.value > before.last_modified.value


def test_a_lesson_moved_by_itself_is_newer_too(series, coach, student, client, now):
    """RFC 5545, 3.8.7.3 and 3.8.7.4: LAST-MODIFIED tells when, and SEQUENCE grows.

    Moved on its own page a lesson told neither, alone or as one of those that come back.
    """
    services.fill(series=series, student=student)
    alone = lessons.plan_lesson(
        student=student, coach=coach, at=datetime(2031, 3, 6, 9, tzinfo=UTC)
    )
    link = path(feeds.make(user=coach))
    before = {each.uid.value: each for each in events(client.get(link).text)}
    now.shift(timedelta(hours=1))
    of_series = series.occurrences.order_by("day").first().lesson
    for lesson in (alone, of_series):
        lessons.move_lesson(lesson=lesson, at=lesson.at + timedelta(hours=2))
    after = {each.uid.value: each for each in events(client.get(link).text)}
    assert after.keys() == before.keys()
    assert len(after) == 2
    for uid, event in after.items():
        assert event.last_modified.value > before[uid].last_modified.value
        assert event.sequence.value > before[uid].sequence.value


def test_a_lesson_taken_off_on_its_own_page_and_noted_again_is_newer_each_time(
    series, coach, student, client, now
):
    """RFC 5546, 2.1.4: another EXDATE asks for another SEQUENCE; its page told neither."""
    services.fill(series=series, student=student)
    link = path(feeds.make(user=coach))
    (first,) = events(client.get(link).text)
    now.shift(timedelta(hours=1))
    hers = signed_in(coach)
    page = hers.post(
        reverse("lessons:cancel", args=[series.occurrences.earliest("day").lesson_id]), follow=True
    )
    (off,) = events(client.get(link).text)
    assert off.exdate.value[0].date() == TUESDAYS[0]
    assert off.sequence.value > first.sequence.value
    now.shift(timedelta(minutes=1))
    (form,) = [each for each in forms_of(page.text, "/") if each.action == "/undo/"]
    hers.post("/undo/", form.fields)
    (on,) = events(client.get(link).text)
    assert "exdate" not in on.contents
    assert on.sequence.value > off.sequence.value


def test_another_name_is_read_with_the_next_look(series, coach, student, client):
    link = path(feeds.make(user=coach))
    first = client.get(link)
    student.name = "Ada Hill-Lund"
    student.save()
    again = client.get(link, headers={"If-None-Match": first["ETag"]})
    assert again.status_code == 200
    assert "SUMMARY:Ada Hill-Lund" in again.text


def test_an_ended_one_has_its_end_and_a_single_lesson_is_there(series, coach, student, client):
    services.end_series(series=series, last=TUESDAYS[1])
    at = datetime(2031, 5, 2, 8, tzinfo=UTC)
    lessons.plan_lesson(student=student, coach=coach, at=at, place="Room 2")
    text = client.get(path(feeds.make(user=coach))).text
    found = instants(text, datetime(2032, 1, 1, tzinfo=UTC))
    assert [each.date() for each in found] == [*TUESDAYS[:2], at.date()]
    assert "LOCATION:Room 2" in text


def test_lines_are_as_the_rfc_asks(coach, client, student):
    """RFC 5545, 3.1: CRLF, and at most 75 octets a line."""
    student.name = "Łukasz Żółć, der Ältere; " * 3
    student.save()
    services.add_series(
        student=student, coach=coach, first=TUESDAYS[0], at=time(16, 30), rule=recurrence.weekly(1)
    )
    raw = client.get(path(feeds.make(user=coach))).content
    assert raw.count(b"\n") == raw.count(b"\r\n")
    assert max(map(len, raw.split(b"\r\n"))) <= 75
    (event,) = events(raw.decode())
    assert event.summary.value == student.name


def test_what_has_not_changed_is_not_sent_again(series, coach, client, now):
    """RFC 9110, 13.1.2 and 15.4.5: If-None-Match, and 304 with the same validator."""
    link = path(feeds.make(user=coach))
    first = client.get(link)
    now.shift(timedelta(hours=6))
    again = client.get(link, headers={"If-None-Match": first["ETag"]})
    assert (again.status_code, again.content, again["ETag"]) == (304, b"", first["ETag"])
    services.take_off(series=series, day=TUESDAYS[1])
    changed = client.get(link, headers={"If-None-Match": first["ETag"]})
    assert (changed.status_code, changed["ETag"] == first["ETag"]) == (200, False)
    assert changed["Cache-Control"] == "private, no-cache"


def test_a_student_sees_own_lessons_and_no_other_names(series, coach, student, client):
    factories.make_student(coach, "Somebody Else")
    text = client.get(path(feeds.make(user=student.user, student=student))).text
    assert "SUMMARY:Lesson with Mara" in text
    assert "Somebody" not in text


def test_a_link_is_made_by_the_page_ended_by_it_and_a_new_one_ends_the_old(student, series, client):
    own = signed_in(student.user)
    at = f"/students/{student.pk}/calendar/"
    first = path(own.post(at, {"make": "1"}).context["link"])
    assert client.get(first).status_code == 200
    assert first.split("/")[2][:20] not in own.get(at).text
    assert Feed.objects.get().digest not in first
    second = path(own.post(at, {"make": "1"}).context["link"])
    assert client.get(first).status_code == 404
    assert client.get(second).status_code == 200
    own.post(at, {"end": "1"})
    assert client.get(second).status_code == 404


def test_a_childs_link_ends_with_the_consent_and_a_coachs_with_the_work(coach, client):
    guardian = factories.make_user("Gil")
    child = factories.make_child(coach, guardian, name="Kim")
    services.add_series(
        student=child, coach=coach, first=TUESDAYS[0], at=time(16), rule=recurrence.weekly(1)
    )
    link = path(feeds.make(user=guardian, student=child))
    coachs = path(feeds.make(user=coach))
    assert "SUMMARY:Kim: lesson with Mara" in client.get(link).text
    assert "Kim" in client.get(coachs).text
    Guardianship.objects.update(withdrawn_at=NOON)
    assert client.get(link).status_code == 404
    assert "Kim" not in client.get(coachs).text
    coach.memberships.update(ended_at=NOON)
    assert client.get(coachs).status_code == 404


def test_a_link_does_not_come_back_with_what_it_rested_on(coach, student, client):
    guardian = factories.make_user()
    child = factories.make_child(coach, guardian)
    links = [
        feeds.make(user=guardian, student=child),
        feeds.make(user=student.user, student=student),
        feeds.make(user=coach),
    ]
    assert [client.get(path(link)).status_code for link in links] == [200, 200, 200]
    tie = Guardianship.objects.get()
    consent.change(tie, record=False, messages=False, clips=False)
    consent.change(tie, record=True, messages=True, clips=False)
    people.student_left(student=student)
    people.student_returned(student=student)
    lost_passkey.take_away(coach, "Owner")
    assert [client.get(path(link)).status_code for link in links] == [404, 404, 404]


def test_guessing_links_comes_to_an_end(client):
    answers = [client.get(f"/calendar/guess{n}.ics").status_code for n in range(25)]
    assert answers[0] == 404
    assert answers[-1] == 429


def test_a_feed_costs_the_same_for_many(coach, client, django_assert_max_num_queries):
    link = path(feeds.make(user=coach))
    for number in range(12):
        services.add_series(
            student=factories.make_student(coach, f"S{number}"), coach=coach,
            first=TUESDAYS[0], at=time(8), rule=recurrence.weekly(number % 7),
        )  # fmt: skip
    with django_assert_max_num_queries(10):
        client.get(link)
