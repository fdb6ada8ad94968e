"""The pages of coach, student and guardian by the rules of WCAG 2.2 AA, in both themes.

The demo fills them; a lesson, a report, a clip and an answer are added, so that no page is
looked at empty. One server, one browser, one walk.
"""

from datetime import time, timedelta

import pytest
from allauth.account.authentication import AUTHENTICATION_METHODS_SESSION_KEY
from axe_playwright_python.sync_playwright import Axe
from django.utils import timezone

from coaching.bring.models import Batch
from coaching.bring.rows import ListedPerson
from coaching.bring.services import bring
from coaching.demo.cast import OWNER
from coaching.groups.models import Group
from coaching.lessons import services as lessons
from coaching.messages import services as words
from coaching.reports import services as reports
from coaching.timetable.calendar_change import plain
from coaching.timetable.calendar_in import CalendarEvent
from coaching.timetable.models import Followed
from coaching.timetable.services import add_series
from practice.drills.models import Drill
from practice.log.models import Entry
from practice.weeks.queries import this_opening
from shared.people.models import Student, User
from tests.browser import house
from tests.browser.test_phone_access import RULES
from tests.clips.makers import picture
from tests.conftest import signed_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
# Beside what WCAG asks: one heading that says where one is, and headings in their order.
ALSO = ("page-has-heading-one", "heading-order", "empty-heading", "landmark-one-main")
OPTIONS = RULES | {"rules": {name: {"enabled": True} for name in ALSO}}
# The dark theme changes colours alone, so of the rules only those of colour are asked again.
THEMES = {"light": OPTIONS, "dark": OPTIONS | {"runOnly": ["color-contrast"], "rules": {}}}
THERE = Axe("0")  # Once its script stands in a page, it need not be read again.
NARROW = {"width": 320, "height": 700}
OPENED = "document.querySelectorAll('details').forEach((each) => { each.open = true; })"

COACHS = [
    "/who/", "/who/?all=1", "/find/?q=a", "{s}weeks/",
    "/next/", "/words/", "/reminders/", "/who/calls/", "/who/lines/", "{lesson}", "{lesson}close/",
    "{report}", "{s}", "{s}lessons/", "{s}door/", "{s}handover/", "{s}words/",
    "{s}reports/", "{s}clips/", "{s}moved/", "{s}try-out/", "{s}try-out/turns/",
    "{s}speed/", "{s}wedges/?distance=44", "{s}wedges/print/", "{s}ladder/", "{s}load/",
    "{s}checked/", "{s}balls/", "{s}season/", "{s}season/plan/", "{s}gym/", "/gym/", "{s}files/",
    "/groups/", "{group}", "{group}change/", "{group}test-day/?test={test}", "{s}test-day/",
    "/weeks/several/?group={group_id}", "/settings/devices/",
    "/account/again/", "/account/passkey-needed/", "/timetable/", "{series}",
    "/timetable/calendar/", "/timetable/read/", "{followed}", "/students/list/",
    "/reminders/mails/",
    "{s}questions/", "{s}screening/", "/weeks/several/", "/who/score/", "/settings/mail/",
]  # fmt: skip
OWNERS = ["/house/", "/house/events/", "/people/address/", "{batch}", "{past}"]
STUDENTS = [
    "{s}feels-like/", "{s}own-words/", "{s}own-reports/", "{s}clips/", "{report}",
    "/settings/devices/", "/log/plain", "/own/{id}/ladder/", "/own/{id}/season/", "/own/{id}/days/",
    "/own/{id}/questions/", "/reminders/{id}/", "/settings/mail/", "/log/counted/{opens}",
]  # fmt: skip


