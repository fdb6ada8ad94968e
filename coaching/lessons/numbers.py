"""What the numbers say of one student, in the sentences of the pages that show them."""

from typing import TYPE_CHECKING

from practice.measures.usual import UsualPrior
from practice.shots.studio_days import usual_days
from shared.people.models import Student, User
from shared.people.today import today_of

if TYPE_CHECKING:
    from practice.numbers.ladder.table import Ladders

FIRST_DRILLS = 2


def numbers_said(
    student: Student, reader: User, usual: UsualPrior | None = None, *, to_student: bool
) -> list[tuple[str, str]]:
    """(page, its answer) for speed, wedges and the ladder; nothing where nothing is known.

    `to_student`: in the words a student reads, where only what has held is told. Five queries
    with `usual`; where nothing is kept seven more.
    """
    usual = usual or usual_days(student)
    return [
        *moved_said(student, reader, usual, to_student=to_student),
        *ladder_said(ladders_of(student, usual), to_student=to_student),
    ]


def minutes_said(student: Student) -> list[tuple[str, str]]:
    """What the minutes of the newest whole week are by the clock, where enough was checked.

    One query, and five more where there is a check.
    """
    from practice.numbers.load.pages import clock_in_short
    from practice.numbers.load.queries import is_checked, read_load
    from practice.numbers.load.weeks import load_answer

    today = today_of(student)
    if not is_checked(student, today):
        return []
    words = clock_in_short(load_answer(read_load(student, today)))
    return [("Minutes", words)] if words else []


def moved_said(
    student: Student, reader: User, usual: UsualPrior, *, to_student: bool
) -> list[tuple[str, str]]:
    """Speed and wedges alone: what is measured in balls. What the tick has kept, one query, where
    it stands; else eight."""
    from practice.numbers.now.told import lines_of, speed_said, standing, wedges_said
    from practice.numbers.speed.book import speed_book
    from practice.numbers.speed.queries import read_speeds
    from practice.numbers.speed.text import SpeedReader
    from practice.numbers.wedges.card import wedge_card
    from practice.numbers.wedges.queries import read_wedges

    if kept := standing(student):
        return lines_of(kept, reader, to_student=to_student)
    today = today_of(student)
    book = speed_book(read_speeds(student, today, usual=usual))
    said = SpeedReader(reader.speed_unit, student.name, student.is_minor)
    card = wedge_card(read_wedges(student, usual=usual), today)
    wedges = wedges_said(card, reader.distance_unit, to_student=to_student)
    return [
        *speed_said(book, said, to_student=to_student),
        *([("Wedge card", wedges)] if wedges else []),
    ]


def ladders_of(student: Student, usual: UsualPrior | None = None) -> "Ladders":
    """Five queries, with `usual` four. NumPy loads with the first."""
    from practice.numbers.ladder.queries import read_ladders
    from practice.numbers.ladder.table import ladders

    today = today_of(student)
    return ladders(read_ladders(student, today, usual), today)


def ladder_said(found: "Ladders", *, to_student: bool) -> list[tuple[str, str]]:
    """At which effort a move holds and where it breaks, by drill."""
    from practice.numbers.ladder.pages import ladder_page

    page = ladder_page(found, is_own=to_student)
    return [(drill.name, drill.answer) for drill in page.drills[:FIRST_DRILLS]]
