"""A calendar of the coach's own, read in: rules, zones, days off and moved; taken back as one."""

from datetime import UTC, date, datetime, time, timedelta

import pytest
import time_machine
from django.core.cache import cache

from coaching.lessons.models import Lesson
from coaching.lessons.services import open_lesson
from coaching.timetable import feeds
from coaching.timetable.calendar_in import read
from coaching.timetable.models import Occurrence, ReadIn, Series
from coaching.timetable.services import add_series, move, take_off
from shared.kit.refused import Refused
from shared.people.access import recordable
from tests import factories
from tests.conftest import signed_in

PAGE = "/timetable/read/"
NOON = datetime(2031, 2, 26, 12, tzinfo=UTC)  # A Wednesday.
PARIS = "Europe/Paris"


def calendar(*events: str) -> str:
    inside = "".join(f"BEGIN:VEVENT\n{each.strip()}\nEND:VEVENT\n" for each in events)
    return f"BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//x//y//EN\n{inside}END:VCALENDAR\n"


ADA = """
UID:ada@example.org
SUMMARY:Lesson: Ada Hill
LOCATION:Bay 3
DTSTART;TZID=Europe/Paris:20310304T163000
DTEND;TZID=Europe/Paris:20310304T171500
RRULE:FREQ=WEEKLY;BYDAY=TU
EXDATE;TZID=Europe/Paris:20310311T163000
"""
ADA_MOVED = """
UID:ada@example.org
SUMMARY:Lesson: Ada Hill
RECURRENCE-ID;TZID=Europe/Paris:20310318T163000
DTSTART;TZID=Europe/Paris:20310319T100000
DTEND;TZID=Europe/Paris:20310319T104500
"""
ADA_CANCELLED = """
UID:ada@example.org
RECURRENCE-ID;TZID=Europe/Paris:20310325T163000
DTSTART;TZID=Europe/Paris:20310325T163000
STATUS:CANCELLED
"""
BO = """
UID:bo@example.org
SUMMARY:Bo
DTSTART;TZID=W. Europe Standard Time:20310305T170000
DURATION:PT1H
RRULE:FREQ=WEEKLY;INTERVAL=2
"""
DENTIST = "UID:d\nSUMMARY:Dentist\nDTSTART:20310306T100000Z\nRRULE:FREQ=WEEKLY"
ONCE = "UID:o\nSUMMARY:Ada Hill\nDTSTART;TZID=Europe/Paris:20310306T100000"
BIRTHDAY = "UID:y\nSUMMARY:Ada Hill\nDTSTART;VALUE=DATE:20310306\nRRULE:FREQ=YEARLY"
ODD = "UID:p\nSUMMARY:Ada Hill\nDTSTART:20310306T100000\nRRULE:FREQ=MONTHLY;BYMONTHDAY=6"
PAST = "UID:q\nSUMMARY:Ada Hill\nDTSTART:20290306T100000\nRRULE:FREQ=WEEKLY;UNTIL=20300101T000000"
WHOLE = calendar(ADA, ADA_MOVED, ADA_CANCELLED, BO, DENTIST, ONCE, BIRTHDAY, ODD, PAST)


# --- reading --------------------------------------------------------------------------


def test_an_event_that_comes_back_with_its_days_off_and_moved():
    ada = read(WHOLE, "UTC")[0]
    assert (ada.first, ada.at, ada.zone, ada.minutes) == (date(2031, 3, 4), time(16, 30), PARIS, 45)
    assert (ada.rule, ada.last, ada.place) == ("FREQ=WEEKLY;BYDAY=TU", None, "Bay 3")
    assert ada.off == [date(2031, 3, 11), date(2031, 3, 25)]
    ((day, at),) = ada.moved
    assert (day, at.astimezone(UTC)) == (date(2031, 3, 18), datetime(2031, 3, 19, 9, tzinfo=UTC))


def test_names_of_zones_that_are_not_the_worlds_own_are_understood():
    """'W. Europe Standard Time' is Europe/Berlin (Unicode CLDR, windowsZones)."""
    assert read(calendar(BO), "UTC")[0].zone == "Europe/Berlin"


