"""What other apps say beside a part on the phone; each adds itself when the site starts."""

from collections.abc import Callable, Set
from dataclasses import dataclass
from uuid import UUID

from shared.people.models import Student, User

# A sentence for each of these drills that there is something to say of.
Sentences = Callable[[Student, Set[UUID]], dict[UUID, str]]
# The same to this reader: in their units, or about their child.
SentencesTo = Callable[[Student, Set[UUID], User], dict[UUID, str]]

# Why the part is asked: what the lesson found, and what to be careful of.
why: list[Sentences] = []
# What holds now: where the student stands with it.
holds: list[Sentences] = []
# What the tests say: whether it moves, or what is missed.
tests: list[SentencesTo] = []


def said(sayers: list[Sentences], student: Student, drills: Set[UUID]) -> dict[UUID, str]:
    """The sentences about these drills, one after another where several speak of one."""
    told: dict[UUID, str] = {}
    for say in sayers if drills else ():
        for drill, words in say(student, drills).items():
            told[drill] = " ".join(filter(None, (told.get(drill), words)))
    return told


def told(
    sayers: list[SentencesTo], student: Student, drills: Set[UUID], reader: User
) -> dict[UUID, str]:
    return said([lambda *about, say=say: say(*about, reader) for say in sayers], student, drills)


# The page that asks this reader about the student first, and what becomes of it here.
asks: list[Callable[[Student, User], "FirstQuestions"]] = []


@dataclass(frozen=True, slots=True)
class FirstQuestions:
    """`now`: the page to answer before anything else. `is_over`: it need not be offered again."""

    now: str = ""
    is_over: bool = False


def asked(student: Student, reader: User) -> FirstQuestions:
    return next((ask(student, reader) for ask in asks), FirstQuestions())
