"""Queries that are worded once say what the ORM says, and refuse what they cannot keep."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import IntegrityError, close_old_connections, connection, transaction
from django.db.models import (
    DateField,
    FloatField,
    PositiveIntegerField,
    PositiveSmallIntegerField,
    UUIDField,
)
from django.db.transaction import TransactionManagementError

from practice.compliance.models import WeekTally
from practice.log.models import LogKey
from practice.phone import keys
from practice.weeks.models import Week
from shared.people.access import recordable
from shared.people.models import Student, Studio, User
from shared.site import prepared
from shared.site.prepared import (
    Prepared,
    PreparedChange,
    PreparedRows,
    columns_of,
    made_of,
    new_one,
    stand_behind,
    stand_beside,
)
from tests.factories import make_coach, make_student

pytestmark = pytest.mark.django_db
FIELDS = Week._meta.concrete_fields
MONDAY = date(2031, 3, 3)
AT = datetime(2031, 3, 3, 18, 30, tzinfo=UTC)


@pytest.fixture
def weeks():
    student = make_student(make_coach())
    return [
        Week.objects.create(
            student=student, author=student.lead_coach, opens=MONDAY + timedelta(weeks=n)
        )
        for n in range(3)
    ]


def opened(student, since):
    weeks = Week.objects.filter(student=student, opens__gte=since).order_by("opens")
    return weeks.values_list("pk", "opens", "revision", "sent_at")


def test_each_answer_is_of_what_was_asked(weeks):
    asked = Prepared(opened, student=UUIDField, since=DateField)
    student, other = weeks[0].student_id, make_student(make_coach()).pk
    for week in weeks:
        expected = list(opened(student, week.opens))
        assert asked(student=student, since=week.opens) == expected
        assert expected
    assert asked(student=other, since=MONDAY) == []


def test_several_values_at_once(weeks):
    asked = Prepared(
        lambda ids: Week.objects.filter(pk__in=[ids]).order_by("opens").values_list("pk"),
        ids=UUIDField,
    )
    ids = [week.pk for week in weeks]
    assert asked(ids=ids[1:]) == [(pk,) for pk in ids[1:]]
    assert asked(ids=ids[:1]) == [(ids[0],)]


def test_several_values_of_two_kinds_are_told_apart_however_they_are_named(weeks):
    asked = Prepared(
        lambda ids, days: Week.objects.filter(pk__in=[ids], opens__in=[days]).values_list("pk"),
        ids=UUIDField,
        days=DateField,
    )
    first, second = weeks[:2]
    assert asked(ids=[first.pk, second.pk], days=[first.opens]) == [(first.pk,)]
    assert asked(days=[first.opens, second.opens], ids=[second.pk]) == [(second.pk,)]


def test_the_query_is_worded_once(weeks):
    made = []
    asked = Prepared(
        lambda student: made.append(student) or opened(student, MONDAY), student=UUIDField
    )
    for _ in range(3):
        asked(student=weeks[0].student_id)
    assert len(made) == 2  # With two marks, to see that nothing hangs on them.


def test_a_value_that_is_reckoned_from_is_refused(weeks):
    asked = Prepared(
        lambda student, since: opened(student, since).filter(opens__lte=since + timedelta(days=6)),
        student=UUIDField,
        since=DateField,
    )
    with pytest.raises(TypeError, match="only hand on"):
        asked(student=weeks[0].student_id, since=MONDAY)


def test_a_value_that_nothing_is_asked_with_is_refused(weeks):
    asked = Prepared(lambda student, day: opened(student, MONDAY), student=UUIDField, day=DateField)
    with pytest.raises(TypeError, match="only hand on"):
        asked(student=weeks[0].student_id, day=MONDAY)


def test_rows_of_several_models_are_the_models():
    coach = make_coach()
    student = make_student(coach, with_user=True)
    _, key = keys.make_key(user=student.user, student=recordable(student), device="Phone")
    columns = columns_of(("", LogKey), ("user__", User), ("student__studio__", Studio))
    row = LogKey.objects.filter(pk=key.pk).values_list(*columns).get()
    made = list(made_of(row, LogKey, User, Studio))
    assert made == [key, student.user, student.studio]
    kept = LogKey.objects.get(pk=key.pk)
    assert {k: v for k, v in vars(made[0]).items() if k != "_state"} == {
        k: v for k, v in vars(kept).items() if k != "_state"
    }
    assert Student.objects.get(pk=made[0].student_id) == student


def as_kept(tally):
    return {name: value for name, value in vars(tally).items() if name not in {"_state", "id"}}


def full_tally(student, n=0):
    """Every column holds something of its own, so that two that change places are seen."""
    numbers = {
        field.name: n + place + (0.5 if isinstance(field, FloatField) else 0)
        for place, field in enumerate(WeekTally._meta.concrete_fields, 1)
        if isinstance(field, FloatField | PositiveIntegerField | PositiveSmallIntegerField)
    }
    return WeekTally(
        student=student, opens=MONDAY + timedelta(weeks=n), has_plan=True, finished=True,
        credited_by_day=[n, 1], minutes_by_day=[n, 2], planned_by_day=[n, 3],
        parts=[{"name": "“Gate”", "credit": None}], entries=[[n, 4]],
        last_written_at=AT + timedelta(days=n), **numbers,
    )  # fmt: skip


def test_rows_are_kept_as_the_orm_keeps_them():
    one, other = (make_student(make_coach()) for _ in range(2))
    PreparedRows(WeekTally)([full_tally(one, n) for n in range(3)])
    WeekTally.objects.bulk_create([full_tally(other, n) for n in range(3)])
    kept = [as_kept(row) for row in WeekTally.objects.filter(student=one).order_by("opens")]
    others = [as_kept(row) for row in WeekTally.objects.filter(student=other).order_by("opens")]
    assert kept == [row | {"student_id": one.pk} for row in others]
    assert [row["entries"] for row in kept] == [[[n, 4]] for n in range(3)]


def test_a_change_is_of_its_row_alone(weeks):
    """Its neighbour in the table, and its own other columns, stay."""
    student = weeks[0].student
    rows = [full_tally(student, n) for n in range(2)]
    PreparedRows(WeekTally)(rows)
    change = PreparedChange(WeekTally, ("minutes", "entries"), key=("student", "opens"))
    rows[1].minutes, rows[1].entries, rows[1].reps = 77.5, [[1, 2]], 1_000
    change(rows[1])
    kept, changed = map(as_kept, WeekTally.objects.defer(None).order_by("opens"))
    assert kept == as_kept(rows[0])
    assert changed == as_kept(rows[1]) | {"reps": full_tally(student, 1).reps}


def test_of_one_key_the_new_row_stands():
    student, other = (make_student(make_coach()) for _ in range(2))
    keep = PreparedRows(WeekTally, instead=("student", "opens"))
    keep([full_tally(student), full_tally(other), full_tally(student, 1)])
    keep([WeekTally(student=student, opens=MONDAY, parts=["new"])])
    found = {(row.student_id, row.opens): row for row in WeekTally.objects.defer(None)}
    assert as_kept(found.pop((student.pk, MONDAY))) == as_kept(
        WeekTally(student=student, opens=MONDAY, parts=["new"])
    )
    assert {key: as_kept(row) for key, row in found.items()} == {
        (other.pk, MONDAY): as_kept(full_tally(other)),
        (student.pk, MONDAY + timedelta(weeks=1)): as_kept(full_tally(student, 1)),
    }


def test_more_rows_than_one_statement_takes_go_out_in_several(
    django_assert_num_queries, monkeypatch
):
    student = make_student(make_coach())
    monkeypatch.setattr(prepared, "FEW_VALUES", 1)
    monkeypatch.setattr(connection.ops, "bulk_batch_size", lambda fields, rows: 2)
    with django_assert_num_queries(3):
        PreparedRows(WeekTally)([full_tally(student, n) for n in range(5)])
    assert WeekTally.objects.count() == 5


def test_no_row_is_no_statement(django_assert_num_queries):
    with django_assert_num_queries(0):
        PreparedRows(WeekTally)([])


def test_what_two_rows_hold_alike_is_of_each_its_own():
    """A list of one row that somebody adds to must not grow in another."""
    student = make_student(make_coach())
    PreparedRows(WeekTally)([full_tally(student), full_tally(student, 1)])
    asked = Prepared(
        lambda who: WeekTally.objects.filter(student=who).values_list("student", "parts"),
        who=UUIDField,
    )
    (_, one), (_, other) = asked(who=student.pk)
    assert one == other
    assert one is not other


def test_days_times_and_truths_are_read_as_the_orm_reads_them(weeks):
    """SQLite's driver would read each by the declared type of its column, in Python."""
    student = Student.objects.get(pk=weeks[0].student_id)
    Student.objects.filter(pk=student.pk).update(left_on=MONDAY)

    def rows(student):
        names = ("left_on", "joined_on", "studio__created_at", "user__is_active")
        return Student.objects.filter(pk=student).values_list(*names)

    found = Prepared(rows, student=UUIDField)(student=student.pk)
    assert found == list(rows(student.pk))
    assert found[0][0] == MONDAY


