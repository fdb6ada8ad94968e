"""Past practice, from memory: recognised, kept, leaned on a little, and taken back whole."""

import json
from datetime import UTC, date, datetime, timedelta

import pytest
import time_machine
from django.apps import apps
from django.core.cache import cache
from django.core.serializers import serialize

from coaching.board.as_of import standing_at
from coaching.bring.columns import recognised
from coaching.bring.models import Batch, Remembered
from coaching.bring.past_rows import PRACTICE, WHO_IS_NOT, is_past_practice, minutes_in
from coaching.forecast.forecast import FROM_MEMORY, ThisWeek, forecast, habits_of, own_minutes
from coaching.forecast.rhythm import HOUSE, DoneWeek, remembered_week
from practice.compliance.models import WeekTally
from practice.compliance.rebuild import rebuild
from tests import factories
from tests.conftest import signed_in

PAGE = "/students/list/"
NOW = datetime(2031, 2, 26, 12, tzinfo=UTC)  # A Wednesday.
LIST = """\
Student\tDate\tMinutes\tDrill
Ada Hill\t2031-02-03\t25\tGate putting
Hill\t2031-02-05\t1 h 15\t
Bo Lund\t2031-02-04\t0,5 h\tLadder
Zoe Nobody\t2031-02-04\t20\t
Bo Lund\t2031-03-04\t20\t
Bo Lund\tsoon\t20\t
Bo Lund\t2031-02-07\tlong\t"""


@pytest.fixture(autouse=True)
def _now(db):
    cache.clear()
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def coach():
    return factories.make_coach(name="Mara Lindgren")


@pytest.fixture
def ada(coach):
    return factories.make_student(coach, "Ada Hill")


@pytest.fixture
def bo(coach):
    return factories.make_student(coach, "Bo Lund")


@pytest.fixture
def client(coach, ada, bo):
    return signed_in(coach)


def keep(client, text=LIST):
    page = client.post(PAGE, {"list": text, "bring": "1"})
    assert page.status_code == 302, page.text
    return page["Location"]


def everything() -> dict[str, str]:
    """All that is kept, but for the board's own line and its version, which are made anew."""
    models = [m for m in apps.get_models() if m._meta.label != "board.KeptLine"]
    return {m._meta.label: serialize("json", m._default_manager.order_by("pk")) for m in models}


LISTS = {
    "English": (
        [["Name", "Date", "Minutes", "Drill"], ["Ada Hill", "2031-02-03", "25", "Gate"]],
        ["name", "day", "minutes", "drill"],
    ),
    "German, units in the cells": (
        [["Datum", "Schüler", "Übung", "Dauer"], ["03.02.2031", "Ada Hügel", "Tor", "25 min"]],
        ["day", "name", "drill", "minutes"],
    ),
    "French, unit in the head": (
        [["Élève", "Jour", "Durée (min)"], ["Ada Colline", "03/02/2031", "25"]],
        ["name", "day", "minutes"],
    ),
    "Spanish, hours": (
        [["Alumno", "Fecha", "Duración", "Ejercicio"], ["Ada", "3-2-2031", "1,5 h", "Puerta"]],
        ["name", "day", "minutes", "drill"],
    ),
    "Dutch": (
        [["Wie", "Wanneer", "Hoe lang", "Wat", "Tijd"], ["Ada", "3-2-2031", "", "Poort", "20"]],
        ["name", "day", "", "drill", "minutes"],
    ),
    "no heading": (
        [["Ada Hill", "2031-02-03", "25"], ["Bo Lund", "2031-02-04", "30"]],
        ["name", "day", "minutes"],
    ),
}


@pytest.mark.parametrize("name", LISTS)
def test_the_columns_are_taken_for_what_they_are(name):
    rows, fields = LISTS[name]
    assert is_past_practice(rows)
    assert list(recognised(rows, sort=PRACTICE).fields) == fields


@pytest.mark.parametrize(
    "rows",
    [
        [["Name", "Mail", "Day", "Time"], ["Ada Hill", "ada@example.org", "Tuesday", "16:30"]],
        [["Name", "Born", "Time"], ["Ada Hill", "1980-02-03", "16:30"]],
        [["Ada Hill"], ["Bo Lund"]],
        [["Ada Hill", "Tuesday", "16:30"]],
    ],
)
def test_a_list_of_students_is_none_of_practice(rows):
    assert not is_past_practice(rows)


@pytest.mark.parametrize(
    ("cell", "minutes"),
    [("25", 25), ("25 min", 25), ("25'", 25), (25.0, 25), ("1 h", 60), ("1 h 15", 75),
     ("1,5 Std.", 90), ("0:45", 45), ("1:15", 75), ("20 minuti", 20),
     ("long", None), ("", None), ("25 balls", None)],
)  # fmt: skip
def test_minutes_as_people_write_them(cell, minutes):
    assert minutes_in(cell) == minutes


