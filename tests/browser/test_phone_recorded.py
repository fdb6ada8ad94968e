"""A clip taken at the range and a question by voice: on the phone until the server names them."""

import pytest

from tests.browser.house import Phone, new_context, until
from tests.browser.killable import SHELL_KEPT
from tests.clips.makers import movie

pytestmark = pytest.mark.browser
CLIPS = "SELECT kind, drill_id, entry_id, size FROM clips_clip"
# The tone that a test browser gives for a microphone.
HEARD = """navigator.mediaDevices.getUserMedia = async () => {
  const sound = new AudioContext();
  const tone = sound.createOscillator();
  const out = sound.createMediaStreamDestination();
  tone.connect(out);
  tone.start();
  return out.stream;
};"""


@pytest.fixture
def phone(browser, server, seed):
    context = new_context(browser, server, seed["cookies"]["sam"], extra=HEARD)
    yield Phone(context.new_page(), server).open()
    context.close()


def chosen(phone: Phone, content: bytes, name: str = "swing.webm") -> None:
    phone.page.locator("article").get_by_role("link", name="Send a clip").click()
    phone.page.set_input_files(
        "[name=file]", {"name": name, "mimeType": "video/webm", "buffer": content}
    )
    phone.page.click("[form=f]")


def offline(phone: Phone, is_off: bool) -> None:
    phone.page.context.set_offline(is_off)


def at(seed: dict) -> str:
    return seed["parts"][0]


def test_a_clip_waits_without_signal_outlives_a_reload_and_goes_out_once(phone, server):
    until(lambda: phone.page.evaluate(SHELL_KEPT), "the shell to be kept")
    offline(phone, True)
    chosen(phone, movie("webm"))
    phone.page.wait_for_selector("text=Kept on this phone. It is sent when there is signal.")
    phone.page.reload()
    phone.loaded()
    phone.page.wait_for_selector("#pill:text('1 recording waits on this phone')")
    assert server.sql(CLIPS) == []
    offline(phone, False)
    phone.page.evaluate("() => dispatchEvent(new Event('online'))")
    phone.until(lambda: server.sql(CLIPS), "the clip")
    phone.page.wait_for_selector("#pill:text('All sent')")
    ((kind, drill, entry, size),) = server.sql(CLIPS)
    assert (kind, entry, size) == ("video/webm", None, len(movie("webm")))
    assert drill


def test_the_worker_sends_it_while_no_page_is_open_and_the_answer_may_be_lost(phone, server):
    until(lambda: phone.page.evaluate(SHELL_KEPT), "the shell to be kept")
    phone.page.route("**/api/clips/*", lambda route: route.abort())
    chosen(phone, movie("webm"))
    phone.page.wait_for_selector("#pill:text('1 recording waits on this phone')")
    (worker,) = phone.page.context.service_workers
    worker.evaluate("() => sendLarge()")
    assert len(server.sql(CLIPS)) == 1
    phone.page.reload()
    phone.loaded()
    phone.page.wait_for_selector("#pill:text('All sent')")


WRONG_ANSWERS = [
    {"status": 200, "body": "<p>Welcome to our wifi</p>", "content_type": "text/html"},
    {"status": 200, "json": {"ok": True, "r": {"another": ["stored", ""]}}},
    {"status": 500, "body": ""},
    {"status": 401, "json": {"code": "foreign"}},
    {"status": 413, "body": "too large, said a proxy"},
]


def test_no_answer_but_its_own_receipt_lets_it_go(phone, server):
    """One film after another, each answered wrongly twice."""
    asked, due = [], []

    def answer(route):
        asked.append(route)
        if due:
            route.fulfill(**due.pop())
        else:
            route.fallback()

    phone.page.route("**/api/clips/*", answer)
    for number, wrong in enumerate(WRONG_ANSWERS, start=1):
        asked.clear()
        due.extend([wrong, wrong])
        phone.go("")
        chosen(phone, movie("webm"))
        phone.until(lambda n=number: len(server.sql(CLIPS)) == n, f"the clip after {wrong}")
        phone.page.wait_for_selector("#pill:text('All sent')")
        assert len(server.sql(CLIPS)) == number, wrong
        assert len(asked) == 3, wrong


def test_what_is_no_clip_is_told_and_goes_by_one_tap(phone, server):
    chosen(phone, b"<!doctype html>")
    phone.page.wait_for_selector("#pill:text('1 recording needs a look')")
    phone.page.click("#sent")
    phone.page.wait_for_selector("main:has-text('This is no picture')")
    phone.page.once("dialog", lambda dialog: dialog.accept())
    phone.tap("Discard")
    phone.page.wait_for_selector("#pill:text('All sent')")
    assert server.sql(CLIPS) == []


def test_a_question_is_asked_by_voice_without_signal_and_heard_by_the_coach(
    phone, browser, server, seed
):
    until(lambda: phone.page.evaluate(SHELL_KEPT), "the shell to be kept")
    offline(phone, True)
    phone.tap("Ask about it", "link")
    phone.tap("Record it")
    phone.page.wait_for_selector("text=Recording: 1 of 15 seconds")
    phone.tap("Stop")
    phone.page.wait_for_selector("audio[src^='blob:']")
    phone.keep(lambda: phone.page.click("[form=f]"), "the question")
    phone.until(lambda: "Your coach will hear it." in phone.page.inner_text("#said"), "the words")
    phone.page.wait_for_selector("#pill:text('1 recording waits on this phone')")
    offline(phone, False)
    phone.page.evaluate("() => dispatchEvent(new Event('online'))")
    phone.until(lambda: server.sql(CLIPS), "the voice note")
    (asked,) = server.rows()
    ((kind, _, entry, _),) = server.sql(CLIPS)
    assert (kind, entry) == ("audio/webm", asked["id"].replace("-", ""))
    assert asked["note"].startswith("Voice note, ")
    coach = new_context(browser, server, seed["cookies"]["coach"])
    page = coach.new_page()
    page.goto(f"{server.url}/students/{seed['students']['Sam Sample']}/words/")
    length = page.locator("audio").evaluate(
        """(it) => new Promise((on, no) => {
          it.onloadedmetadata = () => on(it.duration);
          it.onerror = () => no(it.error.message);
          it.load(); it.play().catch(() => {});
        })"""
    )
    assert length > 0 or length is None  # A recording of this kind need not say its length.
    coach.close()
