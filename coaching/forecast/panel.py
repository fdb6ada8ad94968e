"""Seven forecasters of one week, and how far each is believed of this student.

*Minutes* and *shares* add up days of practice, one in minutes and one in shares of the week
asked, and *turns* does so as every other week had them, back from this one; *weeks* counts the
student's own weeks that brought as large a share from this day on; *standing* is a logistic
regression over all weeks of the studio on how a week stands; *left* goes day by day through the
work that is left (`work_left`); *ends* does so up to the last two days, and takes of these how
often they brought all that was still missing. Each is right about other people,
and nobody knows beforehand about whom: so each weighs by how likely it made the student's last
weeks, and all students' here (a mixture by past log score: Vovk 1990; Raftery and others 2005).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import exp, inf, log

from coaching.forecast.rhythm import DAYS, DoneWeek, Rhythm, chance_of


class By(StrEnum):
    """A forecaster of the panel, in the order of Rhythm.trust."""

    MINUTES = "minutes"
    SHARES = "shares"
    WEEKS = "weeks"
    STANDING = "standing"
    TURNS = "turns"
    LEFT = "left"
    ENDS = "ends"


JUDGED = 8  # Own past weeks by which the forecasters are judged,
JUDGED_AT = 2  # as each stood at the end of this day.
OWN_SCORES = 0.7  # How far those count: neighbouring weeks are alike.
TRUST_WEEKS = 60.0  # The studio's scores count as so many weeks.
LEAST_SCORED = 0.02  # No single week may end a forecaster.
FADE = 0.94  # Of older weeks, in what a student usually reaches and brings.
START_WEEKS = 2.0  # The studio's reached and rest, as so many weeks of the student's.
TURN_WEEKS = 1.0  # That every other week is like those between, the same.
PRIOR_WEEKS = 3.0  # The others' chance, as so many weeks counted.
ROUNDING = 1e-9


def mixed(chances: Sequence[float], weights: Sequence[float]) -> float:
    return sum([w * p for w, p in zip(weights, chances, strict=True)])


def log_score(chance: float, came: bool) -> float:
    held = min(1 - LEAST_SCORED, max(LEAST_SCORED, chance))
    return log(held if came else 1 - held)


def weights_of(trust: Sequence[float], scores: Sequence[Sequence[float]]) -> tuple[float, ...]:
    """Weights from the studio's mean scores and the student's own, week by week; sum 1."""
    logs = [
        TRUST_WEEKS * mean + OWN_SCORES * sum([each[n] for each in scores])
        for n, mean in enumerate(trust)
    ]
    most = max(logs)
    raw = [exp(each - most) for each in logs]
    return tuple([each / sum(raw) for each in raw])


# --- weeks -----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Rest:
    """How a week stands: the last day that is over, what is left, and days still open.

    `need` is the share of the week asked that is still to be credited, `open` the days
    that may yet bring it.
    """

    day: int
    need: float
    open: frozenset[int]


def counted(
    past: Sequence[DoneWeek], rest: Rest, enough: float, fade: float
) -> tuple[float, float, int, int]:
    """Weights of the own weeks that came through from here and of all that tell; and both counts.

    A week that reached the line with less to do than now tells nothing and is left out.
    """
    yes = told = 0.0
    through = weeks = 0
    weight = 1.0
    for week in reversed(past):
        brought = sum([week.by_day[day] for day in rest.open]) / week.asked
        came = brought >= rest.need - ROUNDING
        if came or sum(week.by_day) < enough * week.asked - ROUNDING:
            yes, told = yes + weight * came, told + weight
            through, weeks = through + came, weeks + 1
        weight *= fade
    return yes, told, through, weeks


# --- ends ------------------------------------------------------------------------------


def ends(
    past: Sequence[DoneWeek], usual: Sequence[float], enough: float, fade: float
) -> tuple[float, ...]:
    """Of weeks without the line when 1, 2, … days were left, the shares that reached it.

    Each is drawn towards the `usual` one by PRIOR_WEEKS (a beta-binomial); newer weeks weigh more.
    """
    found = []
    for days, share in enumerate(usual, start=1):
        yes, told, weight = PRIOR_WEEKS * share, PRIOR_WEEKS, 1.0
        for week in reversed(past):
            line = enough * week.asked - ROUNDING
            if sum(week.by_day[:-days]) < line:
                yes, told = yes + weight * (sum(week.by_day) >= line), told + weight
            weight *= fade
        found.append(yes / told)
    return tuple(found)


# --- standing --------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Usual:
    """What a student usually reaches: the share of weeks, and of a week, day by day.

    `since` are the days without practice before this week began, `lately` what the last week
    and the one before it brought beside the usual. `turn` is by how much days of every other
    week, back from this one, bring more than those of the weeks between. `ends` are past weeks
    by their share done in the end: (share, weight, whether it reached the line); the studio's
    own share of weeks that do is among them.
    """

    reached: float
    by_day: tuple[float, ...]
    since: int
    lately: tuple[float, float]
    turn: tuple[float, ...]
    ends: tuple[tuple[float, float, bool], ...]

    def reached_from(self, done: float) -> float:
        """Of the weeks that got as far as this, the share that reached the line."""
        told = [(weight, came) for end, weight, came in self.ends if end >= done - ROUNDING]
        return sum([w for w, came in told if came]) / sum([w for w, _ in told])


MOST_SINCE = 14


def usual_of(past: Sequence[DoneWeek], rhythm: Rhythm, enough: float) -> Usual:
    """From own past weeks, drawn towards the studio's; newer weeks weigh more."""
    weight, total = 1.0, START_WEEKS
    days = [START_WEEKS * rhythm.rest / DAYS] * DAYS
    # The studio's weeks as ones that got anywhere: they draw every share towards theirs.
    ends = [
        (inf, START_WEEKS * rhythm.reached, True),
        (inf, START_WEEKS * (1 - rhythm.reached), False),
    ]
    turns = ([0.0] * DAYS, [0.0] * DAYS)
    weights = [0.0, 0.0]
    for ago, week in enumerate(reversed(past)):
        shares = [minutes / week.asked for minutes in week.by_day]
        ends.append((sum(shares), weight, sum(week.by_day) >= enough * week.asked - ROUNDING))
        days = [d + weight * m for d, m in zip(days, shares, strict=True)]
        mine = turns[ago % 2]
        mine[:] = [d + weight * m for d, m in zip(mine, shares, strict=True)]
        weights[ago % 2] += weight
        total += weight
        weight *= FADE
    reached = sum([w for _, w, came in ends if came]) / total
    by_day = tuple([d / total for d in days])
    return Usual(
        reached,
        by_day,
        _since(past),
        _lately(past, sum(by_day)),
        _turn(turns, weights),
        tuple(ends),
    )


