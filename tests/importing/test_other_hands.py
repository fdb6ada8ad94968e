"""What files of other hands taught: layouts, letters and words that the first twenty lacked.

The files are invented; sixty of them were written by people who did not know the program, and
these are the things on which it failed.
"""

import io
from datetime import date

import pytest

from practice.importing import cells, columns, days, reading
from practice.importing.cells import Bad, is_of_others
from practice.importing.columns import Column, Plan
from practice.importing.days import DateOrder
from practice.importing.rows import RowReader, turned
from tests.importing.files import workbook
from tests.importing.test_ten_files import looked_at, table


def told(content):
    header, found = looked_at(content)
    return {title: (c.field, c.unit) if c else None for title, c in zip(header, found, strict=True)}


def rows_in(content):
    file = io.BytesIO(content)
    return [row for _, row in reading.rows_of(file, reading.kind_of(file))]


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("links 3,2", -3.2), ("3,2 links", -3.2), ("G 1,5", -1.5), ("D 1,5", 1.5), ("V4,0", -4.0),
        ("H4,0", 4.0), ("I 2,0", -2.0), ("3 dcha", 3.0), ("9 sx", -9.0), ("10 dx", 10.0),
        ("左3.2", -3.2), ("右 3.2", 3.2), ("gerade", 0.0), ("droit", 0.0), ("-2,5", -2.5),
    ],
)  # fmt: skip
def test_to_the_side_is_written_in_many_letters(text, metres):
    assert cells.side(text, "." if "3.2" in text else ",") == metres


@pytest.mark.parametrize("text", ["recta!", "derby", "x 3", "rouge"])
def test_a_word_is_no_departure_to_the_side(text):
    with pytest.raises(Bad):
        cells.side(text, ",")


def test_a_figure_may_have_its_unit_and_its_side():
    assert cells.split_unit("3.2 yds Left") == ("3.2 Left", "yd")


@pytest.mark.parametrize(
    "text",
    ["3. März 2025", "3 mars 2025", "3 de marzo de 2025", "2025年3月3日 10:05", "Mar 3, 2025"],
)
def test_days_are_written_in_many_tongues(text):
    assert days.day(text, DateOrder.DMY) == date(2025, 3, 3)


def test_the_row_of_units_may_have_words_and_dashes_in_it():
    assert columns.is_units_row(["-", "m/s", "grader", "varv/min", "m"])
    assert not columns.is_units_row(["7i", "m/s", "12,4"])


def test_the_heading_is_the_row_that_names_most_columns():
    found = told(table("Ball:,Range", "Player:,Ada", "Club,Ball Spd (mph),Carry Dist (yd)",
                       "7i,112.3,150.2", "7i,113.0,151.1"))  # fmt: skip
    assert found == {
        "Club": ("club", ""), "Ball Spd (mph)": ("ball_speed", "mph"),
        "Carry Dist (yd)": ("carry", "yd"),
    }  # fmt: skip


def test_a_column_headed_unit_gives_the_unit_of_the_one_before():
    found = told(table("Klubba;Carry;Enhet;Bollhastighet;Enhet", "7i;140,1;m;50,2;m/s",
                       "7i;139,0;m;49,8;m/s"))  # fmt: skip
    assert (found["Carry"], found["Bollhastighet"]) == (("carry", "m"), ("ball_speed", "mps"))


def test_units_said_once_round_the_records_are_those_of_their_measure():
    found = told(
        b'{"units": {"speed": "m/s", "distance": "m"}, "shots": ['
        b'{"ball": {"speed": 50.2, "rpm": 6900}, "flight": {"total": 141.5, "carry": 133.1}},'
        b'{"ball": {"speed": 49.8, "rpm": 7010}, "flight": {"total": 140.0, "carry": 132.0}}]}'
    )
    assert found["ball.speed"] == ("ball_speed", "mps")
    assert (found["ball.rpm"], found["flight.total"]) == (("spin", ""), ("total", "m"))


BY_CLUB = [["Carry (m), winter"], ["Ball", "Driver", "Träfemma", "7i", "PW"],
           [1.0, 205.0, 180.0, 140.0, 101.0], [2.0, 201.0, "", 138.5, 99.0],
           ["Mean", 203.0, 180.0, 139.3, 100.0], ["Max", 205.0, 180.0, 140.0, 101.0]]  # fmt: skip
SHOTS = [["Driver", 205.0], ["Träfemma", 180.0], ["7i", 140.0], ["PW", 101.0],
         ["Driver", 201.0], ["7i", 138.5], ["PW", 99.0]]  # fmt: skip


def test_a_column_a_club_becomes_a_row_a_ball_without_the_means():
    assert rows_in(workbook(BY_CLUB)) == [["Club", "Carry (m)"], *SHOTS]
    assert told(workbook(BY_CLUB)) == {"Club": ("club", ""), "Carry (m)": ("carry", "m")}


def test_a_row_a_club_with_a_column_a_ball_too():
    wide = [["Club", "Ball 1", "Ball 2", "Ball 3", "Ø"], ["7i", 140.0, 138.5, "", 139.3],
            ["PW", 101.0, 99.0, 98.0, 99.3], ["54°", 80.0, 81.0, "", 80.5]]  # fmt: skip
    assert rows_in(workbook(wide)) == [
        ["Club", "Figure"],
        *[["7i", 140.0], ["PW", 101.0], ["54°", 80.0], ["7i", 138.5], ["PW", 99.0]],
        *[["54°", 81.0], ["PW", 98.0]],
    ]
    assert told(workbook(wide)) == {"Club": ("club", ""), "Figure": None}, "is not guessed"


def test_a_row_of_shots_is_no_row_of_clubs():
    shots = table("Club,Carry", *(f"{club},{carry}" for club, carry in SHOTS))
    assert rows_in(shots)[0] == ["Club", "Carry"]


def test_means_below_the_shots_are_no_shots():
    plan = Plan(columns={0: Column("club"), 1: Column("carry", "m")}, day="2025-03-03")
    rows = [["7i", "140"], ["Average", "139"], ["Std. Dev.", "3"], ["Max", "141"], ["PW", "max"]]
    found = RowReader(plan, date(2025, 3, 4)).read_all(turned(rows), len(rows))
    assert {
        row: faults[0].reason for row, faults in found.faults.items() if row < 4
    } == dict.fromkeys((1, 2, 3), "This row is reckoned from others.")
    assert "reckoned" not in found.faults[4][0].reason
    assert not is_of_others("max")
    assert is_of_others("max", is_first=True)


@pytest.mark.parametrize(
    ("encoding", "text", "field"),
    [
        ("cp932", "番手,ヘッドスピード(m/s),キャリー(yd)\n7I,36.1,140.2\n7I,36.0,139.0\n",
         "キャリー(yd)"),
        ("cp1250", "Kij;Prędkość piłki (km/h);Długość lotu (m)\n7i;180,2;140,1\n7i;179,0;139,2\n",
         "Prędkość piłki (km/h)"),
        ("cp1252", "Schläger;Ballgeschw. (km/h);Länge Flug (m)\n7i;180,2;140,1\n7i;179,0;139,2\n",
         "Länge Flug (m)"),
    ],
)  # fmt: skip
def test_letters_of_other_tongues_are_read_as_they_were_written(encoding, text, field):
    header, found = looked_at(text.encode(encoding))
    assert found[header.index(field)] is not None
