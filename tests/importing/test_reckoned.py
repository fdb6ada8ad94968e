"""Rows that are reckoned from others, and other things that would have passed unseen. Invented."""

from dataclasses import replace
from datetime import date
from statistics import fmean, stdev

import pytest

from practice.importing import cells, preamble, records
from practice.importing.columns import UNITS, Column, Plan
from practice.importing.days import DateOrder, day
from practice.importing.rows import RowReader, turned
from tests.importing.test_ten_files import looked_at, table

PLAN = Plan(
    {1: Column("club"), 2: Column("carry", "m"), 3: Column("ball_speed", "mps")}, day="2026-02-20"
)
SHOTS = [
    ["1", "7i", "140.2", "50.3"], ["2", "7i", "137.7", "49.8"], ["3", "7i", "144.5", "51.4"],
    ["4", "PW", "101.0", "41.0"], ["5", "PW", "99.4", "40.1"], ["6", "PW", "104.9", "41.9"],
]  # fmt: skip


def left_out(rows, plan=PLAN):
    found = RowReader(plan, date(2026, 3, 1)).read_all(turned(rows), len(rows))
    return sorted(found.faults)


def of(rows, reckon):
    return [f"{reckon([float(row[at]) for row in rows]):.1f}" for at in (2, 3)]


@pytest.mark.parametrize("reckon", [fmean, stdev])
@pytest.mark.parametrize("word", ["", "Zufaxn"])
def test_a_row_without_a_number_is_known_by_its_figures_whatever_it_is_called(reckon, word):
    assert left_out([*SHOTS, [word, "", *of(SHOTS, reckon)]]) == [6]


def test_a_block_of_means_a_club_below_the_shots_is_none():
    """Club and figures as in a shot: without a column of days they were shots."""
    means = [["", "7i", *of(SHOTS[:3], fmean)], ["", "PW", *of(SHOTS[3:], fmean)]]
    assert left_out([*SHOTS, *means]) == [6, 7]


def test_a_mean_after_each_club_is_of_the_rows_since_the_last():
    rows = [
        *SHOTS[:3],
        ["", "", *of(SHOTS[:3], fmean)],
        *SHOTS[3:],
        ["", "", *of(SHOTS[3:], fmean)],
    ]
    assert left_out(rows) == [3, 7]


def test_a_shot_whose_number_is_missing_is_a_shot():
    assert left_out([*SHOTS, ["", "PW", "102.3", "41.1"]]) == []


def test_a_shot_like_the_mean_that_has_its_number_is_a_shot():
    assert left_out([*SHOTS, ["7", "PW", *of(SHOTS, fmean)]]) == []


@pytest.mark.parametrize(
    "label", ["Media Ana", "média ferro 9", "Average (n=5)", "7番アイアン平均"]
)
def test_a_label_that_begins_with_a_mean_is_of_no_shot(label):
    assert left_out([*SHOTS, ["7", label, "120.0", "45.0"]]) == [6]


def test_a_name_and_a_note_that_only_begin_so_are_kept():
    assert not cells.begins_with_others("Medina Lopez")
    rows = [[*row, note] for row, note in zip(SHOTS, ["average strike", *"     "], strict=True)]
    assert left_out(rows) == []


@pytest.mark.parametrize("text", ["k. A.", "s/d", "n/d", "－", "N/A", "計測不可", "нет данных"])
def test_what_says_that_nothing_was_measured_is_no_figure_and_no_name(text):
    assert cells.number(text, ".") is None
    assert cells.words(text, 20) == ""
    assert left_out([*SHOTS, ["7", "PW", "102.3", text]]) == []


def test_any_other_word_in_the_place_of_a_figure_is_told():
    assert left_out([*SHOTS, ["7", "PW", "102.3", "fast"]]) == [6]


def test_means_beside_a_list_of_records_are_none_of_their_columns():
    """They stood in each record, and *mean.carry* was taken for the carry."""
    text = (
        '{"clubs": [{"club": "7i", "shots": [{"carry": 140.1}, {"carry": 138.2}],'
        ' "zufaxn": {"carry": 139.2, "many": 2}, "avgCarry": 139.2}]}'
    )
    assert records.rows_of(text) == [["club", "carry"], ["7i", 140.1], ["7i", 138.2]]


def test_what_a_first_line_says_of_all_stands_in_each_record_below_it():
    """The device stood in a row that is no shot, and the shots had none."""
    text = (
        '{"type": "session", "device": "Radar A"}\n'
        '{"type": "shot", "club": "7i", "carry": 140.1, "total": 150.0}\n'
        '{"type": "shot", "club": "7i", "carry": 138.2, "total": 148.0}'
    )
    names, *rows = records.rows_of(text)
    assert [row[names.index("device")] for row in rows] == ["Radar A", "Radar A"]


def test_centimetres_and_inches_are_units_of_a_distance():
    """NIST SP 811 (2008), appendix B.8: an inch is 0.0254 m."""
    assert UNITS["distance"]["in"].to_si(1) == pytest.approx(0.0254)
    _, found = looked_at(table("Club,Carry (m),Side (cm)", "PW,90.1,-120", "PW,91.0,80"))
    assert found[2] == Column("side", "cm")


@pytest.mark.parametrize(("heading", "field"), [("swing %", "effort"), ("battery %", None)])
def test_a_percent_of_the_swing_is_an_effort_and_one_of_a_battery_is_none(heading, field):
    _, found = looked_at(table(f"Club,Carry (m),{heading}", "PW,90.1,70%", "PW,91.0,80%"))
    assert (found[2].field if found[2] else None) == field


def test_a_weekday_cut_short_before_a_day():
    assert day("vr 04-07", DateOrder.DMY, 2025) == date(2025, 7, 4)


@pytest.mark.parametrize(
    ("above", "said"),
    [
        (["Séance du samedi 10 mai 2025"], "10 mai 2025"),
        (["Exported 15/03/2025 08:10"], ""),
        (["10 mai 2025 - 11 mai 2025"], ""),
    ],
)
def test_a_day_in_a_sentence_is_proposed_but_none_of_the_file_itself(above, said):
    found = preamble.day_said([above])
    assert found == said


def test_device_ball_and_place_are_proposed_where_a_label_says_them():
    above = [["Medidor: Radar A"], ["Ball:", "soft"], ["Place", "The barn"], ["Player:", "Ada"]]
    assert preamble.words_said(above) == {"device": "Radar A", "ball": "soft", "place": "The barn"}
    assert preamble.words_said([["Device: A"], ["Device: B"]]) == {}


@pytest.mark.parametrize(
    ("text", "is_inside"),
    [
        ("Range, indoors", True),
        ("練習場 屋外", False),
        ("indoor and outdoor", None),
        ("Range", None),
    ],
)
def test_the_roof_is_proposed_where_the_words_name_one(text, is_inside):
    assert preamble.roof_said([[text]]) is is_inside


def test_a_row_that_counts_the_shots_is_none():
    """Its one figure was the ball speed of a last shot."""
    plan = replace(PLAN, columns=PLAN.columns | {4: Column("spin")})
    rows = [[*row, "6000"] for row in SHOTS]
    assert left_out([*rows, ["Zufaxn", "", "", "6", ""]], plan) == [6]
    assert left_out([*rows, ["7", "PW", "", "41", ""]], plan) == [], "that is a shot"
