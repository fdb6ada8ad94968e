"""Taps of a coach's thumb from the first page, on a phone. Our own budgets (no source)."""

import pytest

from coaching.lessons.models import Finding, Lesson
from coaching.lessons.services import plan_lesson
from practice.compliance.tally import recompute
from practice.log.models import Line
from practice.weeks import queries
from practice.weeks.models import Week
from tests import factories
from tests.board.make import history
from tests.browser.test_pages_axe import opened
from tests.conftest import signed_in
from tests.factories import MONDAY, WEDNESDAY_EVENING
from tests.log.entries import Phone, entry

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("wednesday_evening"),
]
PHONE = {"width": 390, "height": 844}
COUNT = """addEventListener("pointerdown", () => {
    sessionStorage.taps = Number(sessionStorage.taps || 0) + 1;
}, true);"""


@pytest.fixture
def phone(browser, live_server, coach):
    page = opened(browser, live_server, coach)
    page.set_viewport_size(PHONE)
    page.add_init_script(COUNT)
    yield page
    page.context.close()


@pytest.fixture
def week(student):
    """A week of two drills, sent, of which nothing is done; and weeks before it."""
    sent = factories.make_week(student)
    for name in ("Slow turns", "Ladder"):
        drill = factories.make_drill(student.studio, name, "12@40, 9@60", short_form="6@40")
        factories.make_part(sent, drill, sessions=4)
    recompute(student, MONDAY)
    return sent


@pytest.fixture
def lesson(student, week):
    """One that begins now, and the one before it."""
    before = Lesson.objects.create(
        student=student, coach=student.lead_coach, at=factories.NOON.replace(day=19),
        opened_at=factories.NOON.replace(day=19), state=Lesson.State.CLOSED,
        ending=Lesson.Ending.NONE,
    )  # fmt: skip
    found = Finding.objects.create(lesson=before, fault="Sways", cue="tail on the wall")
    found.drills.add(week.parts.first().drill)
    return plan_lesson(student=student, coach=student.lead_coach, at=WEDNESDAY_EVENING)


def taps(page) -> int:
    return int(page.evaluate("sessionStorage.taps || 0"))


def button(page, name: str):
    return page.get_by_role("button", name=name, exact=True).first


def test_the_door_note_is_one(phone, lesson):
    phone.goto("/")
    phone.locator(".lesson-next").get_by_role("link", name="Door note").click()
    phone.locator(".door-brief").wait_for()
    assert taps(phone) == 1


def sent(student) -> Week:
    return Week.objects.get(student=student, opens__gt=MONDAY, state=Week.State.SENT)


def test_a_whole_lesson_carried_on_is_three(phone, lesson, student):
    phone.goto("/")
    button(phone, "Begin the lesson").click()
    button(phone, "To the week").click()
    button(phone, "Send the week").click()
    phone.get_by_text("The week is sent to Sam Sample").wait_for()
    assert taps(phone) <= 3
    assert queries.live_parts().filter(week=sent(student)).count() == 2


def test_a_new_finding_is_seven(phone, lesson, student):
    phone.goto("/")
    button(phone, "Begin the lesson").click()
    for label, words in (("Fault", "stands up"), ("Cue", "belt stays low")):
        phone.get_by_label(label).first.click()
        phone.keyboard.type(words)
    phone.locator("summary", has_text="From the shelf").first.click()
    phone.locator(".finding-drills label:visible").first.click()
    button(phone, "To the week").click()
    button(phone, "Send the week").click()
    phone.get_by_text("The week is sent to Sam Sample").wait_for()
    assert taps(phone) <= 7
    assert "belt stays low" in sent(student).parts.values_list("cue", flat=True)


def test_a_student_is_two_and_three_letters(phone, coach, week):
    wanted = factories.make_student(coach, "Zora Quill")
    phone.goto("/")
    phone.get_by_label("Find a student, a drill or a page").click()
    phone.keyboard.type("qui")
    phone.get_by_role("option", name="Zora Quill").click()
    phone.wait_for_url(f"**/students/{wanted.pk}/")
    assert taps(phone) <= 2


def test_a_shorter_week_is_two(phone, student, week):
    history(student, "42- 40- 40- 44- 41- 43-")
    asked = sum(part.sessions for part in queries.live_parts().filter(week=week))
    phone.goto("/")
    phone.get_by_role("link", name="Shorter week").first.click()
    button(phone, "Send a shorter week").click()
    phone.get_by_text("Sam Sample has a shorter week.").wait_for()
    assert taps(phone) == 2
    now = sum(part.sessions for part in queries.live_parts().filter(week=week))
    assert now < asked


def test_an_answer_is_two(phone, student, week):
    Phone(student).receipt(entry(student, note="Is it the grip?"))
    phone.goto("/")
    phone.get_by_role("link", name="1 to answer").click()
    phone.wait_for_function("() => document.activeElement?.tagName === 'TEXTAREA'")
    phone.keyboard.type("Yes, both hands.")
    button(phone, "Answer").click()
    phone.get_by_text("Answered").first.wait_for()
    assert taps(phone) == 2
    assert Line.objects.get().text == "Yes, both hands."


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no scripts"])
def test_a_lesson_taken_off_comes_back_by_one_tap(browser, live_server, coach, lesson, scripts):
    """From the message that tells it; the tap on a phone is large enough, scripts or none."""
    context = browser.new_context(
        base_url=live_server.url, viewport=PHONE, java_script_enabled=scripts
    )
    cookie = signed_in(coach).cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": cookie, "url": live_server.url}])
    page = context.new_page()
    page.goto("/next/")
    page.locator(".lesson-next summary", has_text="More").click()
    button(page, "Take it off").click()
    page.get_by_text("Sam Sample: the lesson is taken off.").wait_for()
    assert page.get_by_role("button", name="Begin the lesson").count() == 0
    undo = button(page, "Undo")
    assert undo.bounding_box()["height"] >= 44
    undo.click()
    page.get_by_text("Sam Sample: the lesson is noted again.").wait_for()
    assert button(page, "Begin the lesson").is_visible()
    context.close()
