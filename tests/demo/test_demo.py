"""The demo comes out of the rules, loads whole or not at all, and goes away again."""

import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from coaching.board.as_of import standing_at
from coaching.board.queries import board
from coaching.board.rows import BoardRow
from coaching.demo import cast
from coaching.demo.load import AlreadyInUse, load
from coaching.demo.remove import remove
from coaching.demo.sign_ins import sign_ins
from coaching.season.sheet import sheet_of
from practice.clips.models import Clip, clip_storage
from practice.compliance.models import WeekTally
from practice.log.models import Entry
from practice.numbers.load.queries import read_load
from practice.numbers.load.weeks import load_answer
from practice.numbers.moved.answer import moved_parts
from practice.numbers.moved.queries import read_moved
from practice.numbers.moved.try_out_pages import shown as shown_try_outs
from practice.numbers.speed.book import speed_book
from practice.numbers.speed.queries import read_speeds
from practice.tryouts.models import TryOut
from shared.kit.units import SPEED
from shared.kit.weeks import practice_day
from shared.people import consent
from shared.people.models import AccountMail, Invitation, Student, Studio, User
from shared.people.today import today_of
from tests.board.make import opened
from tests.factories import make_studio


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


def test_a_drill_was_tried_out_and_another_waits(demo):
    judged = TryOut.objects.get(design="start")
    assert judged.student.name == "Ines Calderao"
    (view,) = shown_try_outs(judged.student, judged.student.lead_coach)
    assert view.word == "A hint"
    assert "nothing that was logged" in view.how[-1]
    waiting = TryOut.objects.get(design="turns")
    assert waiting.first > today_of(waiting.student)


def test_loading_by_the_page_streams_its_progress_and_its_pictures_go_with_it(
    demo, django_capture_on_commit_callbacks
):
    """What is tried out is drawn as before: its source repeats itself."""
    before = drawn()
    remove()
    page = Client().post(reverse("demo:load"))
    text = b"".join(page.streaming_content).decode()
    assert page.status_code == 200
    assert text.index("24 drills") < text.index("Tamsin Orlebar") < text.index("Choose who to be")
    assert drawn() == before
    files = [name for row in Clip.objects.values_list("file", "still") for name in row]
    assert len(files) == 6
    assert all(clip_storage().exists(name) for name in files)
    with django_capture_on_commit_callbacks(execute=True):
        remove()
    assert not Student.objects.exists()
    assert not any(clip_storage().exists(name) for name in files)


def drawn():
    judged, waiting = (TryOut.objects.get(design=each) for each in ("start", "turns"))
    return judged.begins, judged.seed, waiting.turns


def test_minutes_of_the_demo_stand_beside_the_clock(demo):
    ravindu = Student.objects.get(name="Ravindu Peshala")
    found = load_answer(read_load(ravindu, today_of(ravindu)))
    assert found.checks >= 3
    week = next(week for week in found.weeks if week.clock)
    assert week.clock.low < week.clock.value < week.minutes  # He says a quarter more.
    quiet = Student.objects.get(name="Lotte Brandvold")
    assert load_answer(read_load(quiet, today_of(quiet))).checks == 0


def test_the_board_says_it_in_this_order(demo):
    shown_now = board(User.objects.get(name=cast.COACH), timezone.now())
    groups = {group.title: [row.name for row in group.rows] for group in shown_now.groups}
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


def shown() -> dict[str, BoardRow]:
    """Every line by name, in the board's order, opened."""
    coach, now = User.objects.get(name=cast.COACH), timezone.now()
    lines = [row for group in board(coach, now).groups for row in group.rows]
    return {line.name: opened(coach, line.name, now) for line in lines}


def test_what_the_tests_say_is_on_the_board(demo):
    """The figures are those of the story; the days depend on when the demo is loaded."""
    rows = shown()
    oskar, piet, ines = (rows[name] for name in ("Oskar Vennemo", "Piet Slagveld", "Ines Calderao"))
    assert oskar.reason.startswith("Estuary Open is on ")
    assert oskar.reason.endswith(
        ". 65 m lies in the gap from 60 to 71. Balls there fly 4.2 m long (10 balls)."
    )
    assert oskar.action == "One stock shot for 65 m. Nothing new before it."
    assert piet.reason == (
        "The best day, 157.0 mph, means nothing yet. Ball speed is 152.8 mph, and began at 152.4. "
        "A real change begins at 6.5 mph."
    )
    assert piet.action == "Aim at steady days, not at more swings."
    assert "Ball speed is up 6.9 mph since the start, and has stayed up." in ines.reason
    assert ines.action == "Tell the student."


def test_of_callum_the_fall_in_speed_is_told_beside_the_care(demo):
    callum = shown()["Callum Ferreby"]
    assert callum.reason.startswith("128 hard swings this week, usually 46. Lead wrist 3/10 on ")
    assert callum.reason.endswith(
        ". Ball speed is down 6.7 mph, and has stayed down for three test days."
        " In a child, growth may be why."
    )
    assert callum.action == (
        "Rest from hard swings. Tell the guardian and whoever looks after the gym work."
    )


def test_of_ravindu_the_gate_is_near_and_of_the_others_who_need_nothing_none_is(demo):
    gates = {name: row.gate for name, row in shown().items() if row.gate}
    assert list(gates) == ["Ravindu Peshala"]
    assert gates["Ravindu Peshala"].startswith("Sway. The gate to Speed is near: holds at 80 (")


