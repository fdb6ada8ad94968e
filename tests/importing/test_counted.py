"""Several balls a row, and balls noted a line each. All invented."""

import io

from practice.importing import counted, notes, reading
from tests.importing.test_ten_files import looked_at, table

ACROSS = table(
    "Wedges - carry in yards,,,,,,", "Club,Effort %,Target,Shot 1,Shot 2,Shot 3,Mean",
    "PW,100,110,116,111,112,113", "PW,75,90,86,,88,87", "52°,100,95,95,91,93,93",
)  # fmt: skip


def rows_in(content):
    file = io.BytesIO(content)
    kind = reading.kind_of(file)
    return kind, [row for _, row in reading.rows_of(file, kind)]


def test_what_stands_beside_several_balls_is_said_of_each():
    """A club came twice, with another effort: no table of clubs, and no ball was read."""
    kind, rows = rows_in(ACROSS)
    assert kind.is_counted
    assert rows[1:5] == [
        ["Club", "Effort %", "Target", "Carry (yd)"], ["PW", "100", "110", "116"],
        ["PW", "100", "110", "111"], ["PW", "100", "110", "112"],
    ]  # fmt: skip
    assert len(rows) == 2 + 8, "no mean is a ball, nor is an empty cell"
    _, found = looked_at(ACROSS)
    assert [each.field for each in found] == ["club", "effort", "target", "carry"]


def test_columns_that_do_not_count_are_no_balls():
    assert counted.head_of([["Club", "Lie 1", "Lie 2", "Lie 4"], ["PW", "1", "2", "3"]]) is None
    assert counted.head_of([["a", "1", "2", "3"], ["b", "4", "5", "6"]]) is None


NOTE = """range sat
carry in yds, then how far off L or R

7i
151 13L
130 11R
138 7R thin
157 0 high

driver
219 3R lol
200 4 L best
left 4 balls for dad
"""


def test_balls_noted_a_line_each_are_read():
    kind, rows = rows_in(NOTE.encode())
    assert kind.is_notes
    assert rows[0] == ["Carry (yd)", "Side", "Note"]
    assert ["157", "0", "high"] in rows
    assert ["200", "4 L", "best"] in rows
    assert ["driver"] in rows
    assert [each and (each.field, each.unit) for each in looked_at(NOTE.encode())[1]] == [
        ("carry", "yd"), ("side", "yd"), None,
    ]  # fmt: skip


def test_figures_without_a_side_are_no_such_note():
    assert not notes.are_notes([f"{n} {n + 1}" for n in range(100, 120)])
    assert not notes.are_notes(["a", "b", "12 3L"])
