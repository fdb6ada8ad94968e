"""Every way a part can reach a student's phone, walked with something stopped for pain.

Each way is a page or button that offers, copies, carries over, fits, proposes or sends
work. After every one of them no stopped part is open on the phone, and none was sent anew.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path
from uuid import UUID

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.urls import reverse

from coaching.groups.models import Group
from coaching.lessons.models import Finding
from coaching.lessons.services import open_lesson
from coaching.season import services as seasons
from practice.care.limits import Admitted, Limits
from practice.care.models import Stop
from practice.compliance.limits import limits_of
from practice.compliance.models import WeekTally
from practice.compliance.parts import dose_of
from practice.drills.hard import SPEED, is_hard
from practice.drills.models import Area, Drill
from practice.flows.take_entry import STORED, Sender, receive_one
from practice.phone.bundle import bundle
from practice.weeks.models import Part, Week, WeekTemplate
from practice.weeks.places import DayPlace
from shared.people.models import Student, User
from tests import factories
from tests.conftest import signed_in
from tests.factories import MONDAY
from tests.log.entries import entry
from tests.season.make import make_plan, make_ramp
from tests.test_routes import put_back

pytestmark = pytest.mark.django_db
NEXT = MONDAY + timedelta(7)
ROOT = Path(__file__).parents[2]

# Name, dose, area: soft, hard by its steps, hard by the clock, hard by what it is.
SHELF = {
    "Soft": ("12@40, 9@60", Area.SWING),
    "Ladder": ("12@40, 3@95", Area.SWING),
    "Timed": ("8 min@95", Area.SWING),
    "Sprint": ("6 balls", Area.SPEED),
    "Full": ("3x4@max", Area.SWING),
}
STOPS = {
    "the drill": ("Soft",),
    "all hard work": (None,),
    "both": ("Ladder", None),
    "two drills": ("Soft", "Timed"),
}


@dataclass
class House:
    """A coach, a student with a week of everything, and ways in."""

    coach: User
    student: Student
    client: Client
    drills: dict[str, Drill]

    def week_url(self, name: str, opens: date) -> str:
        return reverse(f"plans:{name}", args=[self.student.pk, opens])


@pytest.fixture(scope="module")
def built(django_db_setup, django_db_blocker):
    """Made once, on the Wednesday: a sixth of what a way costs."""
    with django_db_blocker.unblock(), put_back():
        with time_machine.travel(factories.NOON, tick=False):
            house = made()
            connection.check_constraints()
        yield house


@pytest.fixture
def house(built, db, wednesday) -> House:
    """As it was made: what a test changes is put back, and what it has read is read anew."""
    coach, student = (type(each).objects.get(pk=each.pk) for each in (built.coach, built.student))
    client = Client()
    client.cookies = built.client.cookies.copy()
    return replace(built, coach=coach, student=student, client=client)


def made() -> House:
    coach = factories.make_coach(name="Coach One")
    student = factories.make_student(coach, "Sam Sample")
    studio = student.studio
    drills = {
        name: factories.make_drill(studio, name, dose, area=area, short_form=dose)
        for name, (dose, area) in SHELF.items()
    }
    for drill in drills.values():
        drill.swaps.set([other for other in drills.values() if other != drill])
    week = factories.make_week(student)
    for drill in drills.values():
        factories.make_part(
            week, drill, swaps=[str(other.pk) for other in drills.values() if other != drill]
        )
    records = [
        {"drill": str(d.pk), "dose": d.current.dose, "sessions": 2, "minutes": 10}
        for d in drills.values()
    ]
    WeekTemplate.objects.create(studio=studio, name="All of it", parts=records, author=coach)
    make_ramp(make_plan(student), area="swing", start=60, target=90, opens=NEXT)
    seasons.set_days(student=student, times=[(n, DayPlace.RANGE, 240) for n in range(7)])
    group = Group.objects.create(studio=studio, name="Group", made_by=coach)
    group.students.add(student)
    return House(coach, student, signed_in(coach), drills)


def stop(house: House, what: tuple[str | None, ...]) -> None:
    for name in what:
        Stop.objects.create(
            student=house.student, drill=house.drills[name] if name else None, since=MONDAY
        )


# --- the ways ----------------------------------------------------------------------------


def start(house: House, source: str, percent: str = "0", opens: date = NEXT) -> None:
    house.client.post(house.week_url("start", opens), {"from": source, "percent": percent})


def rows(house: House, **changes: str) -> dict[str, str]:
    """Every drill typed by hand."""
    fields = {"rows": str(len(house.drills)), "note": ""}
    for n, drill in enumerate(house.drills.values()):
        fields |= {f"p{n}-drill": str(drill.pk), f"p{n}-dose": drill.current.dose}
        fields |= {f"p{n}-sessions": "4", f"p{n}-minutes": "10"} | changes
    return fields


def submit(house: House, opens: date, fields: dict[str, str], do: str) -> None:
    house.client.post(house.week_url("set_week", opens), fields | {"do": do})


def send_what_is_kept(house: House, opens: date = NEXT) -> None:
    """What the page shows is what its button sends."""
    page = house.client.get(house.week_url("set_week", opens))
    fields = {"rows": str(len(page.context["rows"])), "note": ""}
    for row in page.context["rows"]:
        for name, value in row.typed.items():
            fields[f"p{row.n}-{name}"] = value
    submit(house, opens, fields, "send")


def last_week_as_it_was(house: House) -> None:
    start(house, "last")
    send_what_is_kept(house)


def last_week_with_more(house: House) -> None:
    start(house, "last", "40")
    send_what_is_kept(house)


def from_a_template(house: House) -> None:
    start(house, str(WeekTemplate.objects.get().pk))
    send_what_is_kept(house)


def from_the_season(house: House) -> None:
    start(house, "season")
    send_what_is_kept(house)


def typed_by_hand(house: House) -> None:
    submit(house, NEXT, rows(house), "send")


def fitted_and_sent(house: House) -> None:
    submit(house, NEXT, rows(house), "fit")
    send_what_is_kept(house)


def a_draft_of_before(house: House) -> None:
    """Kept while nothing was stopped, and sent now."""
    standing = list(Stop.objects.all())
    Stop.objects.all().delete()
    submit(house, NEXT, rows(house), "keep")
    Stop.objects.bulk_create(standing)
    send_what_is_kept(house)


def given_to_several(house: House) -> None:
    give(house, f"template:{WeekTemplate.objects.get().pk}")


def a_students_week_to_several(house: House) -> None:
    give(house, f"week:{house.student.weeks.get(opens=MONDAY).pk}")


def give(house: House, source: str, query: str = "") -> None:
    fields = {"source": source, "student": str(house.student.pk), "do": "send", "when": "next"}
    house.client.post(reverse("plans:several") + query, fields)


def to_a_group(house: House) -> None:
    source = f"template:{WeekTemplate.objects.get().pk}"
    give(house, source, f"?group={Group.objects.get().pk}")


def a_lesson_closed(house: House, choice: str = "", opens: date = NEXT) -> None:
    lesson = open_lesson(student=house.student, by=house.coach)
    finding, _ = Finding.objects.get_or_create(lesson=lesson, position=0)
    finding.drills.set(house.drills.values())
    chosen = {f"do-{drill.pk}": choice for drill in house.drills.values()} if choice else {}
    house.client.post(
        reverse("lessons:close", args=[lesson.pk]), {"do": "send", "opens": str(opens)} | chosen
    )


def a_lesson_kept_for_later(house: House) -> None:
    lesson = open_lesson(student=house.student, by=house.coach)
    house.client.post(reverse("lessons:close", args=[lesson.pk]), {"do": "later"})
    send_what_is_kept(house)


def amended(house: House) -> None:
    submit(house, MONDAY, rows(house), "send")


def amended_upwards(house: House) -> None:
    week = house.student.weeks.get(opens=MONDAY)
    fields = rows(house)
    for n, part in enumerate(week.parts.order_by("priority")):
        fields[f"p{n}-id"] = str(part.pk)
        fields[f"p{n}-sessions"] = "6"
    submit(house, MONDAY, fields, "send")


def taken_out_and_put_back(house: House) -> None:
    week = house.student.weeks.get(opens=MONDAY)
    submit(house, MONDAY, {"rows": "0", "note": "x"}, "send")
    one = rows(house) | {"rows": "1"}
    submit(house, MONDAY, one, "send")
    assert week.parts.exists()
    submit(house, MONDAY, rows(house), "send")


def shortened(house: House) -> None:
    house.client.post(house.week_url("shorten", MONDAY))


WAYS: dict[str, Callable[[House], None]] = {
    way.__name__: way
    for way in (
        last_week_as_it_was,
        last_week_with_more,
        from_a_template,
        from_the_season,
        typed_by_hand,
        fitted_and_sent,
        a_draft_of_before,
        given_to_several,
        a_students_week_to_several,
        to_a_group,
        a_lesson_closed,
        a_lesson_kept_for_later,
        amended,
        amended_upwards,
        taken_out_and_put_back,
        shortened,
    )
}
CHOICES: dict[str, Callable[[House], None]] = {
    f"a lesson closed, {choice}, {opens}": lambda house, c=choice, o=opens: a_lesson_closed(
        house, c, o
    )
    for choice in ("raise", "keep", "lower", "shrink", "swap")
    for opens in (MONDAY, NEXT)
}


LEAVING = (
    from_a_template,
    typed_by_hand,
    a_lesson_closed,
    amended,
    taken_out_and_put_back,
    shortened,
)


# --- what must hold ---------------------------------------------------------------------


def is_hard_here(drill: Drill, dose: str) -> bool:
    efforts = [100 if text == "max" else int(text) for text in re.findall(r"@(\w+)", dose)]
    return drill.current.area == "speed" or any(effort >= 90 for effort in efforts)


def is_stopped(drill: Drill, dose: str) -> bool:
    """Said a second time here, from the stops alone, so that a wrong rule is found out."""
    stops = set(Stop.objects.filter(cleared_at=None).values_list("drill", flat=True))
    return drill.pk in stops or (None in stops and is_hard_here(drill, dose))


def asked(house: House) -> dict[UUID, tuple[str, int]]:
    live = Part.objects.filter(
        week__student=house.student, week__state=Week.State.SENT, removed_at=None
    )
    return {part.pk: (part.dose, part.sessions) for part in live}


def check_the_phone(house: House) -> None:
    """The bundle, and the page without scripts: nothing that is stopped is open or offered."""
    by_id = {str(drill.pk): drill for drill in house.drills.values()}
    told = bundle(Student.objects.get(pk=house.student.pk), house.student.user)
    for part in (part for week in told["weeks"] for part in week["parts"]):
        drill = by_id[part["drill"]]
        if is_stopped(drill, part["dose"]):
            assert part["stopped"], part
            assert part["short"] is None
        for swap in part["swaps"]:
            assert not is_stopped(by_id[swap], by_id[swap].current.dose), swap
    page = signed_in(house.student.user).get(reverse("log:plain"))
    for _, sections in page.context["weeks"]:
        for section in sections:
            drill = by_id[section.part["drill"]]
            assert not (is_stopped(drill, section.part["dose"]) and section.form)


def check_what_was_sent(house: House, before: dict[UUID, tuple[str, int]]) -> None:
    """No stopped part is new on a sent week, or asks for more than it did."""
    for pk, (dose, sessions) in asked(house).items():
        part = Part.objects.select_related("drill__current").get(pk=pk)
        if is_stopped(part.drill, dose):
            assert pk in before, f"{part.drill} was sent while it is stopped"
            assert dose == before[pk][0]
            assert sessions <= before[pk][1]


@pytest.mark.parametrize("way", WAYS.values(), ids=WAYS)
@pytest.mark.parametrize("what", STOPS.values(), ids=STOPS)
def test_no_way_sends_a_stopped_part(house, way, what):
    stop(house, what)
    before = asked(house)
    way(house)
    check_the_phone(house)
    check_what_was_sent(house, before)


def test_one_way_after_another_sends_no_stopped_part(house):
    """Every pair of those that leave something behind, each from the same beginning."""
    stop(house, STOPS["both"])
    before = asked(house)
    for first in LEAVING:
        with put_back():
            first(house)
            for second in LEAVING:
                with put_back():
                    second(house)
                    check_the_phone(house)
                    check_what_was_sent(house, before)


@pytest.mark.parametrize("way", CHOICES.values(), ids=CHOICES)
def test_no_choice_at_the_end_of_a_lesson_sends_one(house, way):
    test_no_way_sends_a_stopped_part(house, way, STOPS["both"])


def rest(house: House) -> None:
    """Ninety hard swings logged after ten a week, and a wrist that hurt a little with them."""
    swings = {"p": None, "d": str(house.drills["Full"].pk), "s": [{"n": 90, "c": None, "e": 95}]}
    said = entry(house.student, day=str(MONDAY), at=f"{MONDAY}T11:30:00+00:00", b=[swings])
    pain = {"lvl": 2, "where": "wrist", "signs": [], "new": True, "p": None}
    sender = Sender(house.student, house.student.user)
    assert receive_one(said | {"pain": pain}, sender=sender) == STORED
    for weeks in range(1, 5):
        WeekTally.objects.update_or_create(
            student=house.student,
            opens=MONDAY - timedelta(weeks=weeks),
            defaults={"hard_swings": 10},
        )
    assert not Stop.objects.exists()
    assert limits_of(house.student).rests


RESTING = WAYS | CHOICES


@pytest.mark.parametrize("way", RESTING.values(), ids=RESTING)
def test_no_way_asks_for_hard_swings_anew_while_they_rest(house, way):
    rest(house)
    before = asked(house)
    way(house)
    assert limits_of(house.student).rests
    for pk, (dose, sessions) in asked(house).items():
        part = Part.objects.select_related("drill__current").get(pk=pk)
        if is_hard_here(part.drill, dose):
            assert pk in before, f"{part.drill} was sent while they rest"
            assert dose == before[pk][0]
            assert sessions <= before[pk][1]


def young(house: House) -> None:
    """Under 16: at most 40 hard swings a week."""
    Student.objects.filter(pk=house.student.pk).update(born_year=2018)
    factories.make_guardian_of(house.student)


def event_weeks(house: House) -> None:
    """A cup in this week and another in the next: half of the 60 that hold without a base."""
    for day in (MONDAY + timedelta(5), NEXT + timedelta(4)):
        seasons.add_event(student=house.student, kind="event", name=f"Cup {day}", first=day)


def event_weeks_after_none(house: House) -> None:
    """The same, of a student who never swung hard: none before the cup."""
    event_weeks(house)
    for weeks in range(-1, 4):
        WeekTally.objects.update_or_create(
            student=house.student,
            opens=MONDAY - timedelta(weeks=weeks),
            defaults={"hard_swings": 0},
        )


def a_named_day(house: House) -> None:
    """An event that only the student's own page names."""
    Student.objects.filter(pk=house.student.pk).update(next_event=NEXT + timedelta(2))