@pytest.mark.engine
@pytest.mark.skipif(connection.vendor != "postgresql", reason="of PostgreSQL's plans")
def test_postgresql_plans_what_was_asked_before_once_a_connection(weeks):

    def oddly(student, since):
        return opened(student, since).order_by("sent_at", "revision", "-opens")

    asked = Prepared(oddly, student=UUIDField, since=DateField)
    for week in weeks:
        asked(student=week.student_id, since=week.opens)
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT generic_plans + custom_plans FROM pg_prepared_statements"
            " WHERE statement LIKE '%ORDER BY 4 ASC, 3 ASC, 2 DESC'"
        )
        assert [row[0] for row in cursor.fetchall()] == [len(weeks)]


@pytest.mark.django_db(transaction=True)
@pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite has no server that restarts")
def test_a_request_after_the_database_came_back_is_answered(weeks):
    """The first thing a log asks is its key. A thread that idled has the connection of before."""
    asked = Prepared(opened, student=UUIDField, since=DateField)
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_backend_pid()")
        (own,) = cursor.fetchone()
    other = connection.copy()
    try:
        with other.cursor() as cursor:
            cursor.execute("SELECT pg_terminate_backend(%s, 10000)", [own])
    finally:
        other.close()
    close_old_connections()  # As every request begins.
    assert asked(student=weeks[0].student_id, since=MONDAY)


