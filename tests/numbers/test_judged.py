"""The command that tries the claims, on few students, and that its inventions are its own."""

from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command

from practice.numbers.claims import judged, simulated
from practice.numbers.claims.simulated import WORLDS, Gain


def test_it_shares_no_code_with_what_it_judges():
    text = Path(simulated.__file__).read_text()
    assert "practice" not in text.replace("practice and", "")


def test_a_table_with_a_row_a_world(monkeypatch):
    monkeypatch.setattr(judged, "WEEKS", 8)
    said = StringIO()
    call_command("evaluate_claims", students=2, seed=3, stdout=said)
    rows = said.getvalue().splitlines()
    assert rows[0] == "2 students a world, seed 3; held at 1, 3, 5, 8, 10, 20, 60 days."
    assert len(rows) == 4 + len(WORLDS)
    assert all(row.count("|") == 7 for row in rows[2:])


@pytest.mark.parametrize("world", WORLDS, ids=lambda world: world.name)
def test_balls_lie_about_their_truth(world):
    from random import Random
    from statistics import fmean, median

    random = Random(5)
    days = [median(simulated.balls_of(world, 1, 7, random)[0]) for _ in range(3000)]
    assert fmean(days) == pytest.approx(100, abs=0.06)


def test_a_gain_is_added_from_its_day_on():
    from random import Random

    flat = simulated.balls_of(WORLDS[0], 4, 1, Random(1))
    gained = simulated.balls_of(WORLDS[0], 4, 1, Random(1), Gain(5.0, 2))
    assert [b[0] - a[0] for a, b in zip(flat, gained, strict=True)] == pytest.approx([0, 0, 5, 5])
