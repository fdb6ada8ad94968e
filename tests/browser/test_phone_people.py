"""Whose log it is: sign-ins that end, keys that are revoked, and more than one person."""

import pytest

from tests.browser.house import Phone, handed, new_context, sign_in, verdict

pytestmark = pytest.mark.browser


def kept_offline(context, server, count: int = 3) -> Phone:
    phone = Phone(context.new_page(), server).open()
    context.set_offline(True)
    for _ in range(count):
        phone.done_as_asked()
    context.set_offline(False)
    return phone


def revoke_keys(server) -> None:
    server.sql("UPDATE log_logkey SET revoked_at = '2020-01-01 00:00:00'")


def let_keys_run_out(server) -> None:
    server.sql("UPDATE log_logkey SET expires_at = '2020-01-01 00:00:00'")


def test_the_key_sends_when_the_cookie_is_gone(context, server):
    phone = Phone(context.new_page(), server).open()
    context.clear_cookies()
    phone.page.reload()
    phone.loaded()
    phone.done_as_asked()
    phone.all_sent()
    assert verdict(phone.ticks, server.rows()) == ([], [])


def test_a_revoked_key_is_replaced_by_the_sign_in(context, server):
    phone = Phone(context.new_page(), server).open()
    revoke_keys(server)
    phone.done_as_asked()
    phone.all_sent()
    assert verdict(phone.ticks, server.rows()) == ([], [])


def test_without_key_and_cookie_it_waits_and_logging_goes_on(context, server, seed):
    phone = Phone(context.new_page(), server).open()
    let_keys_run_out(server)
    context.clear_cookies()
    phone.done_as_asked()
    phone.until(lambda: "sign in to send" in phone.pill(), "the word to sign in")
    phone.done_as_asked()
    phone.page.click("#sent")
    link = phone.page.get_by_role("link", name="Sign in", exact=True)
    assert link.get_attribute("href") == "/account/login/?next=/log"
    sign_in(context, server, seed["cookies"]["sam"])
    phone.open()
    phone.all_sent()
    assert len(phone.ticks) == 2
    assert verdict(phone.ticks, server.rows()) == ([], [])


def test_a_phone_that_lost_its_hint_of_whose_it_is_still_has_one_key(phone, server):
    """Where nothing seems to be kept a key is asked for at once; the one that is spare ends."""
    phone.page.evaluate("() => { document.cookie = 'kept=;path=/log;max-age=0'; }")
    phone.page.reload()
    phone.loaded()
    made = "SELECT count(*), sum(revoked_at IS NULL) FROM log_logkey"
    phone.until(lambda: server.sql(made) == [(2, 1)], "the spare key to end")
    phone.done_as_asked()
    phone.all_sent()
    phone.until(lambda: "kept=1" in phone.page.evaluate("() => document.cookie"), "the hint")


def test_another_person_on_the_phone_gets_nothing_of_the_first(context, server, seed):
    phone = Phone(context.new_page(), server).open()
    revoke_keys(server)
    context.clear_cookies()
    sign_in(context, server, seed["cookies"]["robin"])
    phone.done_as_asked()
    phone.until(lambda: phone.page.evaluate("() => fetch('/api/week').then((a) => a.ok)"), "robin")
    phone.page.reload()
    phone.loaded()
    assert phone.pill().startswith("1 kept on this phone")
    assert server.rows() == []
    context.clear_cookies()
    sign_in(context, server, seed["cookies"]["sam"])
    phone.open()
    phone.all_sent()
    (row,) = server.rows()
    assert row["who"] == seed["students"]["Sam Sample"]


HELD = """async () => {
  const ask = indexedDB.open("practice");
  const db = await new Promise((yes) => (ask.onsuccess = () => yes(ask.result)));
  const all = (name) => new Promise((yes) => {
    const got = db.transaction(name).objectStore(name).getAll();
    got.onsuccess = () => yes(got.result);
  });
  const held = [await all("log"), await all("kv")];
  db.close();
  for (const name of ["aside", "copy"]) {
    const cache = await caches.open(name);
    for (const key of await cache.keys()) held.push(await (await cache.match(key)).text());
  }
  return JSON.stringify(held);
}"""


