"""A sweep goes on past a row that fails, lets it wait, and is done by one worker at a time."""

from datetime import timedelta

import pytest
from django.db import DataError, OperationalError

from shared.jobs import sweep as jobs
from shared.jobs.claims import claim
from shared.jobs.models import Retry, Sweep
from shared.jobs.sweep import LEASE, last_ended, sweep
from shared.people.models import Studio
from tests.factories import NOON, make_studio

pytestmark = pytest.mark.django_db
NAME = "tests"


def go(rows, do, **more):
    return sweep(NAME, lambda: rows, do, key=str, **more)


def failing(*bad, error=ValueError):
    seen = []

    def do(row):
        seen.append(row)
        if row in bad:
            raise error(f"cannot do {row}")
        return row

    return do, seen


@pytest.mark.parametrize("error", [ValueError, DataError, OperationalError])
def test_a_row_that_fails_waits_and_is_written_down_with_its_cause(wednesday, caplog, error):
    do, _ = failing("a", error=error)
    assert go(["a", "b", "c"], do) == ["b", "c"]
    retry = Retry.objects.get()
    assert (retry.row, retry.tries) == ("a", 1)
    assert retry.why == f"{error.__name__}: cannot do a"
    assert "tests: a cannot be done" in caplog.text
    assert last_ended(NAME) == NOON


def test_rows_that_fail_take_nobodys_place(wednesday):
    bad = [f"bad {n}" for n in range(10)]
    do, seen = failing(*bad)
    assert go([*bad, "good"], do, most=10) == []
    assert go([*bad, "good"], do, most=10) == ["good"]
    assert seen.count("bad 0") == 1


def test_a_query_is_cut_past_the_rows_that_wait(wednesday):
    studios = [make_studio(f"Studio {n}") for n in range(4)]
    query = Studio.objects.order_by("name")
    do, _ = failing(studios[0], studios[1])
    sweep(NAME, lambda: query, do, most=2)
    assert sweep(NAME, lambda: query, do, most=2) == studios[2:]


def test_the_wait_grows_and_a_success_ends_it(wednesday):
    do, seen = failing("a")
    for minutes in range(0, 60 * 24, 1):
        wednesday.move_to(NOON + timedelta(minutes=minutes))
        go(["a"], do)
    # At most one every twenty minutes in the end.
    assert 24 <= len(seen) <= 24 * 3 + 6
    assert Retry.objects.get().tries == len(seen)
    wednesday.shift(timedelta(hours=1))
    assert go(["a"], str) == ["a"]
    assert not Retry.objects.exists()


def test_a_clock_set_back_holds_nothing_for_long(wednesday):
    wednesday.shift(timedelta(days=3))
    go(["a"], failing("a")[0])
    Sweep.objects.update(lease_until=NOON + timedelta(days=3))
    wednesday.move_to(NOON)
    assert go(["a"], str) == ["a"]


def test_only_one_worker_at_a_time(wednesday):
    def nested(row):
        return go(["x"], str)

    assert go(["a"], nested) == [[]]


def test_who_lost_the_lease_stops_before_the_next_row(wednesday):
    def frozen(row):
        wednesday.shift(LEASE + timedelta(seconds=1))
        assert go(["other"], str) == ["other"]
        return row

    assert go(["a", "b"], frozen) == ["a"]


def test_the_row_at_which_a_worker_died_waits(wednesday):
    def dies(row):
        raise SystemExit  # As a kill would: no line after it is run.

    with pytest.raises(SystemExit):
        go(["deadly", "b"], dies)
    assert go(["deadly", "b"], str) == []  # The lease still runs.
    wednesday.shift(LEASE + timedelta(seconds=1))
    assert go(["deadly", "b"], str) == ["b"]
    assert Retry.objects.get().why == jobs.DIED


def test_the_time_of_a_sweep_is_bounded(monkeypatch, wednesday):
    now = iter(range(0, 1000, 20))
    monkeypatch.setattr(jobs.time, "monotonic", lambda: next(now))
    assert go(list("abcdef"), str, budget=45.0) == ["a", "b"]


def test_what_nobody_asks_for_any_more_is_forgotten(wednesday):
    go(["a"], failing("a")[0])
    wednesday.shift(timedelta(days=8))
    go([], str)
    assert not Retry.objects.exists()


def test_no_row_is_claimed_twice(wednesday):
    from practice.importing.models import ShotFile

    assert claim(ShotFile.objects.all(), LEASE) is None