def test_a_look_says_what_becomes_of_every_row_and_keeps_nothing(client):
    before = everything()
    page = client.post(PAGE, {"list": LIST})
    said = [each.words for each in page.context["outcomes"]]
    assert said == [
        "Mon 3 Feb, 25 minutes, Gate putting. From memory.",
        "Wed 5 Feb, 75 minutes. From memory.",
        "Tue 4 Feb, 30 minutes, Ladder. From memory.",
        f"No student here is called “Zoe Nobody”. {WHO_IS_NOT}",
        "That day is still to come.",
        "“soon” is not a day. Write it like 2026-02-25.",
        "“long” is no practice time. Write minutes, as 25.",
    ]
    assert "3 to bring, 4 left out" in page.text
    assert everything() == before


def test_what_was_taken_for_the_wrong_sort_of_list_is_put_right(client):
    page = client.post(PAGE, {"list": LIST, "sort": "people", "was": "past", "column-0": "drill"})
    assert not page.context.get("is_past")
    assert page.context["columns"][0]["chosen"] == "name"


def test_it_is_kept_as_from_memory_and_says_so_wherever_it_stands(client, ada):
    page = keep(client)
    assert Remembered.objects.count() == 3
    assert client.get(page).text.count("from memory</span>") == 3
    weeks = client.get(f"/students/{ada.pk}/weeks/").text
    assert "100 minutes on two days, Gate putting" in weeks
    assert "from memory</span>" in weeks


def test_one_tap_takes_it_back_and_leaves_nothing(client):
    before = everything()
    page = keep(client)
    assert everything() != before
    told = client.post(f"{page}take-back/", follow=True).text
    assert "Taken back: 3 rows. None is kept." in told
    assert everything() == before


def test_of_one_student_it_is_taken_back_too(client, ada, bo):
    before = everything()
    keep(client)
    client.post(f"/students/{ada.pk}/past/take-back/")
    assert set(Remembered.objects.values_list("student", flat=True)) == {bo.pk}
    assert Batch.objects.exists()
    client.post(f"/students/{bo.pk}/past/take-back/")
    assert everything() == before


def test_a_second_time_it_brings_nothing(client):
    keep(client)
    page = client.post(PAGE, {"list": LIST, "bring": "1"})
    assert "No row can be brought yet" in page.text
    assert Remembered.objects.count() == 3


def test_it_is_never_credit(client, coach, ada):
    """Neither a week that was sent takes it in, nor one that is sent for those days later."""
    drill = factories.make_drill(factories.studio_of(coach))
    factories.make_part(factories.make_week(ada, date(2031, 2, 10)), drill)
    rebuild(ada)
    before = list(WeekTally.objects.values())
    page = client.post(PAGE, {"list": "Student\tDate\tMinutes\nAda Hill\t2031-02-11\t60"})
    assert "A week was sent for that day. What was logged counts." in page.text
    keep(client, "Student\tDate\tMinutes\nAda Hill\t2031-02-03\t60")
    rebuild(ada)
    assert list(WeekTally.objects.values()) == before
    factories.make_part(factories.make_week(ada, date(2031, 2, 3)), drill)
    rebuild(ada)
    assert WeekTally.objects.get(opens=date(2031, 2, 3)).credited_minutes == 0


def test_another_studios_student_is_not_found(client):
    other = factories.make_student(factories.make_coach(name="Stranger"), "Yan Other")
    page = client.post(PAGE, {"list": "Student\tDate\tMinutes\nYan Other\t2031-02-03\t60"})
    assert "No student here is called" in page.text
    assert client.post(f"/students/{other.pk}/past/take-back/").status_code == 404


# --- the forecast ------------------------------------------------------------------------

MONDAY = date(2031, 2, 24)
THIS = ThisWeek(MONDAY, 100.0, (0.0,) * 7, (1.0,) * 7)
OFTEN = (30.0, 0.0, 30.0, 0.0, 30.0, 30.0, 0.0)


def memories(count: int) -> list[DoneWeek]:
    return [remembered_week(MONDAY - timedelta(weeks=n), OFTEN) for n in range(count, 0, -1)]


def test_the_forecast_has_something_to_stand_on():
    alone, helped = forecast(THIS, [], HOUSE), forecast(THIS, [], HOUSE, remembered=memories(8))
    assert helped.chance > alone.chance
    assert helped.own_share > alone.own_share
    assert (helped.weeks, helped.from_memory) == (0, 8)