def sign_out(phone: Phone) -> None:
    phone.page.goto(f"{phone.server.url}/account/logout/")
    phone.page.locator("main").get_by_role("button", name="Sign out").click()
    phone.page.wait_for_selector("body[data-cleared]", state="attached")


def no_sending(route) -> None:
    route.abort()


def test_the_next_person_on_a_shared_phone_never_sees_the_first(browser, server, seed):
    """What was not sent stays for its owner, and nothing else of Sam's."""
    server.sql("CREATE TABLE kept AS SELECT * FROM people_usersession")
    context = new_context(browser, server, seed["cookies"]["sam"])
    phone = Phone(context.new_page(), server).open()
    phone.done_as_asked()
    phone.all_sent()
    phone.page.route("**/api/sync", no_sending)
    phone.done_as_asked()
    assert "tail stays on the fence" in phone.page.evaluate(HELD)
    sign_out(phone)
    held = phone.page.evaluate(HELD)
    assert "tail stays" not in held
    assert "Sam Sample" not in held
    assert [row["st"] for row in phone.stored()] == [0]
    sign_in(context, server, seed["cookies"]["robin"])
    phone.open()
    assert logs_for(phone) == "Robin Other"
    assert phone.pill().startswith("1 kept on this phone")
    phone.page.click("#sent")
    phone.until(lambda: not phone.page.locator("#main li").count(), "Robin's empty list")
    sign_out(phone)
    phone.page.unroute("**/api/sync", no_sending)
    # Signing out has ended the session that the cookie named.
    server.sql("INSERT OR IGNORE INTO people_usersession SELECT * FROM kept")
    sign_in(context, server, seed["cookies"]["sam"])
    phone.open()
    phone.all_sent()
    assert {row["who"] for row in server.rows()} == {seed["students"]["Sam Sample"]}
    assert len(server.rows()) == 2
    context.close()


EVERYTHING = """async () => {
  const told = [localStorage, sessionStorage].map((all) => JSON.stringify({ ...all }));
  told.push(document.cookie);
  for (const { name } of await indexedDB.databases()) {
    const ask = indexedDB.open(name);
    const db = await new Promise((yes) => (ask.onsuccess = () => yes(ask.result)));
    for (const table of db.objectStoreNames) {
      const store = db.transaction(table).objectStore(table);
      const [keys, all] = await Promise.all([store.getAllKeys(), store.getAll()].map((got) =>
        new Promise((yes) => (got.onsuccess = () => yes(got.result)))));
      told.push(JSON.stringify([keys, all]));
    }
    db.close();
  }
  // The page itself is the same for everybody.
  for (const name of (await caches.keys()).filter((each) => !each.startsWith("shell-"))) {
    const cache = await caches.open(name);
    for (const at of await cache.keys())
      told.push(decodeURIComponent(at.url), await (await cache.match(at)).text());
  }
  return told.join("\\n");
}"""
# A browser that holds a subscription on every page until it is given up.
HOLDS = """PushManager.prototype.getSubscription = async () => ({
  options: {}, toJSON: () => ({}), unsubscribe: async () => (await self.givenUp(), true) });"""


def used_in_every_way(phone: Phone, seed: dict) -> None:
    """A log that is sent, a walk begun, a draft, a clip to copy, reminders on this phone."""
    phone.done_as_asked()
    phone.all_sent()
    phone.go(f"walk={seed['parts'][1]}")
    phone.tap("Done")
    phone.go(f"ask={seed['parts'][0]}")
    phone.page.fill("[name=note]", "Knuckles up?")
    phone.page.evaluate(LEFT, seed["students"]["Sam Sample"])
    phone.until(
        lambda: all(
            word in phone.page.evaluate(EVERYTHING)
            for word in ("Knuckles up?", "walk ", "remind ", "/_clip/", "tail stays")
        ),
        "all of it to be kept",
    )


LEFT = f"""async (who) => {{
  await {handed("remember")}(`remind ${{who}}`, 1);
  await (await caches.open("clips")).put(`/_clip/${{who}}/clips/1/`, new Response("film"));
}}"""


