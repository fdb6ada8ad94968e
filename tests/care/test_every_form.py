"""Every form of every page sent as a browser sends it, with work stopped for pain.

Nothing here knows which page sends a week: it reads whatever forms the pages hold, of a lead
coach, another coach, the student and the guardian, presses each of their buttons with each
of their choices, and then the buttons of the page that answers; what has no form is posted to
as it is. After each it reads the phone by its key, the page without scripts and the week on
paper, and looks at what now lies ready to be sent. A page added later is walked by itself.
`FAULTS` take the limits from one way at a time: each must be found.
"""

import json
import re
import sys
from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import timedelta
from http import HTTPStatus
from pathlib import Path
from urllib.parse import parse_qs, urljoin, urlsplit
from uuid import UUID, uuid4

import pytest
from django.core.cache import cache as limits
from django.db import transaction
from django.test import Client
from django.urls import Resolver404, resolve, reverse

from coaching.lessons.models import Finding, Lesson
from coaching.season import services as seasons
from practice.care.limits import Limits
from practice.care.models import Stop
from practice.care.work import Stopped, Work
from practice.drills.models import Area, Drill
from practice.tryouts.models import TryOut
from practice.weeks.models import Part, Week, WeekTemplate
from practice.weeks.places import DayPlace
from shared.people.models import Membership, Student
from tests import factories
from tests.care.forms_of import Form, forms_of, links_of
from tests.conftest import signed_in
from tests.factories import MONDAY, NOON
from tests.log.entries import Phone, back, change, entry
from tests.season.make import make_plan, make_ramp
from tests.test_routes import address, routes, things_of

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.long,  # Minutes of processor for each who presses.
    pytest.mark.usefixtures("wednesday"),
]
NEXT = MONDAY + timedelta(7)
MOST_CHOICES = 3
WHOLE = ("as it stands", "all ticked", "written in")  # From these a second button is pressed.
OF_ONE = re.compile(r"[0-9a-f-]{36}|\d+")
SHELF = {
    "Free": ("5@30", Area.SWING),
    "Soft": ("12@40, 9@60", Area.SWING),
    "Ladder": ("12@40, 3@95", Area.SWING),
    "Sprint": ("6 balls", Area.SPEED),
}
STOPPED = ("Soft", None)  # One drill, and all hard work.
BY_HAND = {"plans:set_week", "lessons:note", "lessons:typed"}  # A hand names each drill there.
SENDING = ("plans:", "lessons:", "progress:try")  # Walked first: a fault is soon found.
GONE = ("log:forget", "account_logout", "demo:", "mfa_", "account_")  # Of the hand itself.
# Ways on which work is copied, carried over, proposed, sent or shown: each asks the limits here.
FAULTS = {
    "a week copied": "set_week.start_draft",
    "a week from the season": "weekly.start_from_season",
    "a lesson carried over": "proposal._proposal",
    "a lesson as last time": "services.as_last_time",
    "a try-out": "services.may_begin",
    "a week sent": "set_week.send_week",
    "a week changed": "set_week.amend_week",
    "one week for several": "set_several._assign",
    "what a part offers instead": "bundle._offered",
    "the short form of a part": "bundle._short",
    "the phone": "api.get",
    "the week without scripts": "plain._page",
    "the week on paper": "paper.paper_weeks",
}
Fields = dict[str, list[str]]


@dataclass
class World:
    """A student with a week of everything, some of it stopped, and whoever may press a button."""

    student: Student
    drills: dict[str, Drill]
    clients: dict[str, Client]
    things: dict[str, object]
    phone: Phone
    told: dict[str, object]
    reader: Client  # The student's own eyes, for the week without scripts and on paper.
    stops: set[object] = field(default_factory=set)
    ready: set[object] = field(default_factory=set)
    asked: set[object] = field(default_factory=set)
    # Addresses by name: posted to, and those that changed what the phone shows.
    posted: set[str] = field(default_factory=set)
    changed: set[str] = field(default_factory=set)
    faults: list[str] = field(default_factory=list)