def test_the_rule_of_the_standards_own_example_gives_its_days():
    """RFC 5545, 3.8.5.3: every other week on Monday, Wednesday and Friday, until 24 December 1997,
    starting 1 September 1997: September 1, 3, 5, 15, 17, 19, 29; October 1, 3, 13, 15, 17, ..."""
    from coaching.timetable import recurrence

    (found,) = read(
        calendar(
            "UID:r\nSUMMARY:x\nDTSTART;TZID=America/New_York:19970901T090000\n"
            "RRULE:FREQ=WEEKLY;INTERVAL=2;UNTIL=19971224T000000Z;WKST=SU;BYDAY=MO,WE,FR"
        ),
        "UTC",
    )
    assert not found.fault
    assert (found.zone, found.last) == ("America/New_York", date(1997, 12, 23))
    days = recurrence.days(found.rule, found.first, date(1997, 9, 1), date(1997, 10, 17))
    assert [(each.month, each.day) for each in days] == [
        (9, 1), (9, 3), (9, 5), (9, 15), (9, 17), (9, 19), (9, 29), (10, 1), (10, 3), (10, 13),
        (10, 15), (10, 17),
    ]  # fmt: skip


def test_what_cannot_be_kept_says_why():
    faults = {each.uid: each.fault for each in read(WHOLE, "UTC")}
    assert faults == {
        "ada@example.org": "",
        "bo@example.org": "",
        "d": "",
        "o": "Takes place once. Note it as a single lesson.",
        "y": "Lasts all day. Left out.",
        "p": "“BYMONTHDAY=6” is not a way in which lessons come back here.",
        "q": "",
    }


def test_a_clock_that_nobody_knows_is_said():
    odd = calendar("UID:z\nSUMMARY:x\nDTSTART;TZID=Club Time:20310304T163000\nRRULE:FREQ=WEEKLY")
    (found,) = read(odd, PARIS)
    assert (found.zone, found.at) == (PARIS, time(16, 30))
    assert found.remark == "The zone “Club Time” is unknown: read by the studio’s clock."
    assert "moves with the clock" in read(calendar(DENTIST), PARIS)[0].remark


@pytest.mark.parametrize(
    "text",
    ["", "hello", calendar(*[DENTIST] * 401)],
)
def test_what_is_no_calendar_is_said(text):
    with pytest.raises(Refused):
        read(text, "UTC")


def test_a_calendars_own_rules_of_a_zone_are_not_run():
    """They may be made to run for ever; the zone is known here by its name."""
    rules = (
        "BEGIN:VTIMEZONE\nTZID:Europe/Paris\nBEGIN:STANDARD\nDTSTART:00010101T000000\n"
        "RRULE:FREQ=SECONDLY\nTZOFFSETFROM:+0000\nTZOFFSETTO:+0500\nEND:STANDARD\nEND:VTIMEZONE\n"
    )
    text = calendar(ADA).replace("BEGIN:VEVENT", f"{rules}BEGIN:VEVENT", 1)
    assert read(text, "UTC")[0].zone == PARIS


# --- the page -------------------------------------------------------------------------


@pytest.fixture(autouse=True)
def _now(request):
    if "coach" in request.fixturenames or "client" in request.fixturenames:
        request.getfixturevalue("db")
        cache.clear()
    with time_machine.travel(NOON, tick=False):
        yield


@pytest.fixture
def coach(db):
    return factories.make_coach(factories.make_studio(time_zone=PARIS), name="Mara Lindgren")


@pytest.fixture
def ada(coach):
    return factories.make_student(coach, "Ada Hill")


@pytest.fixture
def client(coach, ada):
    factories.make_student(coach, "Bo Lund")
    return signed_in(coach)


def test_a_look_says_what_becomes_of_every_event_and_keeps_nothing(client):
    page = client.post(PAGE, {"calendar": WHOLE})
    assert [each.words for each in page.context["rows"]] == [
        "Every Tuesday at 16:30 (Europe/Paris), from Tue 4 Mar. Off on two days. Moved on one day.",
        "Every second Wednesday at 17:00 (Europe/Berlin), from Wed 5 Mar.",
        "No student is named in it. Choose one.",
        "Takes place once. Note it as a single lesson.",
        "Lasts all day. Left out.",
        "“BYMONTHDAY=6” is not a way in which lessons come back here.",
        "Is over, or not within a year.",
    ]
    assert "Put 2 on the timetable" in page.text
    assert not Series.objects.exists()
    assert not ReadIn.objects.exists()