def forget_by_its_page(phone: Phone, server) -> None:
    phone.page.goto(f"{server.url}/forget/")
    phone.page.locator("main").get_by_role("button", name="Forget me on this phone").click()
    phone.page.wait_for_selector("body[data-cleared]", state="attached")


def be_ended_from_elsewhere(phone: Phone, server) -> None:
    phone.page.context.clear_cookies()
    revoke_keys(server)
    phone.go("")
    phone.page.reload()
    phone.page.wait_for_selector("text=Sign in once")


@pytest.mark.parametrize("ends", [forget_by_its_page, be_ended_from_elsewhere])
def test_nothing_at_all_of_the_first_is_left_on_a_shared_phone(browser, server, seed, ends):
    context = new_context(browser, server, seed["cookies"]["sam"])
    given_up = []
    context.expose_function("givenUp", lambda: given_up.append(True))
    phone = Phone(context.new_page(), server).open()
    phone.page.add_init_script(HOLDS)
    used_in_every_way(phone, seed)
    ends(phone, server)
    held = phone.page.evaluate(EVERYTHING)
    for word in (seed["students"]["Sam Sample"], "Sam Sample", "tail stays", "Knuckles", "film"):
        assert word not in held
    assert given_up
    context.close()


def test_a_phone_whose_key_was_ended_elsewhere_shows_nothing_more(context, server):
    phone = Phone(context.new_page(), server).open()
    context.clear_cookies()
    revoke_keys(server)
    phone.page.reload()
    phone.page.wait_for_selector("text=Sign in once")
    held = phone.page.evaluate(HELD)
    assert "tail stays" not in held
    assert "Sam Sample" not in held


def test_a_guardian_chooses_a_child_and_may_change_over_offline(browser, server, seed):
    context = new_context(browser, server, seed["cookies"]["gail"])
    phone = Phone(context.new_page(), server).open()
    phone.page.wait_for_selector("text=You write as Gail Guardian")
    phone.tap("Ada Child")
    phone.page.wait_for_selector("text=Done as asked")
    phone.done_as_asked()
    phone.all_sent()
    phone.page.click("#sent")
    phone.tap("Log for somebody else")
    phone.tap("Ben Child")
    phone.page.wait_for_selector("text=Done as asked")
    phone.done_as_asked()
    phone.all_sent()
    context.set_offline(True)
    phone.page.click("#sent")
    phone.tap("Log for somebody else")
    phone.tap("Ada Child")
    phone.done_as_asked()
    context.set_offline(False)
    phone.all_sent()
    ada, ben = seed["students"]["Ada Child"], seed["students"]["Ben Child"]
    assert [row["who"] for row in server.rows()] == [ada, ben, ada]
    writers = server.sql("SELECT DISTINCT writer_id FROM log_entry")
    assert len(writers) == 1
    context.close()


def test_a_question_can_be_asked_before_the_week_has_come(browser, server, seed):
    context = new_context(browser, server, seed["cookies"]["gail"])
    phone = Phone(context.new_page(), server).open()
    phone.page.wait_for_selector("text=You write as Gail Guardian")
    context.route("**/api/week", lambda route: route.abort())
    phone.tap("Ada Child")
    phone.page.wait_for_selector("text=Your week comes with the next signal")
    phone.tap("Ask my coach", "link")
    phone.page.fill("[name=note]", "Which club?")
    phone.keep(lambda: phone.page.get_by_role("button", name="Send it").click(), "the question")
    phone.all_sent()
    assert len(server.rows()) == 1
    context.close()


def test_where_names_cannot_come_it_is_said(phone, context):
    phone.page.reload()
    phone.loaded()
    context.set_offline(True)
    phone.page.click("#sent")
    phone.tap("Log for somebody else")
    phone.page.wait_for_selector("#said:text('Other names come with signal')")
    assert phone.page.inner_text("h1") == "Whose practice?"


def press(phone: Phone, link: str) -> Phone:
    phone.page.goto(f"{phone.server.url}{link}")
    phone.page.get_by_role("button", name="Open this week").click()
    return phone.loaded()


