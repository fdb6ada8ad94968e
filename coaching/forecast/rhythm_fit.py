"""Making a studio's rhythm from its past weeks. Run once a week, never for a page.

Numbers of the model that have a plain estimate get it; those that say how fast a
student's own weeks outweigh the studio's, and how far weeks lie apart, are the mean of a
few steps each, weighed by how likely they made every week's days, given only the weeks
before it (prequential likelihood, Dawid 1984). Then the panel is judged on the studio's
past weeks, and last its chances are leant so that the past ones came out right.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import log
from typing import TYPE_CHECKING, Any

from coaching.forecast.cycles import shares_of
from coaching.forecast.forecast import (
    CRUMB,
    ENOUGH,
    JUDGED_WEEKS,
    LEAST,
    LOST_CHANCE,
    MOST,
    NODES,
    WEEKS_READ,
    alone,
    as_it_stood,
    at_least,
    chances,
    days_asked,
    held_in,
    own_minutes,
)
from coaching.forecast.own_odds import FARTHEST, LOGISTIC, between_students, flattening, start_of
from coaching.forecast.panel import (
    JUDGED,
    JUDGED_AT,
    By,
    ends,
    log_score,
    mixed,
    standing,
    usual_of,
    weights_of,
)
from coaching.forecast.rhythm import DAYS, HOUSE, DoneWeek, Rhythm, Shares, in_percent
from coaching.forecast.work_left import work_of

if TYPE_CHECKING:
    import numpy as np

    Array = np.ndarray[Any, Any]

STUDENT_WEEKS_NEEDED = 20
# The first weeks held are judged as well, as if of new students: they tell most about how
# students differ. By number.
FIRST_WEEKS = frozenset({0, 1, 3, 6})
LOOKS = (0, 2, 4)  # Ends of which days.
STOOD = (0, 1, 2, 3, 4)  # The same, for the regression of how weeks stand;
LOOK_WEIGHT = 0.3  # looks at one week are hardly news to another.
MOST_LOOKED_AT = 1000
# A forecaster that is better here by chance is soon found; weeks of a studio are alike.
TOLD_NOTHING = 120
FOLDS = 5
STEPS: dict[str, tuple[float, ...]] = {
    "fade": (0.8, 0.9, 0.96, 1.0),
    "weeks_differ": (0.2, 0.5, 0.9, 1.5),
    "asking_tells": (0.0, 1.0, 4.0, 12.0),
    "levels_differ": (0.2, 0.5, 0.9, 1.4, 2.0),
    "weekends_differ": (0.0, 0.5, 1.0, 1.8),
    # Whoever has fixed days has hardly any other: far beyond what most students do.
    "weekdays_differ": (0.0, 0.35, 0.7, 1.1, 1.6, 2.3),
    "lost_weeks": (0.0, 0.03, 0.09),
}
LEAST_OWN_AMOUNTS, MOST_OWN_AMOUNTS = 4.0, 80.0
ROUNDS = 2
NEWTON = 4  # Steps to a student's log-odds; from the studio's they are there in three or four.
CENTRINGS = 5
# How firmly the lean starts from none: as if so wide a spread were known beforehand.
LEAN_SPREAD = 0.25

History = Sequence[DoneWeek]


def rhythm_from(
    histories: Iterable[History], delays: Sequence[int] = (), enough: float = ENOUGH
) -> Rhythm:
    """The rhythm of a studio.

    Parameters
    ----------
    histories : iterable of sequences of DoneWeek
        Past open weeks of each student, oldest first; nothing of the present week.
    delays : sequence of int
        Days between practice and writing, of the studio's entries.
    enough : float
        The share of the asked minutes that is foretold.

    Returns
    -------
    Rhythm
        HOUSE, where there are fewer than STUDENT_WEEKS_NEEDED student-weeks.
    """
    held = [
        list(weeks)[-(WEEKS_READ + JUDGED_WEEKS) :]
        for weeks in histories
        if any(week.asked > 0 for week in weeks)
    ]
    held = [[week for week in weeks if week.asked > 0] for weeks in held]
    count = sum(map(len, held))
    if count < STUDENT_WEEKS_NEEDED:
        return HOUSE
    plain = replace(
        HOUSE,
        **_practice(held),
        **_minutes(held),
        late=_late(delays),
        weeks=count,
        students=len(held),
    )
    days = _Days.of(held, plain)
    plain = replace(plain, usually_asked=days.usually_asked)
    found = replace(
        _weighed(plain, days), shares=_of_week(held), cycles=shares_of(held), work=work_of(held)
    )
    return _judged(found, held, enough)


# --- plain estimates -------------------------------------------------------------------


def _practice(held: Sequence[History]) -> dict[str, Any]:
    """Log-odds of practising in all and by weekday, each drawn in by a few days."""
    days, done = [0.0] * DAYS, [0.0] * DAYS
    for weeks in held:
        for week in weeks:
            for weekday, minutes, _ in week.days():
                days[weekday] += 1
                done[weekday] += minutes > 0
    mean = (sum(done) + 1) / (sum(days) + 2)
    shares = [(k + 4 * mean) / (n + 4) for k, n in zip(done, days, strict=True)]
    odds = [log(p / (1 - p)) for p in (min(MOST, max(LEAST, p)) for p in shares)]
    level = sum(odds) / DAYS
    return {"level": level, "weekdays": tuple(each - level for each in odds)}


def _minutes(held: Sequence[History]) -> dict[str, Any]:
    """Minutes of a day: their mean, by weekday beside it, and how they spread."""
    raw = [_shares(weeks) for weeks in held]
    if sum(map(len, raw)) < DAYS:
        return {}
    found: dict[str, Any] = {}
    amounts, spread = [1.0] * DAYS, HOUSE.spread
    for _ in range(2):
        by_student = [_whole(shares, amounts, spread) for shares in raw]
        seen = [each for shares in by_student for each in shares]
        mean = sum(share for _, _, share in seen) / len(seen)
        amounts = [_beside(mean, [s for d, _, s in seen if d == day]) for day in range(DAYS)]
        found = _spreads(by_student, amounts)
        spread = found.get("spread", HOUSE.spread)
    level = sum(s / amounts[d] for d, _, s in seen) / len(seen)
    return {"amount": level, "amounts": tuple(amounts), **found}


def _of_week(held: Sequence[History]) -> Shares:
    return replace(HOUSE.shares, **_minutes([[in_percent(w) for w in weeks] for weeks in held]))


def _beside(mean: float, here: Sequence[float]) -> float:
    return (sum(here) / mean + 10) / (len(here) + 10)


def _shares(weeks: History) -> list[tuple[int, int, float, bool]]:
    """(weekday, number of the week, minutes, whether that ended the week)."""
    return [
        (weekday, number, minutes, cut)
        for number, week in enumerate(weeks)
        for weekday, minutes, cut in week.days()
        if minutes > 0
    ]


def _whole(
    shares: Sequence[tuple[int, int, float, bool]], amounts: Sequence[float], spread: float
) -> list[tuple[int, int, float]]:
    """The same with days that were cut short made whole, by the student's own mean."""
    if not shares:
        return []
    mean = sum(share / amounts[day] for day, _, share, _ in shares) / len(shares)
    for _ in range(3):
        level = [
            at_least(s / amounts[d], mean, spread) if cut else s / amounts[d]
            for d, _, s, cut in shares
        ]
        mean = sum(level) / len(level)
    return [
        (day, number, each * amounts[day])
        for (day, number, *_), each in zip(shares, level, strict=True)
    ]


