"""What a coach takes in before a lesson, on a phone and on a desktop: pixels, lines and words."""

import re
from collections.abc import Iterator
from datetime import timedelta

import pytest
from django.utils import timezone

from coaching.lessons.models import Finding, Lesson
from coaching.lessons.services import open_lesson, plan_lesson
from practice.care.models import PainNote, Stop
from practice.log.models import Entry
from practice.weeks.queries import this_opening
from tests import factories
from tests.browser.test_pages_axe import opened

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
# The text of an element without what is for screen readers alone.
SEEN = """(element) => {
    const seen = element.cloneNode(true);
    for (const hidden of seen.querySelectorAll('.visually-hidden')) hidden.remove();
    return seen.textContent;
}"""
SIZES = {"phone": (390, 844), "desktop": (1280, 800)}


@pytest.fixture
def day(coach, student):
    """The fullest case: a last lesson in long words, a stop with pain, an event, six lessons."""
    now = timezone.now()
    studio = student.studio
    student.next_event = this_opening(student) + timedelta(days=5)
    student.next_event_name = "Spring medal of the county"
    student.save()
    before = Lesson.objects.create(
        student=student, coach=coach, at=now - timedelta(days=22), state="closed", ending="none",
        opened_at=now - timedelta(days=22),
    )  # fmt: skip
    finding = Finding.objects.create(
        lesson=before, fault="sways off the ball",
        cue="tail stays on the wall until the hands pass",
        feel="swinging a heavy bucket of water without spilling a single drop of it",
    )  # fmt: skip
    ladder = factories.make_drill(studio, "Effort ladder", "12@40, 3@95")
    finding.drills.add(ladder)
    week = factories.make_week(student, this_opening(student))
    for drill in (ladder, *(factories.make_drill(studio, f"Drill {n}", "12@40") for n in range(4))):
        factories.make_part(week, drill)
    today = this_opening(student)
    entry = Entry(
        student=student, day=today, at=now, received_at=now, document={}, fingerprint="0" * 64,
        note="Is my grip too strong now, or is it the same as it was before the lesson?",
    )  # fmt: skip
    entry.root = entry.pk
    entry.save()
    pain = PainNote.objects.create(student=student, entry=entry, day=today, level=5, where="hip")
    for drill in (ladder, None):
        Stop.objects.create(student=student, drill=drill, since=today, pain=pain)
    plan_lesson(student=student, coach=coach, at=now)
    for n in range(5):
        other = factories.make_student(coach, f"Student {n}")
        plan_lesson(student=other, coach=coach, at=now + timedelta(seconds=n + 1))
    return student


def in_every_look(page, path: str) -> Iterator[tuple[int, int]]:
    """The page anew in every size and theme."""
    for width, height in SIZES.values():
        page.set_viewport_size({"width": width, "height": height})
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            page.goto(path)
            yield width, height


def test_the_door_note_s_top_is_one_screen_of_sixty_words(browser, live_server, coach, day):
    page = opened(browser, live_server, coach)
    for size in in_every_look(page, f"/students/{day.pk}/door/"):
        page.wait_for_selector(".door-brief")
        said = page.locator(".door-brief dd").all_inner_texts()
        limits = page.locator(".limits p").all_inner_texts()
        words = " ".join([*said, *(line for line in limits if line.strip())]).split()
        assert "…" not in " ".join(said)
        assert len(words) <= 60, words
        begin = page.get_by_role("button", name="Begin the lesson").bounding_box()
        assert begin["y"] + begin["height"] <= size[1], size
    page.context.close()


def test_the_next_lesson_lies_above_the_fold(browser, live_server, coach, day):
    page = opened(browser, live_server, coach)
    for size in in_every_look(page, "/next/"):
        next_lesson_fits(page, size)
    page.context.close()


def next_lesson_fits(page, size: tuple[int, int]) -> None:
    large = page.locator(".lesson-next")
    for words in ("sways off the ball", "tail stays on the wall", "no hard swings since"):
        box = large.get_by_text(words).first.bounding_box()
        assert box["y"] + box["height"] <= size[1], words
    begin = large.get_by_role("button", name="Begin the lesson").bounding_box()
    assert begin["y"] + begin["height"] <= size[1]
    assert begin["height"] >= 44
    told = " ".join(large.locator("h2, p").locator("visible=true").all_inner_texts()).split()
    assert len(told) <= 40, told
    controls = " ".join(
        control.evaluate(SEEN)
        for control in large.locator("button, a, summary").locator("visible=true").all()
    )
    assert len(controls.split()) <= 12, controls
    for line in page.locator(".lesson-line > p").all():
        assert len(line.inner_text().split()) <= 12
        assert line.bounding_box()["height"] < 60
    if size == SIZES["desktop"]:
        last = page.locator(".lesson-line").last.bounding_box()
        assert last["y"] + last["height"] <= size[1]


