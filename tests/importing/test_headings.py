"""What columns are called in 26 languages: each heading is ours, or nothing of ours.

`headings.txt` has a language a line, `heading=field`; nothing behind the sign: we keep none of it.
General usage of the sport and of measuring (no source), written down before the words were.
Before it was, 405 of 1,822 were not known and 22 were another field.
"""

from pathlib import Path

import pytest

from practice.importing.meaning import OTHER
from practice.importing.names import ENOUGH, bare, likeness

LINES = (Path(__file__).parent / "headings.txt").read_text("utf-8").splitlines()


def told(heading):
    """The fields that its words alone may be; several where the cells are to say."""
    near = likeness(bare(heading)[0])
    ours = {f: n for f, n in near.items() if f and n > near.get(OTHER, 0.0) and n >= ENOUGH}
    return {field for field, n in ours.items() if n == max(ours.values())} or {""}


@pytest.mark.parametrize("line", LINES, ids=lambda line: line[:2])
def test_headings_are_what_they_mean(line):
    said = [each.rpartition("=") for each in line.partition(": ")[2].split("|")]
    assert len(said) > 10
    assert {h: told(h) for h, _, field in said if field not in told(h)} == {}


BY_FIELD = (Path(__file__).parent / "headings_by_field.txt").read_text("utf-8").splitlines()


@pytest.mark.parametrize("line", BY_FIELD, ids=lambda line: line.partition("=")[0] or "none")
def test_terms_in_twelve_languages_cut_short_and_joined_are_one_field(line):
    """Terms of the trade, as coaches write them: whole, cut short, joined, with a unit.

    When they were first asked, 53 of 665 were not known and 6 were another field.
    """
    field, _, headings = line.partition("=")
    assert {h: told(h) for h in headings.split("|") if field not in told(h)} == {}