def test_what_is_known_now_is_told_the_same_from_hindsight(demo):
    now = timezone.now()
    assert [row["reason"] for row in standing_at(now)] == [row.reason for row in shown().values()]


def test_states_of_the_story(demo):
    coach = User.objects.get(name=cast.COACH)
    found = board(coach, timezone.now())
    states = {row.name: row.state for group in found.groups for row in group.rows}
    assert states["Callum Ferreby"] == "Something hurts"  # Done, and never praised for it.
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
    assert "The usual comes from 6 past weeks." in sheet.left


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


def test_nobody_walks_in_on_a_public_server(demo, settings):
    """A demo that was loaded before PRODUCTION was switched on opens no door either."""
    settings.PRODUCTION = True
    client = Client()
    user = User.objects.first()
    assert client.post("/demo/sign-in/", {"user": str(user.pk)}).status_code == 404
    assert client.post("/demo/remove/", {"sure": "yes"}).status_code == 404
    assert client.get("/")["Location"] == "/account/login/"
    with pytest.raises(CommandError, match="PRODUCTION"):
        call_command("load_demo")


def test_the_page_that_asks_before_the_demo_goes_opens_again(demo):
    """A reload, or its address typed, asks anew and takes nothing away."""
    page = Client().get(reverse("demo:remove"))
    assert page.status_code == 200
    assert "Take the demo away?" in page.content.decode()
    assert Studio.objects.exists()


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
    ("name", "change", "needed", "answer"),
    [
        ("Ines Calderao", 6.9, 3.7, "moved"),
        ("Piet Slagveld", 0.4, 6.5, "cannot tell yet"),
        ("Freya Lindqvale", 2.1, 3.5, "cannot tell yet"),
        ("Callum Ferreby", -6.7, 3.7, "moved"),
        ("Oskar Vennemo", 0.1, 1.9, "did not move"),
    ],
)
def test_the_speeds_are_judged_by_the_rules(demo, name, change, needed, answer):
    claim = speeds(name).claim
    assert (mph(claim.value), mph(claim.reach), claim.answer) == (change, needed, answer)


def test_the_one_who_is_up_is_steadier_too(demo):
    steady = speeds("Ines Calderao").steady
    assert (mph(steady.everyday), mph(steady.floor)) == (155.1, 154.7)
    assert (mph(steady.first_spread), mph(steady.spread)) == (2.7, 0.6)
    assert steady.steadier


def test_a_best_day_means_nothing_yet(demo):
    line = speeds("Piet Slagveld")
    assert mph(max(each.figure for each in line.days)) == 157.0
    assert mph(line.everyday) == 153.3
    assert mph(line.steady.spread) == 2.8
    assert line.claim.answer == "cannot tell yet"


def test_the_overloaded_one_is_down_and_it_holds(demo):
    claim = speeds("Callum Ferreby").claim
    assert (claim.is_recent, claim.worse, claim.held) == (True, True, True)


def parts(name: str):
    student = Student.objects.get(name=name)
    facts = read_moved(student, practice_day(timezone.now(), student.time_zone))
    return {part.name: part for part in moved_parts(facts, is_minor=student.is_minor)}


def test_what_moved_comes_out_by_the_rules(demo):
    assert parts("Ines Calderao")["Speed set"].verdict == "Keep going"
    piet = parts("Piet Slagveld")["Speed set"]
    assert piet.verdict == "Cannot tell yet"
    assert piet.more.link == "no link seen"


def test_what_proves_nothing_has_no_verdict(demo):
    """Too few weeks, a child's growth, and a week written from memory."""
    assert {part.verdict for part in parts("Marlon Quashie-Holt").values()} == {"Too soon to say"}
    assert parts("Callum Ferreby")["Speed set"].growth
    freya = parts("Freya Lindqvale").values()
    assert {(part.mostly_memory, part.verdict) for part in freya} == {(True, "Too soon to say")}


def test_its_children_came_through_the_gate(demo):
    """A guardian's invitation, a consent that is written down, a second adult, a phone."""
    children = Student.objects.filter(born_year__isnull=False)
    assert len(children) == 2
    for child in children:
        tie = child.guardianships.get()
        assert tie.changes.exists()
        assert tie.consent_text_version == consent.TEXT_VERSION
        assert child.confirmed_by.name == cast.OWNER
        assert not child.user.has_mail
    asked_in = Invitation.objects.filter(accepted_at__isnull=False)
    assert asked_in.count() == Student.objects.count()
    assert not AccountMail.objects.exists()


def test_the_tour_leads_a_coach_to_seven_pages_that_open_and_a_student_nowhere(demo):
    coach = User.objects.get(name=cast.COACH)
    client = Client()
    walked = client.post(reverse("demo:sign_in"), {"user": str(coach.pk)})
    assert walked.url == reverse("demo:tour")
    page = client.get(walked.url)
    assert len(page.context["stops"]) == 7
    for stop in page.context["stops"]:
        assert client.get(stop.url).status_code == 200, stop.title
    student = Student.objects.get(name="Tamsin Orlebar")
    walked = client.post(reverse("demo:sign_in"), {"user": str(student.user_id)})
    assert walked.url == reverse("home")
    assert client.get(reverse("demo:tour")).status_code == 404