def _lately(past: Sequence[DoneWeek], usual: float) -> tuple[float, float]:
    brought = [sum(week.by_day) / week.asked - usual for week in reversed(past[-2:])]
    last, before = [*brought, 0.0, 0.0][:2]
    return last, before


def _turn(turns: tuple[Sequence[float], ...], weights: Sequence[float]) -> tuple[float, ...]:
    """Drawn towards no difference by TURN_WEEKS; this week is like the last but one."""
    between, like = weights
    if not between or not like:
        return (0.0,) * DAYS
    worth = between * like / (between + like)
    drawn = worth / (worth + TURN_WEEKS)
    return tuple([drawn * (b / like - a / between) for a, b in zip(*turns, strict=True)])


def _since(past: Sequence[DoneWeek]) -> int:
    since = 0
    for week in reversed(past[-2:]):
        for minutes in reversed(week.by_day):
            if minutes > 0:
                return since
            since += 1
    return since if past else 3


def standing(rest: Rest, by_day: Sequence[float], usual: Usual, enough: float) -> tuple[float, ...]:
    """What the pooled regression looks at; the first is its constant.

    Share left for each day left, practice on the day before, days since the last, how often
    the student's weeks reach the line (log-odds), how much more than is needed the days left
    usually bring; how much more often those weeks reach it that got as far as this one, how
    far ahead of the usual it is, what the last two weeks brought, and the turn of the week.
    """
    since = usual.since + rest.day + 1
    for ago, day in enumerate(range(rest.day, -1, -1)):
        if by_day[day] > 0:
            since = ago
            break
    done = enough - rest.need
    brings = sum([usual.by_day[day] for day in rest.open])
    return (
        1.0,
        5 * rest.need / max(1, len(rest.open)) - 0.5,
        0.6 if since == 0 else -0.4,
        log(1 + min(since, MOST_SINCE)) - 1,
        _odds(usual.reached),
        brings - rest.need,
        _odds(usual.reached_from(done)) - _odds(usual.reached),
        done - sum(usual.by_day[: rest.day + 1]),
        *usual.lately,
        sum([usual.turn[day] for day in rest.open]),
    )


def _odds(share: float) -> float:
    return log(share / (1 - share))


def pooled_chance(rhythm: Rhythm, stands: Sequence[float]) -> float:
    return chance_of(sum([b * x for b, x in zip(rhythm.pooled, stands, strict=True)]))
