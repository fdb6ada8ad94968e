"""The chance that enough of a week's work is credited by its end, by a panel of forecasters.

Who they are and how far each is believed stands in `panel`. Two of them add up days: a
student practises on a day with a chance of its own for each weekday, and better and worse
weeks move all days together; a day of practice brings minutes around the student's usual.
Both are the student's own past weeks, drawn towards the studio's where there are few of them
(`own_odds`; Efron and Morris 1977 on why drawing in helps). This week's days so far say which
kind of week it is, and the rest is added up over every set of days still to come: no
simulation, so the same facts always give the same chance.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from math import erfc, exp, log, pi, sqrt

from coaching.forecast.cycles import InCycle, cycle_of
from coaching.forecast.own_odds import alike, odds_after, one_way, start_of, trace
from coaching.forecast.panel import (
    JUDGED,
    JUDGED_AT,
    PRIOR_WEEKS,
    By,
    Rest,
    Usual,
    counted,
    ends,
    log_score,
    mixed,
    pooled_chance,
    standing,
    usual_of,
    weights_of,
)
from coaching.forecast.rhythm import (
    DAYS,
    HOUSE,
    NEARLY_ALL,
    DoneWeek,
    Rhythm,
    WorkLeft,
    chance_of,
    in_percent,
    of_shares,
)
from coaching.forecast.work_left import finishes, own_work

WEEKS_READ = 26  # Half a year of the past; older ones are never looked at.
JUDGED_WEEKS = 8  # The newest weeks of a studio, each foretold from those before it.
ENOUGH = 0.80
LEAST, MOST = 0.005, 0.995
# Never certain while there are days to come: what nobody foresaw happens too.
FLOOR = 0.005
LOST_CHANCE = 0.01  # Of practice on a day, in a week that is lost.
# Days after which the spread of a student's minutes weighs as much as what it starts from:
# few students differ much in it (common practice, no source).
OWN_SPREAD = 12.0
# A week from memory beside one that was logged the same week. Our own choice: what people say
# of their activity and what instruments measure go together only loosely (Prince et al. 2008, a
# review: correlations around 0.4 on average; the figure from memory, and for activity at large).
FROM_MEMORY = 0.25
# How far a student's every other week lies from the weeks between, in log-odds: in all, on the
# weekend, on single weekdays (house rule; two homes and shifts turn weekends most).
TURNS_DIFFER = (0.5, 1.5, 0.7)
HARDLY_A_KIND = 1e-4
CRUMB = 1e-6  # Minutes.
SURE = 1e-6
HARDLY = 0.02  # A day with less than this still to come is left out of the sum.
# Gauss-Hermite nodes and weights for a standard normal (Abramowitz & Stegun 25.4.46, n = 5).
NODES = (
    (-2.856970013872806, 0.011257411327721),
    (-1.355626179974266, 0.222075922005613),
    (0.0, 0.533333333333333),
    (1.355626179974266, 0.222075922005613),
    (2.856970013872806, 0.011257411327721),
)


@dataclass(frozen=True, slots=True)
class ThisWeek:
    """The present week as it is known now.

    Attributes
    ----------
    opens : date
    asked : float
        Minutes, after excused days.
    by_day : tuple of seven floats
        Minutes credited so far.
    to_come : tuple of seven floats
        For a day with nothing credited, the share of its practice that is still to be
        done or to be written down: 1 for days to come, 0 for excused ones.
    shut : frozenset of int, optional
        Excused days: that nothing came of them says nothing.
    """

    opens: date
    asked: float
    by_day: tuple[float, ...]
    to_come: tuple[float, ...]
    shut: frozenset[int] = frozenset()

    @property
    def credited(self) -> float:
        return sum(self.by_day)

    @property
    def whole(self) -> float:
        """Minutes asked if no day were excused."""
        return self.asked * DAYS / max(1, DAYS - len(self.shut))

    @property
    def in_percent(self) -> "ThisWeek":
        """The same week with its minutes as percent of what is asked."""
        shares = tuple([100 * minutes / self.asked for minutes in self.by_day])
        return replace(self, asked=100.0, by_day=shares)

    def rest(self, enough: float) -> Rest:
        """How it stands: a day counts as over once something came of it or little still can."""
        over = [
            day
            for day in range(DAYS)
            if self.by_day[day] > 0 or (self.to_come[day] < 1 and day not in self.shut)
        ]
        last = max(over, default=-1)
        still = frozenset(d for d in range(last + 1, DAYS) if self.to_come[d] > HARDLY)
        done = self.credited / self.asked if self.asked else 1.0  # Nothing asked is all done.
        return Rest(last, max(0.0, enough - done), still)


@dataclass(frozen=True, slots=True)
class Forecast:
    """What the forecast says, and what it stands on.

    Attributes
    ----------
    chance : float
        That the week's credit reaches `enough`; in [0, 1].
    needed : float
        Minutes still to be credited for that; 0 if it is reached.
    weeks : int
        The student's own past open weeks that were read.
    own_share : float
        How much of the rhythm is the student's own; the rest is the studio's.
    days, minutes : float
        Practice days to be expected in the rest of the week, and minutes on each.
    enough : float
    by : By
        The forecaster that weighs most, and
    alone : float
        what it says alone.
    through, told : int
        Own past weeks that brought as large a share from here, and all that tell.
    cycle : int
        Days after which the student's practice comes round again; 0 where only weeks do.
    from_memory : int
        Weeks from before the first that was asked, as somebody remembers them.
    """

    chance: float
    needed: float
    weeks: int
    own_share: float
    days: float
    minutes: float
    enough: float
    by: By = By.MINUTES
    alone: float = 0.0
    through: int = 0
    told: int = 0
    cycle: int = 0
    from_memory: int = 0


@dataclass(frozen=True, slots=True)
class Minutes:
    """Minutes of a student's practice day.

    `mean` is beside the studio's of the weekday and `by_weekday` whole; `spread` is the
    coefficient of variation of a day, `doubt` the variance of what is not known of the
    mean, beside it.
    """

    mean: float
    by_weekday: tuple[float, ...]
    spread: float
    doubt: float


@dataclass(frozen=True, slots=True)
class Habits:
    """One student's practising, from own weeks drawn towards the studio's.

    `odds` (as logarithms) and `moves` are by weekday; `moves` is how far, in log-odds, the
    days of a week lie from `odds` together, what is not known included. `usual` are the odds
    before that.
    """

    odds: tuple[float, ...]
    moves: tuple[float, ...]
    minutes: Minutes
    usual: tuple[float, ...]
    weeks: int
    own_share: float


def forecast(
    week: ThisWeek,
    past: Sequence[DoneWeek],
    rhythm: Rhythm,
    enough: float = ENOUGH,
    remembered: Sequence[DoneWeek] = (),
) -> Forecast | None:
    """The chance that `enough` of this week's asked minutes are credited at its end.

    Parameters
    ----------
    week : ThisWeek
    past : sequence of DoneWeek
        Oldest first; the last WEEKS_READ are read. May be empty: then the studio's
        rhythm alone speaks, with all the spread between students.
    rhythm : Rhythm
    enough : float, optional
        Share of the asked minutes, in (0, 1].
    remembered : sequence of DoneWeek, optional
        Weeks from memory, oldest first, in which nothing was asked (`remembered_week`). They
        say on which days somebody practises and how long, each FROM_MEMORY of a logged week;
        nothing else is learnt from them.

    Returns
    -------
    Forecast or None
        None if nothing is asked: then there is nothing to foretell.

    Raises
    ------
    ValueError
        Seven days are not given, or `enough` is outside (0, 1].
    """
    if len(week.by_day) != DAYS or len(week.to_come) != DAYS or not 0 < enough <= 1:
        raise ValueError("Give seven days, and a share above 0 and up to 1.")
    if week.asked <= 0:
        return None
    own = own_of(past, rhythm, week, enough, remembered)
    return replace(said(week, own, rhythm, enough), from_memory=len(remembered[-WEEKS_READ:]))


@dataclass(frozen=True, slots=True)
class Own:
    """All that is known of one student when a week begins; `weights` are the forecasters'.

    `habits` are those of this week within the student's `cycle` of so many days, if any;
    `turns` are the habits of every other week, back from this one, with minutes in shares.
    """

    past: tuple[DoneWeek, ...]
    habits: Habits
    in_shares: Minutes
    turns: Habits
    usual: Usual
    work: WorkLeft | None
    ends: tuple[float, ...] = HOUSE.ends
    cycle: int = 0
    weights: tuple[float, ...] = (1 / len(By),) * len(By)


def own_of(
    past: Sequence[DoneWeek],
    rhythm: Rhythm,
    week: ThisWeek,
    enough: float,
    remembered: Sequence[DoneWeek] = (),
) -> Own:
    """What past weeks tell of a student when this week begins."""
    read = tuple(past[-WEEKS_READ:])
    weights = weights_of(rhythm.trust, _scores(read, rhythm, enough))
    return replace(alone(read, rhythm, week, enough, remembered[-WEEKS_READ:]), weights=weights)


def alone(
    past: Sequence[DoneWeek],
    rhythm: Rhythm,
    week: ThisWeek,
    enough: float,
    remembered: Sequence[DoneWeek] = (),
) -> Own:
    """The same, each forecaster believed alike."""
    shares = [in_percent(week) for week in past]
    usual = habits_of(past, rhythm, week.whole, remembered)
    cycle = cycle_of(past, week.opens, rhythm.cycles)
    habits = _in_cycle(usual, cycle, week.opens)
    in_shares = own_minutes(shares, of_shares(rhythm))
    return Own(
        past=tuple(past),
        habits=habits,
        in_shares=in_shares,
        turns=_in_turns(past, usual, in_shares, rhythm),
        usual=usual_of(past, rhythm, enough),
        work=own_work(past, rhythm),
        ends=ends(past, rhythm.ends, enough, rhythm.fade),
        cycle=cycle.period,
    )


def _in_cycle(usual: Habits, cycle: InCycle, opens: date) -> Habits:
    """The habits of the week that opens then, as the student's cycle has it."""
    if not cycle.period:
        return usual
    odds = list(usual.odds)
    for day, more in enumerate(cycle.moved):
        weekday = (opens.weekday() + day) % DAYS
        chance = held(chance_of(odds[weekday]) + more)
        odds[weekday] = log(chance / (1 - chance))
    return replace(usual, odds=tuple(odds))