def _spreads(
    by_student: Sequence[Sequence[tuple[int, int, float]]], amounts: Sequence[float]
) -> dict[str, float]:
    """Spread within students, what weeks have in common, and how much students differ.

    Variance components of minutes beside the student's mean, by moments.
    """
    within = between = common = same = 0.0
    freedom, pairs, days = 0, 0, 0
    means = []
    for shares in by_student:
        level = [share / amounts[day] for day, _, share in shares]
        if len(level) < 3:
            continue
        mean = sum(level) / len(level)
        rest = [each / mean - 1 for each in level]
        within += sum(each**2 for each in rest)
        freedom += len(level) - 1
        means.append(mean)
        both, count = _pairs(rest, [number for _, number, _ in shares])
        common, pairs = common + both, pairs + count
        both, count = _pairs(rest, [day for day, *_ in shares])
        same, days = same + both, days + count
    if freedom < DAYS or len(means) < 3:
        return {}
    spread2 = within / freedom
    week2 = min(max(0.0, common / pairs), spread2 / 2) if pairs else 0.0
    weekday2 = max(0.0, same / days) if days else 0.0
    grand = sum(means) / len(means)
    between = sum((each / grand - 1) ** 2 for each in means) / (len(means) - 1)
    between -= spread2 * len(means) / (freedom + len(means))  # What chance alone would make.
    return {
        "spread": max(0.1, (spread2 - week2) ** 0.5),
        "week_spread": week2**0.5,
        "own_amount": min(20.0, max(0.5, spread2 / max(between, 0.01))),
        "own_amounts": _days_to_tell(spread2, weekday2),
    }


