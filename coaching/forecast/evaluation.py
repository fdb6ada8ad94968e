"""Forecasts beside what came of them: from cases to a report of plain figures.

A case is one look at one student-week. Weeks are looked at when they open and at the
end of each of their days but the last.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from coaching.forecast import scoring
from coaching.forecast.outlook import PastWeek, judge
from coaching.forecast.rhythm import DAYS, DoneWeek
from coaching.forecast.scoring import Course

OPENING = -1
WEDNESDAY = 2  # Of weeks that open on a Monday.
LOOKS = (OPENING, 0, 1, 2, 3, 4, 5)
FALSE_ALARMS = 0.10
OTHER_RATES = (0.05, 0.2, 0.3)
WEEKS_COUNTED = 8
FINISHED = 0.90
# What we hold the forecast to on simulated studios.
GOALS = {
    "roc_area_of_best": 0.95,
    "skill_of_best": 0.90,
    "calibration_error": 0.03,
    "days_before_percent_rule": 1.5,
}


@dataclass(frozen=True, slots=True)
class Case:
    """One look at one student-week.

    Attributes
    ----------
    who, week
        Whatever names the student and the week.
    look : int
        Day at whose end it is looked at; OPENING before the first.
    weeks_before : int
        The student's own open weeks before this one.
    chance : float
        The forecast's.
    share, share_same_line : float or None
        The count of past weeks as the board has it (all that is left done, or the week
        finished), and the same count for the line that the forecast is about.
    credited : float
        Share of the asked minutes credited by then.
    quiet : int
        Days since the last log.
    came : bool
        Whether the week reached the line in the end.
    best : float or None
        The best possible chance, where it is known, and
    learnt : float or None
        the best to be had from what was seen.
    """

    who: object
    week: object
    look: int
    weeks_before: int
    chance: float
    share: float | None
    share_same_line: float | None
    credited: float
    quiet: int
    came: bool
    best: float | None = None
    learnt: float | None = None


def counts_of(
    past: Sequence[DoneWeek], by_day: Sequence[float], asked: float, look: int, enough: float
) -> tuple[float | None, float | None]:
    """Both counts of past weeks for a week of which `by_day` is credited at the end of a day."""
    shares = []
    for line, done in ((1.0, FINISHED), (enough, enough)):
        left = max(0.0, line * asked - sum(by_day))
        weeks = [
            PastWeek(
                week.opens,
                sum(week.by_day[look + 1 :]),
                sum(week.by_day) >= done * week.asked - 1e-9,
            )
            for week in past[-WEEKS_COUNTED:]
        ]
        shares.append(judge(left, weeks).share)
    return shares[0], shares[1]


def report(
    cases: Iterable[Case], *, look: int = WEDNESDAY, false_alarms: float = FALSE_ALARMS
) -> dict[str, Any]:
    """The figures of these cases, ready for JSON.

    Parameters
    ----------
    cases : iterable of Case
        Of the looks in LOOKS; weeks that miss one are left out of the days of warning.
    look : int, optional
        The look whose chances are scored.
    false_alarms : float, optional
        Share of the weeks that came through that each warning rule may warn of.
    """
    cases = list(cases)
    looked = [case for case in cases if case.look == look]
    if not looked:
        return {"cases": 0}
    counted = [case for case in looked if case.share is not None]
    found: dict[str, Any] = {
        "cases": len(looked),
        "students": len({case.who for case in looked}),
        "came_through": round(sum(case.came for case in looked) / len(looked), 4),
        "forecast": _scores(looked, lambda case: case.chance),
        "where_the_count_speaks": {
            "cases": len(counted),
            "forecast": _scores(counted, lambda case: case.chance),
            "count": _scores(counted, lambda case: case.share),
        },
        "warning": _warning(cases, false_alarms),
    }
    same = [case for case in looked if case.share_same_line is not None]
    if same:
        found["where_the_count_speaks"]["count_for_the_same_line"] = {
            "cases": len(same),
            "forecast": _scores(same, lambda case: case.chance),
            "count": _scores(same, lambda case: case.share_same_line),
            "forecast_less_count": _difference(same),
        }
    if looked[0].best is not None:
        found["best_possible"] = _scores(looked, lambda case: case.best)
        found["of_best"] = _of_best(found)
    found["goals"] = _goals(found)
    found["in_words"] = in_words(found)
    return found


def _scores(cases: Sequence[Case], said: Callable[[Case], float | None]) -> dict[str, Any]:
    if not cases:
        return {}
    chances, came = [said(case) or 0.0 for case in cases], [case.came for case in cases]
    bins = scoring.calibration(chances, came)
    return {
        "brier": round(scoring.brier(chances, came), 5),
        "skill": _rounded(scoring.skill(chances, came)),
        "roc_area": _rounded(scoring.roc_area(chances, came)),
        "calibration_error": round(scoring.calibration_error(bins), 4),
        "calibration": [
            {
                "from": b.low,
                "to": b.high,
                "cases": b.count,
                "said": round(b.said, 4),
                "came": round(b.came, 4),
            }
            for b in bins
        ],
    }


def _rounded(figure: float | None) -> float | None:
    return None if figure is None else round(figure, 4)


def _difference(cases: Sequence[Case]) -> dict[str, Any]:
    ordered = sorted(cases, key=lambda case: case.weeks_before)
    chances = [case.chance for case in ordered]
    shares = [case.share_same_line or 0.0 for case in ordered]
    came = [case.came for case in ordered]
    return {
        "brier": round(scoring.brier(chances, came) - scoring.brier(shares, came), 5),
        "evidence": round(scoring.evidence(chances, shares, came), 2),
    }


def _of_best(found: dict[str, Any]) -> dict[str, float | None]:
    ours, best = found["forecast"], found["best_possible"]
    return {
        name: round(ours[name] / best[name], 4) if ours[name] and best[name] else None
        for name in ("roc_area", "skill")
    }


WORRIES: dict[str, Callable[[Case], float]] = {
    "forecast": lambda case: 1 - case.chance,
    "percent_of_week": lambda case: (case.look + 1) / DAYS - case.credited,
    "days_since_last_log": lambda case: float(case.quiet),
}


def _warning(cases: Sequence[Case], false_alarms: float) -> dict[str, Any]:
    weeks: dict[tuple[object, object], list[Case]] = {}
    for case in cases:
        weeks.setdefault((case.who, case.week), []).append(case)
    whole = [sorted(week, key=lambda case: case.look) for week in weeks.values()]
    whole = [week for week in whole if tuple(case.look for case in week) == LOOKS]
    worries = dict(WORRIES)
    if whole and all(case.best is not None for week in whole for case in week):
        worries["best_possible"] = lambda case: 1 - (case.best or 0.0)
    students = _courses(whole, worries)
    days = {name: _days(students, name, false_alarms) for name in worries}
    return {
        "false_alarms": false_alarms,
        "weeks": len(whole),
        "days_before_the_end": {name: _rounded(found) for name, found in days.items()},
        "days_earlier_than": {
            name: _rounded(_earlier(students, false_alarms, than=name))
            for name in worries
            if name not in {"forecast", "best_possible"} and days[name] is not None
        },
        "days_before_percent_rule": {
            name: _beside_percent(students, name, false_alarms)
            for name in ("forecast", "best_possible")
            if name in worries and days[name] is not None
        },
    }


# Of one student: each rule's name with the courses of its worry.
_Student = dict[str, list[Course]]


def _courses(
    weeks: Sequence[Sequence[Case]], worries: dict[str, Callable[[Case], float]]
) -> list[_Student]:
    found: dict[object, _Student] = {}
    for week in weeks:
        student = found.setdefault(week[0].who, {name: [] for name in worries})
        for name, worry in worries.items():
            course = Course(tuple(worry(case) for case in week), week[0].came)
            student[name].append(course)
    return list(found.values())


def _days(students: Sequence[_Student], rule: str, false_alarms: float) -> float | None:
    courses = [course for student in students for course in student[rule]]
    return scoring.days_of_warning(courses, false_alarms)


def _earlier(
    students: Sequence[_Student],
    false_alarms: float,
    *,
    rule: str = "forecast",
    than: str = "percent_of_week",
) -> float | None:
    ours, plain = (_days(students, name, false_alarms) for name in (rule, than))
    return None if ours is None or plain is None else ours - plain


def _beside_percent(students: Sequence[_Student], rule: str, false_alarms: float) -> dict[str, Any]:
    """How many days earlier, with its interval, and what it is at other rates."""
    span = scoring.interval(students, lambda drawn: _earlier(drawn, false_alarms, rule=rule))
    return {
        "days": _rounded(_earlier(students, false_alarms, rule=rule)),
        "interval": [_rounded(end) for end in span or ()],
        "at_other_false_alarms": {
            f"{rate:.2f}": _rounded(_earlier(students, rate, rule=rule)) for rate in OTHER_RATES
        },
    }


def _goals(found: dict[str, Any]) -> dict[str, Any]:
    """What was aimed at, what was found and whether it is reached; only what is known."""
    of_best = found.get("of_best", {})
    figures = {
        "roc_area_of_best": of_best.get("roc_area"),
        "skill_of_best": of_best.get("skill"),
        "calibration_error": found["forecast"]["calibration_error"],
        "days_before_percent_rule": found["warning"]["days_earlier_than"].get("percent_of_week"),
    }
    best = found["warning"]["days_before_percent_rule"].get("best_possible")
    possible = {"days_before_percent_rule": best and best["days"]}
    return {
        name: {
            "goal": goal,
            "found": figures[name],
            "is_met": figures[name] < goal
            if name == "calibration_error"
            else figures[name] >= goal,
            **({"best_possible": possible[name]} if possible.get(name) is not None else {}),
        }
        for name, goal in GOALS.items()
        if figures[name] is not None
    }


def in_words(found: dict[str, Any]) -> str:
    """The days of warning in a sentence, for whoever reads no JSON; '' where there are none.

    'Warns 1.05 days before the percent rule (0.93 to 1.18) at 10 false alarms in 100; best
    possible: 1.14 days (1.03 to 1.28).'
    """
    warning = found.get("warning", {})
    said = [_days_words(each) for each in warning.get("days_before_percent_rule", {}).values()]
    if not said:
        return ""
    ours, *best = said
    words = (
        f"Warns {ours[0]} before the percent rule ({ours[1]}) at "
        f"{100 * warning['false_alarms']:g} false alarms in 100"
    )
    return f"{words}; best possible: {best[0][0]} ({best[0][1]})." if best else f"{words}."


def _days_words(found: dict[str, Any]) -> tuple[str, str]:
    return f"{found['days']:.2f} days", " to ".join(f"{end:.2f}" for end in found["interval"])