@pytest.fixture
def world(coach) -> World:
    guardian = factories.make_user("Gil Guardian")
    child = factories.make_child(coach, guardian, name="Kim")
    studio = child.studio
    drills = {
        name: factories.make_drill(studio, name, dose, area=area, short_form=dose)
        for name, (dose, area) in SHELF.items()
    }
    everything = list(drills.values())
    for drill in everything:
        drill.swaps.set([other for other in everything if other != drill])
    things = things_of(child)
    # Without a test on the shelf no try-out can be drawn.
    things["judge"] = factories.make_drill(studio, "Judge", "5@30", is_test=True).pk
    Stop.objects.all().delete()
    for opens in (MONDAY - timedelta(7), MONDAY):
        week, _ = Week.objects.get_or_create(
            student=child, opens=opens, defaults={"author": coach, "state": Week.State.SENT,
            "published_on": opens, "sent_at": NOON - timedelta(9)},
        )  # fmt: skip
        for drill in everything:
            swaps = [str(other.pk) for other in everything if other != drill]
            factories.make_part(week, drill, swaps=swaps)
    record = {"sessions": 2, "minutes": 10}
    WeekTemplate.objects.update(
        parts=[record | {"drill": str(d.pk), "dose": d.current.dose} for d in everything]
    )
    child.season_plan.delete()
    make_ramp(make_plan(child), area="swing", start=60, target=90, opens=NEXT)
    seasons.set_days(student=child, times=[(n, DayPlace.RANGE, 240) for n in range(7)])
    past = Lesson.objects.create(
        student=child,
        coach=coach,
        at=NOON - timedelta(8),
        state=Lesson.State.CLOSED,
        ending=Lesson.Ending.NONE,
    )
    for lesson in (past, Lesson.objects.get(pk=things["lesson_id"])):
        Finding.objects.create(lesson=lesson, fault="Sway", cue="Stay").drills.set(everything)
    phone = Phone(child)
    told = entry(child, pain={"lvl": 6, "where": "back", "signs": [], "new": True, "p": None})
    phone.receipt(told)
    soft = drills["Soft"]
    Stop.objects.create(student=child, drill=soft, since=MONDAY)
    other = factories.make_coach(studio, Membership.Role.COACH, name="Coach Two")
    people = {"coach": coach, "other": other, "student": child.user, "guardian": guardian}
    clients = {name: signed_in(user) for name, user in people.items()}
    made = World(child, drills, clients, things, phone, told, signed_in(child.user))
    made.stops = set(Stop.objects.values_list("pk", flat=True))
    made.asked = set(Part.objects.filter(week__state=Week.State.SENT).values_list("pk", flat=True))
    made.ready = {row[:3] for row in written_down(made)}
    assert {stop.drill for stop in Stop.objects.all()} == {soft, None}
    assert {made.reader.get(at).status_code for at in without_scripts(made)} == {HTTPStatus.OK}
    return made


# --- what must hold: said here once more, from the stops alone --------------------------------


def stands(world: World) -> tuple[set[str], bool]:
    """The drills that are stopped, and whether all hard work is."""
    drills = {str(pk) for pk in live_stops(world).values_list("drill", flat=True) if pk}
    return drills, live_stops(world).filter(drill=None).exists()


def live_stops(world: World):
    return Stop.objects.filter(student=world.student, cleared_at=None)


def is_stopped(drill: str, dose: str, area: str, standing: tuple[set[str], bool]) -> bool:
    efforts = [step.split("@")[1].split()[0] for step in dose.split(",") if "@" in step]
    hard = area == "speed" or any(e == "max" or (e.isdigit() and int(e) >= 90) for e in efforts)
    return drill in standing[0] or (hard and standing[1])


