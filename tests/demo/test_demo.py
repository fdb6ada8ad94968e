"""The demo comes out of the rules, loads whole or not at all, and goes away again."""

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from coaching.board.as_of import standing_at
from coaching.board.queries import board
from coaching.demo import cast
from coaching.demo.load import AlreadyInUse, load
from coaching.demo.remove import remove
from coaching.demo.sign_ins import sign_ins
from coaching.season.sheet import sheet_of
from practice.compliance.models import WeekTally
from practice.log.models import Entry
from practice.progress.moved import moved_parts
from practice.progress.moved_read import read_moved
from practice.progress.speed_book import speed_book
from practice.progress.speed_read import read_speeds
from shared.people.models import Student, Studio, User
from shared.people.today import today_of
from shared.units import SPEED
from shared.weeks import practice_day
from tests.factories import make_studio


@pytest.fixture(scope="module")
def demo_lines(django_db_setup, django_db_blocker):
    """The demo, loaded once for this module and taken away afterwards."""
    with django_db_blocker.unblock():
        lines = list(load())
        yield lines
        remove()


@pytest.fixture
def demo(db, demo_lines):
    return demo_lines


def tally(name: str) -> WeekTally:
    return WeekTally.objects.filter(student__name=name).order_by("-opens").first()


def test_it_says_what_it_loads(demo):
    assert len(demo) == 1 + len(cast.STUDENTS)
    assert Student.objects.count() == 14


@pytest.mark.parametrize(
    ("name", "asked", "done"),
    [
        ("Tamsin Orlebar", 105, 10),
        ("Ravindu Peshala", 90, 54),
        ("Wanjiru Kalunde", 110, 0),
        ("Lotte Brandvold", 42, 21),
        ("Gerald Umpleby", 120, 62),
        ("Haewon Tolvane", 110, 62),
        ("Marlon Quashie-Holt", 60, 30),
        ("Oskar Vennemo", 44, 22),
        ("Petronel Achterberg", 80, 40),
        ("Dougal Abernant", 100, 30),
    ],
)
def test_this_week_stands_as_the_story_has_it(demo, name, asked, done):
    week = tally(name)
    assert week.asked_minutes == asked
    assert week.credited_minutes == pytest.approx(done, abs=1)


def test_the_overloading_student(demo):
    weeks = WeekTally.objects.filter(student__name="Callum Ferreby").order_by("opens")
    hard = list(weeks.values_list("hard_swings", flat=True))
    assert hard[-5:] == [40, 48, 44, 52, 128]
    assert tally("Callum Ferreby").minutes == pytest.approx(236, abs=1)


def test_the_board_says_it_in_this_order(demo):
    groups = {group.title: [row.name for row in group.rows] for group in shown()}
    rows = [name for names in groups.values() for name in names]
    assert rows[:9] == [
        "Callum Ferreby",
        "Gerald Umpleby",
        "Wanjiru Kalunde",
        "Dougal Abernant",
        "Haewon Tolvane",
        "Tamsin Orlebar",
        "Freya Lindqvale",
        "Oskar Vennemo",
        "Piet Slagveld",
    ]
    assert groups["Watch"] == rows[6:9]
    assert set(groups["Nothing needed"]) == {
        "Ravindu Peshala",
        "Ines Calderao",
        "Lotte Brandvold",
        "Petronel Achterberg",
        "Marlon Quashie-Holt",
    }
    assert len(rows) == len(set(rows)) == 14


def shown():
    return board(User.objects.get(name=cast.COACH), timezone.now()).groups


def test_what_the_tests_say_is_on_the_board(demo):
    """The figures are those of the story; the days depend on when the demo is loaded."""
    rows = {row.name: row for group in shown() for row in group.rows}
    oskar, piet, ines = (rows[name] for name in ("Oskar Vennemo", "Piet Slagveld", "Ines Calderao"))
    assert oskar.reason.startswith("Estuary Open on ")
    assert oskar.reason.endswith(
        "; 65 m sits in the hole between 60 and 71, balls fly 4.2 m long (10 balls)."
    )
    assert oskar.action == "One stock shot for 65 m; nothing new before it."
    assert piet.reason == (
        "Ball speed: the best day, 157.0 mph, means nothing yet. Everyday 153.3 mph, "
        "start 152.4: +0.9, needed 3.5. Level; days spread by 2.8 (14 test days)."
    )
    assert piet.action == "Aim at steady days, not at more swings."
    assert "+5.2, needed 2.5. Up, held (14 test days)." in ines.reason
    assert ines.action == "Tell the student."


