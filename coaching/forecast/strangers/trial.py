"""The forecast tried on studios of strangers, beside the best there could be.

Each week is foretold from those before it alone, as in the app. Wednesday evenings are scored;
every evening is looked at for how early a warning comes.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

from coaching.forecast.evaluation import LOOKS, WEDNESDAY, Case, report
from coaching.forecast.forecast import ThisWeek, as_it_stood, own_of, said, to_come
from coaching.forecast.rhythm import DAYS, HOUSE, DoneWeek, Rhythm
from coaching.forecast.rhythm_fit import rhythm_from
from coaching.forecast.scoring import calibration, calibration_error, interval, roc_area
from coaching.forecast.strangers.worlds import COPIES, HELD_BACK, KINDS, MIXED, LoggedWeek, studio

ENOUGH = 0.80
SETTLED = 4  # Own weeks from which on a word is given at all.
PUNCTUAL = (0,) * 200  # Strangers write on the day.
NEVER_YET = DAYS
# After how many weeks the studio's rhythm is made anew; the app makes it every week.
MADE_ANEW = frozenset({1, 2, 3, 4, 6, 8, 10, 13, 16, 20, 24})
FEWEST = 24  # Students to a line of the table: small studios are invented several times.


@dataclass(frozen=True, slots=True)
class TrialResult:
    """How the forecast came out in one studio, or in several together; shares are of the best.

    `to_learn` is the share of the best that could be learnt from what was seen, where known;
    `warning` is None where only Wednesday evenings were looked at.
    """

    kind: str
    students: int
    best_skill: float
    to_learn: float | None
    skill: float
    skill_between: tuple[float, float]
    roc: float
    calibration: float
    warning: float | None
    warning_between: tuple[float, float]


def trials(
    sizes: Sequence[int],
    *,
    weeks: int,
    seed: int,
    tell: Callable[[str], None],
    looks: Sequence[int] = LOOKS,
) -> Iterator[tuple[str, int, list[Case]]]:
    """Cases of each kind of studio in each size, small ones several times; `tell` hears which.

    Of every evening, with what could be learnt; or of fewer `looks` and without.
    """
    for size in sizes:
        for kind in (*KINDS, MIXED):
            found = []
            for number in range(max(1, FEWEST // size)):
                tell(f"{kind}, {size} students, studio {number + 1}")
                dice = f"{seed} {number}"
                lives = studio(
                    kind,
                    students=size,
                    weeks=weeks,
                    seed=dice,
                    enough=ENOUGH,
                    learns=looks == LOOKS,
                )
                found += [replace(case, who=(number, case.who)) for case in cases(lives, looks)]
            yield kind, size, [case for case in found if case.weeks_before >= SETTLED]


def cases(lives: Sequence[Sequence[LoggedWeek]], looks: Sequence[int] = LOOKS) -> Iterator[Case]:
    """A case for each look at each week."""
    pasts: list[list[DoneWeek]] = [[] for _ in lives]
    rhythm = HOUSE
    for number in range(len(lives[0])):
        if number in MADE_ANEW:
            rhythm = rhythm_from(pasts, PUNCTUAL, ENOUGH)
        for who, life in enumerate(lives):
            week = DoneWeek(life[number].opens, life[number].asked, life[number].by_day)
            for case in _looked((who, number), week, pasts[who], rhythm, looks):
                if case.look == WEDNESDAY:
                    yield replace(case, best=life[number].best, learnt=life[number].learnt)
                else:
                    yield case
            pasts[who].append(week)


def _looked(
    names: tuple[int, int],
    week: DoneWeek,
    past: Sequence[DoneWeek],
    rhythm: Rhythm,
    looks: Sequence[int],
) -> Iterator[Case]:
    own = own_of(past, rhythm, as_it_stood(week, -1), ENOUGH)
    for look in looks:
        seen = tuple(m if day <= look else 0.0 for day, m in enumerate(week.by_day))
        now = ThisWeek(week.opens, week.asked, seen, to_come(look, rhythm.late))
        yield Case(
            who=names[0],
            week=names[1],
            look=look,
            weeks_before=len(past),
            chance=said(now, own, rhythm, ENOUGH).chance,
            share=None,
            share_same_line=None,
            credited=sum(seen) / week.asked,
            quiet=_quiet(seen, look),
            came=sum(week.by_day) >= ENOUGH * week.asked - 1e-9,
        )


def _quiet(seen: Sequence[float], look: int) -> int:
    logged = [day for day, minutes in enumerate(seen) if minutes > 0]
    return look - logged[-1] if logged else NEVER_YET


def tried(kind: str, students: int, cases: Sequence[Case]) -> TrialResult:
    """The figures of these cases, with 95 % intervals by drawing students anew."""
    by_student: dict[object, list[Case]] = {}
    for case in cases:
        if case.look == WEDNESDAY:
            by_student.setdefault(case.who, []).append(case)
    groups = list(by_student.values())
    looked = [case for group in groups for case in group]
    came = [case.came for case in looked]
    chances, best = [case.chance for case in looked], [case.best or 0.0 for case in looked]
    ours, theirs = roc_area(chances, came) or 0.0, roc_area(best, came) or 1.0
    warning, between = _warning(cases)
    return TrialResult(
        kind=kind,
        students=students,
        best_skill=_skills(groups)[1],
        to_learn=_to_learn(looked),
        skill=_of_best(groups) or 0.0,
        skill_between=interval(groups, _of_best) or (0.0, 0.0),
        roc=ours / theirs,
        calibration=calibration_error(calibration(chances, came)),
        warning=warning,
        warning_between=between,
    )


def _warning(cases: Sequence[Case]) -> tuple[float | None, tuple[float, float]]:
    """Days before the percent rule; none where only some evenings were looked at."""
    if {case.look for case in cases} != set(LOOKS):
        return None, (0.0, 0.0)
    early = report(cases)["warning"]["days_before_percent_rule"]["forecast"]
    return early["days"] or 0.0, tuple(early["interval"]) if early["interval"] else (0.0, 0.0)


def _skills(groups: Sequence[Sequence[Case]]) -> tuple[float, float]:
    """Skill of the forecast and of the best; that of the best without what counting copies adds."""
    looked = [case for group in groups for case in group]
    n = len(looked)
    share = sum(case.came for case in looked) / n
    spread = share * (1 - share) or 1.0
    ours = sum((case.chance - case.came) ** 2 for case in looked) / n
    theirs = [(case.best or 0.0, case.came) for case in looked]
    best = sum((p - y) ** 2 - p * (1 - p) / (COPIES - 1) for p, y in theirs) / n
    return 1 - ours / spread, 1 - best / spread


def _of_best(groups: Sequence[Sequence[Case]]) -> float | None:
    ours, best = _skills(groups)
    return ours / best if best > 0 else None


def _to_learn(looked: Sequence[Case]) -> float | None:
    learnt = [case.learnt for case in looked if case.learnt is not None]
    if len(learnt) < len(looked):
        return None
    return _of_best([[replace(c, chance=p) for c, p in zip(looked, learnt, strict=True)]])


def together(found: Iterable[tuple[str, int, list[Case]]]) -> list[TrialResult]:
    """A line for each studio, then those of each size, of all, and of the kinds held back."""
    found = list(found)
    lines = [tried(kind, size, cases) for kind, size, cases in found]
    sizes = sorted({size for _, size, _ in found})
    lines += [_joined(f"all of {size}", [e for e in found if e[1] == size]) for size in sizes]
    back = [each for each in found if each[0] in HELD_BACK]
    seen = [each for each in found if each[0] not in HELD_BACK]
    return [*lines, _joined("all", found), _joined("held back", back), _joined("others", seen)]


def _joined(name: str, found: Sequence[tuple[str, int, list[Case]]]) -> TrialResult:
    whole = [
        replace(case, who=(kind, size, case.who)) for kind, size, cases in found for case in cases
    ]
    return tried(name, sum(size for _, size, _ in found), whole)


def table(lines: Sequence[TrialResult]) -> str:
    """A table in words and figures, ready for the docs."""
    head = (
        "| studio | students | best skill | of it to be learnt | of it reached | ROC area of best "
        "| calibration error | days before the percent rule |\n" + "| --- " * 8 + "|"
    )
    return "\n".join([head, *map(_row, lines)])


def _row(line: TrialResult) -> str:
    low, high = line.skill_between
    first, last = line.warning_between
    early = "–" if line.warning is None else f"{line.warning:.2f} ({first:.2f}–{last:.2f})"
    to_learn = "?" if line.to_learn is None else f"{line.to_learn:.2f}"
    return (
        f"| {line.kind} | {line.students} | {line.best_skill:.2f} | {to_learn} | {line.skill:.2f} "
        f"({low:.2f}–{high:.2f}) | {line.roc:.2f} | {line.calibration:.3f} "
        f"| {early} |"
    )


def as_rows(lines: Sequence[TrialResult]) -> list[dict[str, Any]]:
    return [asdict(line) for line in lines]