CEILINGS: dict[str, tuple[Callable[[House], None], dict[date, int]]] = {
    "young": (young, {MONDAY: 40, NEXT: 40}),
    "event weeks": (event_weeks, {MONDAY: 30, NEXT: 30}),
    "no hard swings before it": (event_weeks_after_none, {MONDAY: 0, NEXT: 0}),
    "a named day": (a_named_day, {NEXT: 30}),
}
STEP = re.compile(r"(?:(\d+)x)?(\d+)(?: (min|balls))?(?:@(\w+))?")


def hard_swings_here(drill: Drill, dose: str) -> int:
    """Counted a second time, from the text alone."""
    found = 0
    for sets, amount, unit, effort in STEP.findall(dose):
        hard = effort == "max" or int(effort or 0) >= 90
        if unit != "min" and (hard or (drill.current.area == "speed" and not effort)):
            found += int(sets or 1) * int(amount)
    return found


def hard_by_week(house: House) -> dict[date, int]:
    found: dict[date, int] = {}
    live = Part.objects.filter(
        week__student=house.student, week__state=Week.State.SENT, removed_at=None
    ).select_related("week", "drill__current")
    for part in live:
        count = part.sessions * hard_swings_here(part.drill, part.dose)
        found[part.week.opens] = found.get(part.week.opens, 0) + count
    return found


