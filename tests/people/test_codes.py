import pytest
from django.contrib.sessions.backends.db import SessionStore

from shared.people import codes


@pytest.fixture
def session(db):
    return SessionStore()


def test_a_code_proves_one_address_for_one_purpose(session):
    code = codes.start(session, purpose="this", email="ada@example.org")
    assert codes.waits_for(session, "this") == "ada@example.org"
    assert codes.waits_for(session, "that") is None
    with pytest.raises(codes.CodeOver):
        codes.check(session, purpose="that", code=code)
    assert codes.check(session, purpose="this", code=code) == "ada@example.org"
    assert codes.proven(session, "this") == "ada@example.org"
    assert codes.proven(session, "that") is None


def test_it_works_once(session):
    code = codes.start(session, purpose="this", email="ada@example.org")
    codes.check(session, purpose="this", code=code)
    with pytest.raises(codes.CodeOver):
        codes.check(session, purpose="this", code=code)


def test_a_newer_code_takes_the_place_of_the_older(session, monkeypatch):
    numbers = iter([123456, 654321])
    monkeypatch.setattr(codes.secrets, "randbelow", lambda _: next(numbers))
    codes.start(session, purpose="this", email="ada@example.org")
    codes.start(session, purpose="this", email="eve@example.org")
    with pytest.raises(codes.WrongCode):
        codes.check(session, purpose="this", code="123456")
    assert codes.check(session, purpose="this", code="654321") == "eve@example.org"


def test_it_has_six_digits_also_when_small(session, monkeypatch):
    monkeypatch.setattr(codes.secrets, "randbelow", lambda _: 7)
    assert codes.start(session, purpose="this", email="ada@example.org") == "000007"


def test_wrong_ones_are_counted_over_requests(session):
    code = codes.start(session, purpose="this", email="ada@example.org")
    wrong = "000000" if code != "000000" else "111111"
    session.save()
    for _ in range(codes.MOST_TRIES - 1):
        later = SessionStore(session.session_key)
        with pytest.raises(codes.WrongCode):
            codes.check(later, purpose="this", code=wrong)
        later.save()
    later = SessionStore(session.session_key)
    with pytest.raises(codes.CodeOver):
        codes.check(later, purpose="this", code=wrong)
    later.save()
    with pytest.raises(codes.CodeOver):
        codes.check(SessionStore(session.session_key), purpose="this", code=code)