def logs_for(phone: Phone) -> str:
    return phone.page.inner_text("#who")


def test_a_link_opens_the_week_without_a_sign_in(browser, server, seed):
    context = new_context(browser, server)
    phone = press(Phone(context.new_page(), server), seed["links"]["sam"])
    assert "key" not in phone.page.url
    phone.done_as_asked()
    phone.all_sent()
    assert server.rows()[0]["who"] == seed["students"]["Sam Sample"]
    assert verdict(phone.ticks, server.rows()) == ([], [])
    context.close()


@pytest.mark.parametrize("signed_in", [True, False])
def test_an_address_made_up_by_somebody_else_changes_nobody(
    browser, server, seed, robins_key, signed_in
):
    """The key is real, and Robin's: what Sam logs must not reach Robin."""
    context = new_context(browser, server, seed["cookies"]["sam"] if signed_in else None)
    page = context.new_page()
    phone = Phone(page, server).open()
    before = logs_for(phone)
    asked = []
    page.on("dialog", lambda dialog: (asked.append(dialog.message), dialog.accept()))
    page.goto("about:blank")
    who = seed["students"]["Robin Other"]
    phone.open(f"#key={robins_key}&who={who}&name=Sam+Sample")
    assert (logs_for(phone), asked) == (before, [])
    phone.page.goto("about:blank")
    assert logs_for(phone.open()) == before
    context.close()


@pytest.mark.parametrize("agrees", [True, False])
def test_another_students_link_asks_first_on_a_phone_that_logs_for_one(
    context, phone, seed, server, agrees
):
    asked = []

    def answer(dialog):
        asked.append(dialog.message)
        dialog.accept() if agrees else dialog.dismiss()

    phone.page.on("dialog", answer)
    press(phone, seed["links"]["robin"])
    assert asked == ["Log for Robin Other, not for Sam Sample?"]
    name = "Robin Other" if agrees else "Sam Sample"
    assert logs_for(phone) == name
    assert "key" not in phone.page.url
    phone.done_as_asked()
    phone.all_sent()
    assert [row["who"] for row in server.rows()] == [seed["students"][name]]


def test_ones_own_link_asks_nothing(phone, seed):
    asked = []
    phone.page.on("dialog", lambda dialog: (asked.append(dialog.message), dialog.dismiss()))
    press(phone, seed["links"]["sam"])
    assert (logs_for(phone), asked) == ("Sam Sample", [])


@pytest.fixture
def robins_key(browser, server, seed):
    """A key made by the API as Robin's own phone would, read from its answer."""
    context = new_context(browser, server, seed["cookies"]["robin"])
    page = context.new_page()
    page.goto(f"{server.url}/log/app.webmanifest")
    answer = page.evaluate(
        """() => fetch("/api/key", {method: "POST", body: "{}",
             headers: {"Content-Type": "application/json"}}).then((a) => a.json())"""
    )
    context.close()
    return answer["key"]


def signed_in_as(context, server, cookie: str, mark: str) -> None:
    """As a sign-in leaves a browser: the session, and a mark of who it was for the page."""
    context.clear_cookies()
    sign_in(context, server, cookie)
    context.add_cookies([{"name": "signed", "value": mark, "url": f"{server.url}/log"}])


@pytest.mark.parametrize("chosen", ["Robin Other", "Sam Sample"])
def test_after_somebody_else_signed_in_it_asks_before_anything_can_be_tapped(
    context, server, seed, chosen
):
    phone = Phone(context.new_page(), server).open()
    signed_in_as(context, server, seed["cookies"]["robin"], "0b1")
    phone.page.add_init_script("self.seen = []; new MutationObserver(() => seen.push("
        "!!document.querySelector('#do button, #do a'))).observe(document, "
        "{ childList: true, subtree: true });")  # fmt: skip
    phone.open()
    assert "Until now this phone kept the practice of Sam Sample" in phone.page.inner_text("main")
    assert not any(phone.page.evaluate("() => seen"))
    phone.tap(chosen)
    phone.page.wait_for_selector("[data-do=asked]")
    assert logs_for(phone) == chosen
    phone.page.reload()
    phone.loaded()
    assert logs_for(phone) == chosen
    phone.done_as_asked()
    phone.all_sent()
    assert [row["who"] for row in server.rows()] == [seed["students"][chosen]]


