"""Every address of the site, asked by everybody: who gets in, and what the others learn."""

import logging
import re
from collections.abc import Callable
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import time, timedelta
from functools import cache
from types import SimpleNamespace
from urllib.parse import urlsplit
from uuid import uuid4

import pytest
from django.apps import apps
from django.contrib.auth.decorators import login_required
from django.core.cache import cache as limits
from django.core.files.base import ContentFile
from django.core.handlers.base import BaseHandler
from django.core.signals import got_request_exception
from django.db import connection, transaction
from django.http import HttpResponse
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, resolve, reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from coaching.board.models import KeptLine
from coaching.bring.models import Batch
from coaching.groups.models import Group
from coaching.lessons.models import Lesson
from coaching.reports.models import Report
from coaching.season.models import Event, SeasonPlan
from coaching.timetable.models import Series
from coaching.timetable.services import add_series
from practice.care.models import Stop
from practice.clips.models import Clip
from practice.drills.models import Caution
from practice.flows.take_entry import STORED, Sender, receive_one
from practice.log.services import write_line
from practice.weeks.models import Excusal, WeekTemplate
from shared.kit.weeks import week_start
from shared.people import invitations
from shared.people.models import Invitation, Membership, Student
from tests import factories
from tests.conftest import signed_in
from tests.log.entries import entry
from tests.routes import (
    ASK_AGAIN,
    LIBRARY,
    MAY_STILL_WRITE,
    NAMED_TO_CONFIRM,
    NOBODY,
    ROUTES,
    STILL_NAMED,
    STILL_READ,
)

pytestmark = pytest.mark.django_db
Role = Membership.Role
CANARY = "Canary <i>Kim</i>"  # Whatever is typed stays text, on every page.
OUTSIDERS = {"anonymous", "stranger", "other student", "other guardian", "other strength"}
OWN = {"student", "guardian"}  # Every page they see has the name in its frame.
OWN_PAGE = {"HTTP_SEC_FETCH_SITE": "same-origin"}


@dataclass(frozen=True)
class Route:
    name: str
    arguments: tuple[str, ...]

    @property
    def is_of_a_student(self) -> bool:
        return "student_id" in self.arguments

    @property
    def is_the_librarys(self) -> bool:
        return self.name.startswith(LIBRARY)


def routes(resolver: URLResolver | None = None, space: str = "", above: tuple = ()) -> list[Route]:
    found = []
    for pattern in (resolver or get_resolver()).url_patterns:
        arguments = (*above, *pattern.pattern.regex.groupindex)
        if isinstance(pattern, URLPattern):
            found.append(Route(space + (pattern.name or str(pattern.pattern)), arguments))
        else:
            inner = f"{space}{pattern.namespace}:" if pattern.namespace else space
            found += routes(pattern, inner, arguments)
    return found


ALL = {route.name: route for route in routes()}


def test_every_route_has_its_line():
    without = [
        route.name
        for route in ALL.values()
        if route.name not in ROUTES and not route.is_of_a_student and not route.is_the_librarys
    ]
    assert not without, (
        f"Nobody has said who may enter at {without}. Add a line for each to ROUTES in"
        ' tests/routes.py, as in "season:sheet": TAUGHT_BY, and this test holds the page to it.'
    )


def test_no_line_is_stale():
    stale = sorted(set(ROUTES) - set(ALL))
    assert not stale, f"There is no such route any more: take {stale} out of tests/routes.py."


