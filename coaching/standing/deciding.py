"""Which gives the word, the count of past weeks or the forecast, and why.

The count decides until the forecast has shown itself measurably better in this studio:
on what both said on past Wednesdays, before anybody knew how those weeks would end.
Where the count says 'Too soon to say', so it stays, and arithmetic overrules both.
"""

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

from coaching.standing.forecast import Forecast
from coaching.standing.outlook import Outlook, Pace
from coaching.standing.phrases import WEEKDAYS, many, minutes, number, percent
from coaching.standing.rhythm import DAYS
from coaching.standing.scoring import brier, compared
from coaching.standing.thresholds import Thresholds

CASES_NEEDED = 60
STUDENTS_NEEDED = 8


@dataclass(frozen=True, slots=True)
class Record:
    """How both came out on this studio's past Wednesdays: mean squared errors (Brier).

    `difference` is the forecast's less the count's, with its standard error; students
    are the groups, since weeks of one student are alike.
    """

    cases: int = 0
    students: int = 0
    forecast: float = 0.0
    count: float = 0.0
    difference: float = 0.0
    error: float = 0.0

    @property
    def is_enough(self) -> bool:
        return self.cases >= CASES_NEEDED and self.students >= STUDENTS_NEEDED

    @property
    def forecast_decides(self) -> bool:
        """Better by more than two standard errors, on enough weeks of enough students."""
        return self.is_enough and self.difference + 2 * self.error < 0

    def as_json(self) -> dict[str, Any]:
        return asdict(self)


NO_RECORD = Record()


def record_of(
    chances: Sequence[float], shares: Sequence[float], came: Sequence[bool], who: Sequence[object]
) -> Record:
    """The record of what both said of the same weeks; `who` names the student of each."""
    if not came:
        return NO_RECORD
    found = compared(chances, shares, came, who)
    return Record(
        cases=found.cases,
        students=found.groups,
        forecast=brier(chances, came),
        count=brier(shares, came),
        difference=found.difference,
        error=found.error,
    )


@dataclass(frozen=True, slots=True)
class Decided:
    """What both say of one week, and which of them gives the word."""

    forecast: Forecast | None
    by_count: Pace
    by_forecast: Pace | None
    forecast_decides: bool
    record: Record = NO_RECORD


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
    """The forecast's reason in one sentence, for the coach.

    '46 minutes to go to 80 %; Thursday to Sunday usually bring two days of about 19
    minutes.' The weekdays are the first and the last on which anything can still come.
    """
    line = f"{percent(said.enough)} %"
    if not said.needed:
        return f"{line} of the week is reached."
    left = f"{minutes(said.needed)} minutes to go to {line}"
    span = _span(weekday, last_weekday)
    days = round(said.days)
    if not days:
        return f"{left}; {span} usually {_bring(span)} no day of practice."
    about = f"about {round(said.minutes)} minutes"
    return f"{left}; {span} usually {_bring(span)} {many(days, 'day')} of {about}."


def _span(first: int, last: int) -> str:
    if first == last:
        return WEEKDAYS[first]
    joined = "and" if (first + 1) % DAYS == last else "to"
    return f"{WEEKDAYS[first]} {joined} {WEEKDAYS[last]}"


def _bring(span: str) -> str:
    return "bring" if " " in span else "brings"


def chance_words(said: Forecast) -> str:
    """'Chance of 80 % by the end of the week: 35 %, from 12 weeks of their own.'"""
    own = percent(said.own_share)
    stands = f"{many(said.weeks, 'week')} of their own" if said.weeks else "no week of their own"
    return (
        f"Chance of {percent(said.enough)} % by the end of the week: {percent(said.chance)} %. "
        f"It stands on {stands}: {own} % of the rhythm is the student's, "
        f"{100 - own} % the studio's."
    )


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
        return "No word yet from either: too few weeks of the student's own tell anything."
    if not record.is_enough:
        return (
            "The count of weeks gives the word: the chance has yet to show here that it is nearer "
            f"({record.cases} of {CASES_NEEDED} past Wednesdays known)."
        )
    return (
        f"The count of weeks gives the word: on {record.cases} past Wednesdays here the chance "
        f"was not measurably nearer ({record.forecast:.3f} and {record.count:.3f} in the mean "
        "square)."
    )


def disagreement(decided: Decided) -> str:
    """Said only where the two differ: 'The count says Tight, the chance In step.'"""
    if decided.by_forecast in {None, decided.by_count} or decided.by_count is Pace.TOO_SOON:
        return ""
    return f"The count of weeks says {decided.by_count}, the chance {decided.by_forecast}."
