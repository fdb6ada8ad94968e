"""Claims that carry the moment they were taken at."""

from datetime import timedelta
from uuid import RFC_4122, uuid4

from shared.jobs import steady
from shared.jobs.steady import is_fresh, new_claim

LEASE = timedelta(seconds=10)


def test_a_claim_is_a_uuid_of_our_own_kind_and_never_the_same_twice():
    claims = {new_claim() for _ in range(1000)}
    assert len(claims) == 1000
    # RFC 9562, 4.1 and 5.8: variant 10, version 8.
    assert {(claim.variant, claim.version) for claim in claims} == {(RFC_4122, 8)}


def test_it_is_fresh_for_its_lease_and_no_longer(monkeypatch):
    monkeypatch.setattr(steady, "milliseconds", lambda: 5_000)
    claim = new_claim()
    for now, expected in ((5_000, True), (14_999, True), (15_000, False), (4_999, False)):
        monkeypatch.setattr(steady, "milliseconds", lambda now=now: now)
        assert is_fresh(claim, LEASE) is expected, now


def test_of_another_run_or_without_a_moment_nothing_is_known(monkeypatch):
    claim = new_claim()
    assert is_fresh(claim, LEASE)
    for bit in range(32):
        with monkeypatch.context() as patch:
            patch.setattr(steady, "RUN", steady.RUN ^ 1 << bit)
            assert not is_fresh(claim, LEASE)
    assert not is_fresh(uuid4(), LEASE)
    assert not is_fresh(None, LEASE)