@contextmanager
def put_back():
    """Whatever is changed inside is put back."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


@pytest.fixture(scope="module")
def cast(django_db_setup, django_db_blocker):
    """Clients by name, the child whose everything is at stake, and that everything by name.

    Made once, as it costs as much as some tens of requests; every request is put back.
    """
    with django_db_blocker.unblock(), put_back(), refusals_unlogged():
        limits.clear()
        clients, child = people()
        things = things_of(child)
        connection.check_constraints()
        yield clients, child, things


@contextmanager
def refusals_unlogged():
    """Thousands are asked for, and a line for each costs much; faults are still written down."""
    log = logging.getLogger("django.request")
    before = log.level
    log.setLevel(logging.ERROR)
    try:
        yield
    finally:
        log.setLevel(before)


class Asker(Client):
    """Keeps nothing of what a page was made of: its answers alone are looked at, and its faults."""

    def request(self, **request):
        got_request_exception.connect(self.store_exc_info)
        try:
            answer = self.handler(self._base_environ(**request))
        finally:
            got_request_exception.disconnect(self.store_exc_info)
        self.check_exception(answer)
        self.cookies.update(answer.cookies)
        return answer


def people() -> tuple[dict[str, Client], Student]:
    """Those who may see the child, those who may not, and the child."""
    coach = factories.make_coach(name="Coach")
    studio = factories.studio_of(coach)
    stranger = factories.make_coach(name="Stranger")
    Membership.objects.create(studio=factories.studio_of(stranger), user=stranger, role=Role.OWNER)
    guardian, other_guardian = (factories.make_user(name) for name in ("Guardian", "Other"))
    child = factories.make_child(coach, guardian, name=CANARY)
    Student.objects.update(joined_on=timezone.localdate())
    child.refresh_from_db()
    factories.make_child(coach, other_guardian, name="Another child")
    users = {
        "owner": factories.make_coach(studio, Role.OWNER, name="Owner"),
        "coach": coach,
        "assistant": factories.make_coach(studio, Role.ASSISTANT, name="Assistant"),
        "strength": factories.make_coach(studio, Role.HELPER, name="Strength"),
        "other strength": factories.make_coach(studio, Role.HELPER, name="Other strength"),
        "stranger": stranger,
        "student": child.user,
        "other student": factories.make_student(coach, "Other student").user,
        "guardian": guardian,
        "other guardian": other_guardian,
    }
    child.strength_coaches.add(users["strength"])
    return {name: signed_in(user, Asker) for name, user in users.items()} | {
        "anonymous": Asker()
    }, child


def things_of(child) -> dict[str, object]:
    """One of everything that an address can name, all of it the victim's or their studio's."""
    studio, coach = child.studio, child.lead_coach
    today = timezone.localdate()
    # The studio's own: its other students may know of it.
    drill = factories.make_drill(studio, "Drill of <i>Kim</i>")
    opens = week_start(today, studio.first_weekday)
    week = factories.make_week(child, opens, note=f"For {CANARY}")
    factories.make_part(week, drill)
    said = entry(child, day=str(today), at=timezone.now().isoformat(), note=CANARY)
    pain = {"lvl": 5, "where": CANARY, "signs": [], "new": True, "p": None}
    assert receive_one(said | {"pain": pain}, sender=Sender(child, child.user)) == STORED
    write_line(student=child, author=coach, text=CANARY)
    Caution.objects.create(drill=drill, when="If it is stiff,", stop="stop.", who="Tell me.")
    invited = invitations.invite(
        by=coach,
        studio=studio,
        kind=Invitation.Kind.STUDENT,
        student=factories.make_student(coach, f"Friend of {CANARY}", with_user=False),
        name=f"Friend of {CANARY}",
    )
    template = WeekTemplate.objects.create(studio=studio, name=f"As {CANARY}", author=coach)
    SeasonPlan.objects.create(
        student=child, first=today, last=today + timedelta(days=90), note=CANARY, made_by=coach
    )
    cup = {"first": today, "last": today}
    group = Group.objects.create(studio=studio, name=f"With {CANARY}", made_by=coach)
    group.students.add(child)
    met = group.sessions.create(day=today, minutes=60, by=coach)
    met.attended.create(student=child)
    away = Excusal.objects.create(student=child, first=today, last=today + timedelta(days=2))
    return {
        "student_id": child.pk,
        "invitation_id": invited.pk,
        "membership_id": coach.memberships.get().pk,
        "drill_id": drill.pk,
        "group_id": group.pk,
        "session_id": met.pk,
        "template_id": template.pk,
        "season_template_id": studio.season_templates.create(
            name="Summer", days=90, author=coach
        ).pk,
        "excusal_id": away.pk,
        "event_id": child.events.create(kind=Event.Kind.TEST, name=CANARY, **cup).pk,
        "stop_id": Stop.objects.get(student=child).pk,
        "entry_id": uuid4(),
        "opens": opens,
        "token": invitations.token_of(invited),
        "lesson_id": Lesson.objects.create(
            student=child, coach=coach, at=timezone.now(), state=Lesson.State.OPEN
        ).pk,
        "series_id": weekly_of(child).pk,
        "day": str(weekly_of(child).first),
        "how": "off",
        "holiday_id": studio.holidays.create(first=today, last=today, name="Spring").pk,
        "batch_id": Batch.objects.create(studio=studio, by=coach).pk,
        "clip_id": clip_of(child).pk,
        "report_id": Report.objects.create(student=child, by=coach, first=today, last=today).pk,
        "pk": 1,
        "uidb36": "1",
        "key": "set-password",
    }


def weekly_of(child) -> Series:
    """A lesson that comes back; the same when asked again."""
    first = timezone.localdate() + timedelta(days=2)
    return add_series(
        student=child, coach=child.lead_coach, first=first, at=time(12), rule="FREQ=DAILY"
    )


def clip_of(child) -> Clip:
    """A picture with its still, which the guardian has agreed to."""
    child.guardianships.update(consents_to_clips=True)
    clip = Clip(
        student=child, author=child.lead_coach, kind=Clip.Kind.JPEG, words=CANARY, size=1,
        digest="0" * 64, expires_on=timezone.localdate(),
    )  # fmt: skip
    clip.file.save("clip", ContentFile(b"x"), save=False)
    clip.still.save("still", ContentFile(b"x"), save=False)
    clip.save()
    return clip


def address(route: Route, things: dict[str, object]) -> str:
    """The route's address; an argument that no line above knows is an id of nothing."""
    if route.name == "log:open":
        return "/open/" + "never.was.signed"
    return reverse(route.name, kwargs={name: things.get(name, uuid4()) for name in route.arguments})


