"""What the student saw kept is kept: killed browsers, deleted and torn databases, dead stores."""

import pytest

from tests.browser.house import CLICK, COPIES, Phone, handed, new_context, until, verdict
from tests.browser.killable import SHELL_KEPT, Killable, first_visit

pytestmark = pytest.mark.browser


@pytest.fixture
def mortal(playwright, own_server, seed, tmp_path):
    phone_browser = Killable(playwright, own_server, tmp_path / "profile")
    first_visit(phone_browser, seed["cookies"]["sam"])
    yield phone_browser
    if phone_browser.process.poll() is None:
        phone_browser.kill()


def killed_after_taps(mortal: Killable, rounds: int) -> None:
    """Each start without a server; each kill while one more tap is being written."""
    mortal.server.stop()
    mortal.kill()
    for n in range(rounds):
        phone = mortal.start().open()
        for _ in range(1 + n % 3):
            phone.done_as_asked()
        phone.page.evaluate(CLICK, phone.at_hand())
        mortal.kill()
    mortal.server.start()
    phone = mortal.start().open()
    phone.all_sent()


def test_a_browser_killed_while_it_writes_loses_and_doubles_nothing(mortal):
    killed_after_taps(mortal, rounds=10)
    assert len(mortal.ticks) >= 19
    ids = mortal.server.ids()
    assert len(ids) == len(set(ids))
    assert verdict(mortal.ticks, mortal.server.rows()) == ([], [])


def test_a_torn_database_that_the_browser_deletes_loses_nothing(mortal):
    """The torn end of the log is appended to, and the start after that deletes it all."""
    mortal.server.stop()
    phone = Phone(mortal.context.pages[0], mortal.server).open()
    for _ in range(10):
        phone.done_as_asked()
    mortal.kill()
    log = mortal.database_log()
    whole = log.read_bytes()
    log.write_bytes(whole[:-40])
    phone = mortal.start().open()
    for _ in range(5):
        phone.done_as_asked()
    mortal.kill()
    phone = mortal.start().open()
    assert phone.pill().startswith("15 kept on this phone")
    mortal.server.start()
    phone.page.reload()
    phone.loaded()
    phone.all_sent()
    assert len(mortal.ticks) == 15
    assert verdict(mortal.ticks, mortal.server.rows()) == ([], [])


def queued(context, server, count: int) -> Phone:
    phone = Phone(context.new_page(), server).open()
    until(lambda: phone.page.evaluate(SHELL_KEPT), "the shell to be kept")
    context.set_offline(True)
    for _ in range(count):
        phone.done_as_asked()
    return phone


DELETE_DATABASE = """() => new Promise((yes, no) => {
  const ask = indexedDB.deleteDatabase("practice");
  ask.onsuccess = yes;
  ask.onerror = ask.onblocked = no;
})"""


def test_a_deleted_database_is_filled_again_from_the_copies(context, server):
    phone = queued(context, server, 4)
    phone.page.evaluate(DELETE_DATABASE)
    phone.page.reload()
    phone.loaded()
    phone.done_as_asked()
    context.set_offline(False)
    phone.all_sent()
    assert len(phone.ticks) == 5
    assert verdict(phone.ticks, server.rows()) == ([], [])


def test_deleted_copies_are_made_again_from_the_database(context, server):
    phone = queued(context, server, 4)
    phone.page.evaluate("() => caches.delete('copy')")
    phone.page.reload()
    phone.loaded()
    assert len(phone.page.evaluate(COPIES)) == 4
    context.set_offline(False)
    phone.all_sent()
    assert verdict(phone.ticks, server.rows()) == ([], [])
    until(lambda: phone.page.evaluate(COPIES) == [], "the copies to go")


BREAK = "() => { IDBObjectStore.prototype.add = () => { throw Error('dead'); }; }"
BREAK_COPIES = "() => { Cache.prototype.put = () => Promise.reject(Error('dead')); }"


@pytest.mark.parametrize("broken", [BREAK, BREAK_COPIES])
def test_one_dead_store_is_enough_to_keep_and_a_reload_heals_it(context, server, broken):
    phone = queued(context, server, 0)
    phone.page.evaluate(broken)
    with phone.page.expect_navigation():
        phone.done_as_asked(reloads=True)
    phone.loaded()
    assert phone.pill().startswith("1 kept on this phone")
    assert [row["e"]["id"] for row in phone.stored()] == [phone.ticks[0]["id"]]
    assert phone.page.evaluate(COPIES) == [phone.ticks[0]["id"]]
    context.set_offline(False)
    phone.page.reload()
    phone.loaded()
    phone.all_sent()
    assert verdict(phone.ticks, server.rows()) == ([], [])
    assert len(server.rows()) == 1


