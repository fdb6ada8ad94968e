"""What a student can say on the phone, and what of it arrives."""

from pathlib import Path

import pytest

import practice.phone
from practice.drills.dose import parse
from practice.drills.text import in_short
from practice.phone.bundle import step_rows
from tests.browser.house import Phone, new_context, resize

pytestmark = pytest.mark.browser
SHELL = Path(practice.phone.__file__).parent / "shell"


def show(phone: Phone, fragment: str) -> None:
    phone.go(fragment)


def test_it_opens_on_the_first_part_in_the_students_words(phone):
    text = phone.page.inner_text("main")
    assert "“tail stays on the fence”" in text
    assert "10 at 50\u00a0%, 8 at 70\u00a0%, 6 at 90\u00a0%" in text
    assert "7 visits left this week" in text
    phone.done_as_asked()
    # It stays where it is, and one session less is left, at once.
    assert phone.page.inner_text("article h2") == "Wall-back turns"
    assert "6 visits left this week" in phone.page.inner_text("main")
    phone.all_sent()
    assert "6 visits left this week" in phone.page.inner_text("main")


@pytest.mark.parametrize(
    ("typed", "said", "coachs"),
    [
        ("3x7@40", "3 sets of 7 at 40\u00a0%", "3 sets of 7, felt 40"),
        ("3x8", "3 sets of 8 reps", "3 sets of 8"),
        ("10@50", "10 at 50\u00a0%", "10, felt 50"),
        (
            "2 rounds: 2x5@60, 8@70",
            "2 rounds of: 2 sets of 5 at 60\u00a0%, 8 at 70\u00a0%",
            "2 rounds of: 2 sets of 5, felt 60; 8, felt 70",
        ),
    ],
)
def test_a_dose_of_sets_reads_as_the_coach_reads_it(phone, typed, said, coachs):
    dose = parse(typed)
    script = (SHELL / "screen.js").read_text("utf-8")
    done = f"([steps, rounds]) => {{ {script}; return String(doseName(steps, rounds)); }}"
    assert phone.page.evaluate(done, [step_rows(dose), dose.rounds]) == said
    assert in_short(dose) == coachs


def test_pain_is_said_in_two_taps_and_stops_the_part(phone, server, seed):
    phone.tap("Something hurts", "link")
    phone.until(lambda: "Stop this part now" in phone.page.inner_text("main"), "the words")
    assert "call your local emergency services" in phone.page.inner_text("main")
    phone.tap("6")
    phone.page.wait_for_selector("text=Thank you for saying it")
    assert not phone.page.locator("#undo").is_visible()  # Pain is not taken back in passing.
    phone.all_sent()
    (row,) = server.rows()
    assert row["pain"]["lvl"] == 6
    assert row["pain"]["p"] == seed["parts"][0]
    phone.page.fill("[name=where]", "Lower back")
    phone.page.get_by_label("Sharp").check()
    phone.page.get_by_label("Known").check()
    phone.tap("Save these words")
    phone.all_sent()
    change = server.rows()[-1]
    assert change["target"] == row["id"]
    assert change["pain"] == row["pain"] | {"where": "Lower back", "signs": ["sharp"], "new": False}
    show(phone, f"part={seed['parts'][0]}")
    phone.page.wait_for_selector("article .care")
    assert phone.page.get_by_role("button", name="Done as asked").count() == 0


def test_a_drill_of_this_week_and_of_last_stands_once_where_something_hurts(phone, seed):
    """As it is asked now: what is stopped by it is work that is still to come."""
    week = phone.page.evaluate("() => fetch('/api/week').then((answer) => answer.json())")
    now, before = (
        next(p["id"] for w in weeks for p in w["parts"] if p["name"] == "Wall-back turns")
        for weeks in (week["weeks"][::-1], week["weeks"])
    )
    assert now == seed["parts"][0] != before
    show(phone, f"hurts={before}")
    phone.page.wait_for_selector("h1:text('Something hurts')")
    assert phone.page.locator("#in .tick", has_text="Wall-back turns").count() == 1
    assert phone.page.locator("[name=in]:checked").get_attribute("value") == now


