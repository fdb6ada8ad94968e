"""The work bar is to scale, deterministic, safe to print, and says the same in words."""

import re
from xml.etree import ElementTree as ET

import pytest
from django.template import Context, Template
from hypothesis import given
from hypothesis import strategies as st

from shared.kit.drawing.work_bar import WIDTH, WorkBar, draw, in_words, scale_of, work_bar

NS = "{http://www.w3.org/2000/svg}"


def parsed(bar: WorkBar, **kwargs) -> ET.Element:
    return ET.fromstring(draw(bar, **kwargs))  # noqa: S314 (our own drawing)


def outline_length(bar: WorkBar) -> float:
    path = parsed(bar).find("path[@class='work-bar-outline']")
    return float(re.search(r"h([\d.]+)", path.get("d"))[1]) + 2


def test_outlines_of_one_scale_compare_by_eye():
    short = WorkBar(asked=60, done=0, scale=120, key="a")
    full = WorkBar(asked=120, done=0, scale=120, key="b")
    assert outline_length(full) == pytest.approx(WIDTH)
    assert outline_length(short) == pytest.approx(WIDTH / 2)


def test_the_hatching_ends_where_the_work_ends():
    svg = draw(WorkBar(asked=100, done=25, scale=100, key="k"))
    assert 'fill="url(#hatch-k)" d="M0 5h80v14H0z"' in svg


def test_work_beyond_the_asked_never_fills_a_gap():
    """30 of 60 done and 40 extra: hatched to half, dotted from the outline's end."""
    svg = draw(WorkBar(asked=60, done=30, extra=40, scale=100, key="k"))
    assert "h96v14" in svg
    dots = re.search(r'work-bar-extra" d="M([\d.]+) 12H([\d.]+)"', svg)
    assert float(dots[1]) == pytest.approx(192 + 3)
    assert float(dots[2]) == pytest.approx(WIDTH - 1)


def test_the_pin_stands_at_its_amount():
    svg = draw(WorkBar(asked=100, done=0, pin=50, scale=100))
    assert "M160 4V21" in svg


def test_nothing_asked_draws_no_outline_and_no_pin():
    svg = draw(WorkBar(asked=0, done=0, pin=0, scale=100))
    assert "outline" not in svg
    assert "pin" not in svg
    assert "<title>nothing asked</title>" in svg


def test_the_label_is_escaped():
    svg = draw(WorkBar(asked=1, done=1, label='<script>"Sam" & co', scale=1, key='x"y'))
    assert "<script>" not in svg
    ET.fromstring(svg)  # noqa: S314 (our own drawing)


def test_pages_get_classes_and_mail_gets_colours():
    bar = WorkBar(asked=10, done=5, extra=5, pin=3, scale=20, key="k")
    page, mail = draw(bar), draw(bar, for_mail=True)
    assert "style=" not in page
    assert "stroke=" not in page
    assert "class=" not in mail
    assert 'stroke="#2f7a66"' in mail


def test_pattern_ids_differ_by_key():
    bars = [WorkBar(asked=10, done=5, scale=10, key=key) for key in ("one", "two")]
    ids = {parsed(bar).find("pattern").get("id") for bar in bars}
    assert ids == {"hatch-one", "hatch-two"}


def test_the_tag_prints_the_bar():
    bar = WorkBar(asked=10, done=5, scale=10, key="k", label="5 of 10")
    page = Template("{% work_bar bar %}").render(Context({"bar": bar}))
    assert page == draw(bar)


@pytest.mark.parametrize(
    ("amounts", "words"),
    [
        ((105, 61, 0, None), "61 of 105 minutes done"),
        ((105, 61.9, 12.5, None), "61 of 105 minutes done, 12 beyond what was asked"),
        ((105, 61, 0, 44.5), "61 of 105 minutes done, 44 planned by now"),
        ((0, 0, 0, None), "nothing asked"),
        ((0, 0, 30, None), "30 minutes of own choice"),
    ],
)
def test_the_text_equivalent(amounts, words):
    assert in_words(*amounts) == words


def test_the_scale_is_the_longest():
    assert scale_of([30, 120, 60]) == 120
    assert scale_of([]) == 1


@given(
    st.floats(0, 2000),
    st.floats(0, 1),
    st.floats(0, 2000),
    st.none() | st.floats(0, 1),
    st.floats(0, 4000),
)
def test_whatever_the_amounts_the_drawing_stays_inside(asked, share, extra, pin, scale):
    pin = None if pin is None else pin * asked
    svg = work_bar(asked, share * asked, extra=extra, pin=pin, scale=scale)
    root = ET.fromstring(svg)  # noqa: S314 (our own drawing)
    assert svg == work_bar(asked, share * asked, extra=extra, pin=pin, scale=scale)
    for path in root.iter("path"):
        for number in re.findall(r"[\d.]+", path.get("d")):
            assert float(number) <= WIDTH + 0.05
