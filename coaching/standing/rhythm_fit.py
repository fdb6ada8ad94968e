"""Making a studio's rhythm from its past weeks. Run once a week, never for a page.

Numbers of the model that have a plain estimate get it; those that say how fast a
student's own weeks outweigh the studio's, and how far weeks lie apart, are chosen
from a few steps each so that every week's days were most likely, given only the weeks
before it (prequential likelihood, Dawid 1984). Last, the chances themselves are leant
so that the studio's own past ones came out right.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import log
from typing import TYPE_CHECKING, Any

from coaching.standing.forecast import (
    ENOUGH,
    JUDGED_WEEKS,
    LEAST,
    LOST_CHANCE,
    MOST,
    NODES,
    WEEKS_READ,
    ThisWeek,
    at_least,
    days_asked,
    habits_of,
    outcome,
    own_minutes,
    to_come,
)
from coaching.standing.own_odds import FARTHEST, LOGISTIC, alike, flattening, start_of
from coaching.standing.rhythm import DAYS, HOUSE, DoneWeek, Rhythm

if TYPE_CHECKING:
    import numpy as np

    Array = np.ndarray[Any, Any]

STUDENT_WEEKS_NEEDED = 20
# The first weeks held are judged as well, as if of new students: they tell most about how
# students differ. By number.
FIRST_WEEKS = frozenset({0, 1, 3, 6})
LOOKS = (0, 2, 4)  # Ends of which days.
MOST_LOOKED_AT = 1500
STEPS: dict[str, tuple[float, ...]] = {
    "fade": (0.8, 0.88, 0.94, 0.98, 1.0),
    "weeks_differ": (0.2, 0.4, 0.6, 0.8, 1.0, 1.3, 1.7),
    "asking_tells": (0.0, 1.0, 2.5, 5.0, 10.0, 20.0),
    "levels_differ": (0.2, 0.4, 0.6, 0.8, 1.1, 1.5),
    "weekends_differ": (0.0, 0.3, 0.6, 0.9, 1.3, 1.8),
    "weekdays_differ": (0.0, 0.2, 0.35, 0.5, 0.7, 1.0),
    "lost_weeks": (0.0, 0.02, 0.05, 0.09, 0.14),
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
    found = _likeliest(plain, days)
    return _leant(found, held, enough)


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


def _likeliest(rhythm: Rhythm, days: _Days) -> Rhythm:
    """Each number in turn to the step that makes the weeks likeliest; twice round."""
    for _ in range(ROUNDS):
        rhythm = _centred(rhythm, days)
        best = _log_likelihood(rhythm, days)
        for name, steps in STEPS.items():
            rhythm, best = _climbed(rhythm, best, name, steps, days)
    return _centred(rhythm, days)


def _climbed(
    rhythm: Rhythm, best: float, name: str, steps: Sequence[float], days: _Days
) -> tuple[Rhythm, float]:
    """From the step nearest to what it is, on to the next as long as that is likelier."""
    here = min(range(len(steps)), key=lambda n: abs(steps[n] - getattr(rhythm, name)))
    for way in (1, -1):
        at = here + way
        while 0 <= at < len(steps):
            tried = replace(rhythm, **{name: steps[at]})  # type: ignore[arg-type]  # All floats.
            found = _log_likelihood(tried, days)
            if found <= best + 1e-9:
                break
            best, rhythm, at = found, tried, at + way
        if at != here + way:
            break
    return rhythm, best


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
    flat = np.sqrt(1 + LOGISTIC * np.diag(np.array(alike(rhythm))))
    each = middle / flat
    level = float(each.mean())
    return replace(rhythm, level=level, weekdays=tuple(float(e) - level for e in each))


def _log_likelihood(rhythm: Rhythm, days: _Days) -> float:
    """Mean log-likelihood of the judged weeks, each given the weeks before it."""
    import numpy as np

    weeks = days.open.shape[1]
    had, done = np.zeros_like(days.open[:, 0]), np.zeros_like(days.open[:, 0])
    asked = np.nan_to_num(days.asked - rhythm.usually_asked)
    total, count = 0.0, 0
    for week in range(weeks):
        now, did = days.open[:, week], days.done[:, week]
        if week in FIRST_WEEKS or week >= weeks - JUDGED_WEEKS:
            known = now.any(axis=1)
            odds, moves = _one_way(rhythm, had, done, asked[:, week])
            total += float(_week_likelihood(rhythm, odds, moves, (now, did))[known].sum())
            count += int(known.sum())
        had, done = now + rhythm.fade * had, did + rhythm.fade * done
    return total / max(1, count)


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

    return np.where(now > 0, np.where(did > 0, p, 1 - p), 1.0).prod(axis=1)


def _logistic(odds: "Array") -> "Array":
    import numpy as np

    return 1 / (1 + np.exp(-np.clip(odds, -35, 35)))


# --- leaning -----------------------------------------------------------------------------


def _leant(rhythm: Rhythm, held: Sequence[History], enough: float) -> Rhythm:
    """Lean the log-odds so that past forecasts came out right (Cox 1958; Platt 1999)."""
    odds, came = _looks_back(rhythm, held, enough)
    if len(odds) < STUDENT_WEEKS_NEEDED:
        return rhythm
    tilt, stretch = _logit_line(odds, came)
    return replace(rhythm, tilt=tilt, stretch=stretch)


def _looks_back(
    rhythm: Rhythm, held: Sequence[History], enough: float
) -> tuple[list[float], list[bool]]:
    cases = [
        (weeks[max(0, number - WEEKS_READ) : number], weeks[number])
        for weeks in held
        for number in range(max(1, len(weeks) - JUDGED_WEEKS), len(weeks))
    ]
    every = max(1, -(-len(cases) * len(LOOKS) // MOST_LOOKED_AT))
    odds, came = [], []
    for past, week in cases[::every]:
        own = habits_of(past, rhythm)
        for look in LOOKS:
            said = outcome(as_it_stood(week, look), own, rhythm, enough)
            if said.needed > 0:
                held_in = min(1 - 1e-4, max(1e-4, said.chance))
                odds.append(log(held_in / (1 - held_in)))
                came.append(sum(week.by_day) >= enough * week.asked - 1e-6)
    return odds, came


def as_it_stood(week: DoneWeek, today: int) -> ThisWeek:
    """A past week as if only its days up to `today` had come, each written at once."""
    seen = tuple(m if day <= today else 0.0 for day, m in enumerate(week.by_day))
    return ThisWeek(
        week.opens, week.asked, seen, to_come(today, (0.0,) * DAYS, shut=week.shut), week.shut
    )


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
