"""What /health/ready says, and that the log says why."""

from datetime import timedelta

import pytest
from django.utils import timezone

from coaching.reminders import plan
from shared.jobs.models import Sweep
from shared.jobs.sweep import ran
from shared.outbox import send
from shared.site import health
from tests.running.older import without_column

pytestmark = pytest.mark.django_db


@pytest.fixture
def ticking():
    ran(plan.RULES)
    ran(send.SENDING)


def test_a_full_disk_is_not_ready_and_said(client, ticking, monkeypatch, caplog):
    assert client.get("/health/ready").status_code == 200
    monkeypatch.setattr(health, "free_bytes", lambda: 0)
    answer = client.get("/health/ready")
    said = "The disk is nearly full: 0 kB are free for the data."
    assert (answer.status_code, answer.json()["detail"]) == (503, said)
    assert f"not ready: {said}" in caplog.text


def test_a_clock_set_back_is_said_as_what_it_is(client, ticking):
    Sweep.objects.update(ended_at=timezone.now() + timedelta(hours=1))
    answer = client.get("/health/ready")
    assert answer.status_code == 503
    assert "The clock was set back" in answer.json()["detail"]


@pytest.mark.django_db(transaction=True)
def test_a_database_that_was_not_migrated_is_not_ready_and_says_so(client, ticking):
    with without_column("jobs_sweep", "ended_at"):
        answer = client.get("/health/ready")
    assert answer.status_code == 503
    assert "manage.py migrate" in answer.json()["detail"]