def _in_turns(past: Sequence[DoneWeek], usual: Habits, minutes: Minutes, rhythm: Rhythm) -> Habits:
    """The habits of every other week, back from this one, drawn towards the student's usual."""
    days, done = _days_of(past, (), rhythm.fade, every=2)
    like_this, doubt = odds_after(days, done, usual.usual, alike(*TURNS_DIFFER))
    odds, moves = one_way(like_this, doubt, rhythm.weeks_differ**2)
    return replace(usual, odds=odds, moves=moves, minutes=minutes)


@lru_cache(maxsize=512)
def _scores(
    past: tuple[DoneWeek, ...], rhythm: Rhythm, enough: float
) -> tuple[tuple[float, ...], ...]:
    """Log scores of each forecaster on the newest weeks, each known only from those before."""
    found = []
    for number in range(max(1, len(past) - JUDGED), len(past)):
        week = past[number]
        now = as_it_stood(week, JUDGED_AT)
        before = alone(past[:number], rhythm, now, enough)
        if now.credited < enough * now.asked:
            came = sum(week.by_day) >= enough * week.asked - CRUMB
            each = chances(now, before, rhythm, enough)
            found.append(tuple([log_score(p, came) for p in each]))
    return tuple(found)


def as_it_stood(week: DoneWeek, today: int) -> ThisWeek:
    """A past week as if only its days up to `today` had come, each written at once."""
    seen = tuple([m if day <= today else 0.0 for day, m in enumerate(week.by_day)])
    come = to_come(today, (0.0,) * DAYS, shut=week.shut)
    return ThisWeek(week.opens, week.asked, seen, come, week.shut)


