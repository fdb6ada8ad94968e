"""Queries that are asked together say what each says alone."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection
from django.db.models import CharField, Count, DateField, DateTimeField, F, Sum, UUIDField, Value

from practice.compliance.models import WeekTally
from practice.weeks.models import Excusal, Part
from shared.people.models import Student, User
from shared.site.prepared import Prepared
from shared.site.together import Question, Rows, together
from tests.factories import make_coach, make_drill, make_part, make_student, make_week

pytestmark = [pytest.mark.django_db, pytest.mark.engine]
MONDAY = date(2031, 3, 3)
AT = datetime(2031, 3, 3, 18, 30, tzinfo=UTC)


def tallies(student):
    kept = WeekTally.objects.filter(student=student).order_by("-opens")
    return kept.values_list(
        "opens", "has_plan", "credit", "minutes", "reps", "parts", "last_written_at"
    )


def summed(student):
    kept = WeekTally.objects.filter(student=student).values("student").order_by()
    return kept.annotate(all=Sum("minutes"), many=Count("pk")).values_list("all", "many", "student")


def named(student):
    one = Student.objects.filter(pk=student)
    words = one.values_list("name", "user__email", "born_year", Value(7))
    return words.union(
        one.values_list(Value("x", CharField()), "goal", F("born_year"), Value(8)), all=True
    )


def people(since):
    return User.objects.filter(joined_at__gte=since).order_by("-joined_at", "pk")


def parts(student, since):
    asked = Part.objects.filter(week__student=student, week__opens__gte=since)
    return (
        asked.select_related("revision", "drill__tested_by", "week__author")
        .annotate(of=Value("this", CharField()), opened=F("week__opens"))
        .order_by("-priority")
    )


PREPARED = {
    "tallies": Prepared(tallies, student=UUIDField),
    "summed": Prepared(summed, student=UUIDField),
    "named": Prepared(named, student=UUIDField),
    "people": Prepared(people, since=DateTimeField),
    "parts": Prepared(parts, student=UUIDField, since=DateField),
    "several": Prepared(
        lambda ids: Student.objects.filter(pk__in=[ids]).order_by("-name").values_list("name"),
        ids=UUIDField,
    ),
}


@pytest.fixture
def student():
    coach = make_coach()
    student = make_student(coach, "Kim", with_user=True)
    week = make_week(student)
    for name in ("Gate", "Ladder", "Towel"):
        make_part(week, make_drill(student.studio, name))
    WeekTally.objects.filter(student=student).delete()
    for n in (1, 0, 2):
        WeekTally.objects.create(
            student=student, opens=MONDAY + timedelta(weeks=n), has_plan=n == 1, minutes=n + 0.1,
            credit=None if n else 0.5, parts=[{"n": n}], last_written_at=AT + timedelta(days=n),
        )  # fmt: skip
    return student


def given(student):
    other = make_student(student.lead_coach, "Lou")
    since = {"student": student.pk, "since": date(2020, 1, 1)}
    own = {"student": student.pk}
    return {
        "tallies": own, "summed": own, "named": own, "people": {"since": AT - timedelta(days=9999)},
        "parts": since, "several": {"ids": [student.pk, other.pk]},
    }  # fmt: skip


@pytest.mark.parametrize("order", [list(PREPARED), list(reversed(PREPARED))])
def test_each_says_what_it_says_alone(student, order, django_assert_num_queries):
    values = given(student)
    asked = {name: Rows(PREPARED[name], **values[name]) for name in order}
    for name in order:
        PREPARED[name].worded  # noqa: B018 (worded once, which asks nothing)
    with django_assert_num_queries(1):
        together(*asked.values())
        found = {name: each.answer for name, each in asked.items()}
    for name in order:
        assert found[name] == PREPARED[name](**values[name]), name
        assert found[name], name
    assert [len(found[name]) for name in ("tallies", "named", "several")] == [3, 2, 2]
    assert [row[0] for row in found["several"]] == ["Lou", "Kim"]


def test_models_are_as_the_orm_makes_them(student, django_assert_num_queries):
    found = Rows(PREPARED["parts"], student=student.pk, since=date(2020, 1, 1))
    together(found, Rows(PREPARED["tallies"], student=student.pk))
    kept = list(parts(student.pk, date(2020, 1, 1)))
    assert [(part.pk, part.of, part.opened) for part in found.answer] == [
        (part.pk, part.of, part.opened) for part in kept
    ]
    assert len(kept) == 3
    with django_assert_num_queries(0):
        for ours, theirs in zip(found.answer, kept, strict=True):
            assert vars(ours.revision).keys() == vars(theirs.revision).keys()
            assert ours.revision.name == theirs.revision.name
            assert ours.drill.tested_by == theirs.drill.tested_by
            assert (ours.week.author, ours.week.opens) == (theirs.week.author, theirs.week.opens)


def test_days_stay_days_beside_the_times_of_another(student, django_assert_num_queries):
    """SQLite's driver reads a column of all by the type of the first that stands there."""
    away = Excusal.objects.create(
        student=student, told_by=student.lead_coach, first=MONDAY, last=MONDAY + timedelta(days=3)
    )
    spans = Prepared(
        lambda student: Excusal.objects.filter(student=student).order_by("first"), student=UUIDField
    )
    of = Prepared(
        lambda student: Part.objects.filter(week__student=student).select_related(
            "week", "revision"
        )[:4000],
        student=UUIDField,
    )
    found, before = Rows(spans, student=student.pk), Rows(of, student=student.pk)
    with django_assert_num_queries(1):
        together(before, found)
    [read] = found.answer
    assert {name: value for name, value in vars(read).items() if name != "_state"} == {
        name: value
        for name, value in vars(Excusal.objects.get(pk=away.pk)).items()
        if name != "_state"
    }
    assert (type(read.first), type(read.last)) == (date, date)


def test_an_answer_is_made_of_others_and_asked_once(student, django_assert_num_queries):
    made = []
    names = Rows(PREPARED["named"], student=student.pk)
    weeks = Question(len, Rows(PREPARED["tallies"], student=student.pk))
    both = Question(lambda names, weeks: made.append(1) or (names[0][0], weeks), names, weeks)
    with django_assert_num_queries(1):
        assert both.answer == ("Kim", 3)
        assert (both.answer, weeks.answer, len(names.answer)) == (("Kim", 3), 3, 2)
        together(both, names)
    assert made == [1]


def test_nothing_asked_is_no_query(django_assert_num_queries):
    with django_assert_num_queries(0):
        together()
        assert Question(lambda: "known").answer == "known"


def test_many_rows_come_in_their_order(student):
    """No statement says so of rows that are joined on to others: they are seen to."""
    Student.objects.bulk_create(
        Student(studio=student.studio, lead_coach=student.lead_coach, name=f"{n * 7919 % 2003:04}")
        for n in range(2000)
    )
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")
    of = Prepared(
        lambda studio: Student.objects.filter(studio=studio).order_by("-name").values_list("name"),
        studio=UUIDField,
    )
    first, last = (Rows(of, studio=student.studio_id) for _ in range(2))
    weeks = Rows(PREPARED["tallies"], student=student.pk)
    together(first, weeks, last)
    names = sorted(Student.objects.values_list("name", flat=True), reverse=True)
    assert [name for (name,) in first.answer] == [name for (name,) in last.answer] == names
    assert [row[0] for row in weeks.answer] == [MONDAY + timedelta(weeks=n) for n in (2, 1, 0)]