def test_columns_that_were_not_read_are_asked_for(weeks, django_assert_num_queries):
    week = weeks[1]
    some = (Student, ("id", "time_zone"))
    rows = Prepared(
        lambda ids: Week.objects.filter(pk__in=[ids]).values_list(
            *columns_of(("", Week), ("student__", some))
        ),
        ids=UUIDField,
    )
    found, student = made_of(rows(ids=[week.pk])[0], Week, some)
    stand_beside(found, student=student)
    with django_assert_num_queries(0):
        assert (found.student.pk, found.student.time_zone) == (
            week.student_id,
            week.student.time_zone,
        )
    with django_assert_num_queries(1):
        assert found.student.name == week.student.name


def test_a_new_row_is_written_as_the_model_writes_it(weeks):
    like = Week(student=weeks[0].student, author=weeks[0].author, opens=date(2031, 6, 2))
    values = {field.attname: getattr(like, field.attname) for field in Week._meta.concrete_fields}
    PreparedRows(Week)([new_one(Week, **values)])
    kept = Week.objects.get(pk=like.pk)
    assert {name: getattr(kept, name) for name in values} == values


def test_text_that_is_no_text_of_its_field_is_read_as_the_orm_does(weeks):
    """SQLite keeps what a hand wrote beside the ORM, with an offset as well."""
    week = weeks[0]
    with connection.cursor() as cursor:
        cursor.execute(
            "UPDATE weeks_week SET sent_at = %s WHERE opens = %s",
            ["2031-03-03 18:30:00+02:00", week.opens],
        )
    asked = Prepared(opened, student=UUIDField, since=DateField)
    expected = list(opened(week.student_id, week.opens))
    assert asked(student=week.student_id, since=week.opens) == expected
    assert expected[0][-1] is not None


def test_what_the_database_refuses_is_told_as_the_orm_tells_it(weeks):
    again = new_one(Week, **{f.attname: getattr(weeks[0], f.attname) for f in FIELDS})
    with transaction.atomic():
        with pytest.raises(IntegrityError), transaction.atomic():
            PreparedRows(Week)([again])
        with pytest.raises(TransactionManagementError):
            _after_a_fault(weeks[0])
    assert Week.objects.count() == len(weeks)


def _after_a_fault(week):
    with transaction.atomic():
        transaction.set_rollback(True)
        PreparedChange(Week, ["opens"], key=["id"])(week)


@pytest.mark.skipif(connection.vendor != "sqlite", reason="of SQLite's driver")
def test_nothing_and_truths_are_told_to_sqlite_at_once():
    """Else its driver raises two errors for each of them, and drops them."""
    import sqlite3

    for kind in (type(None), bool):
        assert (kind, sqlite3.PrepareProtocol) in sqlite3.adapters
    connection.ensure_connection()
    asked = "SELECT ?, ?, ?, typeof(?), typeof(?)"
    told = connection.connection.execute(asked, [None, True, False, None, True]).fetchone()
    assert told == (None, 1, 0, "null", "integer")


def test_what_stands_behind_a_row_is_not_asked_for_again(weeks, django_assert_num_queries):
    student = weeks[0].student
    stand_behind(student, weeks=weeks[:2])
    with django_assert_num_queries(0):
        assert list(student.weeks.all()) == weeks[:2]
    assert student.weeks.count() == 2
    assert student.weeks.filter(opens__gte=MONDAY).count() == 3