def test_of_callum_the_fall_in_speed_is_told_beside_the_care(demo):
    callum = next(row for group in shown() for row in group.rows if row.name == "Callum Ferreby")
    assert callum.reason.startswith("Hard swings 128 this week, usual 46; lead wrist 3/10 on ")
    assert callum.reason.endswith(
        "; ball speed −5.3 mph, needed 2.8: Down, held (in a child, growth may be why)."
    )
    assert callum.action == (
        "Rest from hard swings. Tell the guardian and whoever looks after the gym work."
    )


def test_of_ravindu_the_gate_is_near_and_of_the_others_who_need_nothing_none_is(demo):
    gates = {row.name: row.gate for group in shown() for row in group.rows if row.gate}
    assert list(gates) == ["Ravindu Peshala"]
    assert gates["Ravindu Peshala"].startswith("Sway. The gate to Speed is near: holds at 80 (")


def test_what_is_known_now_is_told_the_same_from_hindsight(demo):
    now = timezone.now()
    assert [row["reason"] for row in standing_at(now)] == [
        row.reason
        for group in board(User.objects.get(name=cast.COACH), now).groups
        for row in group.rows
    ]


def test_states_of_the_story(demo):
    coach = User.objects.get(name=cast.COACH)
    found = board(coach, timezone.now())
    states = {row.name: row.state for group in found.groups for row in group.rows}
    assert states["Callum Ferreby"] == "Done"
    assert states["Wanjiru Kalunde"] == "No word"
    assert states["Dougal Abernant"] == states["Gerald Umpleby"] == "Unlikely"
    assert states["Tamsin Orlebar"] == "Tight"
    assert states["Freya Lindqvale"] == "Logs later"
    assert states["Marlon Quashie-Holt"] == "Too soon to say"
    for name in ("Ravindu Peshala", "Lotte Brandvold", "Haewon Tolvane", "Petronel Achterberg"):
        assert states[name] == "In step"


def sheet_of_demo(name: str):
    student = Student.objects.select_related("studio").get(name=name)
    return sheet_of(student, today_of(student), student.lead_coach)


def test_callums_gym_strip_clashes_with_his_speed_work(demo):
    words = [clash.partition(": ")[2] for clash in sheet_of_demo("Callum Ferreby").clashes]
    assert words == [
        "Speed test the day after heavy legs.",
        "the third hard day in a row, golf and gym together.",
        "Speed set the day after heavy legs.",
    ]


def test_ines_lifts_heavy_and_swings_fast_without_a_clash(demo):
    sheet = sheet_of_demo("Ines Calderao")
    assert [cell.load for cell in sheet.gym].count("heavy") == 2
    assert not sheet.clashes
    assert [row.name for row in sheet.priorities] == ["Posture", "Speed, steady", "Wedges 40–80 m"]
    assert sheet.areas


def test_ravindus_sheet_has_his_order_and_the_event_seven_weeks_ahead(demo):
    sheet = sheet_of_demo("Ravindu Peshala")
    assert [row.name for row in sheet.priorities] == ["Sway", "Wedge contact", "Putting speed"]
    assert sheet.priorities[0].stage == "Flow"
    (spring,) = sheet.events
    assert (spring.name, spring.when) == ("Spring medal", "in 7 weeks")
    assert "median of 6 open weeks" in sheet.left


def test_oskars_week_is_an_event_week(demo):
    sheet = sheet_of_demo("Oskar Vennemo")
    assert sheet.events[0].name == "Estuary Open"
    assert sheet.back[0].kind == "event week: Estuary Open"


def test_no_entry_lies_in_the_future(demo):
    assert not Entry.objects.filter(received_at__gt=timezone.now()).exists()