@pytest.fixture
def names(demo):
    """The demo and what this walk adds to it; the addresses by what the lists above call them."""
    student = Student.objects.get(name="Tamsin Orlebar")
    coach = student.lead_coach
    lesson = lessons.open_lesson(student=student, by=coach)
    said = {"0.fault": "Slides the hips", "0.cue": "tail on the fence", "private": "Tired today."}
    lessons.keep_typed(lesson=lesson, fields={name: (None, text) for name, text in said.items()})
    today = timezone.localdate()
    report = reports.draft(
        student=student, by=coach, first=today - timedelta(weeks=8), last=today - timedelta(days=1)
    )
    reports.keep_words(report=report, words="Eight steady weeks.")
    for noted in Entry.objects.filter(student=student).order_by("pk")[:1]:
        words.answer(entry=noted, by=coach, text="Well said.")
    squad = Group.objects.get()
    comes_back = add_series(
        student=student, coach=coach, first=today, at=time(16, 30), rule="FREQ=WEEKLY"
    )
    calendar = Followed.objects.create(
        studio=student.studio, by=coach, address="https://c.example.org/a.ics", failed=1,
        read_at=timezone.now(), tried_at=timezone.now(), fault="It answered with error 500.",
    )  # fmt: skip
    calendar.events.create(
        uid="a", said=plain(CalendarEvent("a", "Lesson", today, time(9), "UTC", 60, "FREQ=WEEKLY"))
    )
    person = ListedPerson(1, "Ada Hill", "ada@example.org", weekday=1, at=time(9))
    past = Batch.objects.create(studio=student.studio, by=coach)
    past.remembered.create(student=student, day=today, minutes=25, drill="Gate")
    brought = bring(studio=student.studio, by=coach, people=[person])
    return {
        "id": student.pk,
        "opens": this_opening(student),
        "s": f"/students/{student.pk}/",
        "lesson": f"/lessons/{lesson.pk}/",
        "series": f"/timetable/{comes_back.pk}/",
        "followed": f"/timetable/follow/{calendar.pk}/",
        "batch": f"/students/list/{brought.pk}/",
        "past": f"/students/list/{past.pk}/",
        "report": f"/reports/{report.pk}/",
        "group": f"/groups/{squad.pk}/",
        "group_id": squad.pk,
        "test": Drill.objects.get(shipped_as="speed-test").pk,
    }, report


def opened(browser, live_server, user: User, *, proven: bool = False):
    """A page of this user's; `proven`: who was asked again who it is, a moment ago."""
    context = browser.new_context(base_url=live_server.url, viewport=NARROW)
    client = signed_in(user)
    if proven:
        session, now = client.session, timezone.now().timestamp()
        session[AUTHENTICATION_METHODS_SESSION_KEY] = [{"method": "code", "at": now}]
        session[f"{AUTHENTICATION_METHODS_SESSION_KEY}_user"] = str(user.pk)
        session.save()
    cookie = client.cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": cookie, "url": live_server.url}])
    page = context.new_page()
    page.set_default_timeout(house.PATIENCE * 1000)  # The first page of numbers imports SciPy.
    return page


def faults_of(page, addresses: list[str], names: dict) -> list[str]:
    """What is wrong on each page: rules broken in either theme, and what is wider than it."""
    found = []
    for address in addresses:
        page.set_viewport_size(NARROW)
        answer = page.goto(address.format(**names))
        page.evaluate(OPENED)
        if answer is None or answer.status != 200:
            found.append(f"{address}: {answer and answer.status}")
        if page.evaluate("document.documentElement.scrollWidth") > NARROW["width"]:
            found.append(f"{address}: scrolls sideways at 320 px")
        # As tall as what is on it: where a bar lies by the luck of scrolling says nothing.
        tall = page.evaluate("document.documentElement.scrollHeight")
        page.set_viewport_size(NARROW | {"height": max(tall, NARROW["height"])})
        axe = Axe()
        for theme, options in THEMES.items():
            page.emulate_media(color_scheme=theme)
            result = axe.run(page, options=options)
            axe = THERE
            if result.violations_count:
                found.append(f"{address}, {theme}: {result.generate_report()}")
    return found


def test_no_page_breaks_a_rule_or_scrolls_sideways(browser, live_server, names):
    addresses, report = names
    student = report.student
    page = opened(browser, live_server, student.lead_coach)
    page.goto(f"{addresses['s']}clips/")
    page.set_input_files(
        "[name=file]", {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": picture()}
    )
    # The demo's student has some already: what is sent has come once there is one more.
    clips = page.locator("ul.clips li.sheet")
    before = clips.count()
    page.get_by_role("button", name="Send it").click()
    clips.nth(before).wait_for()
    found = faults_of(page, COACHS, addresses)
    page.context.close()
    page = opened(browser, live_server, User.objects.get(name=OWNER))
    found += faults_of(page, OWNERS, addresses)
    page.context.close()
    reports.send(report=report, by=student.lead_coach, has_read=True)
    page = opened(browser, live_server, student.user)
    found += faults_of(page, STUDENTS, addresses)
    page.context.close()
    assert found == [], "\n\n".join(found)
