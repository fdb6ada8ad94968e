"""The charts of shared/kit/drawing/charts.py as Plotly figures, for the coach's pages.

Figures are plain data for Plotly's browser bundle; Plotly's Python side is not imported
(tests check these figures against its schema). A colour is the name of one of our tokens,
as in "--moss": static/js/figures.js puts in what the token says in the present theme.
"""

from collections.abc import Sequence
from datetime import date
from typing import Any

from shared.kit.drawing.charts import (
    Axis,
    Bar,
    Bars,
    Chart,
    EllipseMark,
    Mark,
    OverDays,
    Scatter,
    outline_of,
)

Figure = dict[str, Any]
SANS = "system-ui, sans-serif"
_AXIS = {
    "gridcolor": "--rule",
    "linecolor": "--pencil",
    "tickcolor": "--pencil",
    "zeroline": False,
    "showline": True,
    "ticks": "outside",
    "ticklen": 4,
    "automargin": True,
    "title": {"font": {"color": "--ink"}, "standoff": 10},
}
TEMPLATE: Figure = {
    "layout": {
        "font": {"family": SANS, "size": 14, "color": "--pencil"},
        "paper_bgcolor": "--ground",
        "plot_bgcolor": "--ground",
        "colorway": ["--moss", "--ochre", "--rust", "--pencil"],
        "hoverlabel": {
            "bgcolor": "--sheet",
            "bordercolor": "--pencil",
            "font": {"family": SANS, "color": "--ink"},
        },
        "hovermode": "closest",
        "showlegend": False,
        "dragmode": False,
        "margin": {"l": 56, "r": 16, "t": 22, "b": 48},
        "xaxis": _AXIS,
        "yaxis": _AXIS,
    }
}


def figure(chart: Chart) -> Figure:
    """`data` and `layout` for Plotly: plain dictionaries, lists, texts and numbers."""
    if isinstance(chart, OverDays):
        return _over_days(chart)
    if isinstance(chart, Bars):
        return _bars(chart)
    return _scatter(chart)


def _over_days(chart: OverDays) -> Figure:
    days = [point.day for point in chart.points]
    traces = _trend(chart)
    traces.append(
        _dots(
            [_day(day) for day in days],
            [point.value for point in chart.points],
            hovers=[f"{day}: {value}" for day, value, _ in chart.table.rows],
            notes=[point.note for point in chart.points],
            faint=[point.faint for point in chart.points],
            ringed=[point.ringed for point in chart.points],
        )
    )
    shapes, notes = [], []
    if chart.band is not None:
        shapes.append(_across(chart.band.low, chart.band.high))
        notes.append(_note(chart.band.high, chart.band.label, right=True))
    for mark in chart.marks:
        shapes.append(_level(mark.at))
        notes.append(_note(mark.at, mark.label))
    layout = _layout(
        {"type": "date", "title": {"text": "day"}, **_few_days(days)},
        {"title": {"text": chart.axis.title}},
    )
    return {"data": traces, "layout": layout | {"shapes": shapes, "annotations": notes}}


def _few_days(days: Sequence[date]) -> Figure:
    """Of one day Plotly would show its hours."""
    if len(set(days)) > 1:
        return {"tickformat": "%-d %b\n%Y"}
    return {"tickvals": [_day(day) for day in set(days)], "tickformat": "%-d %b\n%Y"}


def _trend(chart: OverDays) -> list[Figure]:
    if len(chart.trend) < 2:
        return []
    days = [_day(point.day) for point in chart.trend]
    edge = {"mode": "lines", "line": {"width": 0}, "hoverinfo": "skip"}
    return [
        _line(days, [point.low for point in chart.trend], **edge),
        _line(
            days,
            [point.high for point in chart.trend],
            **edge,
            fill="tonexty",
            fillcolor="--moss 0.14",
        ),
        _line(
            days,
            [point.value for point in chart.trend],
            mode="lines",
            line={"color": "--moss", "width": 2},
            hoverinfo="skip",
        ),
    ]


def _bars(chart: Bars) -> Figure:
    """Labels stand above their bars, so that a narrow page leaves the bars their length."""
    rows = [str(number) for number, _ in enumerate(chart.bars)]
    shown = [(row, bar) for row, bar in zip(rows, chart.bars, strict=True) if bar.value is not None]
    values = [bar.value or 0 for _, bar in shown]
    trace: Figure = {
        "type": "bar",
        "orientation": "h",
        "y": [row for row, _ in shown],
        "x": values,
        "width": _BAR,
        "marker": {"color": "--moss 0.55"},
        "hovertext": [
            _plain(f"{bar.label}: {chart.axis.say(value)}")
            for (_, bar), value in zip(shown, values, strict=True)
        ],
        "hoverinfo": "text",
    }
    if any(bar.low is not None and bar.high is not None for _, bar in shown):
        trace["error_x"] = _whiskers([bar for _, bar in shown], values)
    layout = _layout(
        {"title": {"text": chart.axis.title}, "rangemode": "tozero"}
        | ({"range": [0, chart.most]} if chart.most is not None else {}),
        {
            "type": "category",
            "categoryorder": "array",
            "categoryarray": rows,
            "range": [len(rows) - 0.5, -0.8],
            "showticklabels": False,
            "ticks": "",
            "showgrid": False,
        },
    )
    levels = [
        {"type": "line", "x0": m.at, "x1": m.at, "yref": "paper", "y0": 0, "y1": 1, **_DASHED}
        for m in chart.marks
    ]
    notes = [_row_label(number, bar) for number, bar in enumerate(chart.bars)]
    notes += [_mark_label(mark) for mark in chart.marks]
    return {"data": [trace], "layout": layout | {"shapes": levels, "annotations": notes}}


