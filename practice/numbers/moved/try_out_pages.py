"""The try-outs of one student, of either design, as their pages print them."""

from datetime import date

from practice.numbers.moved.try_out import trials
from practice.numbers.moved.try_out_text import (
    TrialView,
    Units,
    over_words,
    own_words,
    trial_views,
)
from practice.numbers.moved.turns import turns
from practice.numbers.moved.turns_text import own_turns_words, turns_views
from practice.tryouts.models import TryOut
from practice.tryouts.queries import Drawn, drawn_for, try_outs_of
from shared.people.models import Student, User
from shared.people.today import today_of


def shown(student: Student, reader: User) -> tuple[TrialView, ...]:
    """For those who teach; those that can still be ended first."""
    rows, today = try_outs_of(student), today_of(student)
    units = Units(reader.speed_unit, reader.distance_unit)
    views = trial_views(trials(rows, today), units) + turns_views(turns(rows, today), units)
    return tuple(sorted(views, key=lambda view: not view.may_end))


def offered(student: Student, opens: date) -> Drawn:
    """What the try-outs ask of a week, in the light of what those that were judged showed."""
    today = today_of(student)

    def over(row: TryOut) -> str:
        return over_words(trials([row], today)[0])

    return drawn_for(student, opens, over)


def own_shown(student: Student) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """For the student and guardians: what is tried, and sentences."""
    rows, today = try_outs_of(student), today_of(student)
    return own_words(trials(rows, today)) + own_turns_words(turns(rows, today))