def _days_to_tell(spread2: float, weekday2: float) -> float:
    """Days of one weekday after which its own minutes weigh as much as the student's usual."""
    if spread2 >= weekday2 * MOST_OWN_AMOUNTS:
        return MOST_OWN_AMOUNTS
    return max(LEAST_OWN_AMOUNTS, spread2 / weekday2)


def _pairs(rest: Sequence[float], weeks: Sequence[int]) -> tuple[float, int]:
    """Sum of products over pairs of days in the same week, and how many pairs."""
    sums: dict[int, list[float]] = {}
    for each, week in zip(rest, weeks, strict=True):
        sums.setdefault(week, []).append(each)
    product = sum((sum(v) ** 2 - sum(x**2 for x in v)) / 2 for v in sums.values())
    return product, sum(len(v) * (len(v) - 1) // 2 for v in sums.values())


def _late(delays: Sequence[int]) -> tuple[float, ...]:
    """Share written later than 0, 1, … days after the practice, drawn towards HOUSE."""
    start = 20
    return tuple(
        (sum(delay > day for delay in delays) + start * HOUSE.late[day]) / (len(delays) + start)
        for day in range(DAYS)
    )


# --- by likelihood ---------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Days:
    """Days of every student's weeks by weekday: open ones and those with practice.

    Arrays of students × weeks × 7, weeks aligned at the newest; `asked` of students ×
    weeks is what forecast.days_asked says when the week begins.
    """

    open: "Array"
    done: "Array"
    asked: "Array"

    @classmethod
    def of(cls, held: Sequence[History], rhythm: Rhythm) -> "_Days":
        import numpy as np

        longest = max(map(len, held))
        is_open = np.zeros((len(held), longest, DAYS))
        done = np.zeros_like(is_open)
        asked = np.full(is_open.shape[:2], np.nan)
        for row, weeks in enumerate(held):
            for number, week in enumerate(weeks, start=longest - len(weeks)):
                for weekday, minutes, _ in week.days():
                    is_open[row, number, weekday] = 1
                    done[row, number, weekday] = minutes > 0
            for number in range(len(weeks)):
                column = longest - len(weeks) + number
                if column in FIRST_WEEKS or column >= longest - JUDGED_WEEKS:
                    asked[row, column] = _asked(weeks, number, rhythm)
        return cls(is_open, done, asked)

    @property
    def usually_asked(self) -> float:
        import numpy as np

        return float(np.nanmean(self.asked))


def _asked(weeks: History, number: int, rhythm: Rhythm) -> float:
    before, week = weeks[max(0, number - WEEKS_READ) : number], weeks[number]
    return days_asked(before, as_it_stood(week, -1).whole, own_minutes(before, rhythm).mean)


def _weighed(rhythm: Rhythm, days: _Days) -> Rhythm:
    """Each number in turn the mean of its steps, each step weighing as likely as it makes the
    weeks; twice round.

    Where few weeks tell them apart the number stays in the middle of what may be; climbing
    to the likeliest would call a chance of few a law (Bayesian model averaging; Hoeting and
    others 1999).
    """
    for _ in range(ROUNDS):
        rhythm = _centred(rhythm, days)
        for name, steps in STEPS.items():
            rhythm = replace(rhythm, **{name: _mean_step(rhythm, name, steps, days)})  # type: ignore[arg-type]  # All floats.
    return _centred(rhythm, days)


def _mean_step(rhythm: Rhythm, name: str, steps: Sequence[float], days: _Days) -> float:
    import numpy as np

    tried = [replace(rhythm, **{name: step}) for step in steps]  # type: ignore[arg-type]  # As above.
    likely = np.array([_log_likelihood(each, days) for each in tried])
    weights = np.exp(likely - likely.max())
    return float(weights @ np.array(steps) / weights.sum())


def _centred(rhythm: Rhythm, days: _Days) -> Rhythm:
    """The studio's log-odds as the mean of its students', each drawn in (an EM algorithm).

    Counting all days alike would lean to those who seldom practise: a week that is done
    early says no more of its last days.
    """
    import numpy as np

    weights = rhythm.fade ** np.arange(days.open.shape[1])[::-1, None]
    had, done = (days.open * weights).sum(axis=1), (days.done * weights).sum(axis=1)
    begin = start_of(rhythm)
    asked = (days.asked[:, -1:] - rhythm.usually_asked) * np.array(begin.asking)
    middle = np.array(begin.odds)
    for _ in range(CENTRINGS):
        odds, _ = _odds_after(had, done, middle + asked, np.array(begin.spread))
        middle = (odds - asked).mean(axis=0)
    flat = np.sqrt(1 + LOGISTIC * np.diag(np.array(between_students(rhythm))))
    each = middle / flat
    level = float(each.mean())
    return replace(rhythm, level=level, weekdays=tuple(float(e) - level for e in each))


def _log_likelihood(rhythm: Rhythm, days: _Days) -> float:
    """Log-likelihood of the judged weeks, each given the weeks before it."""
    import numpy as np

    weeks = days.open.shape[1]
    had, done = np.zeros_like(days.open[:, 0]), np.zeros_like(days.open[:, 0])
    asked = np.nan_to_num(days.asked - rhythm.usually_asked)
    judged = []
    for week in range(weeks):
        now, did = days.open[:, week], days.done[:, week]
        if week in FIRST_WEEKS or week >= weeks - JUDGED_WEEKS:
            known = now.any(axis=1)
            rows = (had, done, asked[:, week], now, did)
            judged.append([each[known] for each in rows])
        had, done = now + rhythm.fade * had, did + rhythm.fade * done
    had, done, asked, now, did = (np.concatenate(each) for each in zip(*judged, strict=True))
    return float(_week_likelihood(rhythm, *_one_way(rhythm, had, done, asked), (now, did)).sum())


def _one_way(
    rhythm: Rhythm, had: "Array", done: "Array", asked: "Array"
) -> tuple["Array", "Array"]:
    """Log-odds and moves for every student at once; as in forecast.habits_of."""
    import numpy as np

    begin, week = start_of(rhythm), rhythm.weeks_differ**2
    start = np.array(begin.odds) + asked[:, None] * np.array(begin.asking)
    odds, doubt = _odds_after(had, done, start, np.array(begin.spread))
    rows = doubt.sum(axis=2) + DAYS * week
    moves = rows / np.sqrt(rows.sum(axis=1, keepdims=True) + 1e-12)
    alone = np.maximum(0, np.diagonal(doubt, axis1=1, axis2=2) + week - moves**2)
    flat = np.sqrt(1 + LOGISTIC * alone)
    return odds * flattening(week) / flat, moves / flat


def _week_likelihood(
    rhythm: Rhythm, odds: "Array", moves: "Array", days: tuple["Array", "Array"]
) -> "Array":
    """Log-likelihood of a week's days, open ones and done ones, for every student."""
    import numpy as np

    fits = rhythm.lost_weeks * _fit(np.full_like(odds, LOST_CHANCE), *days)
    for node, weight in NODES:
        kind = np.clip(_logistic(odds + moves * node), LEAST, MOST)
        fits = fits + (1 - rhythm.lost_weeks) * weight * _fit(kind, *days)
    return np.log(fits + 1e-300)


def _odds_after(
    days: "Array", done: "Array", start: "Array", spread: "Array"
) -> tuple["Array", "Array"]:
    """own_odds.odds_after for every row at once."""
    import numpy as np

    odds = start.copy()
    for _ in range(NEWTON):
        p = _logistic(odds)
        weights = days * p * (1 - p)
        shrunk = _shrunk(spread, weights)
        pull = weights * (odds - start) + done - days * p
        moved = start + (shrunk @ pull[:, :, None])[:, :, 0]
        odds = odds + np.clip(moved - odds, -FARTHEST, FARTHEST)
    return odds, shrunk


def _shrunk(spread: "Array", weights: "Array") -> "Array":
    """own_odds._shrunk for every row at once."""
    import numpy as np

    left = np.repeat(spread[None], len(weights), axis=0)
    for day in range(DAYS):
        column, weight = left[:, day], weights[:, day]
        share = weight / (1 + weight * column[:, day])
        left = left - (share[:, None] * column)[:, :, None] * column[:, None, :]
    return left


def _fit(p: "Array", now: "Array", did: "Array") -> "Array":
    import numpy as np

    chance: Array = np.where(now > 0, np.where(did > 0, p, 1 - p), 1.0).prod(axis=1)
    return chance


def _logistic(odds: "Array") -> "Array":
    import numpy as np

    chance: Array = 1 / (1 + np.exp(-np.clip(odds, -35, 35)))
    return chance


# --- the panel -------------------------------------------------------------------------


def _judged(rhythm: Rhythm, held: Sequence[History], enough: float) -> Rhythm:
    """With the studio's own regression of how weeks stand, trust in each forecaster, and lean."""
    rhythm = _reached(rhythm, held, enough)
    stood = _stood(rhythm, held, enough)
    looks = _looks_back(rhythm, stood, held, enough)
    rhythm = replace(rhythm, pooled=stood.line(), trust=_trust(looks))
    odds, came = [], []
    for past in looks:
        for each in past[-JUDGED_WEEKS:]:
            before = [one.score for one in past if one.number < each.number][-JUDGED:]
            weights = weights_of(rhythm.trust, [score for score in before if score])
            for said in each.said:
                chance = held_in(mixed(said, weights))
                odds.append(log(chance / (1 - chance)))
                came.append(each.came)
    if len(odds) < STUDENT_WEEKS_NEEDED:
        return rhythm
    tilt, stretch = _logit_line(odds, came)
    return replace(rhythm, tilt=tilt, stretch=stretch)


def _came(week: DoneWeek, enough: float) -> bool:
    return sum(week.by_day) >= enough * week.asked - CRUMB


def _reached(rhythm: Rhythm, held: Sequence[History], enough: float) -> Rhythm:
    """How often weeks reach the line and what they bring, each student counting alike."""
    came = [sum(_came(week, enough) for week in weeks) / len(weeks) for weeks in held]
    brought = [sum(sum(week.by_day) / week.asked for week in weeks) / len(weeks) for weeks in held]
    n = len(held)
    every = [week for weeks in held for week in weeks]
    return replace(
        rhythm,
        reached=(sum(came) + 1) / (n + 2),
        rest=(sum(brought) + 0.8) / (n + 1),
        ends=ends(every, HOUSE.ends, enough, fade=1.0),
    )


@dataclass(frozen=True, slots=True)
class _Stood:
    """How weeks stood at some looks, a row each: `who` had them, and whether they came."""

    rows: "Array"
    came: "Array"
    who: "Array"
    weight: float

    def line(self, without: int | None = None) -> tuple[float, ...]:
        """The regression of `panel.standing`, drawn towards the house's by a normal prior.

        Of all students, or of those that are in another of FOLDS parts.
        """
        import numpy as np

        start = np.array(HOUSE.pooled)
        kept = np.full(len(self.who), True) if without is None else self.who % FOLDS != without
        if not kept.any():
            return HOUSE.pooled
        line = _logistic_line(self.rows[kept], self.came[kept], start, self.weight)
        return tuple(float(each) for each in line)


def _stood(rhythm: Rhythm, held: Sequence[History], enough: float) -> _Stood:
    import numpy as np

    rows, came, who = [], [], []
    cases = [(n, number) for n, weeks in enumerate(held) for number in range(len(weeks))]
    every = max(1, -(-len(cases) * len(STOOD) // MOST_LOOKED_AT))
    for student, number in cases[::every]:
        weeks = held[student]
        usual = usual_of(weeks[max(0, number - WEEKS_READ) : number], rhythm, enough)
        for look in STOOD:
            now = as_it_stood(weeks[number], look)
            rest = now.rest(enough)
            if rest.need > 0 and rest.open:
                rows.append(standing(rest, now.by_day, usual, enough))
                came.append(_came(weeks[number], enough))
                who.append(student)
    return _Stood(np.array(rows), np.array(came, float), np.array(who), every * LOOK_WEIGHT)


def _logistic_line(x: "Array", y: "Array", start: "Array", weight: float) -> "Array":
    """The mode of a logistic regression with a normal prior of spread 1 around `start`."""
    import numpy as np

    line = start.copy()
    for _ in range(12):
        p = _logistic(x @ line)
        slope = weight * x.T @ (y - p) - (line - start)
        bend = weight * (x * (p * (1 - p))[:, None]).T @ x + np.eye(len(start))
        line = line + np.linalg.solve(bend, slope)
    return line


@dataclass(frozen=True, slots=True)
class _Looked:
    """A past week: what each forecaster said at each look, and their log scores at one."""

    number: int
    said: tuple[tuple[float, ...], ...]
    score: tuple[float, ...]
    came: bool


def _looks_back(
    rhythm: Rhythm, stood: _Stood, held: Sequence[History], enough: float
) -> list[list[_Looked]]:
    """For some students, the newest weeks: those to be leant by, and as many before them.

    Each is looked at by a regression of others: by its own weeks a regression looks better
    than it is (cross-validation; Stone 1974).
    """
    by_others = [replace(rhythm, pooled=stood.line(without=fold)) for fold in range(FOLDS)]
    most = max(1, MOST_LOOKED_AT // (len(LOOKS) * (JUDGED_WEEKS + JUDGED)))
    every = -(-len(held) // most)
    cases = list(enumerate(held))[::every]
    return [_looked(weeks, by_others[number % FOLDS], enough) for number, weeks in cases]


def _looked(weeks: History, rhythm: Rhythm, enough: float) -> list[_Looked]:
    found = []
    for number in range(max(1, len(weeks) - JUDGED_WEEKS - JUDGED), len(weeks)):
        past, week = weeks[max(0, number - WEEKS_READ) : number], weeks[number]
        came = _came(week, enough)
        own = alone(past, rhythm, as_it_stood(week, -1), enough)
        looks = [as_it_stood(week, look) for look in LOOKS]
        open_ = [now for now in looks if now.credited < enough * now.asked - CRUMB]
        said = tuple(chances(now, own, rhythm, enough) for now in open_)
        judged = len(open_) > LOOKS.index(JUDGED_AT)
        at = said[LOOKS.index(JUDGED_AT)] if judged else ()
        found.append(_Looked(number, said, tuple(log_score(p, came) for p in at), came))
    return found


def _trust(looks: Sequence[Sequence[_Looked]]) -> tuple[float, ...]:
    """Mean log score of each forecaster, as if TOLD_NOTHING weeks had told nothing."""
    scores = [each.score for past in looks for each in past if each.score]
    weeks = len(scores) + TOLD_NOTHING
    return tuple(sum(score[n] for score in scores) / weeks for n in range(len(By)))


def _logit_line(odds: Sequence[float], came: Sequence[bool]) -> tuple[float, float]:
    """Tilt and stretch of a logistic regression that starts at 0 and 1 (a normal prior)."""
    import numpy as np

    x = np.column_stack([np.ones(len(odds)), np.array(odds)])
    y = np.array(came, float)
    start = np.array([0.0, 1.0])
    held = np.eye(2) * len(LOOKS) / LEAN_SPREAD**2  # Looks at one week are no news to another.
    line = start.copy()
    for _ in range(12):
        p = _logistic(x @ line)
        slope = x.T @ (y - p) - held @ (line - start)
        bend = (x * (p * (1 - p))[:, None]).T @ x + held
        line = line + np.linalg.solve(bend, slope)
    return float(line[0]), float(max(0.3, line[1]))