def snapshot(world: World) -> object:
    """What the phone and the stops hang on."""
    parts = Part.objects.filter(week__student=world.student, week__state=Week.State.SENT)
    live = parts.filter(removed_at=None).values_list(
        "pk", "drill", "dose", "sessions", "swaps", "revision__area", "revision__short_form"
    )
    return (
        [tuple(map(str, row)) for row in live.order_by("pk")],
        list(Stop.objects.order_by("pk").values_list("pk", "drill", "cleared_at", "student")),
        list(Drill.objects.order_by("pk").values_list("pk", "current")),
    )


def drafts(world: World) -> object:
    """What is written and not sent: weeks and lessons."""
    weeks = Week.objects.filter(student=world.student).order_by("pk")
    parts = Part.objects.filter(week__in=weeks, week__state=Week.State.DRAFT).order_by("pk")
    found = Finding.objects.filter(lesson__student=world.student).order_by("pk")
    return (
        list(weeks.values_list("pk", "state", "typed", "revision")),
        list(parts.values_list("pk", "drill", "dose", "sessions")),
        list(found.values_list("pk", "drills")),
        list(Lesson.objects.order_by("pk").values_list("pk", "state")),
    )


def written_down(world: World) -> Iterator[tuple[str, object, str, str, str, str]]:
    """Work that would be the next to go: where it lies, its row, drill, dose, name, area."""
    words = ("drill__current__name", "drill__current__area")
    shelf = ("drill", "drill__current__dose", *words)
    parts = Part.objects.filter(week__student=world.student, week__state=Week.State.DRAFT)
    found = Finding.drills.through.objects.filter(finding__lesson__student=world.student)
    tried = TryOut.objects.filter(student=world.student)
    for row in parts.values_list("pk", "drill", "dose", *words):
        yield "a draft", *row
    for row in found.values_list("finding", *shelf):
        yield "a lesson", *row
    for row in tried.values_list("pk", *shelf):
        yield "a try-out", *row


def look_at_what_is_ready(world: World, how: str) -> None:
    """What the app itself copies, carries over or proposes is nothing that is stopped."""
    standing = stands(world)
    for where, pk, drill, dose, name, area in written_down(world):
        if (where, pk, drill) not in world.ready and is_stopped(str(drill), dose, area, standing):
            world.faults.append(f"{how}: {name} {dose} lies ready in {where}")


def look_at_the_phone(world: World, how: str) -> None:
    """Read it by its key, and note what must not be."""
    looks = (at_the_stops, on_the_phone, on_the_plain_page, on_paper)
    world.faults += [f"{how}: {fault}" for look in looks for fault in look(world)]


def at_the_stops(world: World) -> Iterator[str]:
    """A stop ends by a reason of somebody's, and in no other way."""
    if world.stops - set(Stop.objects.values_list("pk", flat=True)):
        yield "a stop is gone"
    for stop in Stop.objects.exclude(cleared_at=None):
        if not stop.clearing_words.strip() or stop.cleared_by is None:
            yield "a stop was cleared without a reason"


def on_the_phone(world: World) -> Iterator[str]:
    answer = world.phone.week()
    if answer.status_code != HTTPStatus.OK:
        return  # The phone's key was ended: nothing reaches it.
    standing = stands(world)
    shelf = {
        str(pk): row
        for pk, *row in Drill.objects.values_list("pk", "current__dose", "current__area")
    }
    parts = Part.objects.select_related("revision").in_bulk()
    for row in (row for week in answer.json()["weeks"] for row in week["parts"]):
        part = parts[UUID(row["id"])]
        if is_stopped(row["drill"], row["dose"], part.revision.area, standing):
            if not row["stopped"] or row["short"]:
                yield f"{row['name']} {row['dose']} is open"
            if part.pk not in world.asked:
                yield f"{row['name']} {row['dose']} was sent anew"
        for swap in row["swaps"]:
            if is_stopped(swap, *shelf[swap], standing):
                yield f"a stopped drill is offered instead of {row['name']}"


def without_scripts(world: World) -> tuple[str, str]:
    return reverse("log:plain"), reverse("log:paper", args=[world.student.pk])