def test_the_same_person_signing_in_again_is_asked_nothing(context, server, seed):
    phone = Phone(context.new_page(), server).open()
    signed_in_as(context, server, seed["cookies"]["sam"], "5a3")
    phone.open()
    assert logs_for(phone) == "Sam Sample"
    phone.done_as_asked()
    phone.all_sent()


def test_a_guardian_goes_from_a_childs_page_to_that_childs_practice_and_back(browser, server, seed):
    context = new_context(browser, server, seed["cookies"]["gail"])
    phone = Phone(context.new_page(), server)
    for name in ("Ada Child", "Ben Child"):
        phone.page.goto(f"{server.url}/child/{seed['students'][name]}/")
        phone.page.get_by_role("link", name="Log it", exact=True).click()
        phone.loaded()
        assert logs_for(phone) == name
        back = phone.page.get_by_role("link", name=f"Everything of {name}")
        back.click()
        phone.page.wait_for_url(f"**/child/{seed['students'][name]}/")
    context.close()


def test_a_child_gets_a_phone_by_six_digits_and_the_guardian_ends_it(browser, server, seed):
    at_home = new_context(browser, server, seed["cookies"]["gail"])
    page = at_home.new_page()
    page.goto(f"{server.url}/child/{seed['students']['Ada Child']}/phones/")
    page.get_by_role("button", name="Set up a phone").click()
    code = page.inner_text(".phone-code")
    context = new_context(browser, server)
    phone = Phone(context.new_page(), server)
    phone.page.goto(f"{server.url}/phone/")
    phone.page.fill("#code", code)
    phone.page.get_by_role("button", name="This is my phone").click()
    phone.loaded()
    assert logs_for(phone) == "Ada Child"
    phone.done_as_asked()
    phone.all_sent()
    ((writer,),) = server.sql(
        "SELECT u.name FROM log_entry e JOIN people_user u ON u.id = e.writer_id"
    )
    assert writer == "Ada Child"
    phone.page.get_by_role("link", name="Notes and answers", exact=True).click()
    phone.page.wait_for_selector("h1:text('Notes and answers')")
    page.goto(f"{server.url}/child/{seed['students']['Ada Child']}/phones/")
    page.get_by_role("button", name="Switch off").click()
    page.wait_for_selector("text=has none yet")
    phone.open()
    phone.page.wait_for_selector("text=Sign in once")
    assert "Wall-back turns" not in phone.page.inner_text("body")
    context.close()
    at_home.close()


def test_who_is_signed_in_never_sees_sign_in(browser, server, seed):
    watch = (
        "self.seen = []; new MutationObserver(() => seen.push(document.body?.innerText))"
        ".observe(document, { childList: true, subtree: true });"
    )
    context = new_context(browser, server, seed["cookies"]["sam"], extra=watch)
    phone = Phone(context.new_page(), server).open()
    seen = phone.page.evaluate("() => seen.filter(Boolean)")
    assert any("One moment" in text for text in seen)
    assert not [text for text in seen if "Sign in" in text]
    context.close()


def test_what_one_saved_is_not_there_for_the_next_to_take_back(browser, server, seed):
    context = new_context(browser, server, seed["cookies"]["gail"])
    phone = Phone(context.new_page(), server).open()
    phone.tap("Ada Child")
    phone.page.wait_for_selector("[data-do=asked]")
    phone.done_as_asked()
    assert phone.page.locator("#undo:visible").count() == 1
    phone.page.click("#who")
    # Both are named already: nothing there that would do nothing.
    assert phone.page.get_by_role("button", name="Log for somebody else").count() == 0
    phone.tap("Ben Child")
    phone.page.wait_for_selector("[data-do=asked]")
    assert phone.page.locator("#undo:visible").count() == 0
    phone.all_sent()
    context.close()