def test_the_receipt_says_what_was_told_and_the_week_keeps_saying_it(phone, server, seed):
    phone.tap("Something hurts", "link")
    phone.tap("4")
    phone.page.wait_for_selector("text=Thank you for saying it")
    phone.page.fill("[name=where]", "Left wrist")
    phone.page.get_by_label("Sharp").check()
    phone.tap("Save these words")
    phone.all_sent()
    told = "Left wrist, 4 of 10, sharp"
    receipt = phone.page.inner_text("main")
    assert told in receipt
    assert "until your coach has looked: Wall-back turns, and all hard swings" in receipt
    assert "Your coach has it." in receipt
    phone.go("entries")
    assert told in phone.page.inner_text("main")
    phone.go("")
    week = phone.page.inner_text("main")
    assert f"You said what hurts: {told}" in week
    # It stands above all that could be done.
    assert week.index(told) < week.index("Putting gate")
    phone.page.reload()
    phone.loaded()
    assert told in phone.page.inner_text("main")
    server.sql("UPDATE care_stop SET cleared_at = '2026-01-01', cleared_on = '2026-01-01'")
    server.sql("UPDATE log_entry SET day = date(day, '-3 days')")
    server.sql("UPDATE log_entry SET document = json_set(document, '$.day', date(day))")
    phone.page.evaluate("() => indexedDB.deleteDatabase('practice')")
    phone.page.evaluate(
        "async () => { for (const n of await caches.keys()) await caches.delete(n); }"
    )
    phone.page.reload()
    phone.loaded()
    # The coach has looked: nothing is said of it any more.
    assert told not in phone.page.inner_text("main")


@pytest.mark.parametrize("sign", [None, "Numb"])
def test_a_grave_pain_gets_the_emergency_words_at_once_and_first(phone, server, sign):
    phone.tap("Something hurts", "link")
    phone.tap("3" if sign else "9")
    phone.page.wait_for_selector("text=Thank you for saying it")
    grave = phone.page.locator("#grave")
    if sign:
        assert grave.inner_text() == ""
        phone.page.get_by_label(sign).check()
    assert "call your local emergency services" in grave.inner_text()
    assert phone.page.inner_text("main").startswith("This needs help now")
    if sign:
        phone.tap("Save these words")
        assert phone.page.inner_text("main").startswith("This needs help now")
    phone.go("")
    week = phone.page.inner_text("main")
    assert week.index("This needs help now") < week.index("Wall-back turns")


def test_without_signal_it_says_that_the_coach_does_not_know(phone, server):
    phone.page.context.set_offline(True)
    phone.tap("Something hurts", "link")
    phone.tap("9")
    phone.page.wait_for_selector("text=Thank you for saying it")
    coach = phone.page.locator("#coach")
    phone.until(lambda: "Your coach does not know yet" in coach.inner_text(), "the words")
    assert "phone" in coach.inner_text()
    phone.page.context.set_offline(False)
    phone.all_sent()
    phone.until(lambda: coach.inner_text() == "Your coach has it.", "the words")


def test_how_much_it_hurts_is_on_the_first_screen(phone):
    for width, height in ((320, 568), (844, 390)):
        resize(phone.page, width, height)
        phone.go("")
        phone.tap("Something hurts", "link")
        box = phone.page.locator(".tens button").last.bounding_box()
        bar = phone.page.locator("footer").bounding_box()
        assert box["y"] + box["height"] <= (bar["y"] if width < height else height)
        ticks = phone.page.locator("#in input").all()
        assert {round(tick.bounding_box()["width"]) for tick in ticks} == {24}