def asked(client: Client, method: str, path: str) -> HttpResponse:
    """The answer; whatever the request changed is put back, the signing out too."""
    return written(client, method, path)[0]


def written(client: Client, method: str, path: str) -> tuple[HttpResponse, set[str]]:
    """The answer, and the tables about students that were written; all of it is put back."""
    cookies, tables = client.cookies.copy(), set()

    def note(execute, sql, *rest):
        if found := WRITES.match(sql):
            tables.add(found.group(1))
        return execute(sql, *rest)

    with put_back(), connection.execute_wrapper(note):
        if path.startswith("/api/"):
            kwargs = {"data": b'{"e": []}', "content_type": "application/json", **OWN_PAGE}
            answer = getattr(client, method)(path, **({} if method == "get" else kwargs))
        else:
            answer = getattr(client, method)(path)
        if answer.streaming:
            b"".join(answer.streaming_content)
    client.cookies = cookies
    return answer, tables & about_students()


WRITES = re.compile(r'(?:INSERT (?:OR IGNORE )?INTO|UPDATE|DELETE FROM) "(\w+)"')


@cache
def about_students() -> frozenset[str]:
    """Every table with a way to a student: nothing in it is written without a consent.

    But the board's kept lines, which are made anew for all others whenever it is opened.
    """
    found = {Student}
    while True:
        more = {
            model
            for model in apps.get_models(include_auto_created=True)
            for each in model._meta.concrete_fields
            if each.is_relation and each.related_model in found
        }
        if more <= found:
            return frozenset(model._meta.db_table for model in found - {KeptLine})
        found |= more


def is_turned_away(answer: HttpResponse) -> bool:
    to_sign_in = answer.status_code == 302 and answer["Location"].startswith("/account/login/")
    return to_sign_in or answer.status_code in {401, 404}


def learns_something(answer: HttpResponse) -> bool:
    return not answer.streaming and "Canary" in answer.content.decode()


def must_learn_nothing(route: Route, actor: str, entered: bool) -> bool:
    """Of the victim: outsiders on their own pages neither; a link is for whoever holds it."""
    if actor in OUTSIDERS:
        return "token" not in route.arguments
    return not entered and actor not in OWN


def has_live_markup(answer: HttpResponse) -> bool:
    is_page = answer.get("Content-Type", "").startswith("text/html")
    return is_page and not answer.streaming and "<i>Kim" in answer.content.decode()


