"""The weeks and areas of a season sheet: the plan's line, what was asked, what was done."""

from dataclasses import dataclass
from datetime import date, timedelta

from coaching.season.line import WEEK, line_of, reaches, row_for
from coaching.season.models import Phase
from coaching.season.ramp import RampKind
from coaching.season.read import WEEKS_BACK, Season, competition_in
from practice.compliance.models import WeekTally
from practice.drills.models import Area
from shared.kit.drawing.work_bar import WorkBar, in_words, scale_of
from shared.kit.text import date_words, in_minutes

WEEKS_AHEAD = 12


@dataclass(frozen=True, slots=True)
class SeasonWeekRow:
    """One week of the line. `bar`: the plan's minutes and what of them was done."""

    opens: str
    phase: str
    plan: str
    kind: str
    asked: str
    done: str
    bar: WorkBar | None
    is_now: bool


@dataclass(frozen=True, slots=True)
class AreaRow:
    """One area: this week's minutes, the target, and whether the cap lets it be reached."""

    name: str
    now: str
    target: str
    says: str
    lately: str


def phase_at(season: Season, day: date) -> Phase | None:
    return next((phase for phase in season.phases if phase.first <= day <= phase.last), None)


Lines = dict[str, dict[date, tuple[int, RampKind]]]


def lines_of(season: Season) -> Lines:
    """Minutes and kind of week by area and opening day."""
    share = season.share_of()
    span = [season.opens + n * WEEK for n in range(-WEEKS_BACK, WEEKS_AHEAD)]
    areas = sorted({row.area for row in season.ramps}, key=Area.values.index)
    return {
        area: {
            opens: (week.minutes, week.kind)
            for opens, week in line_of(season.ramps, area, span, share).items()
        }
        for area in areas
    }


def planned_minutes(season: Season, opens: date) -> dict[str, int]:
    """What the plan asks of each area in one week; areas without a line are left out."""
    share = season.share_of()
    areas = {row.area for row in season.ramps}
    lines = {area: line_of(season.ramps, area, [opens], share) for area in sorted(areas)}
    return {area: line[opens].minutes for area, line in lines.items() if opens in line}


def _at(lines: Lines, opens: date) -> list[tuple[int, RampKind]]:
    return [line[opens] for line in lines.values() if opens in line]


def weeks_back(season: Season, lines: Lines, tallies: dict[date, WeekTally]) -> list[SeasonWeekRow]:
    span = [season.opens - n * WEEK for n in range(WEEKS_BACK + 1)]
    rows = [(opens, sum(m for m, _ in _at(lines, opens)), tallies.get(opens)) for opens in span]
    scale = _scale(lines, tallies)
    return [_back_row(season, lines, row, scale) for row in rows]


def _scale(lines: Lines, tallies: dict[date, WeekTally]) -> float:
    """One scale for every bar of the page, past and coming."""
    totals: dict[date, float] = {}
    for line in lines.values():
        for opens, (minutes, _) in line.items():
            totals[opens] = totals.get(opens, 0) + minutes
    return scale_of([*totals.values(), *(tally.minutes for tally in tallies.values())])


def _back_row(
    season: Season, lines: Lines, row: tuple[date, int, WeekTally | None], scale: float
) -> SeasonWeekRow:
    opens, plan, tally = row
    done = tally.minutes if tally else 0.0
    planned = bool(_at(lines, opens))
    # Of the areas that have a line: other practice is no work beyond the plan.
    of_plan = _done_on(lines, opens, tally)
    extra = max(0.0, of_plan - plan)
    label = in_words(plan, min(of_plan, plan), extra) if planned else ""
    bar = WorkBar(plan, min(of_plan, plan), extra, None, label, scale, f"w{opens}")
    return SeasonWeekRow(
        opens=date_words(opens),
        phase=_phase_name(season, opens),
        plan=f"{plan} min" if planned else "no line yet",
        kind=_kind(season, lines, opens),
        asked=f"{in_minutes(tally.asked_minutes)} min"
        if tally and tally.has_plan
        else "nothing sent",
        done=f"{in_minutes(done)} min",
        bar=bar if planned else None,
        is_now=opens == season.opens,
    )


def _done_on(lines: Lines, opens: date, tally: WeekTally | None) -> float:
    areas = {area for area, line in lines.items() if opens in line}
    parts = tally.parts if tally else []
    return float(sum(part["done_minutes"] for part in parts if part["area"] in areas))


def weeks_ahead(
    season: Season, lines: Lines, tallies: dict[date, WeekTally]
) -> list[SeasonWeekRow]:
    if season.plan is None:
        return []
    span = [season.opens + n * WEEK for n in range(1, WEEKS_AHEAD)]
    span = [opens for opens in span if opens <= season.plan.last]
    totals = {opens: sum(m for m, _ in _at(lines, opens)) for opens in span}
    scale = _scale(lines, tallies)
    return [
        SeasonWeekRow(
            opens=date_words(opens),
            phase=_phase_name(season, opens),
            plan=f"{totals[opens]} min" if _at(lines, opens) else "no line yet",
            kind=_kind(season, lines, opens),
            asked="",
            done="",
            bar=WorkBar(totals[opens], 0, 0, None, f"{totals[opens]} minutes planned", scale, "")
            if totals[opens]
            else None,
            is_now=False,
        )
        for opens in span
    ]


def _phase_name(season: Season, opens: date) -> str:
    phase = phase_at(season, opens) or phase_at(season, opens + timedelta(days=6))
    return phase.name if phase else ""


def _kind(season: Season, lines: Lines, opens: date) -> str:
    """What makes a week lower than the line: its event, days away, or a lighter week."""
    event = competition_in(season.events, opens)
    if event is not None:
        return f"event week: {event.name}"
    kinds = {kind for _, kind in _at(lines, opens)}
    if RampKind.OFF in kinds:
        return "away"
    if RampKind.LESS_TIME in kinds:
        return "days away"
    return "lighter week" if RampKind.LIGHTER in kinds else ""


# --- areas ---------------------------------------------------------------------


def area_rows(season: Season, lines: Lines, tallies: dict[date, WeekTally]) -> list[AreaRow]:
    share = season.share_of()
    rows = []
    for area, line in lines.items():
        row = row_for(season.ramps, area, season.opens + WEEK * WEEKS_AHEAD)
        if row is None or (row.target == 0 and row.start == 0):
            continue
        reached = reaches(row, share)
        rows.append(
            AreaRow(
                name=str(Area(area).label).capitalize(),
                now=f"{line[season.opens][0]} min" if season.opens in line else "starts later",
                target=f"{row.target:.0f} min by the week of {date_words(row.due)}",
                says=_reach_words(row.due, row.cap, reached),
                lately=_lately(area, season, tallies),
            )
        )
    return rows


def _reach_words(due: date, cap: int, reached: date | None) -> str:
    if reached is not None and reached <= due:
        return ""
    words = f"The cap of {cap} % a week does not let it stand by then"
    return f"{words}: it would in the week of {date_words(reached)}." if reached else f"{words}."


def _lately(area: str, season: Season, tallies: dict[date, WeekTally]) -> str:
    """Minutes logged on average in the four weeks before this one, and of how many."""
    span = [season.opens - n * WEEK for n in range(1, 5)]
    known = [tallies[opens] for opens in span if opens in tallies]
    if not known:
        return "nothing logged yet"
    done = [sum(p["done_minutes"] for p in tally.parts if p["area"] == area) for tally in known]
    weeks, mean = len(known), in_minutes(sum(done) / len(known))
    return f"{mean} min a week logged, {weeks} week{'' if weeks == 1 else 's'}"
