"""A lesson written down and closed on a tablet, at a person's pace, signal or none."""

import pytest

from tests.browser.house import new_context, sign_in, until

pytestmark = pytest.mark.browser

TAP_SECONDS = 0.2
LETTERS_A_SECOND = 180 / 60
TABLET = {"width": 820, "height": 1180}


class Hand:
    """Taps and types, and counts what a person would need for it."""

    def __init__(self, page) -> None:
        self.page, self.taps, self.letters = page, 0, 0

    def tap(self, name: str, role: str = "button") -> None:
        self.taps += 1
        self.page.get_by_role(role, name=name, exact=True).first.click()

    def tap_box(self, name: str) -> None:
        self.taps += 1
        self.page.get_by_label(name, exact=True).first.check()

    def open(self, name: str) -> None:
        self.taps += 1
        self.page.locator("summary", has_text=name).first.click()

    def write(self, label: str, text: str) -> None:
        self.taps += 1
        self.letters += len(text)
        field = self.page.get_by_label(label).first
        field.click()
        field.press_sequentially(text)

    @property
    def seconds(self) -> float:
        return self.taps * TAP_SECONDS + self.letters / LETTERS_A_SECOND


@pytest.fixture
def tablet(browser, server, seed):
    context = new_context(browser, server, seed["cookies"]["coach"], viewport=TABLET)
    yield context.new_page()
    context.close()


def sent_weeks(server):
    rows = server.sql(
        "SELECT d.name, p.cue, p.note FROM weeks_part p JOIN weeks_week w ON w.id = p.week_id"
        " JOIN drills_drillrevision d ON d.id = p.revision_id"
        " JOIN lessons_lesson l ON l.week_id = w.id WHERE w.state = 'sent' ORDER BY p.priority"
    )
    return [tuple(row) for row in rows]


def test_from_an_open_roster_to_a_sent_week_within_a_minute(tablet, server):
    tablet.goto(f"{server.url}/who/")
    hand = Hand(tablet)
    hand.tap("Robin Other", "link")
    hand.tap("Begin a lesson")
    hand.write("Fault", "stands up at impact")
    hand.write("Feels like", "belt stays low")
    hand.write("Really is", "6 cm rise")
    hand.write("Cue", "tail on the wall")
    hand.write("Rehearsal", "three slow turns first")
    hand.open("From the shelf")
    hand.tap_box("Slow turns")
    hand.tap("To the week")
    tablet.get_by_role("heading", name="what should this week be?").wait_for()
    hand.tap("Send the week")
    tablet.get_by_text("The week is sent to Robin Other").wait_for()
    # Robin's week of now was sent already, so it is the next one, the lesson's drill first.
    assert sent_weeks(server)[0] == (
        "Slow turns",
        "tail on the wall",
        "Rehearsal: three slow turns first. Feels like: belt stays low. Really is: 6 cm rise",
    )
    assert hand.taps == 11
    assert hand.seconds <= 60


def test_a_ball_is_one_tap_also_without_signal_and_its_share_is_exact(tablet, server):
    tablet.goto(f"{server.url}/who/")
    hand = Hand(tablet)
    hand.tap("Robin Other", "link")
    hand.tap("Begin a lesson")
    hand.open("From the shelf")
    hand.tap_box("Slow turns")
    panel = tablet.get_by_role("group", name="Count balls")
    assert panel.get_by_role("radio").evaluate_all("(all) => all.map((r) => r.value)") == ["50"]
    tablet.get_by_text("Kept.", exact=True).wait_for()
    tablet.context.set_offline(True)
    hand.taps = 0
    for ball in "110110101101110110101101":  # 24 balls, 16 of them clean.
        hand.tap("Clean" if ball == "1" else "Not clean")
    assert hand.taps == 24
    assert panel.get_by_role("status").inner_text() == "At 50: 16 of 24 clean, 66 %."
    hand.tap("Take it back")
    assert panel.get_by_role("status").inner_text() == "At 50: 15 of 23 clean, 65 %."
    for button in panel.get_by_role("button").all():
        assert button.bounding_box()["height"] >= 48
    tablet.context.set_offline(False)
    counted = "SELECT effort, reps, clean_reps FROM checked_checkedcount WHERE counts"
    until(lambda: server.sql(counted) == [(50, 23, 15)], "the count to arrive")
    tablet.reload()
    assert panel.get_by_role("status").inner_text() == "At 50: 15 of 23 clean, 65 %."


