"""Which gives the word, the count of past weeks or the forecast, and why.

The count decides until the forecast has shown itself better in this studio: on what both
said of the same line on past Wednesdays, before anybody knew how those weeks would end, by a
rule that may be looked at every week.
Where the count says 'Too soon to say', so it stays, and arithmetic overrules both.
"""

from collections.abc import Sequence
from dataclasses import asdict, dataclass, fields, replace
from typing import Any

from coaching.forecast.forecast import Forecast
from coaching.forecast.outlook import Outlook, Pace
from coaching.forecast.panel import By
from coaching.forecast.rhythm import DAYS
from coaching.forecast.scoring import brier, evidence
from coaching.forecast.thresholds import Thresholds
from shared.kit.text import WEEKDAYS, capital, many, minutes, number
from shared.kit.text import whole_percent as percent

WEEKEND = (5, 6)
CONVINCED = 20.0  # At most one studio in 20 ever gets there by chance.


@dataclass(frozen=True, slots=True)
class Record:
    """How both came out on this studio's past Wednesdays: mean squared errors (Brier).

    Both speak of the same line. `evidence` is what `scoring.evidence` makes of it.
    """

    cases: int = 0
    students: int = 0
    forecast: float = 0.0
    count: float = 0.0
    evidence: float = 1.0

    @property
    def forecast_decides(self) -> bool:
        """However often it is looked at, by chance at most one studio in 20 ever says so."""
        return self.evidence >= CONVINCED

    def as_json(self) -> dict[str, Any]:
        return asdict(self)


NO_RECORD = Record()
_NAMES = frozenset(each.name for each in fields(Record))


def record_from(kept: dict[str, Any] | None) -> Record:
    """As it was kept; names it does not know are left out."""
    return Record(**{name: it for name, it in (kept or {}).items() if name in _NAMES})


def record_of(
    chances: Sequence[float], shares: Sequence[float], came: Sequence[bool], who: Sequence[object]
) -> Record:
    """The record of what both said of the same weeks, oldest first; `who` names the students."""
    if not came:
        return NO_RECORD
    return Record(
        cases=len(came),
        students=len(set(who)),
        forecast=brier(chances, came),
        count=brier(shares, came),
        evidence=evidence(chances, shares, came),
    )


@dataclass(frozen=True, slots=True)
class Decided:
    """What both say of one week, and which of them gives the word.

    `share_of_line` is the count for the line that the forecast is about; the count that gives
    the word is about all that is left.
    """

    forecast: Forecast | None
    by_count: Pace
    by_forecast: Pace | None
    forecast_decides: bool
    record: Record = NO_RECORD
    share_of_line: float | None = None


def decide(
    outlook: Outlook, said: Forecast | None, record: Record, borders: Thresholds
) -> tuple[Outlook, Decided]:
    """The outlook with the word of whichever decides."""
    pace = pace_of(said, borders)
    decides = (
        record.forecast_decides
        and pace is not None
        and outlook.share is not None
        and not outlook.by_arithmetic
    )
    decided = Decided(said, outlook.pace, pace, decides, record)
    return (replace(outlook, pace=pace) if decides and pace else outlook), decided


def pace_of(said: Forecast | None, borders: Thresholds) -> Pace | None:
    """The word for a chance, by the same borders as for the count."""
    if said is None:
        return None
    if said.chance >= borders.in_step_from:
        return Pace.IN_STEP
    return Pace.TIGHT if said.chance >= borders.tight_from else Pace.UNLIKELY


# --- words -------------------------------------------------------------------------


def reason(said: Forecast, weekday: int, last_weekday: int) -> str:
    """What the forecaster that weighs most goes by, in one sentence for the coach.

    '46 minutes are left to reach 80 %. Thursday to Sunday usually bring two days of
    about 19 minutes.' The weekdays are the first and the last on which anything can still come.
    """
    line = f"{percent(said.enough)} %"
    if not said.needed:
        return f"{line} of the week is reached."
    left = f"{minutes(said.needed)} minutes are left to reach {line}"
    if said.by is By.WEEKS and said.told:
        weeks = "week" if said.told == 1 else "weeks"
        return f"{left}. As much came from here on in {said.through} of {said.told} {weeks}."
    if said.by in {By.STANDING, By.LEFT, By.ENDS}:
        often = f"about {round(10 * said.alone)} in 10"
        if said.by is By.STANDING:
            return f"{left}. Of weeks here that stood like this, {often} came through."
        if said.by is By.ENDS:
            return f"{left}. The last days decide here: {often} such weeks came through."
        return f"{left}. With so much left so late, {often} such weeks came through."
    return f"{left}. {_lead(said)}{capital(_brings(said, weekday, last_weekday))}"


def _lead(said: Forecast) -> str:
    if said.by is By.TURNS:
        return "Every second week is like this one. "
    if said.cycle:
        return f"Practice comes in rounds of {said.cycle} days. "
    return ""


def _brings(said: Forecast, weekday: int, last_weekday: int) -> str:
    span = _span(weekday, last_weekday)
    days = round(said.days)
    if not days:
        return f"{span} usually {_bring(span)} no day of practice."
    about = f"about {round(said.minutes)} minutes"
    return f"{span} usually {_bring(span)} {many(days, 'day')} of {about}."


def _span(first: int, last: int) -> str:
    if first == last:
        return WEEKDAYS[first]
    if (first, last) == WEEKEND:
        return "the weekend"
    joined = "and" if (first + 1) % DAYS == last else "to"
    return f"{WEEKDAYS[first]} {joined} {WEEKDAYS[last]}"


def _bring(span: str) -> str:
    return "bring" if " and " in span or " to " in span else "brings"


def chance_words(said: Forecast) -> str:
    """'Chance of 80 % by the end of the week: 35 %, from 12 weeks of their own.'"""
    own = percent(said.own_share)
    stands = f"{many(said.weeks, 'week')} of their own" if said.weeks else "no week of their own"
    words = (
        f"Chance of {percent(said.enough)} % by the end of the week: {percent(said.chance)} %. "
        f"It stands on {stands}: {own} % of the rhythm is the student’s, "
        f"{100 - own} % the studio’s."
    )
    if said.from_memory:
        weeks = many(said.from_memory, "week")
        words += f" Practice from memory adds {weeks}, at a quarter of its weight."
    return words


def why(decided: Decided) -> str:
    """Which of the two gives the word, and why."""
    record = decided.record
    if decided.forecast_decides:
        return (
            f"The chance gives the word: on {record.cases} past Wednesdays of "
            f"{number(record.students)} students here it was off by {record.forecast:.3f} in "
            f"the mean square, the count of weeks by {record.count:.3f}."
        )
    if decided.by_count is Pace.TOO_SOON:
        return "No word yet from either: too few weeks of the student’s own tell anything."
    if not record.cases:
        return (
            "The count of weeks gives the word: no past Wednesday is known yet on which the "
            "chance could show that it is nearer."
        )
    return (
        f"The count of weeks gives the word: {many(record.cases, 'past Wednesday')} here "
        f"{'does' if record.cases == 1 else 'do'} not show yet that the chance is nearer "
        f"({record.forecast:.3f} and {record.count:.3f} in the mean square)."
    )


def disagreement(decided: Decided) -> str:
    """Said only where the two differ: 'The count says Tight, the chance In step.'"""
    if decided.by_forecast in {None, decided.by_count} or decided.by_count is Pace.TOO_SOON:
        return ""
    return f"The count of weeks says {decided.by_count}, the chance {decided.by_forecast}."