def test_a_week_from_memory_weighs_a_quarter_of_a_logged_one():
    """Four remembered weeks move the habits as far as one logged week does."""
    even = HOUSE.__class__(**{**HOUSE.as_json(), "shares": HOUSE.shares, "fade": 1.0})
    logged = [DoneWeek(MONDAY - timedelta(weeks=1), 1e9, OFTEN)]
    by_log, by_memory = habits_of(logged, even), habits_of([], even, remembered=memories(4))
    assert FROM_MEMORY == 0.25
    assert by_memory.own_share == pytest.approx(by_log.own_share)
    assert own_minutes([], even, memories(4)).mean == pytest.approx(own_minutes(logged, even).mean)
    assert own_minutes([], even, memories(4)).mean > HOUSE.amount


def test_without_memories_nothing_changes():
    past = [DoneWeek(MONDAY - timedelta(weeks=n), 100.0, OFTEN) for n in (3, 2, 1)]
    assert forecast(THIS, past, HOUSE) == forecast(THIS, past, HOUSE, remembered=[])


def as_it_stood_before(coach) -> str:
    rows = standing_at(NOW - timedelta(hours=1), factories.studio_of(coach))
    return json.dumps(rows, default=str)


def test_the_board_says_how_many_weeks_are_from_memory(client, coach, ada):
    week = factories.make_week(ada, MONDAY)
    factories.make_part(week, factories.make_drill(factories.studio_of(coach)))
    rebuild(ada)
    without = as_it_stood_before(coach)
    keep(client)
    said = client.get(f"/students/{ada.pk}/worked-out/").text
    assert "Practice from memory adds one week, at a quarter of its weight." in said
    assert as_it_stood_before(coach) == without


def test_days_that_may_be_two_are_read_as_the_half_year_allows(client, ada):
    # In February 2031 the third of December is long past, and the twelfth of March to come.
    page = client.post(PAGE, {"list": "Student\tDate\tMinutes\nAda Hill\t12/03/2030\t25"})
    assert [each.words for each in page.context["outcomes"]] == [
        "Tue 3 Dec, 25 minutes. From memory."
    ]
    page = client.post(PAGE, {"list": "Student\tDate\tMinutes\nAda Hill\t11/12/2030\t25"})
    assert "“11/12/2030” may be 11 Dec or 12 Nov. Say above which." in page.text
    assert not page.context["count"]


@pytest.mark.parametrize(
    ("order", "day"), [("dmy", date(2030, 12, 11)), ("mdy", date(2030, 11, 12))]
)
def test_what_is_said_of_the_days_is_what_is_kept(client, ada, order, day):
    listed = "Student\tDate\tMinutes\nAda Hill\t11/12/2030\t25"
    page = client.post(PAGE, {"list": listed, "bring": "1"})
    assert page.status_code == 200
    assert 'name="order"' in page.text
    answer = client.post(PAGE, {"list": listed, "bring": "1", "order": order})
    assert answer.status_code == 302
    assert [*Remembered.objects.values_list("day", flat=True)] == [day]


def test_a_heading_in_another_language_says_that_the_day_comes_first(client, ada):
    page = client.post(PAGE, {"list": "Alumno\tFecha\tMinutos\nAda Hill\t11/12/2030\t25"})
    assert [each.words for each in page.context["outcomes"]] == [
        "Wed 11 Dec, 25 minutes. From memory."
    ]


def test_what_the_half_year_allows_is_only_proposed(client, ada):
    listed = "Student\tDate\tMinutes\nAda Hill\t12/03/2030\t25"
    page = client.post(PAGE, {"list": listed})
    assert '<option value="mdy" selected>' in page.text
    answer = client.post(PAGE, {"list": listed, "order": "dmy"})
    assert not answer.context["count"]


def test_what_was_said_of_one_list_gives_way_to_what_the_next_says_itself(client, ada):
    listed = "Student\tDate\tMinutes\nAda Hill\t25/12/2030\t25\nAda Hill\t10/11/2030\t25"
    page = client.post(PAGE, {"list": listed, "order": "mdy"})
    assert 'name="order"' not in page.text
    assert [each.words for each in page.context["outcomes"]] == [
        "Wed 25 Dec, 25 minutes. From memory.",
        "Sun 10 Nov, 25 minutes. From memory.",
    ]


def test_two_days_that_nobody_knows_are_not_called_the_same(client, ada):
    listed = "Student\tDate\tMinutes\nAda Hill\t11/12/2030\t25\nAda Hill\t12/11/2030\t25"
    page = client.post(PAGE, {"list": listed})
    assert page.text.count("Say above which.") == 2
    assert "The same as row" not in page.text
