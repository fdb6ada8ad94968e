"""Queries that are worded once say what the ORM says, and refuse what they cannot keep."""

from datetime import date, timedelta

import pytest
from django.db.models import DateField, UUIDField

from practice.log.models import LogKey
from practice.phone import keys
from practice.weeks.models import Week
from shared.people.access import recordable
from shared.people.models import Student, Studio, User
from shared.site.prepared import Prepared, columns_of, made_of
from tests.factories import make_coach, make_student

pytestmark = pytest.mark.django_db
MONDAY = date(2031, 3, 3)


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
