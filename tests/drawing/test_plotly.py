"""The Plotly figures: valid by Plotly's own schema, in our tokens, safe to put into a page."""

import json
import re
import subprocess
import sys
from datetime import date, timedelta
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.template import Context, Template

from shared.kit.drawing import plotly
from shared.kit.drawing.charts import (
    Axis,
    Band,
    Bar,
    Bars,
    DayPoint,
    EllipseMark,
    Mark,
    OverDays,
    Scatter,
    Spot,
    TrendPoint,
)

ROOT = Path(__file__).resolve().parents[2]
SPEED = Axis("Ball speed", "mph")
DAY = date(2026, 2, 1)
WEEK = timedelta(7)
EVIL = "</script><script>alert(1)</script>"
DAYS = OverDays(
    "Speed",
    "d",
    SPEED,
    [DayPoint(DAY, 150, EVIL, faint=True), DayPoint(DAY + WEEK, 152, ringed=True)],
    Band(148, 154, "limits"),
    [Mark(149, "start")],
    [TrendPoint(DAY, 150, 149, 151), TrendPoint(DAY + WEEK, 152, 151, 153)],
)
BARS = Bars(
    "Ladder",
    "d",
    Axis("Clean share"),
    [Bar("50", 0.9, 0.8, 0.95, "27 of 30"), Bar("70", None, note="too few"), Bar("90", 0.5)],
    1.0,
    [Mark(0.7, "line")],
)
SCATTER = Scatter(
    "60 m", "d", Axis("Side", "m"), Axis("Carry", "m"), [Spot(1, 60), Spot(-1, 62, EVIL)],
    EllipseMark(0, 61, 5, 2, 80, "next ball"), Spot(0, 60),
)  # fmt: skip
EMPTY = OverDays("Speed", "d", SPEED, [])
ONE = OverDays("Speed", "d", SPEED, [DayPoint(DAY, 150)])


def in_grey(thing):
    """What figures.js does, with one colour for every token."""
    if isinstance(thing, str):
        return "#888888" if thing.startswith("--") else thing
    if isinstance(thing, list):
        return [in_grey(each) for each in thing]
    if isinstance(thing, dict):
        return {key: in_grey(each) for key, each in thing.items()}
    return thing


def strings(thing):
    if isinstance(thing, str):
        yield thing
    elif isinstance(thing, dict):
        for each in thing.values():
            yield from strings(each)
    elif isinstance(thing, list | tuple):
        for each in thing:
            yield from strings(each)


@pytest.mark.parametrize("chart", [DAYS, BARS, SCATTER, EMPTY, ONE])
def test_plotly_itself_accepts_the_figure(chart):
    from plotly.graph_objects import Figure

    made = plotly.figure(chart)
    figure = Figure(in_grey(made))  # Raises for a property or a value that Plotly does not know.
    assert len(figure.data) == len(made["data"])
    json.dumps(made, allow_nan=False)


def test_a_wrong_property_would_have_been_seen():
    from plotly.graph_objects import Figure

    made = in_grey(plotly.figure(DAYS))
    made["data"][-1]["marker"]["colour"] = "#888888"
    with pytest.raises(ValueError, match="colour"):
        Figure(made)


@pytest.mark.parametrize("chart", [DAYS, BARS, SCATTER])
def test_every_colour_is_a_token_of_both_themes(chart):
    css = (ROOT / "static/css/notebook.css").read_text()
    tokens = {s.split()[0] for s in strings(plotly.figure(chart)) if s.startswith("--")}
    assert tokens
    # What text stands on is the page, or on a sheet the sheet.
    assert re.findall(r"--ground: var\((--\w+)\);", css) == ["--paper", "--sheet"]
    for token in tokens - {"--ground"} | {"--sheet"}:
        assert len(re.findall(rf"{token}: #[0-9a-f]{{6}};", css)) == 2
    assert not re.search(r"#[0-9a-fA-F]{3,6}\b|rgb", json.dumps(plotly.figure(chart)))


def test_axes_name_their_units():
    layout = plotly.figure(DAYS)["layout"]
    assert layout["yaxis"]["title"]["text"] == "Ball speed, mph"
    layout = plotly.figure(SCATTER)["layout"]
    assert (layout["xaxis"]["title"]["text"], layout["yaxis"]["title"]["text"]) == (
        "Side, m",
        "Carry, m",
    )


def test_bars_begin_at_zero_and_too_few_has_none():
    made = plotly.figure(BARS)
    assert made["layout"]["xaxis"]["range"] == [0, 1.0]
    assert made["data"][0]["x"] == [0.9, 0.5]
    assert made["data"][0]["error_x"]["array"] == [pytest.approx(0.05), 0]
    labels = [note["text"] for note in made["layout"]["annotations"]]
    assert labels == ["50: 27 of 30", "70: too few", "90", "line"]


def test_figure_and_drawing_and_table_show_the_same_numbers():
    assert plotly.figure(DAYS)["data"][-1]["y"] == [150, 152]
    page = Template("{% figure chart 'one' %}").render(Context({"chart": DAYS}))
    assert "<svg" in page
    assert "<td>150.0 mph</td>" in page


def test_nothing_breaks_out_of_the_page():
    page = Template("{% figure chart 'one' %}").render(Context({"chart": DAYS}))
    assert page.count("<script") == page.count("</script>") == 1
    assert "alert(1)</script>" not in page
    assert " style=" not in page


def test_the_bundle_comes_from_the_installed_package():
    found = Path(finders.find("plotly/plotly.min.js"))
    assert found.is_file()
    assert ROOT / "static" not in found.parents
    assert finders.find("plotly/widgetbundle.js") is None
    assert finders.find("plotly/plotly.min.js", find_all=True) == [str(found)]


def test_the_installed_bundle_still_asks_for_both_ids():
    bundle = Path(finders.find("plotly/plotly.min.js")).read_text(encoding="utf-8")
    head = (ROOT / "templates/drawing/figures_head.html").read_text()
    first, second = re.findall(r'<link id="([^"]+)"', head)
    assert f'getElementById("{first}")' in bundle
    assert second == "plotly.js-style-global"
    assert "no-inline-styles" in bundle
    assert '"plotly.js-style-"' in bundle


def test_drawing_a_figure_imports_no_plotly():
    code = (
        "import sys; from shared.kit.drawing import plotly, charts;"
        "plotly.figure(charts.OverDays('', '', charts.Axis('x'), []));"
        "assert 'plotly' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True, cwd=ROOT)