def test_a_log_is_changed_and_taken_back(phone, server):
    phone.done_as_asked()
    phone.all_sent()
    phone.page.click("#sent")
    phone.page.wait_for_selector("main:has-text('Your coach has it')")
    phone.tap("Change", "link")
    phone.page.fill("#n0", "9")
    phone.page.select_option("[name=felt]", "7")
    phone.tap("Save")
    phone.all_sent()
    first, change = server.rows()
    assert (change["k"], change["target"], change["felt"]) == ("change", first["id"], 7)
    phone.page.click("#sent")
    phone.until(lambda: phone.page.locator("main li").count() == 1, "the one row")
    phone.tap("Take it back")
    phone.all_sent()
    assert "Taken back" in phone.page.locator("main li").inner_text()
    show(phone, "")
    show(phone, "entries")
    phone.until(lambda: phone.page.locator("main li").count() == 0, "the row to go")
    assert server.rows()[-1]["k"] == "back"
    assert server.sql("SELECT count(*) FROM log_entry WHERE counts") == [(0,)]


def test_right_after_saving_one_tap_takes_it_back(phone, server):
    phone.done_as_asked()
    phone.page.click("#undo")
    phone.until(lambda: len(server.rows()) == 2, "both to arrive")
    assert server.rows()[-1]["target"] == phone.ticks[0]["id"]
    assert phone.page.inner_text("article h2") == "Wall-back turns"


def test_reps_are_tapped_clean_or_not_and_the_last_one_back(phone, server):
    phone.tap("Did part", "link")
    phone.page.locator("summary").first.click()
    for name in ("Clean", "Clean", "Not clean", "Clean", "Take the last one back"):
        phone.tap(name)
    phone.tap("Save")
    phone.all_sent()
    assert server.rows()[0]["b"][0]["s"][0] == {"n": 3, "c": 2, "e": 50}


def test_the_stop_rule_is_kept_with_the_log(phone, server):
    phone.tap("Did part", "link")
    phone.page.get_by_label("Back to the step below").first.check()
    assert "counts in full" in phone.page.inner_text("#ruled")
    phone.page.fill("#n2", "0")
    phone.tap("Save")
    phone.all_sent()
    assert server.rows()[0]["b"][0]["stop"] is True


def test_a_listed_swap_is_chosen_in_the_form(phone, server):
    phone.tap("Did part", "link")
    phone.page.select_option("[name=d]", label="Did a swap: Putting gate")
    phone.tap("Save")
    phone.all_sent()
    block = server.rows()[0]["b"][0]
    assert block["d"]
    assert block["p"]


def test_days_away_are_told_and_taken_back(phone, server):
    phone.tap("I’m away", "link")
    phone.tap("Save")
    phone.all_sent()
    assert server.rows()[0]["kind"] == "away"
    show(phone, "")
    phone.page.wait_for_selector("text=Today is excused")
    phone.tap("Unwell", "link")
    phone.tap("Take it back")
    phone.all_sent()
    assert server.rows()[1]["off"] is True
    assert server.sql("SELECT count(*) FROM weeks_excusal WHERE withdrawn_at IS NULL") == [(0,)]


def test_an_unwell_day_asks_nothing_with_or_without_signal(phone, server):
    phone.page.context.set_offline(True)
    phone.tap("Unwell", "link")
    phone.tap("Save")
    assert "Excused: Today" in phone.page.inner_text("main")
    phone.go("")
    for offline in (True, False):
        text = phone.page.inner_text("main")
        assert "Today is excused. Nothing is asked." in text
        assert "nothing more is asked" in text.split("\n")[0]
        assert phone.page.get_by_role("button", name="Done as asked").count() == 0
        if offline:
            phone.page.context.set_offline(False)
            phone.all_sent()
    phone.go("entries")
    assert "Excused" in phone.page.inner_text("main")


def test_days_the_wrong_way_round_are_said_and_not_turned(phone, server):
    phone.tap("I’m away", "link")
    today = phone.page.input_value("[name=first]")
    phone.page.fill("[name=last]", "2026-01-01")
    phone.page.click("[form=f]")
    phone.page.wait_for_selector("text=The last day comes before the first")
    assert phone.ticks == []
    phone.page.fill("[name=last]", today)
    phone.tap("Save")
    # One day is said once.
    assert phone.page.inner_text("main").count("Today") == 1