def _whiskers(bars: Sequence[Bar], values: Sequence[float]) -> Figure:
    pairs = list(zip(bars, values, strict=True))
    return {
        "type": "data",
        "symmetric": False,
        "array": [(b.high if b.high is not None else v) - v for b, v in pairs],
        "arrayminus": [v - (b.low if b.low is not None else v) for b, v in pairs],
        "color": "--ink",
        "thickness": 1.5,
    }


def _mark_label(mark: Mark) -> Figure:
    """Above the plot, where its line ends."""
    return {
        "x": mark.at,
        "yref": "paper",
        "y": 1,
        "yanchor": "bottom",
        "text": _plain(mark.label),
        "showarrow": False,
        "font": {"color": "--ink", "size": 13},
    }


def _row_label(number: int, bar: Bar) -> Figure:
    """On the upper edge of its bar, however thick the bars of this figure are."""
    return {
        "xref": "paper",
        "x": 0,
        "xanchor": "left",
        "y": number - _BAR / 2,
        "yanchor": "bottom",
        "text": _plain(f"{bar.label}: {bar.note}" if bar.note else bar.label),
        "showarrow": False,
        "font": {"color": "--ink", "size": 14},
    }


def _scatter(chart: Scatter) -> Figure:
    traces = []
    if chart.target is not None:
        cross = {"symbol": "cross-thin", "size": 14, "line": {"color": "--ochre", "width": 2}}
        traces.append(
            _line(
                [chart.target.x],
                [chart.target.y],
                mode="markers",
                marker=cross,
                hovertext=[chart.target.note or "target"],
                hoverinfo="text",
            )
        )
    traces.append(
        _dots(
            [spot.x for spot in chart.spots],
            [spot.y for spot in chart.spots],
            hovers=[_place(spot.x, spot.y, chart.across, chart.up) for spot in chart.spots],
            notes=[spot.note for spot in chart.spots],
            faint=[spot.faint for spot in chart.spots],
            ringed=[False for _ in chart.spots],
        )
    )
    if chart.ellipse is not None:
        traces.append(_ring(chart.ellipse))
    if chart.curve:
        traces.append(_through(chart.curve))
    up: Figure = {"title": {"text": chart.up.title}}
    if chart.even:
        up |= {"scaleanchor": "x", "scaleratio": 1}
    layout = _layout({"title": {"text": chart.across.title}}, up)
    layout["shapes"] = [_level(mark.at) for mark in chart.marks]
    layout["annotations"] = [_note(mark.at, mark.label) for mark in chart.marks]
    return {"data": traces, "layout": layout}


def _place(x: float, y: float, across: Axis, up: Axis) -> str:
    return f"{across.quantity} {across.say(x)}, {up.quantity} {up.say(y)}"


def _ring(ellipse: EllipseMark) -> Figure:
    corners = list(outline_of(ellipse))
    corners.append(corners[0])
    return _line(
        [x for x, _ in corners],
        [y for _, y in corners],
        mode="lines",
        line={"color": "--moss", "width": 1.5},
        hovertext=ellipse.label,
        hoverinfo="text",
    )


def _through(curve: Sequence[tuple[float, float]]) -> Figure:
    line = {"color": "--moss", "width": 1.5}
    xs, ys = [x for x, _ in curve], [y for _, y in curve]
    return _line(xs, ys, mode="lines", line=line, hoverinfo="skip")


def _line(x: list[Any], y: list[float], **more: Any) -> Figure:
    return {"type": "scatter", "x": x, "y": y, **more}


def _dots(
    x: list[Any],
    y: list[float],
    *,
    hovers: list[str],
    notes: list[str],
    faint: list[bool],
    ringed: list[bool],
) -> Figure:
    rims = [
        "--rust" if r else "--pencil" if f else "--moss" for f, r in zip(faint, ringed, strict=True)
    ]
    return _line(
        x,
        y,
        mode="markers",
        marker={
            "opacity": 1,
            "size": [13 if each else 9 for each in ringed],
            "color": ["--paper" if each else "--moss" for each in faint],
            "line": {"color": rims, "width": [3 if each else 1.5 for each in ringed]},
        },
        hovertext=[f"{h}<br>{_plain(n)}" if n else h for h, n in zip(hovers, notes, strict=True)],
        hoverinfo="text",
    )


def _plain(words: str) -> str:
    """Words in which Plotly finds no markup of its own."""
    return words.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


_BAR = 0.35  # How thick a bar is, of the row it stands in.
_DASHED: Figure = {"line": {"color": "--ochre", "width": 1.5, "dash": "dash"}, "layer": "below"}


def _across(low: float, high: float) -> Figure:
    return {
        "type": "rect",
        "xref": "paper",
        "x0": 0,
        "x1": 1,
        "y0": low,
        "y1": high,
        "fillcolor": "--rule 0.45",
        "line": {"width": 0},
        "layer": "below",
    }


def _level(at: float) -> Figure:
    return {"type": "line", "xref": "paper", "x0": 0, "x1": 1, "y0": at, "y1": at, **_DASHED}


def _note(at: float, words: str, *, right: bool = False) -> Figure:
    return {
        "xref": "paper",
        "x": 1 if right else 0,
        "xanchor": "right" if right else "left",
        "y": at,
        "yanchor": "bottom",
        "text": _plain(words),
        "showarrow": False,
        "font": {"color": "--ink", "size": 13},
    }


def _layout(xaxis: Figure, yaxis: Figure) -> Figure:
    return {
        "template": TEMPLATE,
        "xaxis": xaxis | {"fixedrange": True},
        "yaxis": yaxis | {"fixedrange": True},
    }


def _day(day: date) -> str:
    return day.isoformat()
