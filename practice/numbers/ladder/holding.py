"""What holds now, in one sentence a drill: what the student reads right after practising it."""

from practice.log.beside_parts import Sentences
from practice.numbers.ladder.pages import to_student
from practice.numbers.ladder.queries import LadderFacts, ladders_asked
from practice.numbers.ladder.table import ladders
from shared.people.models import Student, User
from shared.people.today import today_of
from shared.site.together import Question


def holds_of(student: Student, reader: User) -> Question[Sentences]:
    """The ladder's sentence for each of these drills that has scored reps."""
    today = today_of(student)

    def made(facts: LadderFacts) -> Sentences:
        found = ladders(facts, today).drills
        return lambda drills: {
            each.drill_id: to_student(each) for each in found if each.drill_id in drills
        }

    return Question(made, ladders_asked(student, today))