def test_one_tap_puts_it_on_the_timetable_with_its_exceptions(client, ada):
    assert client.post(PAGE, {"calendar": WHOLE, "keep": "1"}).status_code == 302
    assert Series.objects.count() == 2
    at = list(Lesson.objects.filter(student=ada).order_by("at").values_list("at", flat=True))
    assert at == [
        datetime(2031, 3, 4, 15, 30, tzinfo=UTC),
        datetime(2031, 3, 19, 9, tzinfo=UTC),
    ]
    series = ada.series.get()
    assert (series.minutes, series.place, series.time_zone) == (45, "Bay 3", PARIS)
    off = series.occurrences.filter(lesson=None).values_list("day", flat=True)
    assert set(off) == {date(2031, 3, 11), date(2031, 3, 25)}


def test_somebody_else_is_chosen_and_an_event_is_left_out(client, ada):
    asked = {"calendar": calendar(ADA, DENTIST), "keep": "1"}
    client.post(PAGE, asked | {"student-0": "out", "student-1": str(ada.pk)})
    assert [each.at for each in ada.series.all()] == [time(10)]


def test_a_second_time_it_brings_nothing_and_a_file_is_only_looked_at(client):
    from django.core.files.uploadedfile import SimpleUploadedFile

    file = SimpleUploadedFile("own.ics", WHOLE.replace("\n", "\r\n").encode())
    page = client.post(PAGE, {"file": file, "keep": "1"})
    assert page.context["count"] == 2
    assert not Series.objects.exists()
    client.post(PAGE, {"calendar": page.context["text"], "keep": "1"})
    assert Series.objects.count() == 2
    page = client.post(PAGE, {"calendar": WHOLE, "keep": "1"})
    assert page.context["count"] == 0
    assert page.text.count("Is on the timetable already.") == 2


def test_it_is_taken_back_as_one_and_what_was_begun_stays(client, coach, ada):
    client.post(PAGE, {"calendar": WHOLE, "keep": "1"})
    with time_machine.travel(datetime(2031, 3, 4, 15, 30, tzinfo=UTC), tick=False):
        begun = open_lesson(student=recordable(ada), by=coach)
    assert "Take it back" in client.get(PAGE).text
    read_in = ReadIn.objects.get()
    told = client.post(f"{PAGE}{read_in.pk}/take-back/", follow=True).text
    assert "Taken back from the timetable: 2." in told
    assert list(Lesson.objects.all()) == [begun]
    for model in (Series, Occurrence, ReadIn):
        assert not model.objects.exists()


def test_of_another_studio_nothing_is_taken_back(client):
    client.post(PAGE, {"calendar": WHOLE, "keep": "1"})
    stranger = signed_in(factories.make_coach(name="Stranger"))
    assert stranger.post(f"{PAGE}{ReadIn.objects.get().pk}/take-back/").status_code == 404
    assert Series.objects.count() == 2


def test_our_own_feed_read_in_again_is_the_same_timetable(coach, ada):
    """Over both changes of the clock in Paris: 30 March and 26 October 2031."""
    series = add_series(
        student=recordable(ada), coach=coach, first=date(2031, 2, 26), at=time(16, 30),
        rule="FREQ=WEEKLY;BYDAY=WE", minutes=45,
    )  # fmt: skip
    take_off(series=series, day=date(2031, 3, 5))
    move(series=series, day=date(2031, 3, 12), at=datetime(2031, 3, 13, 9, tzinfo=UTC))
    token = feeds.make(user=coach).rsplit("/", 1)[1].removesuffix(".ics")
    (found,) = read(feeds.read(token, NOON).decode(), "UTC")
    assert (found.first, found.at, found.zone) == (date(2031, 2, 26), time(16, 30), PARIS)
    assert (found.rule, found.minutes, found.off) == (series.rule, 45, [date(2031, 3, 5)])
    assert found.moved[0][0] == date(2031, 3, 12)
    from coaching.timetable import recurrence

    for day in (date(2031, 3, 26), date(2031, 4, 2), date(2031, 10, 22), date(2031, 10, 29)):
        local = datetime.combine(day, time(16, 30), tzinfo=None)
        offset = timedelta(hours=2 if date(2031, 3, 30) <= day < date(2031, 10, 26) else 1)
        assert recurrence.instant(day, found.at, found.zone) == (local - offset).replace(tzinfo=UTC)
