"""The promise of the board: its queries never grow with the roster, the weeks or the words."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from coaching.board.queries import MOST_STUDENTS, board
from practice.care.models import PainNote, Stop
from practice.compliance.models import WeekTally
from practice.log.models import Entry, Line
from practice.numbers.now.models import NumbersNow
from practice.numbers.now.values import Numbers, to_json
from practice.weeks.models import Excusal
from shared.people.models import Student
from tests.board.make import part_row
from tests.board.rules.make import gap, speed
from tests.factories import MONDAY, WEDNESDAY_EVENING, studio_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday_evening")]
LIMIT = 21  # Up to five of them keep who read of pain; SQLite takes 166 looks a statement.


def fill(coach, how_many: int, weeks: int = 9) -> None:
    """Students who each have everything that the board reads."""
    students = Student.objects.bulk_create(
        Student(studio=studio_of(coach), lead_coach=coach, name=f"Student {n:03}")
        for n in range(how_many)
    )
    WeekTally.objects.bulk_create(
        WeekTally(
            student=student,
            opens=MONDAY - timedelta(weeks=ago),
            has_plan=True,
            asked_minutes=60,
            credited_by_day=[0, 0, 10, 0, 0, 10, 0],
            minutes_by_day=[0, 0, 10, 0, 0, 10, 0],
            planned_by_day=[8.5] * 7,
            entries=[[2, 2], [5, 5]],
            parts=[part_row()],
        )
        for student in students
        for ago in range(weeks)
    )
    entries = Entry.objects.bulk_create(
        Entry(
            student=student,
            root=student.pk,
            day=MONDAY,
            at=WEDNESDAY_EVENING,
            note="Felt better",
            document={},
        )
        for student in students
    )
    PainNote.objects.bulk_create(
        PainNote(student=entry.student, entry=entry, day=MONDAY, level=2, where="wrist")
        for entry in entries
    )
    Stop.objects.bulk_create(Stop(student=student, since=MONDAY) for student in students)
    Line.objects.bulk_create(
        Line(student=student, author=coach, text="Well done", at=WEDNESDAY_EVENING)
        for student in students
    )
    NumbersNow.objects.bulk_create(
        NumbersNow(
            student=student,
            figures=to_json(Numbers(speed(), (gap(),))),
            sittings=1,
            reckoned_at=WEDNESDAY_EVENING,
        )
        for student in students
    )
    Excusal.objects.bulk_create(
        Excusal(student=student, first=MONDAY, last=MONDAY) for student in students
    )


@pytest.mark.parametrize("students", [1, 60, 500])
def test_who_needs_me_asks_as_much_whatever_the_roster(coach, coach_client, students):
    fill(coach, students)
    coach_client.post("/who/seen/")
    with CaptureQueriesContext(connection) as asked:
        page = coach_client.get("/who/", {"all": "1"})
    assert page.status_code == 200
    assert page.content.count(b'class="board-line"') == students
    statements = "\n".join(query["sql"] for query in asked)
    assert len(asked) <= LIMIT, statements


def test_years_of_weeks_add_no_question(coach, django_assert_max_num_queries):
    fill(coach, 3, weeks=104)
    with django_assert_max_num_queries(22):  # Nothing is kept yet.
        board(coach, WEDNESDAY_EVENING)
    with django_assert_max_num_queries(4):
        board(coach, WEDNESDAY_EVENING)


def test_more_students_than_a_page_holds(coach):
    Student.objects.bulk_create(
        Student(studio=studio_of(coach), lead_coach=coach, name=f"Student {n:03}")
        for n in range(MOST_STUDENTS + 1)
    )
    shown = board(coach, WEDNESDAY_EVENING)
    assert shown.is_cut
    assert sum(len(group.rows) for group in shown.groups) == MOST_STUDENTS


def test_an_empty_roster_says_so(coach, coach_client):
    assert b"No students yet" in coach_client.get("/who/").content