def test_the_days_after_tomorrow_are_folded(browser, live_server, coach, student):
    """Fifty lessons to come: what is of today and of the next day stands on two screens."""
    for n in range(50):
        other = factories.make_student(coach, f"Student {n:02}")
        plan_lesson(student=other, coach=coach, at=timezone.now() + timedelta(days=1 + n % 5))
    page = opened(browser, live_server, coach)
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto("/next/")
    days = page.locator(".lesson-later > details")
    assert days.evaluate_all("(all) => all.map((day) => day.open)") == [True] + [False] * 4
    assert page.evaluate("document.documentElement.scrollHeight") <= 2.2 * 844
    assert days.nth(4).get_by_text("10 lessons").is_visible()
    page.context.close()


A4_PAGE = re.compile(rb"/Type\s*/Page\b")


def test_the_door_note_is_one_sheet_of_paper(browser, live_server, coach, day):
    page = opened(browser, live_server, coach)
    page.goto(f"/students/{day.pk}/door/")
    assert len(A4_PAGE.findall(page.pdf(format="A4"))) == 1
    page.context.close()


def test_the_lesson_note_begins_above_the_fold(browser, live_server, coach, day):
    """A returning student's: the first finding on a phone; on a desktop all of it that is typed."""
    lesson = open_lesson(student=day, by=coach)
    page = opened(browser, live_server, coach)
    for size in in_every_look(page, f"/lessons/{lesson.pk}/"):
        first = page.get_by_label("Fault").first.bounding_box()
        bottom = size[1]
        if size == SIZES["phone"]:
            bottom = page.locator(".masthead-links").bounding_box()["y"]
        assert first["y"] + first["height"] <= bottom, size
        if size == SIZES["desktop"]:
            end = page.get_by_role("button", name="To the week").bounding_box()
            assert end["y"] + end["height"] <= bottom
    page.context.close()


ON_TOP = """(button) => {
    const {left, top, width, height} = button.getBoundingClientRect();
    return button.contains(document.elementFromPoint(left + width / 2, top + height / 2));
}"""


def test_on_a_phone_the_lesson_is_saved_from_anywhere(browser, live_server, coach, day):
    """A tap on *To the week* meets it, however far the note is scrolled, and never the menu."""
    lesson = open_lesson(student=day, by=coach)
    page = opened(browser, live_server, coach)
    for width in (320, 390, 680):
        page.set_viewport_size({"width": width, "height": 844})
        page.goto(f"/lessons/{lesson.pk}/")
        buttons = page.locator(".lesson-foot button").all()
        assert len(buttons) == 2
        for share in (0.0, 0.3, 0.6):
            page.evaluate("(share) => scrollTo(0, share * document.body.scrollHeight)", share)
            assert all(button.evaluate(ON_TOP) for button in buttons), (width, share)
    page.context.close()


def test_a_lesson_is_closed_on_a_screen_and_a_half_of_a_phone(browser, live_server, coach, student):
    """Three parts took three screens, with six choices of each laid open."""
    week = factories.make_week(student, this_opening(student))
    for n in range(3):
        drill = factories.make_drill(student.studio, f"Start-line gate {n}", "3x6@70")
        factories.make_part(week, drill)
    lesson = open_lesson(student=student, by=coach)
    page = opened(browser, live_server, coach)
    for size in in_every_look(page, f"/lessons/{lesson.pk}/close/"):
        send = page.get_by_role("button", name="Send the week")
        end = send.evaluate("(it) => it.getBoundingClientRect().bottom + scrollY")
        assert end <= (1.5 if size == SIZES["phone"] else 1) * size[1], size
    page.context.close()


def test_what_is_chosen_instead_is_what_the_part_says(browser, live_server, coach, student):
    """With a script it is said in its words; without one nothing says the suggestion any more."""
    week = factories.make_week(student, this_opening(student))
    factories.make_part(week, factories.make_drill(student.studio, "Gate", "20 balls"))
    lesson = open_lesson(student=student, by=coach)
    page = opened(browser, live_server, coach)
    page.goto(f"/lessons/{lesson.pk}/close/")
    now = page.locator(".close-now")
    assert "Keep" in now.inner_text()
    page.get_by_text("Another choice for Gate").click()
    page.get_by_role("radio", name="Leave out").check()
    assert now.inner_text().split()[:2] == ["Leave", "out"]
    page.route("**/lesson-close.js", lambda route: route.abort())
    page.reload()
    page.get_by_text("Another choice for Gate").click()
    page.get_by_role("radio", name="Leave out").check()
    assert not now.is_visible()
    page.context.close()
