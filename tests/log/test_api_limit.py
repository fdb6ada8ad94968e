"""A phone that has run wild is slowed down, and nobody else; all processes count together."""

import pytest
from django.core.cache import caches
from django.core.cache.backends.locmem import LocMemCache

from shared.site.api_limit import STEP, PerSender
from tests import factories
from tests.log.entries import Phone, entry


@pytest.fixture(autouse=True)
def three_a_minute(db, monkeypatch):
    monkeypatch.setattr(PerSender, "THROTTLE_RATES", {"api": "3/min"})
    monkeypatch.setattr(PerSender, "timer", lambda self: 12.0)  # Seconds, in one minute.
    PerSender.cache.clear()
    caches["default"].clear()


def test_the_real_limit_is_a_hundred_a_minute():
    from shared.settings import REST_FRAMEWORK

    assert REST_FRAMEWORK["DEFAULT_THROTTLE_RATES"] == {"api": "100/min"}


def test_beyond_the_limit_it_is_told_when_to_come_back(phone, student, coach):
    assert [phone.week().status_code for _ in range(4)] == [200, 200, 200, 429]
    answer = phone.sync(entry(student))
    assert answer.status_code == 429
    assert answer.json()["code"] == "too_many"
    assert answer["Retry-After"] == "48"
    assert Phone(factories.make_student(coach, "Other")).week().status_code == 200


def test_in_the_next_minute_it_may_again(phone, monkeypatch):
    assert [phone.week().status_code for _ in range(4)][-1] == 429
    monkeypatch.setattr(PerSender, "timer", lambda self: 60.0)
    assert phone.week().status_code == 200


def test_a_student_signed_in_is_counted_by_the_sign_in(student, student_client, phone):
    assert [student_client.get("/api/week").status_code for _ in range(4)][-1] == 429
    assert phone.week().status_code == 200


@pytest.mark.parametrize("processes", [1, 2, 4])
def test_all_processes_count_together(phone, monkeypatch, processes):
    """Each counts for itself and would else let through as many as there are processes."""
    monkeypatch.setattr(PerSender, "THROTTLE_RATES", {"api": "40/min"})
    own = [LocMemCache(f"process {number}", {}) for number in range(processes)]
    for each in own:
        each.clear()
    let_through = 0
    for number in range(40 * processes):
        monkeypatch.setattr(PerSender, "cache", own[number % processes])
        let_through += phone.week().status_code == 200
    assert 40 <= let_through <= 40 + (processes - 1) * (STEP - 1)
