"""What no human and no club can do was mistyped, whichever way it comes in."""

import pytest

from practice.log.shot_figures import FIGURES, MOST_SMASH, smash_fault
from practice.shots.services import ShotInput, check
from shared.kit.refused import Refused

MPH = 0.44704


@pytest.mark.parametrize(
    ("ball", "club", "is_fault"),
    [
        (167, 112, False),
        (174, 112, True),
        (112, 167, False),
        (None, 112, False),
        (167, None, False),
    ],
)
def test_a_ball_is_no_faster_than_the_club_can_make_it(ball, club, is_fault):
    """Momentum and restitution: (1 + 0.83) / (1 + 45.93 / 200) is 1.488 (common practice)."""
    assert pytest.approx(1.488, abs=5e-4) == (1 + 0.83) / (1 + 45.93 / 200)
    assert MOST_SMASH > 1.488
    speeds = [None if each is None else each * MPH for each in (ball, club)]
    assert bool(smash_fault(*speeds)) == is_fault
    told = ShotInput(ball_speed=speeds[0], club_speed=speeds[1])
    if is_fault:
        with pytest.raises(Refused, match="Look at both speeds again"):
            check(told)
    else:
        check(told)


@pytest.mark.parametrize(("name", "most"), [("ball_speed", 250), ("club_speed", 180)])
def test_no_limit_is_beyond_what_was_ever_hit(name, most):
    assert FIGURES[name].high < most * MPH
    with pytest.raises(Refused):
        check(ShotInput(**{name: most * MPH}))