def on_the_plain_page(world: World) -> Iterator[str]:
    page = world.reader.get(without_scripts(world)[0])
    if page.status_code != HTTPStatus.OK:
        return  # The student was signed out.
    areas = dict(Part.objects.values_list("pk", "revision__area"))
    for section in (each for _, sections in page.context["weeks"] for each in sections):
        part = section.part
        area = areas[UUID(part["id"])]
        if section.form and is_stopped(part["drill"], part["dose"], area, stands(world)):
            yield f"{part['name']} {part['dose']} is open without scripts"


def on_paper(world: World) -> Iterator[str]:
    page = world.reader.get(without_scripts(world)[1])
    if page.status_code != HTTPStatus.OK or page.context["week"] is None:
        return  # The student was signed out, or has no week.
    printed = dict(re.findall(r"<h2>(\d+)\. .*?</h2>(.*?)</li>", page.content.decode(), re.DOTALL))
    parts = Part.objects.select_related("revision").in_bulk()
    for row in page.context["week"].parts:
        part, text = parts[UUID(row.id)], printed[str(row.number)]
        is_open = "paper-boxes" in text or "paper-qr" in text
        if is_open and is_stopped(str(part.drill_id), part.dose, part.revision.area, stands(world)):
            yield f"{row.name} {part.dose} is open on paper"


# --- the hand ----------------------------------------------------------------------------------


@contextmanager
def put_back(client: Client) -> Iterator[None]:
    cookies = client.cookies.copy()
    limits.clear()
    with transaction.atomic():
        yield
        transaction.set_rollback(True)
    client.cookies = cookies


def guess(world: World, name: str) -> str:
    """What a hand would write into an empty field."""
    if name == "test":
        return str(world.things["judge"])
    for part, value in {
        "drill": str(world.drills["Soft"].pk), "dose": "12@40, 6@95", "sessions": "4",
        "minutes": "10", "percent": "40", "times": "3", "opens": str(NEXT), "first": str(NEXT),
        "last": str(NEXT + timedelta(6)), "day": str(MONDAY + timedelta(2)), "date": str(NEXT),
        "student": str(world.student.pk), "at": f"{MONDAY + timedelta(3)}T12:00",
        "source": f"template:{world.things['template_id']}",
    }.items():  # fmt: skip
        if part in name:
            return value
    return "3" if name.endswith(("level", "effort", "count", "n")) else "x"


def variations(world: World, form: Form) -> Iterator[tuple[str, Fields]]:
    """As it stands; with each choice; with everything ticked; with everything empty written in."""
    base = {name: values for name, values in form.fields.items() if name}
    yield "as it stands", base
    kinds: set[str] = set()
    for name, values in form.choices.items():
        if (kind := OF_ONE.sub("#", name)) in kinds:
            continue  # Of many rows alike, the first.
        kinds.add(kind)
        for value in list(dict.fromkeys(values))[:MOST_CHOICES]:
            if [value] != base.get(name):
                yield f"{name}={value}", base | {name: [value]}
    ticked = {name: values for name, values in form.choices.items() if name not in form.single}
    if ticked:
        yield "all ticked", base | ticked
    empty = {name for name, values in base.items() if values in ([""], [])}
    if empty:
        yield "written in", base | {name: [guess(world, name)] for name in empty}


def view_of(path: str) -> str:
    try:
        return resolve(urlsplit(path).path).view_name
    except Resolver404:
        return ""


def press(world: World, client: Client, form: Form, button, fields: Fields):
    """And a yes to whatever is asked once: it opens what an event or an age limits, and no stop."""
    name, value, action = button
    at = urljoin(form.address, action or form.action)
    data = fields | {"in-spite": ["on"]} | ({name: [value]} if name else {})
    return at, closed(client.post(at, data))


def closed(answer):
    """A file that is sent is read, and so let go."""
    if answer.streaming:
        b"".join(answer.streaming_content)
    return answer


def is_page(answer) -> bool:
    return not answer.streaming and answer.get("Content-Type", "").startswith("text/html")