@pytest.mark.parametrize("ceiling", CEILINGS)
@pytest.mark.parametrize("way", RESTING.values(), ids=RESTING)
def test_no_way_asks_for_more_hard_swings_than_the_week_may(house, way, ceiling):
    limit, most = CEILINGS[ceiling]
    limit(house)
    before, parts = hard_by_week(house), asked(house)
    way(house)
    for opens, count in hard_by_week(house).items():
        assert count <= max(most.get(opens, count), before.get(opens, 0))
    for pk, (dose, sessions) in asked(house).items():
        part = Part.objects.select_related("week", "drill__current").get(pk=pk)
        if most.get(part.week.opens) == 0 and is_hard_here(part.drill, dose):
            assert dose == parts[pk][0]
            assert sessions <= parts[pk][1]


LOWERED = (
    last_week_as_it_was,
    last_week_with_more,
    from_a_template,
    from_the_season,
    fitted_and_sent,
    given_to_several,
    a_students_week_to_several,
    to_a_group,
    a_lesson_closed,
    a_lesson_kept_for_later,
)


@pytest.mark.parametrize("ceiling", ["young", "event weeks"])
@pytest.mark.parametrize("way", LOWERED, ids=lambda way: way.__name__)
def test_what_is_offered_keeps_to_it_by_itself_and_is_sent(house, way, ceiling):
    """Nobody is asked, and some hard work is left of it."""
    limit, most = CEILINGS[ceiling]
    limit(house)
    way(house)
    assert 0 < hard_by_week(house)[NEXT] <= most[NEXT]