METHODS = ("get", "post", "put", "delete")
UNUSUAL = {"put", "delete"}


def methods_of(path: str) -> list[str]:
    """Those that people are asked with: the others its view refuses whoever asks."""
    view, args, kwargs = resolve(urlsplit(path).path)
    return [each for each in METHODS if not refused_to_all(view, each, path, *args, **kwargs)]


def has_a_hand_for(view: Callable[..., HttpResponse], method: str) -> bool:
    """A class answers 405 to what it has no method for; who may enter it, get and post ask."""
    made_of = getattr(view, "view_class", None) or getattr(view, "cls", None)
    return made_of is None or hasattr(made_of, method)


def refused_to_all(view: Callable[..., HttpResponse], method: str, path: str, *args, **kw) -> bool:
    """Whether the view answers 405 to a request on which nobody and nothing of a person hangs."""
    bare = SimpleNamespace(method=method.upper(), path=path, META={})
    if method in UNUSUAL and not has_a_hand_for(view, method):
        return True
    try:
        with put_back():
            return view(bare, *args, **kw).status_code == 405
    except Exception:  # It looked for more, so it may depend on who asks.
        return False


STAFF = {"owner", "coach", "assistant", "strength"}


@pytest.mark.parametrize("name", sorted(ALL))
def test_a_child_whose_guardian_withdrew_is_nobodys(cast, name):
    """Staff learn nothing, nobody writes; the guardian and the child still read what was kept."""
    clients, child, things = cast
    route = ALL[name]
    path = address(route, things)
    with put_back():
        close(child)
        child.guardianships.update(withdrawn_at=timezone.now())
        faults = of_closed(clients, route, path, STILL_NAMED.get(name, NOBODY))
    assert not faults, "\n".join(faults)


@pytest.mark.parametrize("name", sorted(ALL))
def test_a_child_whom_no_second_adult_confirmed_is_nobodys(cast, name):
    """The same before the record begins; whoever did not invite the guardian may confirm."""
    clients, child, things = cast
    route = ALL[name]
    path = address(route, things)
    with put_back():
        close(child)
        Student.objects.filter(pk=child.pk).update(awaits_second_adult=True)
        may_know = (STILL_NAMED | NAMED_TO_CONFIRM).get(name, NOBODY)
        faults = of_closed(clients, route, path, may_know)
    assert not faults, "\n".join(faults)


@pytest.mark.parametrize("name", sorted(ALL))
def test_a_child_who_is_of_age_is_no_guardians(cast, name):
    """From the birthday on: before the grown child has answered, no guardian reads or writes."""
    clients, child, things = cast
    route, faults = ALL[name], []
    path = address(route, things)
    with put_back():
        close(child)
        day = timezone.localdate() - timedelta(days=3)
        Student.objects.filter(pk=child.pk).update(born_year=day.year - 18, turns_18_on=day)
        for method in methods_of(path):
            answer, tables = written(clients["guardian"], method, path)
            said = f"{method.upper()} {path} as guardian: {answer.status_code}"
            if answer.status_code >= 500 and name != "health:ready":
                faults.append(f"{said}, which is a fault of ours")
            if route.is_of_a_student and answer.status_code != 405 and not is_turned_away(answer):
                faults.append(f"{said}, but the child is of age")
            if learns_something(answer) and "token" not in route.arguments:
                faults.append(f"{said}, and its words name the child")
            if tables and "guardian" not in MAY_STILL_WRITE.get(name, NOBODY):
                faults.append(f"{said}, and {sorted(tables)} were written")
    assert not faults, "\n".join(faults)


