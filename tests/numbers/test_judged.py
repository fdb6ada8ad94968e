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


def test_two_tables_with_a_row_a_world(monkeypatch):
    monkeypatch.setattr(judged, "WEEKS", 8)
    monkeypatch.setattr(judged, "STUDIOS", 1)
    said = StringIO()
    call_command("evaluate_claims", students=2, seed=3, stdout=said)
    rows = said.getvalue().splitlines()
    assert rows[0] == "2 students a world, seed 3; held at 1, 3, 5, 8, 10, 20, 60 days."
    held, claims = rows[2 : 4 + len(WORLDS)], rows[5 + len(WORLDS) :]
    assert len(held) == len(claims) == 2 + len(WORLDS)
    assert all(row.count("|") == 2 + len(judged.INTERVALS) for row in held)
    assert all(row.count("|") == 5 for row in claims)
    cells = [cell.split() for cell in held[2].strip("| ").split(" | ")[1:]]
    assert all(len(cell) == len(judged.DAYS) for cell in cells)


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


@pytest.mark.parametrize("middle", [0.05, 0.5, 0.9, 0.97])
@pytest.mark.parametrize("spread", [0.03, 0.15])
def test_a_held_chance_has_the_mean_of_its_integral(middle, spread):
    """By quadrature, and by SciPy's normal."""
    from scipy.integrate import quad
    from scipy.stats import norm

    def weighed(x: float) -> float:
        return min(0.98, max(0.02, x)) * norm.pdf(x, middle, spread)

    ends, bends = (middle - 9 * spread, middle + 9 * spread), [0.02, 0.98]
    found, _ = quad(weighed, *ends, points=bends, limit=200)
    assert simulated.held_mean(middle, spread) == pytest.approx(found, abs=1e-7)


def test_a_ladder_falls_to_the_line_at_its_effort():
    """Of the effort in the middle, as often clean as the line has it."""
    from random import Random

    found = [simulated.ladder_of(WORLDS[1], 4, 50, 0.7, Random(n)) for n in range(400)]
    near = [
        sum(c for c, _ in each.counts[60]) / 200 for each in found if abs(each.highest - 60) < 2
    ]
    assert sum(near) / len(near) == pytest.approx(0.7, abs=0.05)
    clean = [sum(c for c, _ in each.counts[80]) / 200 for each in found]
    chance = [each.shares[80] for each in found]
    assert sum(clean) / len(clean) == pytest.approx(sum(chance) / len(chance), abs=0.02)
