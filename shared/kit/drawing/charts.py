"""Small charts for the phone and for print: SVG text with classes, no script, no style.

Each chart is a frozen dataclass of what it shows; `draw` gives its SVG and `table` the
same numbers as rows, for 'Show as table' and for those who do not see the drawing.
`title` is its name, `desc` says in a sentence what there is to see. Values stand in the
unit that their axis names. Colours are those of static/css/charts.css.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from math import cos, pi, radians, sin

from shared.kit.drawing import svg
from shared.kit.drawing.scale import Scale, n, plain, scale_over, tick_places
from shared.kit.drawing.svg import BOTTOM, HEIGHT, LEFT, RIGHT, TOP, WIDTH

ROW = 34.0  # Height of one bar with its words.
RUNG = 30.0  # Height of one row of a number line.


@dataclass(frozen=True, slots=True)
class Table:
    """The numbers behind a figure, as printed."""

    caption: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Axis:
    """What an axis shows. `unit` may be empty where the quantity has none."""

    quantity: str
    unit: str = ""
    places: int = 1

    @property
    def title(self) -> str:
        return f"{self.quantity}, {self.unit}" if self.unit else self.quantity

    def say(self, value: float) -> str:
        return f"{plain(value, self.places)} {self.unit}".rstrip()


@dataclass(frozen=True, slots=True)
class Band:
    """A range across the chart, for example the limits of an individuals chart."""

    low: float
    high: float
    label: str


@dataclass(frozen=True, slots=True)
class Mark:
    """A level across the chart, for example the start or a target."""

    at: float
    label: str


@dataclass(frozen=True, slots=True)
class DayPoint:
    """One figure of one day. `faint`: shown and not judged; `ringed`: stands out, see note."""

    day: date
    value: float
    note: str = ""
    faint: bool = False
    ringed: bool = False


@dataclass(frozen=True, slots=True)
class TrendPoint:
    """A fitted line at one day, with its band."""

    day: date
    value: float
    low: float
    high: float


@dataclass(frozen=True)
class OverDays:
    """Points over days, with limits, levels and a fitted line."""

    title: str
    desc: str
    axis: Axis
    points: Sequence[DayPoint]
    band: Band | None = None
    marks: Sequence[Mark] = ()
    trend: Sequence[TrendPoint] = ()

    @cached_property
    def table(self) -> Table:
        rows = tuple(
            (f"{point.day.day} {point.day:%b %Y}", self.axis.say(point.value), point.note)
            for point in self.points
        )
        return Table(self.title, ("day", self.axis.title, "note"), rows)


@dataclass(frozen=True, slots=True)
class Bar:
    """One row: an amount with its interval. `value` None: too little to say, see note."""

    label: str
    value: float | None
    low: float | None = None
    high: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Bars:
    """Rows of bars from zero, each with its interval and its words; `most` ends the axis."""

    title: str
    desc: str
    axis: Axis
    bars: Sequence[Bar]
    most: float | None = None
    marks: Sequence[Mark] = ()

    @property
    def table(self) -> Table:
        rows = tuple((bar.label, *self._said(bar), bar.note) for bar in self.bars)
        return Table(self.title, ("", self.axis.title, "interval", "note"), rows)

    def _said(self, bar: Bar) -> tuple[str, str]:
        value = "too few" if bar.value is None else self.axis.say(bar.value)
        if bar.low is None or bar.high is None:
            return value, "none"
        return value, f"{plain(bar.low, self.axis.places)} to {self.axis.say(bar.high)}"


@dataclass(frozen=True, slots=True)
class Spot:
    """One observation of a scatter. `faint`: shown and not counted."""

    x: float
    y: float
    note: str = ""
    faint: bool = False


@dataclass(frozen=True, slots=True)
class EllipseMark:
    """Half axes `along` and `across`, the former turned `degrees` anticlockwise from x."""

    x: float
    y: float
    along: float
    across: float
    degrees: float
    label: str


@dataclass(frozen=True, slots=True)
class Scatter:
    """Observations of two amounts. `even`: one unit is as long across as up; `curve`: a line
    through them, as many points as it takes; `marks`: heights with a name."""

    title: str
    desc: str
    across: Axis
    up: Axis
    spots: Sequence[Spot]
    ellipse: EllipseMark | None = None
    target: Spot | None = None
    even: bool = True
    curve: Sequence[tuple[float, float]] = ()
    marks: Sequence[Mark] = ()

    @property
    def table(self) -> Table:
        rows = tuple((self.across.say(s.x), self.up.say(s.y), s.note) for s in self.spots)
        return Table(self.title, (self.across.title, self.up.title, "note"), rows)


@dataclass(frozen=True, slots=True)
class Rung:
    """One row of a number line: its name, and each point with what it is called."""

    label: str
    points: Sequence[tuple[float, str]]


@dataclass(frozen=True, slots=True)
class NumberLine:
    """Amounts where they lie, a row for each group; `gaps` are where nothing lies."""

    title: str
    desc: str
    axis: Axis
    rungs: Sequence[Rung]
    gaps: Sequence[tuple[float, float]] = ()

    @property
    def table(self) -> Table:
        rows = tuple(
            (rung.label, name, self.axis.say(at)) for rung in self.rungs for at, name in rung.points
        )
        return Table(self.title, ("", "", self.axis.title), rows)


Chart = OverDays | Bars | Scatter
Drawing = Chart | NumberLine  # The latter has no figure to zoom into.


def draw(chart: Drawing) -> str:
    """The chart as SVG. Raises ValueError for a number that is not finite."""
    if isinstance(chart, OverDays):
        return _over_days(chart)
    if isinstance(chart, Bars):
        return _bars(chart)
    if isinstance(chart, NumberLine):
        return _number_line(chart)
    return _scatter(chart)


def _over_days(chart: OverDays) -> str:
    days = [point.day for point in chart.points] + [point.day for point in chart.trend]
    first = min(days, default=date.min)
    across = scale_over([(day - first).days for day in days] or [0.0], LEFT + 6, RIGHT - 6)
    up = scale_over(_heights(chart), BOTTOM, TOP + 6)

    def x(day: date) -> float:
        return across.at((day - first).days)

    dots = [(x(point.day), up.at(point.value)) for point in chart.points]
    parts = []
    if chart.band is not None:
        top, bottom = up.at(chart.band.high), up.at(chart.band.low)
        parts.append(svg.box("chart-band", LEFT, top, RIGHT - LEFT, bottom - top))
        parts.append(svg.beside(top, chart.band.label, dots, (RIGHT, LEFT + 4)))
    parts += svg.frame(up, chart.axis.title)
    parts += _day_ticks(first, across) if days else [svg.empty()]
    parts += [part for mark in chart.marks for part in svg.level(mark.at, mark.label, up, dots)]
    parts += _trend(chart.trend, x, up)
    parts += [
        svg.point(*dot, point.faint, point.ringed)
        for dot, point in zip(dots, chart.points, strict=True)
    ]
    return svg.svg(chart.title, chart.desc, HEIGHT, parts)


def _heights(chart: OverDays) -> list[float]:
    heights = [point.value for point in chart.points] + [mark.at for mark in chart.marks]
    if chart.band is not None:
        heights += [chart.band.low, chart.band.high]
    return heights + [v for t in chart.trend for v in (t.value, t.low, t.high)]


def _day_ticks(first: date, across: Scale) -> list[str]:
    last = round(across.low + across.high)  # The scale has as much room on either side.
    count = min(4, last + 1)
    offsets = sorted({round(last * k / max(count - 1, 1)) for k in range(count)})
    parts = []
    for offset in offsets:
        at = across.at(offset)
        parts.append(f'<path class="chart-rule" d="M{n(at)} {n(BOTTOM)}v4"/>')
        day = first + timedelta(days=offset)
        anchor = "middle" if at < RIGHT - 24 else "end"
        parts.append(svg.text("chart-tick", at, BOTTOM + 17, f"{day.day} {day:%b}", anchor))
    year = f"day, {first.year}"
    end = first + timedelta(days=last)
    if end.year != first.year:
        year = f"day, {first.year} to {end.year}"
    return [*parts, svg.text("chart-axis", RIGHT, BOTTOM + 33, year, "end")]


def _trend(trend: Sequence[TrendPoint], x: Callable[[date], float], up: Scale) -> list[str]:
    if len(trend) < 2:
        return []
    there = [f"{n(x(t.day))} {n(up.at(t.high))}" for t in trend]
    back = [f"{n(x(t.day))} {n(up.at(t.low))}" for t in reversed(trend)]
    middle = [f"{n(x(t.day))} {n(up.at(t.value))}" for t in trend]
    return [
        f'<path class="chart-fit-band" d="M{"L".join(there + back)}z"/>',
        f'<path class="chart-fit" d="M{"L".join(middle)}"/>',
    ]


def _bars(chart: Bars) -> str:
    ends = [v for bar in chart.bars for v in (bar.value, bar.low, bar.high) if v is not None]
    ends += [mark.at for mark in chart.marks]
    reach = scale_over([*ends, 0.0], 0, 1, margin=0.0)
    most = chart.most if chart.most is not None else reach.high
    across = Scale(0.0, max(most, reach.high) or 1.0, 4.0, WIDTH - 8)
    bottom = TOP - 8 + ROW * len(chart.bars)
    parts = [part for i, bar in enumerate(chart.bars) for part in _bar(bar, i, across, chart.axis)]
    for mark in chart.marks:
        at = across.at(mark.at)
        parts.append(f'<path class="chart-mark" d="M{n(at)} {n(TOP - 8)}V{n(bottom)}"/>')
        parts.append(svg.text("chart-note", at, TOP - 11, mark.label, _anchor(at)))
    ticks = across.ticks()
    for tick in ticks:
        at = across.at(tick)
        parts.append(f'<path class="chart-rule" d="M{n(at)} {n(bottom)}v4"/>')
        said = plain(tick, tick_places(ticks))
        parts.append(svg.text("chart-tick", at, bottom + 16, said, _anchor(at)))
    parts.append(f'<path class="chart-rule" d="M4 {n(bottom)}H{n(WIDTH - 8)}"/>')
    parts.append(svg.text("chart-axis", WIDTH - 8, bottom + 32, chart.axis.title, "end"))
    if not chart.bars:
        parts.append(svg.text("chart-tick", 4, TOP + 4, "nothing yet", "start"))
    return svg.svg(chart.title, chart.desc, bottom + 38 + (0 if chart.bars else ROW), parts)


def _anchor(at: float) -> str:
    return "start" if at < 24 else "end" if at > WIDTH - 34 else "middle"


def _bar(bar: Bar, index: int, across: Scale, axis: Axis) -> list[str]:
    top = TOP - 8 + ROW * index
    words = f"{bar.label}: {bar.note}" if bar.note else bar.label
    parts = [svg.text("chart-label", 4, top + 12, words, "start")]
    zero = across.at(0)
    if bar.value is not None:
        parts.append(svg.box("chart-bar", zero, top + 17, across.at(bar.value) - zero, 11))
    if bar.low is not None and bar.high is not None:
        low, high, middle = across.at(bar.low), across.at(bar.high), top + 22.5
        ends = f"M{n(low)} {n(middle - 4)}v8M{n(high)} {n(middle - 4)}v8"
        parts.append(f'<path class="chart-whisker" d="M{n(low)} {n(middle)}H{n(high)}{ends}"/>')
    return parts


def _scatter(chart: Scatter) -> str:
    outline = list(outline_of(chart.ellipse)) if chart.ellipse is not None else []
    spots = [*chart.spots, *([chart.target] if chart.target is not None else [])]
    lines = [*outline, *chart.curve]
    across = scale_over([*(s.x for s in spots), *(x for x, _ in lines)], LEFT + 6, RIGHT - 6)
    heights = [*(s.y for s in spots), *(y for _, y in lines), *(mark.at for mark in chart.marks)]
    up = scale_over(heights, BOTTOM - 6, TOP + 6)
    if chart.even:
        across, up = _evened(across, up)
    parts = svg.frame(up, chart.up.title)
    ticks = across.ticks()
    for tick in ticks:
        at = across.at(tick)
        said = plain(tick, tick_places(ticks))
        parts.append(f'<path class="chart-rule" d="M{n(at)} {n(BOTTOM)}v4"/>')
        parts.append(svg.text("chart-tick", at, BOTTOM + 17, said, "middle"))
    parts.append(svg.text("chart-axis", RIGHT, BOTTOM + 33, chart.across.title, "end"))
    parts += [part for mark in chart.marks for part in svg.level(mark.at, mark.label, up)]
    if chart.target is not None:
        x, y = across.at(chart.target.x), up.at(chart.target.y)
        parts.append(f'<path class="chart-target" d="M{n(x - 6)} {n(y)}h12M{n(x)} {n(y - 6)}v12"/>')
    parts += [svg.point(across.at(s.x), up.at(s.y), s.faint, ringed=False) for s in chart.spots]

    def path(points: Sequence[tuple[float, float]]) -> str:
        return "M" + "L".join(f"{n(across.at(x))} {n(up.at(y))}" for x, y in points)

    if outline:
        parts.append(f'<path class="chart-ellipse" d="{path(outline)}z"/>')
    if chart.curve:
        parts.append(f'<path class="chart-fit" d="{path(chart.curve)}"/>')
    if not spots:
        parts.append(svg.empty())
    return svg.svg(chart.title, chart.desc, HEIGHT, parts)


def _number_line(chart: NumberLine) -> str:
    spots = [at for rung in chart.rungs for at, _ in rung.points]
    across = scale_over([*spots, *(end for gap in chart.gaps for end in gap)], LEFT + 8, RIGHT - 12)
    bottom = TOP + RUNG * len(chart.rungs)
    parts = [
        svg.box("chart-gap", across.at(low), TOP, across.at(high) - across.at(low), bottom - TOP)
        for low, high in chart.gaps
    ]
    for index, rung in enumerate(chart.rungs):
        y = TOP + RUNG * (index + 0.6)
        parts.append(f'<path class="chart-grid" d="M{n(LEFT)} {n(y)}H{n(RIGHT)}"/>')
        parts.append(svg.text("chart-label", LEFT - 5, y + 4, rung.label, "end"))
        parts += [svg.point(across.at(at), y, faint=False, ringed=False) for at, _ in rung.points]
        parts += [
            svg.text("chart-tick", across.at(at), y - 6, name, "middle") for at, name in rung.points
        ]
    ticks = across.ticks()
    parts.append(f'<path class="chart-rule" d="M{n(LEFT)} {n(bottom)}H{n(RIGHT)}"/>')
    for tick in ticks:
        at, said = across.at(tick), plain(tick, tick_places(ticks))
        parts.append(f'<path class="chart-rule" d="M{n(at)} {n(bottom)}v4"/>')
        parts.append(svg.text("chart-tick", at, bottom + 17, said, "middle"))
    parts.append(svg.text("chart-axis", RIGHT, bottom + 33, chart.axis.title, "end"))
    if not spots:
        parts.append(svg.empty())
    return svg.svg(chart.title, chart.desc, bottom + 38, parts)


def _evened(across: Scale, up: Scale) -> tuple[Scale, Scale]:
    """Both scales with as many units of the data in one unit of the drawing."""
    per = max(
        (across.high - across.low) / (across.end - across.start),
        (up.high - up.low) / abs(up.end - up.start),
    )

    def widened(scale: Scale) -> Scale:
        middle, half = (scale.low + scale.high) / 2, per * abs(scale.end - scale.start) / 2
        return Scale(middle - half, middle + half, scale.start, scale.end)

    return widened(across), widened(up)


def outline_of(ellipse: EllipseMark, corners: int = 48) -> Iterable[tuple[float, float]]:
    """Points around the ellipse, in the units of the data."""
    turn = radians(ellipse.degrees)
    for k in range(corners):
        a = ellipse.along * cos(2 * pi * k / corners)
        b = ellipse.across * sin(2 * pi * k / corners)
        yield ellipse.x + a * cos(turn) - b * sin(turn), ellipse.y + a * sin(turn) + b * cos(turn)
