"""What is said when the database is busy, away, or older than the release."""

import logging

import pytest
from django.core.cache import cache
from django.db import (
    DataError,
    InterfaceError,
    OperationalError,
    ProgrammingError,
    connection,
    transaction,
)
from django.test import Client, RequestFactory

from shared.site.database_trouble import AWAY, BUSY, UNMIGRATED, trouble_of
from shared.site.middleware import DatabaseTrouble
from tests.running.older import without_column

TOLD = "manage.py migrate"


@pytest.fixture
def client(coach_client: Client) -> Client:
    coach_client.raise_request_exception = False
    return coach_client


@pytest.mark.parametrize(
    ("error", "trouble"),
    [
        (OperationalError("database is locked"), BUSY),
        (OperationalError("database table is locked: people_user"), BUSY),
        (OperationalError("database or disk is full"), AWAY),
        (OperationalError("unable to open database file"), AWAY),
        (OperationalError("connection to server at 127.0.0.1, port 5432 failed"), AWAY),
        (InterfaceError("connection already closed"), AWAY),
        (OperationalError("no such table: people_user"), UNMIGRATED),
        (OperationalError("no such column: people_user.name"), UNMIGRATED),
        (OperationalError("table people_user has no column named name"), UNMIGRATED),
        (ProgrammingError("syntax error at or near"), None),
        (DataError("value too long"), None),
        (ValueError("no such table: people_user"), None),
        (None, None),
    ],
)
def test_what_an_error_means(error, trouble):
    assert trouble_of(error) is trouble


@pytest.mark.skipif(connection.vendor != "postgresql", reason="codes are PostgreSQL's")
@pytest.mark.django_db
@pytest.mark.parametrize(
    ("statement", "trouble"),
    [
        ("SET LOCAL statement_timeout = 1; SELECT pg_sleep(5)", BUSY),
        ("SELECT nothing_of_the_kind FROM people_user", UNMIGRATED),
        ("SELECT * FROM nothing_of_the_kind", UNMIGRATED),
        ("SELECT FROM WHERE", None),
    ],
)
def test_what_the_codes_of_postgresql_mean(statement, trouble):
    with pytest.raises((OperationalError, ProgrammingError)) as caught, transaction.atomic():
        connection.cursor().execute(statement)
    assert trouble_of(caught.value) is trouble


def test_the_log_names_the_cause_and_nobody_is_told_of_a_full_disk_that_it_is_busy(caplog):
    error = OperationalError("database or disk is full")
    middleware = DatabaseTrouble(lambda request: None)
    answer = middleware.process_exception(RequestFactory().get("/"), error)
    assert (answer.status_code, answer["Retry-After"]) == (503, "5")
    assert "busy" not in answer.content.decode()
    assert "answered 503: database or disk is full" in caplog.text


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize(
    ("table", "column", "address"),
    [
        ("people_studio", "name", "/settings/"),  # Asked by a view or its template.
        ("people_user", "name", "/who/"),  # Asked by a middleware, which no view stands between.
        ("log_logkey", "expires_at", "/api/week"),
    ],
)
def test_a_missing_column_says_that_the_database_was_not_migrated(
    client, caplog, table, column, address
):
    cache.clear()
    with without_column(table, column):
        answer = client.get(address, headers={"Authorization": "LogKey " + "k" * 43})
    assert answer.status_code == 503
    assert TOLD in answer.content.decode()
    assert "busy" not in answer.content.decode()
    said = [each for each in caplog.records if each.getMessage().startswith("answered 503")]
    assert [each.levelno for each in said] == [logging.ERROR]
    assert said[0].exc_info
