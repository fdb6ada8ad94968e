"""What a student, a guardian and a strength coach come for, walked on a phone with taps counted.

    .venv/bin/python -m pytest -s tests/browser/test_stories.py -m "long or not long"

Upright, on its side, and with text at twice the size; `-s` prints the taps. A tap is one touch;
a number that is typed is one tap.
"""

import json
from dataclasses import dataclass, field

import pytest

from tests.browser.house import Phone, Server, named, new_context, sign_in, verdict
from tests.browser.test_phone_access import TWICE
from tests.browser.test_phone_sending import SUBSCRIBES, Browser

pytestmark = pytest.mark.browser
SUBSCRIBED = SUBSCRIBES.replace("POINT", json.dumps(Browser().keys))
LOOKS = {
    "upright": {},
    "on its side": {"viewport": {"width": 844, "height": 390}},
    "large text": {"extra": TWICE, "bypass_csp": True},
}


@dataclass
class Walk:
    """One person at one phone. What is touched through it is counted."""

    browser: object
    server: Server
    seed: dict
    look: dict
    taps: int = 0
    contexts: list = field(default_factory=list)

    def signed_in(self, who: str | None) -> "Walk":
        cookie = who and self.seed["cookies"][who]
        self.contexts.append(new_context(self.browser, self.server, cookie, **self.look))
        self.page = self.contexts[-1].new_page()
        self.phone = Phone(self.page, self.server)
        self.taps = 0
        return self

    def opened(self, who: str, fragment: str = "") -> "Walk":
        self.signed_in(who).phone.open(fragment)
        return self

    def at(self, path: str) -> "Walk":
        self.page.goto(f"{self.server.url}{path}")
        return self

    def of(self, name: str, rest: str, base: str = "students") -> "Walk":
        return self.at(f"/{base}/{self.seed['students'][name]}/{rest}")

    def touch(self, locator) -> None:
        locator.first.click()
        self.taps += 1

    def link(self, name: str) -> None:
        self.touch(self.page.get_by_role("link", name=named(name)))

    def button(self, name: str) -> None:
        self.touch(self.page.get_by_role("button", name=named(name)))

    def typed(self, at: str, text: str) -> None:
        self.page.fill(at, text)
        self.taps += 1

    def kept(self, act) -> None:
        self.phone.keep(act, "what was kept")

    def text(self) -> str:
        return self.page.inner_text("main")

    def sees(self, words: str) -> None:
        self.page.wait_for_selector(f"text={words}")

    def fits(self) -> None:
        wide = self.page.evaluate("() => document.documentElement.scrollWidth - innerWidth")
        assert wide <= 0, "it scrolls sideways"

    def over(self, most: int) -> int:
        self.fits()
        assert self.taps <= most
        for context in self.contexts:
            context.close()
        return self.taps


def s1_opens_by_a_link_without_a_password(it: Walk) -> int:
    it.signed_in(None).at(it.seed["links"]["sam"])
    it.taps = 1  # The link in the mail.
    it.button("Open this week")
    it.phone.loaded()
    it.sees("Done as asked")
    return it.over(2)


def s1_a_link_that_is_over_says_so_and_where_to_go(it: Walk) -> int:
    """Two weeks on: it ended two days after its week."""
    it.signed_in(None).at(it.seed["links"]["over"])
    it.taps = 1  # The link in the mail.
    it.sees("A link like this ends two days after its week closes.")
    it.link("Sign in instead")
    it.page.wait_for_url("**/account/login/**")
    return it.over(2)


def s1_what_was_logged_by_a_link_waits_when_it_is_over(it: Walk) -> int:
    it.signed_in(None).at(it.seed["links"]["sam"])
    it.button("Open this week")
    it.phone.loaded()
    it.contexts[-1].set_offline(True)
    it.phone.done_as_asked()
    it.server.sql("UPDATE log_logkey SET expires_at = '2020-01-01 00:00:00'")
    it.contexts[-1].set_offline(False)
    it.page.evaluate("() => dispatchEvent(new Event('online'))")
    it.sees("1 kept on this phone · sign in to send")
    it.taps = 1
    it.link("1 kept on this phone · sign in to send")
    it.sees("Wall-back turns")
    sign_in(it.contexts[-1], it.server, it.seed["cookies"]["sam"])
    it.phone.open()
    it.phone.all_sent()
    assert verdict(it.phone.ticks, it.server.rows()) == ([], [])
    return it.over(2)