def said(week: ThisWeek, own: Own, rhythm: Rhythm, enough: float) -> Forecast:
    """The forecast for a student of whom all is known that the past weeks tell."""
    by_minutes = outcome(week, own.habits, rhythm, enough)
    if by_minutes.chance in {0.0, 1.0}:  # Reached, or no day left.
        return by_minutes
    each = chances(week, own, rhythm, enough)
    heaviest = max(range(len(By)), key=own.weights.__getitem__)
    days, minutes = by_minutes.days, by_minutes.minutes
    if list(By)[heaviest] is By.TURNS:
        by_turns = outcome(week.in_percent, own.turns, of_shares(rhythm), enough)
        days, minutes = by_turns.days, by_turns.minutes * week.asked / 100
    rest = week.rest(enough)
    _, _, through, told = counted(own.past, rest, enough, rhythm.fade)
    return replace(
        by_minutes,
        chance=leaning(mixed(each, own.weights), rhythm),
        days=days,
        minutes=minutes,
        by=list(By)[heaviest],
        alone=each[heaviest],
        through=through,
        told=told,
        cycle=own.cycle,
    )


def chances(week: ThisWeek, own: Own, rhythm: Rhythm, enough: float) -> tuple[float, ...]:
    """What each forecaster says, in the order of By."""
    ahead = _ahead(week, own.habits, rhythm)
    by_minutes = _adds_up(week, own.habits.minutes, ahead, rhythm, enough)
    shares = of_shares(rhythm)
    by_shares = _adds_up(week.in_percent, own.in_shares, ahead, shares, enough)
    rest = week.rest(enough)
    by_turns = outcome(week.in_percent, own.turns, shares, enough).chance
    if not rest.open:  # What may be unwritten only those that know of days can say.
        both = (by_minutes + by_shares) / 2
        return by_minutes, by_shares, both, both, by_turns, both, both
    stands = pooled_chance(rhythm, standing(rest, week.by_day, own.usual, enough))
    others = (by_minutes + by_shares + stands) / 3
    yes, told, *_ = counted(own.past, rest, enough, rhythm.fade)
    by_weeks = (yes + PRIOR_WEEKS * others) / (told + PRIOR_WEEKS)
    if not own.work:
        both = (by_minutes + by_shares) / 2
        return by_minutes, by_shares, by_weeks, stands, by_turns, both, both
    by_left = finishes(own.work, rest, enough)
    by_ends = _by_ends(own, own.work, rest, enough)
    return by_minutes, by_shares, by_weeks, stands, by_turns, by_left, by_ends


