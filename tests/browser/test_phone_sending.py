"""Sending with nobody there, and what is said once: home screen, another app's browser."""

import json

import pytest

from tests.browser.house import Phone, new_context, until, verdict
from tests.browser.killable import SHELL_KEPT
from tests.outbox.push_service import Browser

pytestmark = pytest.mark.browser


def test_the_worker_sends_what_waits_while_no_page_is_open(browser, server, seed):
    context = new_context(browser, server, seed["cookies"]["sam"])
    phone = Phone(context.new_page(), server).open()
    until(lambda: phone.page.evaluate(SHELL_KEPT), "the shell to be kept")
    # Only the page's own sending is cut off.
    phone.page.route("**/api/sync", lambda route: route.abort())
    for _ in range(3):
        phone.done_as_asked()
    (worker,) = context.service_workers
    worker.evaluate("() => sendCopies()")
    assert verdict(phone.ticks, server.rows()) == ([], [])
    # Sent again by the page, it is there once; the page reads the receipts.
    phone.page.unroute_all()
    phone.page.reload()
    phone.loaded()
    phone.all_sent()
    assert len(server.rows()) == 3
    context.close()


def test_a_week_that_was_asked_for_before_the_tap_and_comes_after_it_holds_nothing_up(phone):
    weeks = []

    def hold(route):
        weeks.append((route, route.fetch()))

    phone.page.route("**/api/week", hold)
    phone.page.evaluate("() => dispatchEvent(new Event('online'))")
    phone.until(lambda: len(weeks) == 1, "the week to be asked for")
    phone.done_as_asked()
    phone.until(lambda: len(weeks) == 2, "the week to be asked for after the sending")
    assert not phone.waiting()
    (early, without), (late, with_it) = weeks
    early.fulfill(response=without)
    phone.until(phone.waiting, "what the early week does not know to wait again")
    late.fulfill(response=with_it)
    phone.page.unroute("**/api/week", hold)
    phone.all_sent()
    assert verdict(phone.ticks, phone.server.rows()) == ([], [])


def test_a_taking_back_waits_with_its_log_when_the_log_fails_alone(phone):
    """Sent first it would be refused, and the visit would stay counted."""
    until(lambda: phone.page.evaluate(SHELL_KEPT), "the shell to be kept")
    phone.page.context.set_offline(True)
    phone.done_as_asked()
    phone.keep(phone.page.locator("#undo").click, "the taking back")
    waiting = [row["e"] for row in phone.waiting()]
    (log,) = (e["id"] for e in waiting if not e.get("target"))
    (back,) = (e["id"] for e in waiting if e.get("target") == log)
    sent = []

    def busy(route):
        """Both together fail, then the log fails twice alone."""
        sent.append([e["id"] for e in route.request.post_data_json["e"]])
        if len(sent) <= 3 and log in sent[-1]:
            route.fulfill(status=503)
        else:
            route.fallback()

    phone.page.route("**/api/sync", busy)
    # A week that was asked for before the log came and answered after would have it sent again.
    phone.page.route("**/api/week*", lambda route: route.abort())
    phone.page.context.set_offline(False)
    phone.page.evaluate("() => dispatchEvent(new Event('online'))")
    phone.until(lambda: not phone.waiting(), "both to be sent")
    assert sent == [[log, back], [log], [log], [log], [back]]
    phone.all_sent()
    assert {row["st"] for row in phone.stored()} == {1}


def test_the_home_screen_is_explained_once_and_only_when_nothing_waits(phone):
    words = "This page can stand on your home screen"
    assert words not in phone.page.inner_text("main")
    phone.done_as_asked()
    phone.all_sent()
    phone.page.wait_for_selector(f"text={words}")
    phone.tap("Not now")
    assert words not in phone.page.inner_text("main")
    phone.page.reload()
    phone.loaded()
    phone.done_as_asked()
    phone.all_sent()
    assert words not in phone.page.inner_text("main")


# What no push service of this machine's could give: a subscription, and the word of the phone.
SUBSCRIBES = """
let held = null;
Object.defineProperty(Notification, "permission", { get: () => self.permits || "default" });
Notification.requestPermission = async () => (self.permits = "granted");
PushManager.prototype.getSubscription = async () => held;
PushManager.prototype.subscribe = async (asked) => (held = {
  options: { applicationServerKey: asked.applicationServerKey.buffer },
  toJSON: () => ({ endpoint: "https://push.example.net/a", keys: POINT }),
  unsubscribe: async () => !(held = null),
});
"""
# Over once the worker has done with it, and with its error if it could not show it.
PUSHED = """(told) => {
  const event = new PushEvent("push", { data: JSON.stringify(told) });
  let done = null;
  event.waitUntil = (work) => { done = work; };
  self.dispatchEvent(event);
  return done;
}"""
TOLD = """() => navigator.serviceWorker.ready.then((sw) => sw.getNotifications())
  .then((all) => all.map((it) => [it.title, it.body, it.tag, it.data.navigate]))"""


