"""What other apps say beside a part on the phone; each adds itself when the site starts."""

from collections.abc import Callable, Iterable, Set
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from shared.people.models import Student, User
from shared.site.together import Question

# A sentence for each of these drills that there is something to say of.
Sentences = Callable[[Set[UUID]], dict[UUID, str]]
# Of this student to this reader: in their units, or about their child.
Sayer = Callable[[Student, User], Question[Sentences]]

# Why the part is asked: what the lesson found, and what to be careful of.
why: list[Sayer] = []
# What holds now: where the student stands with it.
holds: list[Sayer] = []
# What the tests say: whether it moves, or what is missed.
tests: list[Sayer] = []


@dataclass(frozen=True, slots=True)
class BesideAsked:
    """What each of them stands on, to be asked with others."""

    why: list[Question[Sentences]]
    holds: list[Question[Sentences]]
    tests: list[Question[Sentences]]

    def rows(self) -> list[Question[Any]]:
        return [*self.why, *self.holds, *self.tests]


def asked(student: Student, reader: User) -> BesideAsked:
    return BesideAsked(*([say(student, reader) for say in each] for each in (why, holds, tests)))


def said(sayers: Iterable[Question[Sentences]], drills: Set[UUID]) -> dict[UUID, str]:
    """The sentences about these drills, one after another where several speak of one."""
    told: dict[UUID, str] = {}
    for say in sayers if drills else ():
        for drill, words in say.answer(drills).items():
            told[drill] = " ".join(filter(None, (told.get(drill), words)))
    return told


# The page that asks this reader about the student first, and what becomes of it here.
asks: list[Callable[[Student, User], "Question[FirstQuestions]"]] = []


@dataclass(frozen=True, slots=True)
class FirstQuestions:
    """`now`: the page to answer before anything else. `is_over`: it need not be offered again."""

    now: str = ""
    is_over: bool = False


def first_asked(student: Student, reader: User) -> Question[FirstQuestions]:
    return next((ask(student, reader) for ask in asks), Question(FirstQuestions))
