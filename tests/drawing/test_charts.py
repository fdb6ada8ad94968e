"""The small charts: safe to print whatever the data, inside their frame, and the same as rows."""

import re
from datetime import date, timedelta
from xml.etree import ElementTree as ET

import pytest
from django.template import Context, Template
from hypothesis import given
from hypothesis import strategies as st

from shared.kit.drawing.charts import (
    Axis,
    Band,
    Bar,
    Bars,
    DayPoint,
    EllipseMark,
    Mark,
    NumberLine,
    OverDays,
    Rung,
    Scatter,
    Spot,
    TrendPoint,
    draw,
)
from shared.kit.drawing.scale import Scale, plain, round_step, scale_over, tick_places
from shared.kit.drawing.svg import BOTTOM, LEFT, RIGHT, TOP, WIDTH

NS = "{http://www.w3.org/2000/svg}"
SPEED = Axis("Ball speed", "mph")
DAY = date(2026, 2, 1)
amounts = st.floats(-1e6, 1e6)
words = st.text(st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"]), max_size=30)
days = st.dates(date(2000, 1, 1), date(2099, 12, 31))


def parsed(chart) -> ET.Element:
    return ET.fromstring(draw(chart))  # noqa: S314 (our own drawing)


def over_days(values, **kwargs) -> OverDays:
    points = [DayPoint(DAY + timedelta(7 * i), value) for i, value in enumerate(values)]
    return OverDays("Ball speed", "A sentence.", SPEED, points, **kwargs)


def circles(chart) -> list[tuple[float, float]]:
    found = parsed(chart).findall("circle")
    return [(float(c.get("cx")), float(c.get("cy"))) for c in found if "point" in c.get("class")]


def test_points_stand_in_the_order_and_at_the_height_of_their_values():
    (x1, y1), (x2, y2), (x3, y3) = circles(over_days([150, 160, 155]))
    assert x1 < x2 < x3
    assert x2 - x1 == pytest.approx(x3 - x2, abs=0.11)
    assert y2 < y3 < y1
    assert y1 - y3 == pytest.approx(y3 - y2, abs=0.11)


def test_a_longer_break_is_a_wider_step():
    chart = OverDays("t", "d", SPEED, [DayPoint(DAY + timedelta(i), 150.0) for i in (0, 7, 21)])
    (x1, _), (x2, _), (x3, _) = circles(chart)
    assert x3 - x2 == pytest.approx(2 * (x2 - x1), abs=0.2)


def test_one_point_and_equal_values_stand_in_the_middle():
    [(x, y)] = circles(over_days([151.3]))
    assert x == pytest.approx((LEFT + RIGHT) / 2, abs=1)
    assert y == pytest.approx((BOTTOM + TOP + 6) / 2, abs=1)
    assert len({y for _, y in circles(over_days([5, 5, 5]))}) == 1


def test_nothing_is_said_in_words():
    for chart in (
        over_days([]),
        Bars("t", "d", SPEED, []),
        Scatter("t", "d", SPEED, SPEED, []),
    ):
        assert "nothing yet" in draw(chart)
        assert chart.table.rows == ()


def test_limits_and_levels_lie_where_their_values_are():
    chart = over_days([10, 20], band=Band(10, 20, "limits"), marks=[Mark(10, "start")])
    box = next(r for r in parsed(chart).findall("rect") if r.get("class") == "chart-band")
    (_, low), (_, high) = circles(chart)
    assert float(box.get("y")) == pytest.approx(high, abs=0.11)
    assert float(box.get("y")) + float(box.get("height")) == pytest.approx(low, abs=0.11)
    assert f'chart-mark" d="M42 {low:g}H330' in draw(chart)


def test_a_fitted_line_has_its_band_and_goes_through_its_values():
    trend = [TrendPoint(DAY, 10, 8, 12), TrendPoint(DAY + timedelta(7), 20, 18, 22)]
    svg = draw(over_days([10, 20], trend=trend))
    assert "chart-fit-band" in svg
    line = re.search(r'chart-fit" d="M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)"', svg)
    assert [float(v) for v in line.groups()] == pytest.approx(
        [v for point in circles(over_days([10, 20], trend=trend)) for v in point], abs=0.11
    )


@pytest.mark.parametrize(
    "chart",
    [
        Bars("Credit", "", Axis("Credit", "%"), [Bar("Ladder", 60.0)], marks=[Mark(70.0, "done")]),
        OverDays(
            "Speed", "", SPEED, [DayPoint(DAY + timedelta(n), 150.0 + n) for n in range(3)],
            band=Band(149.0, 153.0, "usual"), marks=[Mark(151.0, "start")],
            trend=[TrendPoint(DAY + timedelta(n), 151.0, 149.0, 153.0) for n in range(3)],
        ),
    ],
    ids=["bars", "days"],
)  # fmt: skip
def test_no_line_strikes_through_a_word_and_no_word_hides_a_dot(chart):
    """What is drawn later lies above."""
    kinds = [each.tag.removeprefix(NS) for each in parsed(chart)]
    first, last = kinds.index("text"), len(kinds) - kinds[::-1].index("text")
    assert not {"path", "rect"} & set(kinds[first:])
    assert "circle" not in kinds[:last]


def test_the_words_of_a_level_stand_where_no_dot_is():
    def place(values) -> tuple[str, float]:
        drawn = parsed(over_days(values, marks=[Mark(162, "start")]))
        (words,) = (each for each in drawn.findall("text") if each.text == "start")
        return words.get("text-anchor"), float(words.get("x"))

    assert place([150, 150, 162.5]) == ("start", LEFT + 4)
    assert place([162.5, 150, 150]) == ("end", RIGHT)


def test_a_bar_is_as_long_as_its_amount_from_zero():
    chart = Bars("t", "d", Axis("share"), [Bar("50", 0.25), Bar("70", 0.5)], most=1.0)
    short, long = (float(r.get("width")) for r in parsed(chart).findall("rect"))
    assert long == pytest.approx(2 * short, abs=0.11)
    assert long == pytest.approx((WIDTH - 12) / 2, abs=0.11)


def test_too_few_draws_no_bar_and_says_so():
    chart = Bars("t", "d", Axis("share", places=2), [Bar("90", None, note="9 of 11")])
    assert not parsed(chart).findall("rect")
    assert "90: 9 of 11" in draw(chart)
    assert chart.table.rows == (("90", "too few", "none", "9 of 11"),)


def test_an_even_scatter_draws_a_circle_round():
    ring = EllipseMark(0, 60, 5, 5, 0, "where nine of ten land")
    svg = draw(Scatter("t", "d", Axis("Side", "m"), Axis("Carry", "m"), [Spot(0, 60)], ring))
    path = re.search(r'chart-ellipse" d="M([^z]+)z', svg)[1]
    xs, ys = zip(*(map(float, pair.split()) for pair in path.split("L")), strict=True)
    assert max(xs) - min(xs) == pytest.approx(max(ys) - min(ys), abs=0.3)


def test_balls_lie_under_their_outline_and_a_curve_through_its_dots():
    ring = EllipseMark(0, 60, 5, 5, 0, "where nine of ten land")
    axes = Axis("Side", "m"), Axis("Carry", "m")
    svg = draw(Scatter("t", "d", *axes, [Spot(0, 60)], ring, curve=[(0, 60), (5, 70)]))
    assert svg.index("chart-point") < svg.index("chart-ellipse") < svg.index("chart-fit")


def test_a_number_line_puts_each_amount_where_it_lies():
    chart = NumberLine(
        "Card", "One hole.", Axis("carry", "m", 0),
        [Rung("56°", [(40, "hip"), (60, "full")]), Rung("50°", [(80, "full")])], [(60, 80)],
    )  # fmt: skip
    dots = circles(chart)
    assert dots[1][0] - dots[0][0] == pytest.approx(dots[2][0] - dots[1][0], abs=0.2)
    assert dots[0][1] == dots[1][1] < dots[2][1]
    gap = next(box for box in parsed(chart).findall("rect") if box.get("class") == "chart-gap")
    assert float(gap.get("x")) == pytest.approx(dots[1][0], abs=0.1)
    assert chart.table.rows[0] == ("56°", "hip", "40 m")


def test_an_ellipse_leans_anticlockwise():
    """Its long half points up and to the right, where the drawing's y is small."""
    lean = EllipseMark(0, 0, 10, 1, 45, "")
    svg = draw(Scatter("t", "d", Axis("x"), Axis("y"), [], lean))
    path = re.search(r'chart-ellipse" d="M([^z]+)z', svg)[1]
    points = [tuple(map(float, pair.split())) for pair in path.split("L")]
    right = max(points)
    assert right[1] < (TOP + BOTTOM) / 2


def test_the_table_says_what_the_drawing_shows():
    chart = OverDays("t", "d", SPEED, [DayPoint(DAY, 151.25, "median of 6")])
    assert chart.table.columns == ("day", "Ball speed, mph", "note")
    assert chart.table.rows == (("1 Feb 2026", "151.2 mph", "median of 6"),)


def test_the_tag_prints_the_chart():
    chart = over_days([1, 2])
    page = Template("{% chart chart %}").render(Context({"chart": chart}))
    assert page == draw(chart)


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), float("-inf")])
def test_what_is_not_a_number_is_refused(bad):
    with pytest.raises(ValueError, match="finite"):
        draw(over_days([1, bad]))
    with pytest.raises(ValueError, match="finite"):
        draw(Bars("t", "d", SPEED, [Bar("a", bad)]))
    with pytest.raises(ValueError, match="finite"):
        draw(Scatter("t", "d", SPEED, SPEED, [Spot(bad, 1)]))