def _by_ends(own: Own, work: WorkLeft, rest: Rest, enough: float) -> float:
    """Reached before the last days, as the work that is left has it, or else by them."""
    last = min(len(own.ends), len(rest.open))
    before = frozenset(sorted(rest.open)[:-last])
    early = finishes(work, replace(rest, open=before), enough) if before else 0.0
    return held(early + (1 - early) * own.ends[last - 1])


def outcome(week: ThisWeek, own: Habits, rhythm: Rhythm, enough: float) -> Forecast:
    """What the days add up to, for a student whose habits are known."""
    ahead = _ahead(week, own, rhythm)
    days = sum(weight * sum(chances) for weight, chances in ahead.kinds)
    minutes = (
        sum(own.minutes.by_weekday[d] for d in ahead.days) / len(ahead.days) if ahead.days else 0.0
    )
    chance = _adds_up(week, own.minutes, ahead, rhythm, enough)
    needed = max(0.0, enough * week.asked - week.credited)
    return Forecast(chance, needed, own.weeks, own.own_share, days, minutes, enough)


def _adds_up(week: ThisWeek, own: Minutes, ahead: "_Ahead", rhythm: Rhythm, enough: float) -> float:
    needed = enough * week.asked - week.credited
    if needed <= CRUMB:
        return 1.0
    if not ahead.days:
        return 0.0
    return held_in(_reaches(needed, ahead, own, _week_amount(week, own, rhythm)))