def test_the_brief_is_one_screen_of_a_phone(tablet, server):
    tablet.goto(f"{server.url}/who/")
    hand = Hand(tablet)
    hand.tap("Robin Other", "link")
    hand.tap("Begin a lesson")
    hand.open("From the shelf")
    hand.tap_box("Slow turns")
    tablet.get_by_label("Feels like").first.fill("as if the belt stayed low " * 7)
    tablet.get_by_label("Cue").first.fill("keep the tail on the wall " * 6)
    tablet.get_by_text("Kept.", exact=True).wait_for()
    hand.tap("To the week")
    hand.tap("No practice this week")
    tablet.get_by_text("The lesson is closed").wait_for()
    server.sql("UPDATE people_student SET next_event = date('now', '+20 days')")
    tablet.set_viewport_size({"width": 390, "height": 844})
    hand.tap("Students", "link")
    hand.tap("Robin Other", "link")
    tablet.goto(tablet.url + "door/")
    lines = tablet.locator(".door-brief dd")
    assert lines.count() == 4
    # However many there are: ten lines of as many letters as there may be.
    ends = tablet.locator(".door-brief").evaluate("""(list) => {
      while (list.children.length < 20)
        list.append(...[...list.children].slice(0, 2).map((each) => each.cloneNode(true)));
      for (const line of list.querySelectorAll("dd"))
        line.textContent = "seven ".repeat(11).slice(0, 56);
      return list.getBoundingClientRect().bottom;
    }""")
    assert ends <= 844


def test_what_is_typed_without_signal_is_there_after_the_page_was_closed(tablet, server):
    tablet.goto(f"{server.url}/who/")
    hand = Hand(tablet)
    hand.tap("Robin Other", "link")
    hand.tap("Begin a lesson")
    tablet.get_by_label("Fault").first.wait_for()
    address, context = tablet.url, tablet.context
    context.set_offline(True)
    hand.write("Cue", "quiet hands")
    tablet.get_by_text("Kept on this device; there is no answer yet.").wait_for()
    tablet.close()
    context.set_offline(False)
    again = context.new_page()
    again.goto(address)
    again.get_by_text("Kept.", exact=True).wait_for()
    assert again.get_by_label("Cue").first.input_value() == "quiet hands"
    assert server.sql("SELECT cue FROM lessons_finding") == [("quiet hands",)]
    assert (
        again.evaluate("Object.keys(localStorage).filter((key) => key.startsWith('lesson'))") == []
    )


def test_a_field_changed_on_two_devices_keeps_both_texts(tablet, server):
    tablet.goto(f"{server.url}/who/")
    hand = Hand(tablet)
    hand.tap("Robin Other", "link")
    hand.tap("Begin a lesson")
    tablet.get_by_label("Fault").first.wait_for()
    other = tablet.context.new_page()
    other.goto(tablet.url)
    other.get_by_label("Cue").first.fill("slow hands")
    other.get_by_text("Kept.", exact=True).wait_for()
    hand.write("Cue", "quiet hands")
    tablet.get_by_text("A field was changed on another device too").wait_for()
    until(
        lambda: server.sql("SELECT cue FROM lessons_finding") == [("slow hands / quiet hands",)],
        "both texts on the server",
    )


def test_signed_out_meanwhile_the_note_says_so_and_loses_nothing(tablet, server, seed):
    tablet.goto(f"{server.url}/who/")
    hand = Hand(tablet)
    hand.tap("Robin Other", "link")
    hand.tap("Begin a lesson")
    tablet.get_by_label("Fault").first.wait_for()
    tablet.context.clear_cookies(name="sessionid")
    hand.write("Cue", "quiet hands")
    tablet.get_by_text("You are signed out: sign in again").wait_for()
    sign_in(tablet.context, server, seed["cookies"]["coach"])
    tablet.reload()
    tablet.get_by_text("Kept.", exact=True).wait_for()
    assert server.sql("SELECT cue FROM lessons_finding") == [("quiet hands",)]


def test_texts_too_long_for_one_field_are_both_told(tablet, server):
    tablet.goto(f"{server.url}/who/")
    hand = Hand(tablet)
    hand.tap("Robin Other", "link")
    hand.tap("Begin a lesson")
    cue = tablet.get_by_label("Cue").first
    cue.wait_for()
    longest = int(cue.get_attribute("maxlength"))
    other = tablet.context.new_page()
    other.goto(tablet.url)
    other.get_by_label("Cue").first.fill("s" * longest)
    other.get_by_text("Kept.", exact=True).wait_for()
    cue.fill("q" * longest)
    tablet.get_by_text(f"too long for both: “{'s' * longest}”").wait_for()
    until(
        lambda: server.sql("SELECT cue FROM lessons_finding") == [("q" * longest,)],
        "the field of this device",
    )