class Walk:
    """One person's walk: pages by their links, and every form on them, each but once."""

    def __init__(self, world: World, actor: str) -> None:
        self.world, self.actor, self.client = world, actor, world.clients[actor]
        self.seen: set[object] = set()

    def pages(self) -> Iterator[tuple[str, str]]:
        first = sorted(routes(), key=lambda route: not route.name.startswith(SENDING))
        known = {route.name: address(route, self.world.things) for route in first}
        more = [reverse("plans:set_week", args=[self.world.student.pk, opens])
                for opens in (NEXT, NEXT + timedelta(7))]  # fmt: skip
        line = deque([*known.values(), *more])
        seen: set[object] = set()
        while line:
            at = line.popleft()
            split = urlsplit(at)
            # One page of a kind; of a week, each.
            which = split.path if view_of(at).startswith("plans:") else view_of(at)
            kind = (which, frozenset(parse_qs(split.query)))
            if kind in seen or not view_of(at) or view_of(at).startswith(GONE):
                continue
            seen.add(kind)
            with put_back(self.client):
                answer = closed(self.client.get(at, follow=True))
                here = answer.redirect_chain[-1][0] if answer.redirect_chain else at
                html = answer.content.decode() if is_page(answer) else ""
            if answer.status_code == 200 and html:
                line.extend(urljoin(here, link) for link in links_of(html))
                yield urljoin(at, here), html

    def go(self) -> Iterator[None]:
        """One press after another, so that whoever asks for them may stop."""
        for at, html in self.pages():
            for form in forms_of(html, at):
                for button in form.buttons or [("", "", "")]:
                    for what, fields in variations(self.world, form):
                        yield self.once(form, button, what, fields)

    def once(self, form: Form, button, what: str, fields: Fields) -> None:
        view = view_of(urljoin(form.address, button[2] or form.action))
        key = (view, button[:2], fingerprint(fields))
        if view.startswith(GONE) or key in self.seen:
            return
        self.seen.add(key)
        with put_back(self.client):
            before, draft = snapshot(self.world), drafts(self.world)
            at, answer = press(self.world, self.client, form, button, fields)
            how = f"{self.actor} at {at}, {button[0]}={button[1]}, {what}"
            self.after(view, how, before)
            if view not in BY_HAND:
                look_at_what_is_ready(self.world, how)
            # A page that answers by itself, or one before which something is now ready to go.
            if answer.status_code == HTTPStatus.FOUND and drafts(self.world) != draft:
                at = urljoin(at, answer["Location"])
                answer = closed(self.client.get(at))
            if what in WHOLE and is_page(answer) and answer.status_code in {200, 400}:
                self.then(view, how, forms_of(answer.content.decode(), at))

    def then(self, first: str, how: str, forms: list[Form]) -> None:
        """The buttons of the page that answered."""
        for form in forms:
            for button in form.buttons or [("", "", "")]:
                view = view_of(urljoin(form.address, button[2] or form.action))
                key = (first, view, button[:2], fingerprint(form.fields))
                if view.startswith(GONE) or key in self.seen:
                    continue
                self.seen.add(key)
                with put_back(self.client):
                    before = snapshot(self.world)
                    press(self.world, self.client, form, button, form.fields)
                    then = f"{how}; then {view}, {button[0]}={button[1]}"
                    self.after(view, then, before)
                    if not BY_HAND & {first, view}:
                        look_at_what_is_ready(self.world, then)

    def after(self, view: str, how: str, before: object) -> None:
        self.world.posted.add(view)
        if snapshot(self.world) != before:
            self.world.changed.add(view)
            look_at_the_phone(self.world, how)


def fingerprint(fields: Fields) -> object:
    return frozenset((name, *values) for name, values in fields.items() if "csrf" not in name)