def test_a_phone_is_asked_once_whether_it_reminds_and_shows_what_comes(whole_browser, server, seed):
    extra = SUBSCRIBES.replace("POINT", json.dumps(Browser().keys))
    context = new_context(whole_browser, server, seed["cookies"]["sam"], extra=extra)
    context.grant_permissions(["notifications"], origin=server.url)
    phone = Phone(context.new_page(), server).open()
    phone.done_as_asked()
    phone.all_sent()
    phone.tap("Not now")  # The home screen comes first, and that is enough for one visit.
    assert "Shall this phone remind you?" not in phone.page.inner_text("main")
    phone.page.reload()
    phone.loaded()
    phone.done_as_asked()
    phone.all_sent()
    phone.page.wait_for_selector("text=Shall this phone remind you?")
    phone.tap("Remind me here")
    phone.page.wait_for_selector("text=This phone reminds you from now on.")
    assert server.sql("SELECT endpoint FROM phone_pushdevice") == [("https://push.example.net/a",)]
    # What comes is shown, and a tap on it opens today's practice.
    shown = {"title": "Practice today", "body": "Part 1.", "tag": "n1", "navigate": "/log#for=x"}
    (worker,) = context.service_workers
    worker.evaluate(PUSHED, {"web_push": 8030, "notification": shown})
    until(lambda: phone.page.evaluate(TOLD), "the reminder")
    (told,) = phone.page.evaluate(TOLD)
    assert told == ["Practice today", "Part 1.", "n1", "/log#for=x"]
    # Mails again.
    phone.page.goto(f"{server.url}/log#remind")
    phone.tap("Mails instead")
    phone.page.wait_for_selector("text=Reminders come by mail again.")
    assert server.sql("SELECT endpoint FROM phone_pushdevice") == []
    context.close()


@pytest.mark.parametrize(
    ("extra", "words"),
    [
        ("", "What waits is sent as soon as there is signal."),
        (
            "delete self.SyncManager;",
            "What waits is sent when this page is open and there is signal.",
        ),
    ],
)
def test_it_is_said_whether_this_browser_sends_with_the_page_closed(
    browser, server, seed, extra, words
):
    context = new_context(browser, server, seed["cookies"]["sam"], extra=extra)
    phone = Phone(context.new_page(), server).open()
    context.set_offline(True)
    phone.done_as_asked()
    phone.page.click("#sent")
    phone.page.wait_for_selector(f"main:has-text('{words}')")
    context.close()


def test_inside_another_app_it_says_where_to_open_it(browser, server, seed):
    agent = "Mozilla/5.0 (Linux; Android 14; Phone; wv) AppleWebKit/537.36 Chrome/130 Mobile"
    context = new_context(browser, server, seed["cookies"]["sam"], user_agent=agent)
    phone = Phone(context.new_page(), server).open()
    assert "open inside another app" in phone.page.inner_text("main")
    context.close()


def test_an_answer_is_counted_shown_under_its_question_and_read(phone, server, seed):
    phone.tap("Ask about it", "link")
    phone.page.fill("[name=note]", "Which foot goes first?")
    phone.keep(lambda: phone.page.click("[form=f]"), "the question")
    phone.all_sent()
    assert "Not answered yet." in phone.page.inner_text("article")
    (asked,) = server.rows()
    assert asked["about"] == seed["parts"][0]
    coach = "(SELECT lead_coach_id FROM people_student WHERE name = 'Sam Sample')"
    server.sql(
        f"""INSERT INTO log_line (id, student_id, author_id, text, about_id, at)
        SELECT '0190a6c2000070008000000000000abc', id, {coach}, 'The left one.', ?, datetime('now')
        FROM people_student WHERE name = 'Sam Sample'""",
        asked["id"].replace("-", ""),
    )
    phone.page.reload()
    phone.loaded()
    phone.page.wait_for_selector("text=Words from your coach: 1 new")
    assert "The left one." in phone.page.inner_text("article")
    phone.tap("Words from your coach: 1 new", "link")
    phone.until(lambda: "Which foot goes first?" in phone.page.inner_text("main"), "the words")
    read = "SELECT count(*) FROM log_line WHERE seen_at IS NOT NULL"
    phone.until(lambda: server.sql(read) == [(1,)], "the line to be read")