def test_with_both_stores_dead_the_entry_is_carried_over_a_reload(context, server):
    phone = queued(context, server, 0)
    phone.page.evaluate(BREAK)
    phone.page.evaluate(BREAK_COPIES)
    with phone.page.expect_navigation():
        phone.page.get_by_role("button", name="Done as asked").click()
    phone.loaded()
    assert len(phone.ticks) == 1
    context.set_offline(False)
    phone.all_sent()
    assert verdict(phone.ticks, server.rows()) == ([], [])


ALWAYS_DEAD = f"({BREAK})(); ({BREAK_COPIES})();"


def test_if_nothing_can_keep_it_the_page_says_so(browser, server, seed):
    context = new_context(browser, server, seed["cookies"]["sam"])
    phone = Phone(context.new_page(), server).open()
    context.add_init_script(ALWAYS_DEAD)
    phone.page.reload()
    phone.loaded()
    with phone.page.expect_navigation():
        phone.page.get_by_role("button", name="Done as asked").click()
    phone.loaded()
    assert phone.page.inner_text("#failed").startswith("NOT saved. Keep this page open.")
    assert "Wall-back turns" in phone.page.inner_text("#failed")
    assert phone.ticks == []
    context.close()


def test_the_same_id_twice_is_one_entry_and_another_content_gets_its_own(context, server):
    """Two tabs that made the same id, as a copied profile could."""
    phone = queued(context, server, 1)
    first = phone.ticks[0]
    same_id = f"() => {{ crypto.getRandomValues = (a) => a.fill(7); Date.now = () => {FAR_OFF}; }}"
    other = Phone(context.new_page(), server)
    for page in (phone.page, other.page):
        page.goto(f"{server.url}/log")
        page.wait_for_selector("body[data-ready]", state="attached")
        page.evaluate(same_id)
    phone.done_as_asked()
    other.go("other")
    other.page.fill("#balls", "40")
    other.tap("Save")
    phone.until(lambda: len(phone.ticks) == 3, "three ticks")
    ids = {tick["id"] for tick in phone.ticks}
    assert len(ids) == 3
    assert first["id"] in ids
    context.set_offline(False)
    phone.all_sent()
    assert verdict(phone.ticks, server.rows()) == ([], [])


FAR_OFF = 4_000_000_000_000


NOTHING_FOR_PAGES = """Object.defineProperty(Document.prototype, "cookie", {
  get: () => "", set() {},
});"""


def test_where_a_page_may_not_leave_a_hint_it_logs_all_the_same(browser, server, seed):
    context = new_context(browser, server, seed["cookies"]["sam"], extra=NOTHING_FOR_PAGES)
    phone = Phone(context.new_page(), server).open()
    phone.done_as_asked()
    phone.all_sent()
    phone.page.reload()
    phone.loaded()
    phone.done_as_asked()
    phone.all_sent()
    assert verdict(phone.ticks, server.rows()) == ([], [])
    assert len(server.rows()) == 2
    context.close()


# The first reading is begun before the entry is kept, and comes after the one that has it.
LATE = f"""async (who) => {{
  const real = Promise.allSettled.bind(Promise);
  let count = 0, free;
  const held = new Promise((yes) => (free = yes));
  Promise.allSettled = async (all) => {{
    const mine = count++;
    const said = await real(all);
    if (!mine) await held;
    return said;
  }};
  const early = {handed("refresh")}();
  const row = {{ id: "new", st: 0, e: {{ id: "new", k: "away", who }} }};
  await {handed("write")}((log) => log.add(row));
  await {handed("refresh")}();
  free();
  await early;
  return {handed("state")}.rows.some(({{ id }}) => id === "new");
}}"""


def test_a_reading_that_comes_late_hides_nothing_that_was_kept_since(phone, seed):
    phone.page.route("**/api/sync", lambda route: route.abort())
    assert phone.page.evaluate(LATE, seed["students"]["Sam Sample"])