def test_far_more_than_asked_is_asked_about_and_what_cannot_be_is_refused(phone, server):
    phone.tap("Did part", "link")
    phone.page.fill("#n0", "999")
    phone.page.fill("#c0", "1000")
    save = phone.page.get_by_role("button", name="Save", exact=True)
    save.click()
    phone.page.wait_for_selector("text=Only 999 were done, so 1000 cannot be clean.")
    phone.page.fill("#c0", "")
    save.click()
    phone.page.wait_for_selector("text=Really 1013? 24 were asked.")
    assert phone.ticks == []
    phone.tap("Save")
    phone.all_sent()
    assert server.rows()[0]["b"][0]["s"][0]["n"] == 999


def test_a_form_with_nothing_in_it_logs_nothing(phone, server):
    phone.tap("Other practice", "link")
    phone.page.click("[form=f]")
    phone.page.wait_for_selector("text=Nothing is filled in yet")
    assert phone.ticks == []


def test_a_question_is_shown_where_its_answer_will_come(phone, server):
    phone.tap("Ask my coach", "link")
    phone.page.fill("[name=note]", "How fast should it feel.")  # Its dot becomes the question mark.
    phone.keep(phone.page.get_by_role("button", name="Send it").click, "the question")
    phone.all_sent()
    text = phone.page.inner_text("main")
    assert "How fast should it feel?" in text
    assert "Not answered yet." in text
    assert "has written nothing" not in text
    phone.go("entries")
    assert "Question" in phone.page.inner_text("main")
    assert phone.page.get_by_role("link", name="Change").count() == 0


def test_sending_is_offered_only_where_something_waits(phone):
    phone.go("entries")
    assert "What waits" not in phone.page.inner_text("main")
    assert phone.page.get_by_role("button", name="Send now").count() == 0
    phone.page.context.set_offline(True)
    phone.done_as_asked()
    phone.go("entries")
    assert phone.page.get_by_role("button", name="Send now").count() == 1
    phone.page.context.set_offline(False)  # It sends by itself, and the button goes with that.
    phone.all_sent()
    phone.until(
        lambda: phone.page.get_by_role("button", name="Send now").count() == 0, "the button to go"
    )


def test_practice_that_nobody_asked_for(phone, server):
    phone.tap("Other practice", "link")
    phone.page.select_option("[name=what]", "range")
    phone.page.fill("#balls", "60")
    phone.page.fill("#min", "40")
    phone.page.fill("[name=note]", "Windy")
    phone.tap("Save")
    phone.all_sent()
    (row,) = server.rows()
    assert row["b"] == [{"w": "range", "balls": 60, "min": 40}]
    assert row["note"] == "Windy"


def test_fifteen_minutes_put_the_first_priority_first(phone, server):
    phone.tap("I have 15 minutes", "link")
    assert phone.page.locator("article h2").first.inner_text() == "Wall-back turns"
    phone.page.locator("article button").first.click()
    phone.until(lambda: phone.ticks, "the tick")
    phone.all_sent()
    assert server.rows()[0]["b"][0]["p"] == phone.ticks[0]["b"][0]["p"]


def test_a_caution_comes_before_the_drill_and_is_understood_offline(browser, server, seed):
    context = new_context(browser, server, seed["cookies"]["kim"])
    phone = Phone(context.new_page(), server).open()
    assert "If your back is stiff" in phone.page.inner_text("main")
    assert phone.page.get_by_role("button", name="Done as asked").count() == 0
    context.set_offline(True)
    phone.tap("Understood")
    phone.done_as_asked()
    context.set_offline(False)
    phone.all_sent()
    assert [row["k"] for row in server.rows()] == ["read", "log"]
    assert server.sql("SELECT count(*) FROM care_cautionread") == [(1,)]
    context.close()


