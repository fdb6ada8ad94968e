"""What the pages say, put together as they put it: the demo walked by everybody who reads it.

`make words` prints it all, page by page; the test looks at a few pages of each kind.
"""

import os
from statistics import median

import pytest

from coaching.demo import cast
from shared.people.models import Guardianship, Student, User
from tests.conftest import signed_in
from tests.reading.sentences import MEDIAN_AT_MOST, Sentence, sentences_of
from tests.reading.walk import walk

pytestmark = pytest.mark.usefixtures("demo")
PRINTS = "PRINT_WORDS" in os.environ
ALIKE = 16 if PRINTS else 2  # Pages of one address that are read.


def readers() -> dict[str, User]:
    return {
        "coach": User.objects.get(name=cast.COACH),
        "owner": User.objects.get(name=cast.OWNER),
        "student": Student.objects.get(name="Tamsin Orlebar").user,
        "guardian": Guardianship.objects.select_related("user").order_by("pk")[0].user,
    }


def read() -> dict[str, dict[str, Sentence]]:
    """By page and reader, each sentence once, whatever its figures."""
    pages: dict[str, dict[str, Sentence]] = {}
    seen: set[str] = set()
    for role, user in readers().items():
        for name, _, page in walk(signed_in(user), alike=ALIKE):
            for said in sentences_of(page):
                if said.shape not in seen:
                    seen.add(said.shape)
                    pages.setdefault(f"{name} ({role})", {})[said.shape] = said
    return pages


def printed(pages: dict[str, dict[str, Sentence]]) -> str:
    lines = []
    for name, found in sorted(pages.items()):
        lines.append(f"\n{name}")
        lines += [
            f"{said.words:4d} {said.figures:2d} {said.grade:5.1f}"
            f"{' folded' if said.is_folded else ''}  {said.text}"
            for said in found.values()
        ]
    return "\n".join(lines)


def test_what_the_pages_say_can_be_said_aloud():
    pages = read()
    if PRINTS:
        print("words, figures, grade: sentence", printed(pages), sep="\n")
    whole = [
        (name, said) for name, found in pages.items() for said in found.values() if said.is_whole
    ]
    assert len(whole) > 300
    faults = [f"{at}: {', '.join(s.faults())}: {s.text}" for at, s in whole if s.faults()]
    assert not faults, "\n".join(faults)
    assert median(said.grade for _, said in whole if not said.is_folded) <= MEDIAN_AT_MOST
