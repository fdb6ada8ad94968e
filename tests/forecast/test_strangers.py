"""Students of other hands: they know nothing of the forecast, and their best chance is right."""

import ast
from pathlib import Path

import pytest

from coaching.forecast import strangers
from coaching.forecast.evaluation import WEDNESDAY
from coaching.forecast.scoring import calibration, calibration_error
from coaching.forecast.strangers import worlds
from coaching.forecast.strangers.trial import cases, table, tried
from coaching.forecast.strangers.worlds import HELD_BACK, KINDS, MIXED, studio

FOLDER = Path(strangers.__file__).parent
PEOPLE = sorted(
    path
    for path in FOLDER.glob("*.py")
    if path.stem not in {"__init__", "worlds", "trial", "learner", "legible"}
)


@pytest.mark.parametrize("path", PEOPLE, ids=lambda path: path.stem)
def test_nobody_shares_code_with_the_forecast_or_with_each_other(path):
    tree = ast.parse(path.read_text())
    taken = {node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    assert taken <= {"random", "copy", "math"}
    assert not [node for node in ast.walk(tree) if isinstance(node, ast.Import)]


def test_there_are_as_many_hands_as_kinds():
    assert len(PEOPLE) == len(KINDS) >= 16
    assert set(HELD_BACK) < set(KINDS)


@pytest.mark.parametrize("kind", KINDS)
def test_the_best_chance_comes_true_as_often_as_it_says(kind, monkeypatch):
    # 200 copies put no week nearer to its bounds than 80, which are off by 0.06 at most.
    monkeypatch.setattr(worlds, "COPIES", 80)
    lives = studio(kind, students=40, weeks=10, seed=11, enough=0.8)
    weeks = [week for life in lives for week in life]
    best, came = [week.best for week in weeks], [week.reaches(0.8) for week in weeks]
    error = sum(p * (1 - p) for p in best) ** 0.5 / len(best)
    assert abs(sum(best) - sum(came)) / len(best) < 3.5 * error + 0.01
    assert calibration_error(calibration(best, came)) < 0.09


def test_the_same_seed_gives_the_same_studio():
    one, same, other = (
        studio(MIXED, students=9, weeks=2, seed=seed, enough=0.8) for seed in (1, 1, 2)
    )
    assert one == same != other


def test_the_forecast_is_near_the_best_for_people_with_fixed_days():
    """A small studio of one seed; the real figures are those of evaluate_forecast --strangers."""
    lives = studio("creature of habit", students=12, weeks=12, seed=31, enough=0.8)
    line = tried("creature of habit", 12, [c for c in cases(lives) if c.weeks_before >= 4])
    assert line.skill > 0.6
    assert line.roc > 0.9
    assert "| creature of habit | 12 |" in table([line])


def test_wednesdays_alone_say_the_same_of_wednesdays():
    lives = studio("bursts", students=6, weeks=8, seed=32, enough=0.8)
    every, wednesdays = list(cases(lives)), list(cases(lives, (WEDNESDAY,)))
    assert wednesdays == [case for case in every if case.look == WEDNESDAY]
    whole, part = tried("bursts", 6, every), tried("bursts", 6, wednesdays)
    assert (part.skill, part.roc, part.calibration) == (whole.skill, whole.roc, whole.calibration)
    assert part.warning is None
    assert table([part]).endswith("| – |")
