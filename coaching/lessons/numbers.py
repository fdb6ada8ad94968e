"""What the numbers say of one student, in the sentences of the pages that show them."""

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from practice.measures.usual import UsualPrior
from practice.shots.studio_days import usual_asked
from shared.people.models import Student, User
from shared.people.today import today_of
from shared.site.together import Question, together

if TYPE_CHECKING:
    from practice.numbers.ladder.queries import LadderFacts
    from practice.numbers.ladder.table import Ladders
    from practice.numbers.now.values import NumbersTold

FIRST_DRILLS = 2


@dataclass(frozen=True, slots=True)
class NumbersAsked:
    """What the lines about one student's numbers stand on, to be asked with others. NumPy loads
    with the first ladder that is answered."""

    student: Student
    usual: Question[UsualPrior]
    told: "Question[NumbersTold | None]"
    ladders: "Question[Ladders]"
    is_checked: Question[bool]

    def rows(self) -> tuple[Question[Any], ...]:
        return self.usual, self.told, self.ladders, self.is_checked

    def said(self, reader: User, *, to_student: bool) -> list[tuple[str, str]]:
        """(page, its answer) for speed, wedges and the ladder; nothing where nothing is known.

        `to_student`: in the words a student reads, where only what has held is told.
        """
        return [
            *self.moved_said(reader, to_student=to_student),
            *ladder_said(self.ladders.answer, to_student=to_student),
        ]

    def moved_said(self, reader: User, *, to_student: bool) -> list[tuple[str, str]]:
        """Speed and wedges alone: what is measured in balls. What the tick has kept, where it
        stands; else seven queries."""
        from practice.numbers.now.told import lines_of

        if kept := self.told.answer:
            return lines_of(kept, reader, to_student=to_student)
        return _moved_anew(self.student, reader, self.usual.answer, to_student=to_student)

    def minutes_said(self) -> list[tuple[str, str]]:
        """What the minutes of the newest whole week are by the clock, where enough was checked:
        five queries."""
        from practice.numbers.load.pages import clock_in_short
        from practice.numbers.load.queries import read_load
        from practice.numbers.load.weeks import load_answer

        if not self.is_checked.answer:
            return []
        words = clock_in_short(load_answer(read_load(self.student, today_of(self.student))))
        return [("Minutes", words)] if words else []


def numbers_asked(student: Student) -> NumbersAsked:
    from practice.numbers.ladder.queries import ladders_asked as facts_asked
    from practice.numbers.load.queries import checked_asked
    from practice.numbers.now.told import standing_asked

    today = today_of(student)
    usual = usual_asked(student)
    return NumbersAsked(
        student,
        usual,
        standing_asked(student),
        Question(lambda facts: _ladders(facts, today), facts_asked(student, today, usual)),
        checked_asked(student, today),
    )


def numbers_said(student: Student, reader: User, *, to_student: bool) -> list[tuple[str, str]]:
    """What `NumbersAsked.said` says. One query; where nothing is kept seven more."""
    asked = numbers_asked(student)
    together(*asked.rows())
    return asked.said(reader, to_student=to_student)


def _moved_anew(
    student: Student, reader: User, usual: UsualPrior, *, to_student: bool
) -> list[tuple[str, str]]:
    from practice.numbers.now.told import speed_said, wedges_said
    from practice.numbers.speed.book import speed_book
    from practice.numbers.speed.queries import read_speeds
    from practice.numbers.speed.text import SpeedReader
    from practice.numbers.wedges.card import wedge_card
    from practice.numbers.wedges.queries import read_wedges

    today = today_of(student)
    book = speed_book(read_speeds(student, today, usual=usual))
    said = SpeedReader(reader.speed_unit, student.name, student.is_minor)
    card = wedge_card(read_wedges(student, usual=usual), today)
    wedges = wedges_said(card, reader.distance_unit, to_student=to_student)
    return [
        *speed_said(book, said, to_student=to_student),
        *([("Wedge card", wedges)] if wedges else []),
    ]


def _ladders(facts: "LadderFacts", today: date) -> "Ladders":
    from practice.numbers.ladder.table import ladders

    return ladders(facts, today)


def ladder_said(found: "Ladders", *, to_student: bool) -> list[tuple[str, str]]:
    """At which effort a move holds and where it breaks, by drill."""
    from practice.numbers.ladder.pages import ladder_page

    page = ladder_page(found, is_own=to_student)
    return [(drill.name, drill.answer) for drill in page.drills[:FIRST_DRILLS]]
