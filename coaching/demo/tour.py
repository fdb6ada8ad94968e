"""Seven stops through the demo: whom to open, and what there is to see."""

from dataclasses import dataclass

from django.urls import reverse

from coaching.demo import cast
from shared.people.models import Student


@dataclass(frozen=True, slots=True)
class TourStop:
    title: str
    words: str
    url: str


# Page, student it is of ('' for a page of everybody), title, and what to look at.
_STOPS = (
    (
        "board:who",
        "",
        "Who needs me",
        "Fourteen students in one look. A line opens with a tap; Find takes you to anybody.",
    ),
    (
        "board:student",
        "Callum Ferreby",
        "The star who must rest",
        "He did far more than was asked, and his wrist hurts. The plan’s percent would praise him.",
    ),
    (
        "board:student",
        "Gerald Umpleby",
        "A drill left alone for a reason",
        "Two notes of a stiff back, both on the days he did it. Swap the drill; do not remind him.",
    ),
    (
        "progress:ladder",
        "Haewon Tolvane",
        "Done, and not working",
        "She does her practice. A coach’s counts say that the move does not hold.",
    ),
    (
        "progress:speed",
        "Piet Slagveld",
        "A best day that means nothing yet",
        "His best is new, his usual speed is not. See what a real change would have to be.",
    ),
    (
        "lessons:door",
        "Dougal Abernant",
        "Before the lesson",
        "One screen: what was asked, what was done, what moved, and how to begin.",
    ),
    (
        "season:sheet",
        "Ines Calderao",
        "A season on one sheet",
        "Phases, priorities with their stages, events, and what her own weeks leave room for.",
    ),
)


def stops() -> list[TourStop]:
    """The stops of which the student is there. One query."""
    wanted = [name for _, name, _, _ in _STOPS if name]
    found = Student.objects.filter(studio__name=cast.STUDIO, name__in=wanted)
    students = dict(found.values_list("name", "pk"))
    return [
        TourStop(f"{title}: {name}" if name else title, words, _url(route, students.get(name)))
        for route, name, title, words in _STOPS
        if not name or name in students
    ]


def _url(route: str, student: object) -> str:
    return reverse(route, args=[student] if student else [])