@pytest.mark.parametrize("ceiling", CEILINGS)
def test_the_phone_locks_nothing_for_it(house, ceiling):
    CEILINGS[ceiling][0](house)
    told = bundle(Student.objects.get(pk=house.student.pk), house.student.user)
    assert [part["stopped"] for week in told["weeks"] for part in week["parts"]] == [None] * 5


@pytest.mark.parametrize("way", WAYS.values(), ids=WAYS)
def test_without_a_stop_each_way_sends_something(house, way):
    """So that the test above cannot pass because nothing is ever sent."""
    before = asked(house)
    way(house)
    assert asked(house) != before


# --- and nothing else can send --------------------------------------------------------------

MAKES_PARTS = re.compile(r"\bPart\(|\bPart\.objects\.(?:bulk_)?create\b")


def test_parts_are_made_in_one_place():
    """Beside the demo's invented past and a file that is read in whole."""
    found = {
        str(path.relative_to(ROOT))
        for app in ("practice", "coaching", "shared")
        for path in (ROOT / app).rglob("*.py")
        if re.search(r"from practice.weeks.models import .*\bPart\b", path.read_text())
        and MAKES_PARTS.search(path.read_text())
    }
    assert found == {"practice/flows/set_week.py", "coaching/demo/load.py"}


def test_only_limits_admit(student, wednesday):
    with pytest.raises(TypeError, match="Only the limits"):
        Admitted(object(), student.pk, ())
    assert limits_of(student).admit([], {}).specs == ()


def test_hard_is_one_rule():
    assert SPEED == Area.SPEED
    hard = {name for name, (dose, area) in SHELF.items() if is_hard(dose_of(dose), area)}
    assert hard == {"Ladder", "Timed", "Sprint", "Full"}


def test_age_in_doubt_is_the_younger():
    limits = Limits(UUID(int=1), youngest=11)
    assert limits.is_too_young(12)
    assert not limits.is_too_young(11)
    assert not Limits(UUID(int=1)).is_too_young(12)
