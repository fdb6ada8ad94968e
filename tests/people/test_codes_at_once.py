"""One code tried by many at once, as a program would that holds one visitor's cookies."""

import pytest
from django.contrib.sessions.backends.db import SessionStore
from django.test import Client

from shared.people import codes, limits
from shared.people.models import MailedCode
from tests.log.test_concurrency import at_once
from tests.people.conftest import mails

MANY = 16


@pytest.fixture
def asked(transactional_db, wednesday):
    """A session that waits for a code, and the code."""
    session = SessionStore()
    code = codes.start(session, purpose="this", email="ada@example.org")
    session.save()
    return session.session_key, code


def tried(key: str, code: str) -> str:
    try:
        return codes.check(SessionStore(key), purpose="this", code=code)
    except codes.WrongCode:
        return "looked at"
    except codes.CodeOver:
        return "over"


def test_sixteen_at_once_guess_five_times(asked, monkeypatch):
    """Each of them has read a session that says nothing of the others' tries."""
    key, code = asked
    compared = []
    compare = codes.constant_time_compare
    monkeypatch.setattr(
        codes, "constant_time_compare", lambda *two: compared.append(1) or compare(*two)
    )
    wrong = "000000" if code != "000000" else "111111"
    said = at_once([lambda: tried(key, wrong)] * MANY)
    assert len(compared) == codes.MOST_TRIES
    assert said.count("over") >= MANY - codes.MOST_TRIES
    assert tried(key, code) == "over"


def test_sixteen_requests_at_once_are_answered_five_times(asked, coach):
    browser = Client()
    browser.post("/account/login/code/", {"email": coach.email})
    wrong = "000000" if "000000" not in mails()[-1].body else "111111"

    def request():
        one = Client()
        one.cookies = browser.cookies.copy()
        return one.post("/account/login/code/confirm/", {"code": wrong}).status_code

    assert at_once([request] * MANY).count(200) <= codes.MOST_TRIES


def test_sixteen_at_once_have_one_budget(asked, rf):
    """Each counts what the others count at the same moment: five in five minutes are five."""
    request = rf.post("/account/login/", REMOTE_ADDR="192.0.2.1")
    said = at_once([lambda: limits.may(request, "password", "ada@example.org")] * MANY)
    assert said.count(True) == 5


def test_of_two_who_enter_the_right_one_at_once_one_is_let_in(asked):
    key, code = asked
    said = at_once([lambda: tried(key, code)] * 4)
    assert sorted(said) == ["ada@example.org", "over", "over", "over"]


def test_the_code_lies_nowhere(asked):
    key, code = asked
    kept = [str(value) for row in MailedCode.objects.values() for value in row.values()]
    kept.append(str(dict(SessionStore(key).items())))
    assert code not in " ".join(kept)


def test_another_browser_cannot_enter_it(asked):
    _, code = asked
    row = MailedCode.objects.get()
    other = SessionStore()
    other[codes.KEY] = {"id": str(row.pk), "purpose": "this", "secret": "another"}
    with pytest.raises(codes.WrongCode):
        codes.check(other, purpose="this", code=code)
