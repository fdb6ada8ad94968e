"""Cells as people and machines write them."""

from datetime import date, datetime

import pytest

from practice.importing import cells, days, lengths
from practice.importing.cells import Bad
from practice.importing.days import DateOrder


@pytest.mark.parametrize(
    ("text", "decimal", "value"),
    [
        ("60.5", ".", 60.5),
        (" 60.5 ", ".", 60.5),
        ("60,5", ",", 60.5),
        ("-3", ".", -3),
        ("−3.5", ".", -3.5),
        ("+3", ".", 3),
        (".5", ".", 0.5),
        ("1,234.5", ".", 1234.5),
        ("1.234,5", ",", 1234.5),
        ("8'200", ".", 8200),
        ("8 200", ".", 8200),
        ("", ".", None),
        ("-", ".", None),
        ("N/A", ".", None),
        (80.5, ",", 80.5),
        ("152.29999999999998", ".", 152.29999999999998),
        ("-0,30000000000000004", ",", -0.30000000000000004),
        ("3.5527136788005009e-15", ".", 3.5527136788005009e-15),
        ("-2E-5", ".", -0.00002),
    ],
)
def test_numbers(text, decimal, value):
    assert cells.number(text, decimal) == value


@pytest.mark.parametrize(
    "text",
    ["60,5", "6O.5", "1e5", "0x10", "60.5.1", "60 yd", "∞", "٣", "12,34.5", "1" * 13, "e-5", "1e-",
     "." + "1" * 31, "1e-5e-5"],
)  # fmt: skip
def test_what_is_no_number_is_said(text):
    with pytest.raises(Bad):
        cells.number(text, ".")


def test_a_number_that_is_none_is_refused():
    for value in (float("nan"), float("inf"), datetime(2026, 2, 20)):
        with pytest.raises(Bad):
            cells.number(value, ".")


@pytest.mark.parametrize(
    ("text", "value"),
    [("3.2", 3.2), ("-3.2", -3.2), ("3.2 L", -3.2), ("R 3.2", 3.2), ("4R", 4), ("left 2", -2)],
)
def test_sides(text, value):
    assert cells.side(text, ".") == value


@pytest.mark.parametrize(
    ("text", "order"),
    [
        ("2026-02-20", DateOrder.YMD),
        ("2026/2/20", DateOrder.DMY),
        ("2026-02-20T18:30:00Z", DateOrder.MDY),
        ("20.02.2026", DateOrder.DMY),
        ("20.2.26", DateOrder.DMY),
        ("02/20/2026 6:30 PM", DateOrder.MDY),
        ("20 Feb 2026", DateOrder.YMD),
        ("February 20, 2026", DateOrder.YMD),
        (datetime(2026, 2, 20, 18, 30), DateOrder.DMY),
    ],
)
def test_days(text, order):
    assert days.day(text, order) == date(2026, 2, 20)


@pytest.mark.parametrize(
    "text", ["20.02.2026", "2026-13-01", "yesterday", "2026-02-30", "Foo 1, 2026"]
)
def test_what_is_no_day_is_said(text):
    with pytest.raises(Bad):
        days.day(text, DateOrder.MDY)


def test_words_lengths_and_yes():
    assert lengths.length("Hip-high") == "hip"
    assert lengths.length("3/4") == "chest"
    assert lengths.length("") == ""
    assert cells.yes_or_no("Yes") is True
    assert cells.yes_or_no("0") is False
    assert cells.yes_or_no("") is None
    assert cells.words(" 54° ", 20) == "54°"
    for read in (
        lambda: lengths.length("knee"),
        lambda: cells.yes_or_no("maybe"),
        lambda: cells.words("x" * 21, 20),
        lambda: cells.words("a\x00b", 20),
    ):
        with pytest.raises(Bad):
            read()


def test_one_text_for_a_number_however_it_is_kept():
    assert cells.text_of(60.50) == "60.5"
    assert cells.text_of(datetime(2026, 2, 20)) == "2026-02-20"
    assert cells.text_of(datetime(2026, 2, 20, 18, 30)) == "2026-02-20 18:30:00"
