"""Does the practice work? Done and moved, and whether more has gone with more."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from practice.measures.answers import BadData, TooLittle
from practice.measures.arrays import Array, Numbers, finite, numbers, same_length
from practice.measures.claim import Claim
from practice.measures.rates import counts


class Practice(StrEnum):
    KEEP_GOING = "Keep going"
    CHANGE_THE_DRILL = "Change the drill"
    ASK_FOR_LESS = "Ask for less"
    DO_IT_FIRST = "Do it first"
    TEST_DUE = "Test due"
    TOO_SOON = "Too soon to say"
    CANNOT_TELL = "Cannot tell yet"
    LESS_FOR_NOW = "Less for now"


# What asks for as much of the part as before, or for more.
AS_MUCH = (
    Practice.KEEP_GOING, Practice.DO_IT_FIRST, Practice.TEST_DUE, Practice.CANNOT_TELL,
)  # fmt: skip
DONE_SHARE, LEAST_WEEKS, LEAST_TESTS = 0.70, 3, 2


def done_and_moved(
    done_share: float | None,
    *,
    open_weeks: int,
    tests: int,
    claim: Claim | None,
    hurts: bool = False,
) -> Practice:
    """The most valuable answer: was it done, did the test move, and so what to do.

    Parameters
    ----------
    done_share : float or None
        Credited share of what was asked over the last open weeks; None if nothing was asked.
    open_weeks : int
        How many open weeks that stands on.
    tests : int
        Test days that can be judged.
    claim : Claim or None
        What can be claimed of the test; None while there are too few days for any.
    hurts : bool
        Whether something hurt on both of the last days of it: then no verdict keeps it as it
        is or puts it first (duty of care).

    Raises
    ------
    BadData
        A share below 0 or counts below 0.

    Notes
    -----
    House rule, not a published one: done from 70 % over 3 open weeks; below 2 tests one is
    due. The drill is to be changed only where a gain worth having is ruled out; an
    interval that reaches 0 rules out nothing.

    Examples
    --------
    >>> str(done_and_moved(0.85, open_weeks=3, tests=2, claim=None))
    'Cannot tell yet'
    """
    numbers([open_weeks, tests], "counts", least=0)
    if done_share is not None:
        finite(done_share, "share", least=0)
    if done_share is None or open_weeks < LEAST_WEEKS:
        return Practice.TOO_SOON
    found = _by_test(done_share, tests, claim)
    return Practice.LESS_FOR_NOW if hurts and found in AS_MUCH else found


def _by_test(done_share: float, tests: int, claim: Claim | None) -> Practice:
    done = done_share >= DONE_SHARE
    if tests < LEAST_TESTS:
        return Practice.TEST_DUE if done else Practice.DO_IT_FIRST
    if claim is not None and claim.better:
        return Practice.KEEP_GOING if done else Practice.ASK_FOR_LESS
    if not done:
        return Practice.DO_IT_FIRST
    ruled_out = claim is not None and claim.is_ruled_out
    return Practice.CHANGE_THE_DRILL if ruled_out else Practice.CANNOT_TELL


class Kept(StrEnum):
    STAYS = "stays"
    FADES = "fades"
    CANNOT_TELL = "cannot tell yet"


def kept_of(claim: Claim | None) -> Kept:
    """Does what was gained stay, by the claim of the tests afterwards against those before?

    Parameters
    ----------
    claim : Claim or None
        Tests after rest, or at another place, against the last ones with the drill.

    Notes
    -----
    House rule: *fades* where the tests moved for the worse; *stays* where they got better, or
    where any change worth having is ruled out; else it cannot be told yet.
    """
    if claim is not None and claim.worse:
        return Kept.FADES
    if claim is not None and (claim.better or claim.is_ruled_out):
        return Kept.STAYS
    return Kept.CANNOT_TELL


class Link(StrEnum):
    MORE_WITH_MORE = "more has gone with more"
    LESS_WITH_MORE = "more has gone with less"
    NONE_SEEN = "no link seen"


@dataclass(frozen=True, slots=True)
class MoreAndMore:
    """Rank correlation of minutes before a test with the change at it, and its chance level.

    Given the test before, where that was told.

    `after_bad_tests` counts heavy stretches that followed a fall: practice that
    answers bad tests makes a link of its own.
    """

    link: Link
    rank_correlation: float
    p: float
    n: int
    after_bad_tests: int


LEAST_PAIRS, LINK_AT = 10, 0.10
HARDLY = 1e-9


def more_and_more(
    minutes: Numbers,
    changes: Numbers,
    before: Numbers | None = None,
    *,
    seed: int = 1,
    shuffles: int = 4000,
) -> MoreAndMore | TooLittle:
    """Has more of this part gone with more change at the next test?

    Parameters
    ----------
    minutes : sequence of float, length n
        Minutes of the part in the stretch before each test, time order.
    changes : sequence of float, length n
        Change at each test against the one before, any unit.
    before : sequence of float, length n, optional
        The test before each, counted so that more is better. After a bad test there is
        more to gain, and many practise more: that alone makes a link.
    seed, shuffles : int
        Of the permutation test.

    Returns
    -------
    MoreAndMore, or TooLittle below 10 pairs.

    Raises
    ------
    BadData
        Lengths differ, a value not finite, minutes negative, one list all the same,
        or shuffles not a whole number.

    Notes
    -----
    Spearman's rank correlation with a two-sided permutation p; with `before` the partial
    one, of what is left of both ranks beside those of the test before, and that left is
    shuffled. With 12 pairs and a
    true correlation of 0.5 a link is seen 47 times of 100, so *no link seen* is not
    *no link*.

    References
    ----------
    Spearman, C. (1904). American Journal of Psychology 15, 72-101; Good, P. (2005).
    Permutation, Parametric and Bootstrap Tests of Hypotheses; Kendall, M. G. (1942).
    Biometrika 32, 277-283; Freedman, D. & Lane, D. (1983). Journal of Business & Economic
    Statistics 1, 292-298.

    Examples
    --------
    >>> more_and_more([1] * 6, [1] * 6).missing
    4
    """
    x, y = numbers(minutes, "minutes", least=0), numbers(changes, "changes")
    same_length(x, y)
    counts(0, shuffles)
    if x.size < LEAST_PAIRS:
        return TooLittle("A link needs ten stretches with a test after each.", x.size, LEAST_PAIRS)
    if np.ptp(x) == 0 or np.ptp(y) == 0:
        raise BadData("All the minutes, or all the changes, are the same.")
    a, b = (_unit(_ranks(each)) for each in (x, y))
    if before is not None:
        z = numbers(before, "tests before")
        same_length(x, z)
        a, b = _beside(a, z), _beside(b, z)
    rho = float(a @ b)
    shuffled = np.random.default_rng(seed).permuted(np.tile(b, (shuffles, 1)), axis=1) @ a
    p = (int((np.abs(shuffled) >= abs(rho) - 1e-12).sum()) + 1) / (shuffles + 1)
    link = Link.NONE_SEEN
    if p < LINK_AT:
        link = Link.MORE_WITH_MORE if rho > 0 else Link.LESS_WITH_MORE
    heavy_after_fall = int(((x[1:] > np.median(x)) & (y[:-1] < 0)).sum())
    return MoreAndMore(link, rho, p, x.size, heavy_after_fall)


def _ranks(values: Array) -> Array:
    """1 for the least; equal values share the mean of their places."""
    _, place, times = np.unique(values, return_inverse=True, return_counts=True)
    return (times.cumsum() - (times - 1) / 2)[place]


def _beside(ranks: Array, before: Array) -> Array:
    """What is left of ranks beside those of the test before; nothing where that says all."""
    if np.ptp(before) == 0:
        return ranks
    z = _unit(_ranks(before))
    left = ranks - (ranks @ z) * z
    return _unit(left) if np.linalg.norm(left) > HARDLY else np.zeros_like(left)


def _unit(ranks: Array) -> Array:
    centred = ranks - ranks.mean()
    return np.asarray(centred / np.linalg.norm(centred))
