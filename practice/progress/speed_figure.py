"""The figure of one line of the speed book."""

from datetime import date, timedelta

from practice.measures.answers import TooLittle
from practice.progress import said
from practice.progress.speed_book import SpeedLine
from practice.progress.speed_read import SpeedDay
from practice.progress.speed_words import QUANTITY_WORDS, Reader, title_of, verdict_words
from shared.drawing.charts import Axis, Band, DayPoint, Mark, OverDays, TrendPoint
from shared.units import SPEED

TREND_STEPS = 24


def figure_of(line: SpeedLine, reader: Reader, *, plain: bool = False) -> OverDays:
    """Its days in the reader's unit; `plain` leaves limits, aim and trend out."""
    from_si = SPEED[reader.unit].from_si
    ringed = {} if plain else {day: str(rule) for day, rule in line.signals}
    points = [_point(each, ringed, from_si(each.figure)) for each in line.days]
    points += [_faint(each, from_si(each.figure)) for each in line.others]
    points.sort(key=lambda point: (point.day, point.faint))
    band, marks, trend = None, [], []
    if not isinstance(line.change, TooLittle):
        marks.append(Mark(from_si(line.change.before), "start"))
    if not plain:
        if line.goal is not None:
            marks.append(Mark(from_si(line.goal.aim), "aim"))
        if not isinstance(line.limits, TooLittle):
            band = Band(from_si(line.limits.low), from_si(line.limits.high), "limits of chance")
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


def _drawn(line: SpeedLine, reader: Reader) -> list[TrendPoint]:
    """The fitted line over the days it stands on, with the band of the line."""
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
