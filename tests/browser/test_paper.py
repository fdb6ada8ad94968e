"""The week on paper, as it comes out of a printer: one sheet, and nothing that is for a screen."""

import re
from datetime import timedelta

import pytest

from practice.drills.models import Caution
from practice.log.models import Entry
from practice.weeks.queries import this_opening
from tests import factories
from tests.browser.hand import Hand
from tests.browser.test_pages_axe import opened

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PAGE = re.compile(rb"/Type\s*/Page\b")


@pytest.mark.parametrize("size", ["A4", "A5"])
def test_three_parts_are_one_sheet_without_the_words_for_the_screen(
    browser, live_server, coach, student, size
):
    """The words on how to print, and their links, stood on the sheet that was handed over."""
    week = factories.make_week(student, this_opening(student))
    for name in ("Effort ladder", "Wall-back turn", "Stop-and-start at the top"):
        drill = factories.make_drill(student.studio, name, dose="12@40, 9@60, 6@80, back 9@40")
        Caution.objects.create(
            drill=drill, when="If your back is stiff today,", stop="sit down for it or skip it.",
            who="Tell your coach.",
        )  # fmt: skip
        cue = "tail stays on the wall, one side then the other"
        factories.make_part(week, drill, sessions=4, minutes=18, cue=cue)
    page = opened(browser, live_server, coach)
    page.goto(f"/students/{student.pk}/paper/")
    page.emulate_media(media="print")
    assert page.locator(".paper-box").count() == 12
    # Whoever has chosen the dark theme prints dark ink all the same.
    page.emulate_media(media="print", color_scheme="dark")
    ink = page.evaluate("getComputedStyle(document.querySelector('main h2')).color")
    assert ink == "rgb(31, 42, 46)"
    assert not page.get_by_text("Print this page").is_visible()
    assert not page.locator("main a").filter(visible=True).count()
    assert len(PAGE.findall(page.pdf(format=size))) == 1
    page.context.close()


def test_a_week_of_seven_times_is_written_in_with_ten_taps(browser, live_server, coach, student):
    """From the student's sheet: three to get there and to save, and one for each time."""
    last = this_opening(student) - timedelta(days=7)
    student.joined_on = last
    student.save()
    week = factories.make_week(student, last)
    sessions = {"Effort ladder": 3, "Wall-back turn": 2, "Gate putting": 2}
    for name, times in sessions.items():
        drill = factories.make_drill(student.studio, name)
        factories.make_part(week, drill, sessions=times, minutes=12)
    page = opened(browser, live_server, coach)
    page.goto(f"/students/{student.pk}/")
    hand = Hand(page)
    hand.tap(page.get_by_role("link", name="Weeks", exact=True))
    hand.tap(page.get_by_role("link", name="Write in what was done"))
    for name, times in sessions.items():
        boxes = page.get_by_role("group", name=name).get_by_role("checkbox")
        for day in range(times):
            hand.tap(boxes.nth(day))
    hand.tap(page.get_by_role("button", name="Save"))
    page.get_by_text("3 days are written in, from paper.").wait_for()
    assert hand.count <= 10
    assert Entry.objects.filter(student=student).count() == 3
    page.context.close()