def test_what_was_typed_survives_a_reload(phone):
    phone.tap("Did part", "link")
    phone.page.fill("#n1", "5")
    phone.page.fill("[name=note]", "Called away")
    phone.until(lambda: phone.page.evaluate(DRAFT), "the draft")
    phone.page.reload()
    phone.loaded()
    phone.until(lambda: phone.page.input_value("#n1") == "5", "the draft to come back")
    assert phone.page.input_value("[name=note]") == "Called away"


DRAFT = """() => new Promise((yes) => {
  const ask = indexedDB.open("practice");
  ask.onsuccess = () => {
    const found = ask.result.transaction("kv").objectStore("kv").get("draft");
    found.onsuccess = () => {
      ask.result.close();
      yes(found.result?.fields.some(([, value]) => value === "Called away"));
    };
  };
})"""


def test_a_draft_that_comes_late_leaves_alone_what_is_being_typed(phone):
    phone.tap("Did part", "link")
    form = phone.page.evaluate("() => location.hash")
    phone.page.fill("#n1", "5")
    phone.page.fill("[name=note]", "Called away")
    phone.until(lambda: phone.page.evaluate(DRAFT), "the draft")
    show(phone, "")
    phone.page.wait_for_selector("#f", state="detached")
    phone.page.evaluate(TYPED_AT_ONCE, form)
    phone.until(
        lambda: phone.page.input_value("[name=note]") == "Called away", "the draft to come back"
    )
    assert phone.page.input_value("#n1") == "7"


# The form has been drawn a moment ago, and its draft is still being read.
TYPED_AT_ONCE = """(to) => new Promise((yes) => {
  addEventListener("hashchange", () => {
    const field = document.getElementById("n1");
    field.focus();
    field.value = "7";
    field.dispatchEvent(new Event("input", { bubbles: true }));
    yes();
  }, { once: true });
  location.hash = to;
})"""


def test_text_from_the_server_is_never_markup(phone, server):
    server.sql("UPDATE weeks_week SET note = ?", "<img src=x onerror=alert(1)> & more")
    phone.page.reload()
    phone.loaded()
    phone.until(lambda: "& more" in phone.page.inner_text("main"), "the note")
    assert "<img src=x onerror=alert(1)>" in phone.page.inner_text("main")
    assert phone.page.locator("main img").count() == 0


def test_without_a_sign_in_it_asks_for_one(browser, server):
    context = new_context(browser, server)
    phone = Phone(context.new_page(), server).open()
    link = phone.page.get_by_role("link", name="Sign in", exact=True)
    assert link.get_attribute("href") == "/account/login/?next=/log"
    context.close()


def test_a_child_with_six_digits_finds_where_to_type_them(browser, server):
    context = new_context(browser, server)
    phone = Phone(context.new_page(), server).open()
    phone.tap("I have six digits", "link")
    phone.page.wait_for_selector("h1:text('Make this your phone')")
    context.close()


def test_by_keyboard_alone(phone, server):
    """The first stop leads past the page to what is done next: two keys, and one to do it."""
    phone.page.keyboard.press("Tab")
    phone.page.keyboard.press("Enter")
    assert phone.page.evaluate("() => document.activeElement.textContent") == "Done as asked"
    phone.page.keyboard.press("Enter")
    phone.until(lambda: phone.ticks, "the tick")
    phone.all_sent()
    assert len(server.rows()) == 1


def test_before_the_first_week_the_six_questions_stand_on_top(context, server, seed):
    server.sql("UPDATE weeks_week SET state = 'draft'")
    phone = Phone(context.new_page(), server).open()
    phone.page.wait_for_selector("text=No week has been sent")
    asked = phone.page.get_by_role("link", name="Six questions before your first week")
    asked.wait_for()
    assert asked.get_attribute("href").endswith(f"/own/{seed['students']['Sam Sample']}/questions/")
