"""The house rules that a machine can keep."""

import sqlite3
from contextlib import closing

import pytest
from django.core.management import call_command
from django.db import connection

from shared.site.sqlite import connection_class, is_sound
from tests.factories import make_drill, make_part, make_week, studio_of


def test_models_and_migrations_agree(db):
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


def test_sqlite_is_one_without_the_wal_reset_bug(db):
    # sqlite.org, 'WAL-reset bug': fixed in 3.51.3, 3.50.7 and 3.44.6.
    assert not is_sound((3, 40, 1))
    assert not is_sound((3, 51, 2))
    assert is_sound((3, 44, 6))
    assert is_sound((3, 50, 7))
    if connection.vendor == "sqlite":
        assert is_sound(sqlite3.sqlite_version_info)


def test_sqlite_takes_as_many_parameters_and_columns_as_its_connection_says():
    """Django 6.1 asks; sqlite.org, 'Implementation Limits', 9."""
    with closing(sqlite3.connect(":memory:", factory=connection_class())) as base:
        assert base.getlimit(sqlite3.SQLITE_LIMIT_COLUMN) == 2000
        most = base.getlimit(sqlite3.SQLITE_LIMIT_VARIABLE_NUMBER)
        many = f"SELECT count(*) FROM (VALUES {', '.join(['(?)'] * most)})"
        assert base.execute(many, [1] * most).fetchone() == (most,)
        with pytest.raises(sqlite3.OperationalError, match="too many SQL variables"):
            base.execute(many.replace("(?))", "(?), (?))"), [1] * (most + 1))


def test_a_week_can_be_made(student):
    drill = make_drill(studio_of(student.lead_coach))
    assert make_part(make_week(student), drill).pk
