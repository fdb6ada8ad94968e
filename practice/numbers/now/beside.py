"""What the tests say, in one sentence a drill, beside it on the phone: read, not computed."""

from collections.abc import Set
from uuid import UUID

from django.db.models import UUIDField

from practice.drills.models import Drill
from practice.log.beside_parts import Sentences
from practice.numbers.moved.pages import own_words
from practice.numbers.now.models import NumbersNow
from practice.numbers.now.values import Numbers, from_json
from practice.numbers.wedges.pages import own_missed
from shared.people.models import Student, User
from shared.site.prepared import Prepared
from shared.site.together import Question, Rows

UNTOLD = "Cannot tell yet"  # As practice.measures.verdicts.Practice has it, without NumPy.


def said_by_tests(student: Student, reader: User) -> Question[Sentences]:
    """Whether a drill moves its test, and at a wedge test the distance missed by most: one query
    more where one is missed.
    """
    child = "" if student.user_id == reader.pk else student.name

    def made(numbers: Numbers) -> Sentences:
        told = {UUID(each.drill): own_words(each.verdict, child) for each in numbers.moved}
        return lambda drills: told | _missed(numbers, drills, reader)

    return Question(made, _numbers(student))


def drills_untold(student: Student) -> frozenset[UUID]:
    """Drills that were done and tested, and of which the tests cannot tell yet. One query."""
    moved = _numbers(student).answer.moved
    return frozenset(UUID(each.drill) for each in moved if each.verdict == UNTOLD)


def _numbers(student: Student) -> Question[Numbers]:
    return Question(
        lambda rows: from_json(rows[0][0] if rows else None), Rows(_kept, student=student.pk)
    )


_kept = Prepared(
    lambda student: NumbersNow.objects.filter(student=student).values_list("figures"),
    student=UUIDField,
)


def _missed(numbers: Numbers, drills: Set[UUID], reader: User) -> dict[UUID, str]:
    if not numbers.missed:
        return {}
    worst = numbers.missed[0]
    words = own_missed(
        worst.target, worst.error, reader.distance_unit, in_hole=worst.hole is not None
    )
    wedges = Drill.objects.filter(pk__in=drills, current__measures="carry")
    return dict.fromkeys(wedges.values_list("pk", flat=True), words)
