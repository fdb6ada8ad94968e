"""The figure of one line of the speed book."""

from datetime import date, timedelta

from practice.measures.answers import TooLittle
from practice.numbers.kit import text as said
from practice.numbers.speed.book import SpeedLine
from practice.numbers.speed.queries import SpeedDay
from practice.numbers.speed.text import (
    QUANTITY_WORDS,
    SIGNAL_WORDS,
    SpeedReader,
    title_of,
    verdict_words,
)
from shared.kit.drawing.charts import Axis, Band, DayPoint, Mark, OverDays, TrendPoint
from shared.kit.units import SPEED

TREND_STEPS = 24
LATELY = 3  # Test days of the recent check, and as many before them.


def figure_of(line: SpeedLine, reader: SpeedReader, *, plain: bool = False) -> OverDays:
    """Its days in the reader's unit; `plain` leaves limits, aim and trend out."""
    from_si = SPEED[reader.unit].from_si
    ringed = {} if plain else {day: SIGNAL_WORDS[rule] for day, rule in line.signals}
    points = [_point(each, ringed, from_si(each.figure)) for each in line.days]
    points += [_faint(each, from_si(each.figure)) for each in line.others]
    points.sort(key=lambda point: (point.day, point.faint))
    band, marks, trend = None, [], []
    if not isinstance(line.claim, TooLittle):
        word = "the 3 days before" if line.claim.is_recent else "start"
        marks.append(Mark(from_si(line.claim.before), word))
    if not plain:
        if line.goal is not None:
            marks.append(Mark(from_si(line.goal.aim), "aim"))
        if not isinstance(line.limits, TooLittle):
            band = Band(from_si(line.limits.low), from_si(line.limits.high), "how far days differ")
        trend = _drawn(line, reader)
    title = title_of(line.line)
    return OverDays(
        title=f"{title}: the median of each test day",
        desc=f"{said.many(len(points), 'day')}. {verdict_words(line) if not plain else ''}".strip(),
        axis=Axis(said.sentence(QUANTITY_WORDS[line.line.quantity]), reader.sign),
        points=points,
        band=band,
        marks=marks,
        trend=trend,
    )


def _point(day: SpeedDay, ringed: dict[date, str], value: float) -> DayPoint:
    note = _note(day)
    if day.day in ringed:
        note += f"; {ringed[day.day]}"
    return DayPoint(day.day, value, note, ringed=day.day in ringed)


def _faint(day: SpeedDay, value: float) -> DayPoint:
    note = _note(day) + (", from memory" if day.from_memory else "")
    return DayPoint(day.day, value, note, faint=True)


def _note(day: SpeedDay) -> str:
    return f"median of {said.many(len(day.swings), 'swing')}"


def _drawn(line: SpeedLine, reader: SpeedReader) -> list[TrendPoint]:
    """The line that the verdict uses: the last days against those before, or the fitted one
    over the days it stands on, with its band."""
    if not isinstance(line.claim, TooLittle) and line.claim.is_recent:
        return _last_against_before(line, reader)
    if isinstance(line.trend, TooLittle):
        return []
    fit, start = line.trend.fit, line.trend.start
    span = (line.days[-1].day - start).days
    from_si = SPEED[reader.unit].from_si
    points = []
    for offset in sorted({round(span * k / TREND_STEPS) for k in range(TREND_STEPS + 1)}):
        low, high = fit.band(offset, one_new=False)
        day = start + timedelta(days=offset)
        points.append(TrendPoint(day, from_si(fit.at(offset)), from_si(low), from_si(high)))
    return points


def _last_against_before(line: SpeedLine, reader: SpeedReader) -> list[TrendPoint]:
    """Level over the three test days before, level over the last three, and the step between."""
    if isinstance(line.claim, TooLittle):
        return []
    before, now = (SPEED[reader.unit].from_si(v) for v in (line.claim.before, line.claim.now))
    days = [each.day for each in line.days[-2 * LATELY :]]
    heights = [before] * (len(days) - LATELY) + [now] * LATELY
    return [TrendPoint(day, at, at, at) for day, at in zip(days, heights, strict=True)]
