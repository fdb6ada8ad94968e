"""What holds now, in one sentence a drill: what the student reads right after practising it."""

from collections.abc import Set
from uuid import UUID

from practice.numbers.ladder.pages import to_student
from practice.numbers.ladder.queries import read_ladders
from practice.numbers.ladder.table import ladders
from shared.people.models import Student
from shared.people.today import today_of


def holds_of(student: Student, drills: Set[UUID]) -> dict[UUID, str]:
    """The ladder's sentence for each of these drills that has scored reps. Five queries, or six."""
    today = today_of(student)
    found = ladders(read_ladders(student, today), today).drills
    return {each.drill_id: to_student(each) for each in found if each.drill_id in drills}
