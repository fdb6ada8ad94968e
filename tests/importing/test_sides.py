"""To which side a ball went: by sign, letters, another column; and clubs above their balls."""

from datetime import date

import pytest

from practice.importing import cells, naming
from practice.importing.columns import Column, Plan
from practice.importing.rows import RowReader, turned
from practice.shots.club_names import form_of
from tests.importing.test_ten_files import looked_at, table


def sides(plan, *rows):
    found = RowReader(plan, date(2026, 3, 1)).read_all(turned(rows), len(rows))
    return [*found.of("side")], found.faults


@pytest.mark.parametrize(
    "heading",
    ["Side (+ = left)", "Offline (+L/-R)", "Abweichung (links positiv)", "Side (L+ R-)",
     "Dispersion (m) minus = right", "左右(左+)", "Links + / Rechts -"],
)  # fmt: skip
def test_a_heading_may_say_that_plus_is_left(heading):
    """Every miss went to the other side, and nobody saw it."""
    assert cells.is_left_plus(heading)


@pytest.mark.parametrize(
    "heading",
    ["lateral (- esq / + dir) m", "Offline (-L/+R)", "Side (left -, right +)", "Left/Right",
     "m, minus = vänster", "sida + = höger", "L-R yds", "Driver - right handed", "Écart (m) g-/d+"],
)  # fmt: skip
def test_a_heading_that_means_right_by_plus_is_left_alone(heading):
    assert not cells.is_left_plus(heading)


def test_plus_is_left_where_the_file_says_so():
    _, found = looked_at(table("Club,Carry (m),Side m (+ = left)", "PW,90,-3.0", "PW,91,2.5"))
    assert found[2] == Column("side", "m", is_left_plus=True)
    plan = Plan({0: Column("carry", "m"), 1: found[2]}, day="2026-02-20")
    assert sides(plan, ["90", "-3.0"], ["91", "2.5"], ["92", "4 R"])[0] == [3.0, -2.5, 4.0]


LEFT_RIGHT = ("PW,90,3.0,L", "PW,91,2.5,R", "PW,92,0,-", "PW,91,4.5,L")


def test_the_side_may_stand_in_a_column_of_its_own():
    """Figures without a sign were all taken for misses to the right."""
    _, found = looked_at(table("Club,Carry (m),Offline (m),Dir", *LEFT_RIGHT))
    assert [each.field for each in found] == ["club", "carry", "side", "left_right"]
    plan = Plan(dict(enumerate(found)), day="2026-02-20")
    assert sides(plan, *[row.split(",") for row in LEFT_RIGHT])[0] == [-3.0, 2.5, 0.0, -4.5]
    _, faults = sides(plan, ["PW", "90", "3.0", ""])
    assert "to which side" in faults[0][0].reason


def test_a_side_that_is_never_left_and_says_no_side_is_asked():
    rows = [f"PW,9{n}.1,{n}.5" for n in range(10)]
    _, found = looked_at(table("Club,Carry (m),Offline (m)", *rows))
    assert [each and each.field for each in found] == ["club", "carry", None]
    _, few = looked_at(table("Club,Carry (m),Offline (m)", *rows[:4]))
    assert few[2] == Column("side", "m")


def test_a_hand_is_no_side():
    rows = ("PW,90,3.0,L", "PW,91,2.5,R")
    assert looked_at(table("Club,Carry (m),Offline (m),Hand", *rows))[1][3] is None


def test_a_row_that_is_a_club_alone_says_it_of_those_below():
    plan = Plan({0: Column("carry", "m"), 1: Column("ball_speed", "mps")}, day="2026-02-20")
    reader = RowReader(plan, date(2026, 3, 1))
    rows = [["7 iron", ""], ["140", "50"], ["Club: PW", ""], ["101", "41"]]
    found = reader.read_all(turned(rows), 4)
    assert sorted(found.faults) == [0, 2]
    assert [found.of("club")[at] for at in (1, 3)] == ["7 iron", "PW"]
    assert reader.read_all(turned([["99", "40"]]), 1).of("club")[0] == "PW", "in the next batch too"
    again = RowReader(plan, date(2026, 3, 1))
    again.follow(turned(rows))
    assert again.read_all(turned([["99", "40"]]), 1).of("club")[0] == "PW"


@pytest.mark.parametrize(
    ("name", "same"),
    [("7番アイアン", "7i"), ("7번 아이언", "7i"), ("7号铁", "7i"), ("żelazo 7", "7i"),
     ("7er Eisen", "7i"),
     ("ドライバー", "Driver"), ("드라이버", "Driver"), ("3番ウッド", "3w"), ("웨지 56도", "56°"),
     ("サンドウェッジ", "SW"), ("4UT", "4h")],
)  # fmt: skip
def test_a_club_is_the_same_in_every_language(name, same):
    assert form_of(name) == form_of(same)


def named(**more):
    columns = {"field-0": "carry", "unit-0": "m", "field-1": "side", "unit-1": "m"}
    form = columns | {"day": "2026-02-20", "device": "A"} | more
    return naming.read(form, {"distance": "m", "speed": "mps"}, ["Carry", "Side", "Dir"])


def test_the_form_says_that_plus_is_left_and_what_the_side_is_of():
    assert named(**{"left-1": "yes"}).plan.columns[1].is_left_plus
    assert not named().plan.columns[1].is_left_plus
    assert named(**{"field-2": "left_right"}).faults == {}
    without = named(**{"field-1": "", "field-2": "left_right"})
    assert without.faults["columns"] == "Name the column of which another says left or right."