def bare_posts(world: World, actor: str) -> None:
    """What no form leads to: a script's own address, posted to with every name it might read."""
    client = world.clients[actor]
    sink = {"drill", "dose", "sessions", "minutes", "opens", "student", "source", "percent", "part",
            "words", "why", "text", "day", "first", "last", "root", "work", "finding"}  # fmt: skip
    data = {name: guess(world, name) for name in sink}
    data |= {"do": "send", "from": "last", "when": "next", "stop": [str(pk) for pk in world.stops]}
    del data["words"]
    for route in routes():
        if route.name.startswith(GONE) or route.name in world.posted:
            continue
        at = address(route, world.things)
        for kind in ("application/x-www-form-urlencoded", "application/json"):
            body = json.dumps(data) if "json" in kind else None
            for method in ("post", "put", "delete"):
                with put_back(client):
                    before = snapshot(world)
                    send = getattr(client, method)
                    if body or method != "post":
                        closed(send(at, body, content_type=kind))
                    else:
                        closed(send(at, data))
                    if snapshot(world) != before:
                        world.changed.add(route.name)
                        look_at_the_phone(world, f"{actor} by {method} to {at}")
                    look_at_what_is_ready(world, f"{actor} by {method} to {at}")


@pytest.mark.parametrize("actor", ["coach", "other", "student", "guardian"])
def test_no_form_of_any_page_opens_what_is_stopped(world, actor):
    look_at_the_phone(world, "before")
    for _ in Walk(world, actor).go():
        pass
    bare_posts(world, actor)
    assert not world.faults, "\n".join(sorted(set(world.faults)))
    if actor in {"coach", "other"}:
        # It has teeth: these did send something, the free drill.
        assert {"plans:set_week", "plans:several", "lessons:close"} <= world.changed
    assert ("board:clear_stops" in world.changed) == (actor == "coach")


@pytest.mark.parametrize("way", FAULTS.values(), ids=FAULTS)
def test_a_way_that_forgets_the_limits_is_found(world, monkeypatch, way):
    """The walk above bites: each way in turn asks, and is told that nothing is stopped."""
    asked = Limits.stop_of

    def forgets(limits: Limits, work: Work) -> Stopped | None:
        frame = sys._getframe()
        while frame := frame.f_back:
            if f"{Path(frame.f_code.co_filename).stem}.{frame.f_code.co_name}" == way:
                return None
        return asked(limits, work)

    monkeypatch.setattr(Limits, "stop_of", forgets)
    if way == FAULTS["a lesson as last time"]:  # Offered where nothing is written yet.
        Finding.objects.filter(lesson=world.things["lesson_id"]).delete()
    look_at_the_phone(world, "before")
    presses = Walk(world, "coach").go()
    while not world.faults and next(presses, presses) is None:
        pass
    assert world.faults


def test_no_entry_of_a_phone_opens_what_is_stopped(world):
    """Taking the pain back, telling less of it, doing the part all the same."""
    part = Part.objects.filter(drill=world.drills["Soft"], week__opens=MONDAY).get()
    less = {"lvl": 0, "where": "", "signs": [], "new": False, "p": None}
    for one in (
        back(world.told),
        change(world.told, pain=None),
        change(world.told, pain=less),
        entry(world.student, part),
        entry(world.student, part, pain=less),
    ):
        with transaction.atomic():
            world.phone.sync(one | {"id": str(uuid4())})
            look_at_the_phone(world, one["k"])
            transaction.set_rollback(True)
    assert not world.faults


def test_no_day_opens_what_is_stopped(world, wednesday):
    """Time alone clears nothing, and neither does what a day's round sends."""
    Part.objects.filter(week__opens=MONDAY).update(week=week_after(world))
    for days in (1, 6, 7, 13):
        wednesday.move_to(NOON + timedelta(days))
        answer = Phone(world.student).week().json()
        rows = [row for week in answer["weeks"] for row in week["parts"]]
        assert {row["name"] for row in rows if row["stopped"]} >= {"Soft", "Ladder", "Sprint"}
        look_at_the_phone(world, f"{days} days later")
    assert not world.faults


def week_after(world: World) -> Week:
    return factories.make_week(world.student, NEXT)