# --- the student's habits ---------------------------------------------------------


def habits_of(
    past: Sequence[DoneWeek],
    rhythm: Rhythm,
    asked: float = 0.0,
    remembered: Sequence[DoneWeek] = (),
) -> Habits:
    """A student's habits from past weeks; newer weeks weigh more.

    `asked` are the minutes of the present week, excused days made whole: what a student
    was asked for says something of a first week only; later the weeks before do.
    """
    days, done = _days_of(past, remembered, rhythm.fade)
    minutes = own_minutes(past, rhythm, remembered)
    begin = start_of(rhythm)
    start = begin.after_asking(days_asked(past, asked, minutes.mean) - rhythm.usually_asked)
    usual, doubt = odds_after(days, done, start, begin.spread)
    odds, moves = one_way(usual, doubt, rhythm.weeks_differ**2)
    own_share = 1 - trace(doubt) / trace(begin.spread)
    return Habits(odds, moves, minutes, tuple(usual), weeks=len(past), own_share=own_share)


def _days_of(
    past: Sequence[DoneWeek], remembered: Sequence[DoneWeek], fade: float, every: int = 1
) -> tuple[list[float], list[float]]:
    """Open days by weekday and those with practice, newer ones weighing more.

    Of every other week, where `every` is 2: this week is like the last but one.
    """
    days, done = [0.0] * DAYS, [0.0] * DAYS
    for ago, (week, weight) in enumerate(_weighed(past, remembered, fade), start=1):
        if ago % every == 0:
            for weekday, credited, _ in week.days():
                days[weekday] += weight
                done[weekday] += weight * (credited > 0)
    return days, done


def _weighed(
    past: Sequence[DoneWeek], remembered: Sequence[DoneWeek], fade: float
) -> Iterator[tuple[DoneWeek, float]]:
    """Weeks with their weights, the newest first; those from memory lie behind all others."""
    weight = 1.0
    for week in reversed(past):
        yield week, weight
        weight *= fade
    for week in reversed(remembered):
        yield week, weight * FROM_MEMORY
        weight *= fade


def days_asked(past: Sequence[DoneWeek], asked: float, minutes: float) -> float:
    """Logarithm of the practice days that the weeks asked for, at so many minutes a day."""
    whole = [
        log(week.asked * DAYS / (DAYS - len(week.shut)))
        for week in past
        if len(week.shut) < DAYS and week.asked > 0
    ]
    if not whole:
        whole = [log(asked)] if asked > 0 else []
    return sum(whole) / len(whole) - log(minutes) if whole else 0.0


def own_minutes(
    past: Sequence[DoneWeek], rhythm: Rhythm, remembered: Sequence[DoneWeek] = ()
) -> Minutes:
    """A student's minutes from past practice days; newer ones weigh more."""
    work: list[tuple[int, float, bool, float]] = []
    for before, weight in _weighed(past, remembered, rhythm.fade):
        work += [
            (weekday, minutes / rhythm.amounts[weekday], cut, weight)
            for weekday, minutes, cut in before.days()
            if minutes > 0
        ]
    own = rhythm.own_amount
    weight = sum([w for *_, w in work])
    whole = sum([m * w for _, m, cut, w in work if not cut]) + own * rhythm.amount
    ends = [(m, w) for _, m, cut, w in work if cut]
    mean = rhythm.amount
    for _ in range(3 if ends else 1):
        cut_short = sum([at_least(m, mean, rhythm.spread) * w for m, w in ends])
        mean = (whole + cut_short) / (weight + own)
    sums, weights = [rhythm.own_amounts * mean] * DAYS, [rhythm.own_amounts] * DAYS
    held = []
    for d, m, cut, w in work:
        minutes = at_least(m, mean, rhythm.spread) if cut else m
        held.append((d, minutes, w))
        sums[d] += minutes * w
        weights[d] += w
    usual = [s / w for s, w in zip(sums, weights, strict=True)]
    squares = sum([w * (m / usual[d] - 1) ** 2 for d, m, w in held])
    spread = sqrt((squares + OWN_SPREAD * rhythm.spread**2) / (weight + OWN_SPREAD))
    by_weekday = tuple([u * times for u, times in zip(usual, rhythm.amounts, strict=True)])
    return Minutes(mean, by_weekday, spread, spread**2 / (weight + own))