def of_closed(clients: dict[str, Client], route: Route, path: str, may_know: set[str]) -> list[str]:
    name, methods, faults = route.name, methods_of(path), []
    for actor in sorted(STAFF | OWN):
        for method in methods:
            answer, tables = written(clients[actor], method, path)
            said = f"{method.upper()} {path} as {actor}: {answer.status_code}"
            entered = answer.status_code != 405 and not is_turned_away(answer)
            if answer.status_code >= 500 and name != "health:ready":
                faults.append(f"{said}, which is a fault of ours")
            if actor in STAFF - may_know and learns_something(answer):
                faults.append(f"{said}, and its words name the child")
            if actor in STAFF - may_know and entered and route.is_of_a_student:
                faults.append(f"{said}, but nobody who works here may enter")
            says = method == "get" and name not in ASK_AGAIN
            if actor in may_know and says and not learns_something(answer):
                faults.append(f"{said}, but must say whom it is about")
            if tables and actor not in MAY_STILL_WRITE.get(name, NOBODY):
                faults.append(f"{said}, and {sorted(tables)} were written")
            if method == "get" and actor in STILL_READ.get(name, NOBODY) and not entered:
                faults.append(f"{said}, but may still read what was kept")
    return faults


def close(child: Student) -> None:
    """The child is in nothing that others go by the name of."""
    for model in (Group, WeekTemplate, Invitation):
        model.objects.filter(name__contains="Canary").update(name="Juniors")
    Student.objects.filter(name__startswith="Friend").update(name="Friend")


@pytest.mark.parametrize("name", sorted(ALL))
def test_who_gets_in(cast, name):
    clients, _, things = cast
    route = ALL[name]
    path = address(route, things)
    methods, faults = methods_of(path), []
    for actor, client in clients.items():
        for method in methods:
            answer = asked(client, method, path)
            said = f"{method.upper()} {path} as {actor}: {answer.status_code}"
            if answer.status_code >= 500 and name != "health:ready":
                faults.append(f"{said}, which is a fault of ours")
            if has_live_markup(answer):
                faults.append(f"{said}, and what was typed became markup")
            if answer.status_code == 405:
                continue
            entered = not is_turned_away(answer)
            expected = may_enter(route, actor, method)
            if expected is not None and entered != expected:
                faults.append(f"{said}, but {'may' if expected else 'may not'} enter")
            if must_learn_nothing(route, actor, entered) and learns_something(answer):
                faults.append(f"{said}, and its words name the student")
    assert not faults, "\n".join(faults)


def may_enter(route: Route, actor: str, method: str) -> bool | None:
    """By the table; None where only strangers are looked at."""
    line = ROUTES.get(route.name)
    if line is not None:
        return actor in (line.get(method, NOBODY) if isinstance(line, dict) else line)
    if route.is_of_a_student and actor in OUTSIDERS:
        return False
    return None


def test_what_belongs_to_one_student_is_not_reached_through_another(cast):
    clients, child, things = cast
    sibling = factories.make_student(child.lead_coach, "Sibling")
    path = reverse("plans:withdraw", args=[sibling.pk, things["excusal_id"]])
    assert clients["coach"].post(path).status_code == 404
    assert Excusal.objects.get(pk=things["excusal_id"]).withdrawn_at is None


def test_a_view_that_looks_at_who_asks_before_it_refuses_is_asked_by_everybody():
    gate_first = login_required(require_safe(lambda request: HttpResponse()))
    gate_last = require_safe(login_required(lambda request: HttpResponse()))
    assert not refused_to_all(gate_first, "post", "/")
    assert refused_to_all(gate_last, "post", "/")
    assert not refused_to_all(gate_last, "get", "/")


def test_a_page_that_fails_is_no_answer(cast, monkeypatch):
    """Those who look at words and links alone would take our page of a fault for one of them."""

    def fails(*_):
        raise ZeroDivisionError

    monkeypatch.setattr(BaseHandler, "resolve_request", fails)
    with pytest.raises(ZeroDivisionError):
        asked(cast[0]["coach"], "get", "/who/")


def test_no_address_is_left_out(cast):
    assert [name for name, each in ALL.items() if not methods_of(address(each, cast[2]))] == []


def test_a_route_that_nobody_thought_of_is_found():
    """The test above has teeth: a page under a student without its gate would fail it."""
    new = Route("nobody:page", ("student_id",))
    assert may_enter(new, "stranger", "get") is False
    assert may_enter(new, "other guardian", "get") is False
    assert may_enter(new, "coach", "get") is None
    assert may_enter(Route("nobody:all", ()), "stranger", "get") is None