def s2_logs_as_asked(it: Walk) -> int:
    it.opened("sam")
    it.kept(lambda: it.button("Done as asked"))
    it.phone.all_sent()
    assert [row["b"][0]["as"] for row in it.server.rows()] == [True]
    return it.over(3)


def s2_logs_partly_with_clean_counts(it: Walk) -> int:
    it.opened("sam")
    it.link("Did part")
    for at, count in (("#c0", "9"), ("#c1", "6"), ("#n2", "4"), ("#c2", "2")):
        it.typed(at, count)
    it.kept(lambda: it.button("Save"))
    it.phone.all_sent()
    steps = it.server.rows()[0]["b"][0]["s"]
    assert [(step["n"], step["c"]) for step in steps] == [(10, 9), (8, 6), (4, 2)]
    return it.over(10)


def s3_logs_without_signal(it: Walk) -> int:
    it.opened("sam")
    it.contexts[-1].set_offline(True)
    for _ in range(20):
        it.phone.done_as_asked()
    it.contexts[-1].set_offline(False)
    for _ in range(2):
        it.page.evaluate("() => dispatchEvent(new Event('online'))")
    it.phone.all_sent()
    assert verdict(it.phone.ticks, it.server.rows()) == ([], [])
    assert len(it.server.rows()) == 20
    return it.over(0)


def s4_has_only_fifteen_minutes(it: Walk) -> int:
    it.opened("sam")
    it.link("I have 15 minutes")
    it.sees("Wall-back turns")
    return it.over(2)


def s5_is_away(it: Walk) -> int:
    it.opened("sam")
    it.link("I’m away")
    it.kept(lambda: it.button("Save"))
    it.phone.all_sent()
    it.link("This week")
    it.sees("Today is excused. Nothing is asked.")
    return it.over(4)


def s6_something_hurts(it: Walk) -> int:
    it.opened("sam")
    it.link("Something hurts")
    it.kept(lambda: it.button("6"))
    taps = it.taps
    it.sees("This part stops until your coach has looked.")
    it.phone.all_sent()
    assert it.server.sql("SELECT count(*) FROM care_stop WHERE cleared_at IS NULL") > [(0,)]
    it.signed_in("coach").of("Sam Sample", "")
    it.sees("Stopped")
    it.taps = taps
    return it.over(2)


def s7_corrects_and_takes_back(it: Walk) -> int:
    it.opened("sam")
    it.phone.done_as_asked()
    it.link("What I logged")
    it.link("Change")
    it.typed("#n0", "7")
    it.kept(lambda: it.button("Save"))
    it.page.evaluate("() => { location.hash = 'entries'; }")
    it.kept(lambda: it.touch(it.page.locator("main [data-do=back]")))
    it.phone.all_sent()
    assert [row["k"] for row in it.server.rows()] == ["log", "change", "back"]
    return it.over(5)


def s8_sees_what_counted_and_why(it: Walk) -> int:
    it.opened("sam")
    it.phone.done_as_asked()
    it.phone.all_sent()
    it.phone.page.reload()
    it.phone.loaded()
    it.link("What counted")
    it.touch(it.page.locator("section summary"))
    it.sees("Counted")
    return it.over(2)


def s9_chooses_reminders(it: Walk) -> int:
    it.opened("sam")
    it.link("Reminders")
    it.typed("[name=at]", "18:30")
    it.button("Save")
    it.page.wait_for_load_state()
    assert it.page.input_value("[name=at]").startswith("18:30")
    it.button("Stop all reminders to me")
    it.sees("No reminders are sent to you.")
    return it.over(4)


def s9_chooses_the_days(it: Walk) -> int:
    it.opened("sam")
    it.link("Reminders")
    days = it.page.locator("[name=weekdays]")
    for n in (5, 6):
        it.touch(days.nth(n))
    chosen = [days.nth(n).is_checked() for n in range(7)]
    it.button("Save")
    it.page.wait_for_load_state()
    assert [days.nth(n).is_checked() for n in range(7)] == chosen
    return it.over(4)


def s9_is_nudged_on_this_phone_and_by_mail_again(it: Walk) -> int:
    it.opened("sam")
    it.contexts[-1].grant_permissions(["notifications"])
    it.page.add_init_script(SUBSCRIBED)
    it.phone.open()
    it.link("Remind me on this phone")
    it.button("Remind me here")
    it.sees("This phone reminds you.")
    assert it.server.sql("SELECT count(*) FROM phone_pushdevice") == [(1,)]
    taps = it.taps
    it.button("Mails instead")
    it.page.wait_for_selector("text=Reminders come by mail again.")
    assert it.server.sql("SELECT count(*) FROM phone_pushdevice") == [(0,)]
    it.taps = taps
    return it.over(4)