def check(chart, *texts: str) -> None:
    """Well-formed, no style, no script, every word kept, every point inside the frame."""
    svg = draw(chart)
    assert svg == draw(chart)
    root = ET.fromstring(svg)  # noqa: S314 (our own drawing)
    assert root.find("title").text == chart.title or not chart.title
    assert {element.tag for element in root.iter()} <= {
        "svg", "title", "desc", "text", "path", "rect", "circle",
    }  # fmt: skip
    assert not any(name in element.attrib for element in root.iter() for name in ("style", "id"))
    said = {text.text or "" for text in root.iter("text")}
    for text in texts:
        assert any(text in each for each in said)
    for circle in root.findall("circle"):
        assert LEFT <= float(circle.get("cx")) <= RIGHT
        assert TOP <= float(circle.get("cy")) <= BOTTOM


@given(st.lists(st.tuples(days, amounts), max_size=12), words, words, st.none() | amounts)
def test_any_days_can_be_drawn(points, title, note, level):
    marks = [Mark(level, note)] if level is not None else []
    shown = [DayPoint(day, value, note, ringed=True) for day, value in points]
    chart = OverDays(title, note, Axis(title, note), shown, marks=marks)
    check(chart, *([note] if marks else []))
    assert len(chart.table.rows) == len(points)