def at_least(minutes: float, mean: float, spread: float) -> float:
    """What a day cut short by the end of the week would have brought, on average.

    The mean of a normal above `minutes` (inverse Mills ratio), the step of the EM
    algorithm for values known only to be at least so much.
    """
    wide = spread * mean
    away = min(5.0, (minutes - mean) / wide)
    density = exp(-(away**2) / 2) / sqrt(2 * pi)
    return max(minutes, mean + wide * density / (0.5 * erfc(away / sqrt(2))))


def held(chance: float) -> float:
    return min(MOST, max(LEAST, chance))


# --- what kind of week this is ------------------------------------------------------


def _kinds_of_week(
    week: ThisWeek, own: Habits, rhythm: Rhythm
) -> list[tuple[float, tuple[float, ...]]]:
    """Kinds of week with their weight, the days so far considered, and the day's chances."""
    order = [(week.opens.weekday() + day) % DAYS for day in range(DAYS)]
    kinds = []
    for node, weight in NODES:
        chances = tuple([held(chance_of(own.odds[d] + own.moves[d] * node)) for d in order])
        kinds.append(((1 - rhythm.lost_weeks) * weight, chances))
    kinds.append((rhythm.lost_weeks, (LOST_CHANCE,) * DAYS))
    news = _news(week)
    weighed = [(weight * _likelihood(news, chances), chances) for weight, chances in kinds]
    total = sum([weight for weight, _ in weighed])
    return [(weight / total, chances) for weight, chances in weighed]


def _news(week: ThisWeek) -> list[tuple[int, float | None]]:
    """Days so far that say something: None for practice, else the share that may yet come."""
    found: list[tuple[int, float | None]] = []
    so_far = 0.0
    for day, (minutes, come) in enumerate(zip(week.by_day, week.to_come, strict=True)):
        if so_far >= NEARLY_ALL * week.asked:
            break
        so_far += minutes
        if minutes > 0:
            found.append((day, None))
        elif come < 1 and day not in week.shut:
            found.append((day, come))
    return found


def _likelihood(news: Iterable[tuple[int, float | None]], chances: Sequence[float]) -> float:
    """How well the days so far fit these chances."""
    fits = 1.0
    for day, come in news:
        p = chances[day]
        fits *= p if come is None else 1 - p + p * come
    return fits


@dataclass(frozen=True, slots=True)
class _Ahead:
    """Days that may still bring something (as weekdays), and their chances in each kind."""

    days: tuple[int, ...]
    kinds: tuple[tuple[float, tuple[float, ...]], ...]


def _ahead(week: ThisWeek, own: Habits, rhythm: Rhythm) -> _Ahead:
    kinds = _kinds_of_week(week, own, rhythm)
    still = [day for day in range(DAYS) if week.by_day[day] <= 0 and week.to_come[day] > HARDLY]
    held = tuple(
        (weight, tuple(_to_come(chances[day], week.to_come[day]) for day in still))
        for weight, chances in kinds
    )
    return _Ahead(tuple((week.opens.weekday() + day) % DAYS for day in still), held)


def _to_come(p: float, come: float) -> float:
    """Chance that a day without a word yet still brings practice (Bayes)."""
    return p if come >= 1 else p * come / (1 - p + p * come)