def s10_reads_own_units(it: Walk) -> int:
    it.opened("wanda", f"#balls={it.seed['measured_parts'][0]}")
    it.button("I am warmed up")
    it.page.wait_for_selector("[data-figure]")
    assert "mph" in it.text()
    return it.over(1)


def g1_takes_a_consent_away(it: Walk) -> int:
    it.signed_in("gail").of("Ada Child", "consents/", "child")
    ticks = it.page.get_by_label("I consent to this: Clips and voice")
    it.touch(ticks)
    it.button("Save")
    it.page.wait_for_load_state()
    first = it.taps
    it.of("Ada Child", "clips/")
    was = "No guardian has agreed to clips" in it.text()
    it.of("Ada Child", "consents/", "child")
    it.page.get_by_label("I consent to this: Clips and voice").click()
    it.page.get_by_role("button", name="Save", exact=True).click()
    it.page.wait_for_load_state()
    it.of("Ada Child", "clips/")
    assert ("No guardian has agreed to clips" in it.text()) is not was
    it.taps = first
    return it.over(3)


def g2_reads_words_and_clips(it: Walk) -> int:
    it.signed_in("coach").of("Ada Child", "words/")
    it.signed_in("gail").of("Ada Child", "", "child")
    for name in ("Notes and answers", "Clips"):
        it.link(name)
        it.sees("Ada Child")
        it.page.go_back()
    return it.over(2)


def g3_logs_for_the_child(it: Walk) -> int:
    it.opened("gail")
    it.button("Ada Child")
    it.page.wait_for_selector("[data-do=asked]")
    # Who logs for two sees where that is changed.
    assert it.page.locator("#who[data-several]").count() == 1
    it.kept(lambda: it.button("Done as asked"))
    it.phone.all_sent()
    writer = "SELECT name FROM people_user u JOIN log_entry e ON e.writer_id = u.id"
    assert it.server.sql(writer) == [("Gail Guardian",)]
    return it.over(3)


def k1_and_k2_mark_the_strip_and_both_see_the_clash(it: Walk) -> int:
    it.signed_in("strength").at("/gym/")
    it.touch(it.page.locator(f"a[href*='{it.seed['students']['Kim Careful']}/gym/']"))
    day = it.page.locator("fieldset.gym-day").nth(2)
    it.touch(day.get_by_text("heavy", exact=True))
    day.locator("select").select_option("lower")
    it.taps += 2
    it.button("Save the strip")
    it.page.wait_for_load_state()
    taps, clash = it.taps, it.page.locator("p.look").first.inner_text()
    assert "Speed test" in clash
    assert it.of("Kim Careful", "clips/").page.title() != "Clips: Kim Careful"
    it.signed_in("coach").of("Kim Careful", "gym/")
    it.sees(clash)
    it.taps = taps
    return it.over(7)


STORIES = [
    s1_opens_by_a_link_without_a_password,
    s1_a_link_that_is_over_says_so_and_where_to_go,
    s1_what_was_logged_by_a_link_waits_when_it_is_over,
    s2_logs_as_asked,
    s2_logs_partly_with_clean_counts,
    s3_logs_without_signal,
    s4_has_only_fifteen_minutes,
    s5_is_away,
    s6_something_hurts,
    s7_corrects_and_takes_back,
    s8_sees_what_counted_and_why,
    s9_chooses_reminders,
    s9_chooses_the_days,
    s9_is_nudged_on_this_phone_and_by_mail_again,
    s10_reads_own_units,
    g1_takes_a_consent_away,
    g2_reads_words_and_clips,
    g3_logs_for_the_child,
    k1_and_k2_mark_the_strip_and_both_see_the_clash,
]


@pytest.mark.parametrize(
    "look", ["upright", *(pytest.param(name, marks=pytest.mark.long) for name in list(LOOKS)[1:])]
)
@pytest.mark.parametrize("story", STORIES, ids=lambda story: story.__name__)
def test_it_is_met(browser, server, seed, story, look):
    taps = story(Walk(browser, server, seed, LOOKS[look]))
    print(f"{story.__name__}, {look}: {taps} taps")