@given(st.lists(st.tuples(words, st.floats(0, 1e6), st.floats(0, 1), st.floats(0, 1)), max_size=8))
def test_any_bars_can_be_drawn(rows):
    bars = [Bar(w, v, v * a, v + b, w) for w, v, a, b in rows]
    check(Bars("t", "d", SPEED, bars), *(bar.label for bar in bars))


@given(st.lists(st.tuples(amounts, amounts), max_size=12), st.booleans(), st.floats(0, 100), words)
def test_any_scatter_can_be_drawn(pairs, even, size, title):
    ring = EllipseMark(0, 0, size, size / 2, 30, "ring") if size else None
    spots = [Spot(x, y) for x, y in pairs]
    check(Scatter(title, title, SPEED, SPEED, spots, ring, Spot(1, 1), even))


@given(amounts, st.floats(1e-6, 1e6))
def test_ticks_are_round_and_within(low, size):
    scale = Scale(low, low + size, 0, 100)
    ticks = scale.ticks()
    assert len(ticks) <= 6
    assert all(low - size * 1e-6 <= tick <= low + size * (1 + 1e-6) for tick in ticks)


@pytest.mark.parametrize(
    ("rough", "step"), [(0.3, 0.5), (1, 1), (1.1, 2), (2.2, 2.5), (24, 25), (26, 50), (60, 100)]
)
def test_a_round_step(rough, step):
    assert round_step(rough) == pytest.approx(step)


def test_numbers_as_people_write_them():
    assert plain(-1.26, 1) == "−1.3"
    assert plain(-0.01, 1) == "0.0"
    assert tick_places((0.0, 2.5)) == 1
    assert tick_places((0.0, 25.0)) == 0
    assert tick_places((0.0, 0.25)) == 2


def test_a_scale_holds_equal_values_in_its_middle():
    assert scale_over([7, 7], 0, 100).at(7) == pytest.approx(50)
