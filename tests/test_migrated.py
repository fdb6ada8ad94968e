"""The copied database is left as it was made."""

import pytest
from django.contrib.contenttypes.models import ContentType
from django.db import connection

from tests import migrated
from tests.board.make import history, present_week
from tests.factories import make_coach, make_student

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.engine]


def rows() -> dict[str, int]:
    with connection.cursor() as cursor:
        found = {}
        for table in connection.introspection.django_table_names(only_existing=True):
            cursor.execute(f'SELECT count(*) FROM "{table}"')
            found[table] = cursor.fetchone()[0]
        return {table: many for table, many in found.items() if many}


def test_no_row_of_a_test_is_left_and_what_the_code_makes_stays():
    before = rows()
    assert set(before) == migrated.OF_THE_CODE
    kinds = set(ContentType.objects.values_list("pk", "model"))
    student = make_student(make_coach())
    history(student, "10- 12- 5-")
    present_week(student, left=50)
    assert set(rows()) > set(before)
    migrated.empty(connection)
    assert rows() == before
    assert set(ContentType.objects.values_list("pk", "model")) == kinds
