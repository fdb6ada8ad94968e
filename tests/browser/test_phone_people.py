"""Whose log it is: sign-ins that end, keys that are revoked, and more than one person."""

import pytest

from tests.browser.house import Phone, new_context, sign_in, verdict

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
    revoke_keys(server)
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
