"""What /health/ready says, and that the log says why."""

from datetime import timedelta

import pytest
from django.db import OperationalError
from django.test import RequestFactory
from django.utils import timezone

from coaching.reminders import plan
from shared.jobs.models import Sweep
from shared.jobs.sweep import ran
from shared.outbox import send
from shared.site import health
from shared.site.middleware import DatabaseBusy

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


def test_the_log_names_the_cause_of_a_503(caplog):
    busy = DatabaseBusy(lambda request: None)
    error = OperationalError("database or disk is full")
    answer = busy.process_exception(RequestFactory().get("/"), error)
    assert answer.status_code == 503
    assert "answered 503: database or disk is full" in caplog.text
