"""The command that makes the tallies anew, and finds a row that lies."""

from io import StringIO
from uuid import uuid4

import pytest
from django.core.management import CommandError, call_command

from practice.compliance.models import WeekTally
from practice.compliance.rebuild import is_same
from tests.compliance.logs import log
from tests.factories import MONDAY, make_drill, make_part, make_student, make_week

pytestmark = pytest.mark.django_db


def run(**options) -> str:
    out = StringIO()
    call_command("rebuild_tallies", stdout=out, stderr=StringIO(), **options)
    return out.getvalue()


def fails(**options) -> str:
    out = StringIO()
    with pytest.raises(CommandError):
        call_command("rebuild_tallies", stdout=out, stderr=StringIO(), **options)
    return out.getvalue()


@pytest.fixture
def part(student):
    part = make_part(make_week(student), make_drill(student.studio))
    log(student, 0, part, 10, 8, 6)
    return part


def test_every_week_with_a_plan_or_practice_gets_its_row(student, part):
    log(student, -10, None, what="range", minutes=30, opens=MONDAY.replace(day=10))
    assert run() == "2 tallies made.\n"
    rows = dict(WeekTally.objects.values_list("opens", "minutes"))
    assert rows == {MONDAY.replace(day=10): 30, MONDAY: 12}
    assert "Every tally" in run(check=True)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("credit", 0.9),
        ("credit", None),
        ("reps", 25),
        ("finished", True),
        ("credited_by_day", [0, 15, 0, 0, 0, 0, 0]),
        ("parts", []),
        ("last_written_at", None),
    ],
)
def test_check_finds_a_row_that_was_tampered_with_and_rebuild_puts_it_right(part, field, value):
    run()
    WeekTally.objects.update(**{field: value})
    told = fails(check=True)
    assert told.count("\n") == 1
    assert f"{field} is" in told
    # A check changes nothing.
    assert fails(check=True) == told
    run()
    run(check=True)


def test_check_finds_a_missing_row(student, part):
    assert "no tally" in fails(check=True)
    assert not WeekTally.objects.exists()


def test_check_finds_a_log_that_never_reached_its_row(student, part):
    run()
    log(student, 2, part, 10, 8, 6)
    assert "reps is 24, the logs say 48" in fails(check=True)


def test_one_student_alone(student, part, coach):
    other = make_student(coach, "Other")
    make_part(make_week(other), part.drill)
    run(student=student.pk)
    assert list(WeekTally.objects.values_list("student", flat=True)) == [student.pk]
    run(student=student.pk, check=True)
    assert str(other.pk) in fails(check=True)


def test_nobody_has_that_id(student):
    with pytest.raises(CommandError, match="no student"):
        call_command("rebuild_tallies", student=uuid4())


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        (0.1 + 0.2, 0.3, True),
        (1, 1.0, True),
        (1.0, 1.00001, False),
        (0.0, None, False),
        ([1.0, {"a": 0.1 + 0.2}], [1.0, {"a": 0.3}], True),
        ([1.0], [1.0, 2.0], False),
        ({"a": 1}, {"b": 1}, False),
        ("x", "y", False),
    ],
)
def test_sameness_to_the_last_digits_of_a_sum(one, other, same):
    assert is_same(one, other) is same