def _week_amount(week: ThisWeek, own: Minutes, rhythm: Rhythm) -> tuple[float, float]:
    """This week's minutes a day as a multiple of the usual, and the variance of that."""
    had = usual = squares = 0.0
    for day, minutes in enumerate(week.by_day):
        if minutes > 0:
            expected = own.by_weekday[(week.opens.weekday() + day) % DAYS]
            had, usual, squares = had + minutes, usual + expected, squares + expected**2
    free = rhythm.week_spread**2 + own.doubt
    if usual <= 0 or free <= 0:
        return 1.0, free
    noise = own.spread**2 * squares / usual**2
    trust = free / (free + noise)
    return max(0.2, 1 + trust * (had / usual - 1)), trust * noise


def _reaches(needed: float, ahead: _Ahead, own: Minutes, scale: tuple[float, float]) -> float:
    """Sum over every set of days of its chance times the chance that it is enough."""
    amounts = [own.by_weekday[day] for day in ahead.days]
    sums, squares = [0.0], [0.0]
    for minutes in amounts:
        sums += [total + minutes for total in sums]
        squares += [total + minutes**2 for total in squares]
    enough = [_tail(needed, m, s, own.spread, scale) for m, s in zip(sums, squares, strict=True)]
    chance = 0.0
    for weight, chances in ahead.kinds:
        if weight < HARDLY_A_KIND:
            continue
        left = enough
        for p in reversed(chances):
            half = len(left) // 2  # Without this day, and with it.
            left = [
                no * (1 - p) + yes * p for no, yes in zip(left[:half], left[half:], strict=True)
            ]
        chance += weight * left[0]
    return chance


def _tail(
    needed: float, total: float, squares: float, spread: float, scale: tuple[float, float]
) -> float:
    """Chance that some days together bring what is needed.

    Their sum is taken as a gamma with the same mean and variance, through the cube root
    that is nearly normal (Wilson & Hilferty 1931).
    """
    if total <= 0:
        return 0.0
    times, doubt = scale
    mean = times * total
    variance = (times * spread) ** 2 * squares + doubt * total**2
    ninth = variance / (9 * mean**2)
    if ninth < 1e-9:
        return 1.0 if mean >= needed else 0.0
    z = ((needed / mean) ** (1 / 3) - (1 - ninth)) / sqrt(ninth)
    return 0.5 * erfc(z / sqrt(2))


def held_in(chance: float) -> float:
    """Neither certain nor out of the question."""
    return min(1 - SURE, max(SURE, chance))


def leaning(chance: float, rhythm: Rhythm) -> float:
    """The chance after what the studio's past forecasts were off by."""
    held = held_in(chance)
    leant = chance_of(rhythm.tilt + rhythm.stretch * log(held / (1 - held)))
    return min(1 - FLOOR, max(FLOOR, leant))


# --- what is still to come of a day ---------------------------------------------------


def to_come(
    today: int,
    late: Sequence[float],
    *,
    day_left: float = 0.0,
    shut: frozenset[int] = frozenset(),
) -> tuple[float, ...]:
    """Seven shares of practice still to be done or written, for days without any credited.

    Parameters
    ----------
    today : int
        Offset of the present day in the week; -1 before the first.
    late : sequence of seven floats
        Share of practice unwritten at the end of its day, a day later, …
    day_left : float, optional
        Share of a day's practice that comes after this hour; 0 at the end of the day.
    shut : frozenset of int, optional
        Excused days.
    """
    shares = []
    for day in range(DAYS):
        ago = today - day
        if day in shut:
            shares.append(0.0)
        elif ago < 0:
            shares.append(1.0)
        else:
            before = late[ago - 1] if ago else 1.0
            shares.append(late[ago] + day_left * (before - late[ago]))
    return tuple(shares)


EVENING = 20  # The local hour from which on a day without a log is nearly over.
LEFT_IN_THE_EVENING = 0.15  # Share of a day's practice after that (common practice, no source).


def left_of_day(hour: float) -> float:
    """Share of a day's practice still to come at this local hour, 3 to 27.

    All of it until the evening, little after: in two steps only, so that a word does not
    change from hour to hour.
    """
    return 1.0 if hour < EVENING else LEFT_IN_THE_EVENING