def test_it_does_not_go_into_a_house_in_use(demo):
    with pytest.raises(AlreadyInUse):
        list(load())


def test_its_people_can_be_walked_in_as(demo):
    who = next(row for row in sign_ins() if row.name == cast.COACH)
    client = Client()
    answer = client.post(reverse("demo:sign_in"), {"user": who.user_id})
    assert answer.status_code == 302
    assert client.session["_auth_user_id"] == who.user_id


def test_nobody_walks_in_beside_a_real_studio(demo):
    studio = make_studio("Real")
    who = User.objects.get(name=cast.COACH)
    assert Client().post(reverse("demo:sign_in"), {"user": who.pk}).status_code == 404
    assert Client().post(reverse("demo:remove"), {"sure": "yes"}).status_code == 404
    with pytest.raises(RuntimeError):
        remove()
    assert Studio.objects.filter(pk=studio.pk).exists()


def test_a_wrong_id_is_no_way_in(demo):
    for bad in ("", "x", "00000000-0000-4000-8000-000000000000"):
        assert Client().post(reverse("demo:sign_in"), {"user": bad}).status_code == 404


def speeds(name: str):
    """The one line of this student's speed book, in mph as the coach reads it."""
    student = Student.objects.get(name=name)
    book = speed_book(read_speeds(student, practice_day(timezone.now(), student.time_zone)))
    (line,) = book.lines
    return line


def mph(speed: float) -> float:
    return round(SPEED["mph"].from_si(speed), 1)


@pytest.mark.parametrize(
    ("name", "change", "needed", "verdict", "held"),
    [
        ("Ines Calderao", 5.2, 2.5, "Up", True),
        ("Piet Slagveld", 0.9, 3.5, "Level", True),
        ("Freya Lindqvale", 2.2, 2.4, "Level", True),
    ],
)
def test_the_speeds_are_judged_by_the_rules(demo, name, change, needed, verdict, held):
    line = speeds(name)
    assert mph(line.change.change) == change
    assert mph(line.change.needed) == needed
    assert (line.change.verdict, line.change.held) == (verdict, held)


def test_the_one_who_is_up_is_steadier_too(demo):
    steady = speeds("Ines Calderao").steady
    assert (mph(steady.everyday), mph(steady.floor)) == (152.1, 151.2)
    assert (mph(steady.first_spread), mph(steady.spread)) == (1.6, 0.9)
    assert steady.steadier


def test_a_best_day_means_nothing_yet(demo):
    line = speeds("Piet Slagveld")
    assert mph(max(each.figure for each in line.days)) == 157.0
    assert mph(line.everyday) == 153.3
    assert mph(line.steady.spread) == 2.8
    assert line.held.verdict == "Level"


def test_the_overloaded_one_is_down_and_it_holds(demo):
    line = speeds("Callum Ferreby")
    assert (mph(line.recent.change), mph(line.recent.needed)) == (-5.3, 2.8)
    assert line.held is line.recent
    assert (line.held.verdict, line.held.held) == ("Down", True)


def test_the_one_in_season_keeps_his_speed(demo):
    line = speeds("Oskar Vennemo")
    assert line.held.verdict == "Level"
    assert line.recent.verdict == "Level"


def parts(name: str):
    student = Student.objects.get(name=name)
    facts = read_moved(student, practice_day(timezone.now(), student.time_zone))
    return {part.name: part for part in moved_parts(facts, is_minor=student.is_minor)}


def test_what_moved_comes_out_by_the_rules(demo):
    assert parts("Ines Calderao")["Speed set"].verdict == "Keep going"
    piet = parts("Piet Slagveld")["Speed set"]
    assert piet.verdict == "Change the drill"
    assert piet.more.link == "no link seen"


def test_what_proves_nothing_has_no_verdict(demo):
    """Too few weeks, a child's growth, and a week written from memory."""
    assert {part.verdict for part in parts("Marlon Quashie-Holt").values()} == {"Too soon to say"}
    assert parts("Callum Ferreby")["Speed set"].growth
    freya = parts("Freya Lindqvale").values()
    assert {(part.mostly_memory, part.verdict) for part in freya} == {(True, "Too soon to say")}
