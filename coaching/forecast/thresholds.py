"""The borders that a studio may move, with what we start from. Shares are in [0, 1]."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Thresholds:
    """House choices, all of them; each is explained in a sentence where a studio sets it.

    What protects a student (pain, stops) is not among them: no studio can turn it down.
    """

    # Share of the asked work that a forecast calls enough.
    finish_share: float = 0.80
    in_step_from: float = 0.60
    tight_from: float = 0.30
    weeks_needed: int = 4
    # No word: at least so many days, and so many times the longest usual gap.
    quiet_days: int = 4
    quiet_times: float = 1.5
    # A jump of hard swings: so many times the usual, and a rise of at least so many.
    jump_times: float = 1.5
    jump_rise: int = 40
    jump_rise_under_16: int = 25
    first_ceiling: int = 60
    first_ceiling_under_16: int = 40
    # Crammed: this share in the two days before a lesson, so far above the plan's.
    cram_share: float = 0.60
    cram_above_plan: float = 0.30
    # Counts exactly as asked: from this share on, worth one clip.
    as_asked_share: float = 0.90
    event_days: int = 3


DEFAULTS = Thresholds()
