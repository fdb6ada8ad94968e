"""Many rows at once say what each of them says alone."""

import io
import random
from datetime import date, datetime

import pytest

from practice.importing import cells, reading
from practice.importing.cells import Bad
from practice.importing.columns import Column, Plan
from practice.importing.days import DateOrder
from practice.importing.reading import BadRow, FileKind, blocks_of, kind_of, rows_of
from practice.importing.rows import RowReader, turned
from tests.importing.files import CSV, ROWS, workbook

TODAY = date(2026, 3, 1)
CELLS = (
    "60.5", "60", "-3", "+4.25", ".5", "5.", "", "-", "n/a", "1,234.5", "60,5", "61 yd", "70 mph",
    "3 L", "R 2", "1e5", "nan", "inf", "1_000", "--5", "+-5", "6\n0", "٣", "−7", "123456789012",
    "1234567890123", "0.1234567890123", "9" * 30, "400", "400.1", "6100", "-30", "text", "'=1+1",
    " 62.0 ", 60.5, -1.0, 500.0, float("nan"), float("inf"), datetime(2026, 2, 20), 0.0,
)  # fmt: skip
DAYS = ("2026-02-20", "20.02.2026", "1999-01-01", "2999-01-01", "someday", "", datetime(2026, 2, 1))


@pytest.mark.parametrize("decimal", [".", ","])
@pytest.mark.parametrize("cell", CELLS, ids=repr)
def test_plain_numbers_are_numbers(cell, decimal):
    kept = cell.strip() if isinstance(cell, str) else cell
    found = cells.plain_numbers([kept], decimal)
    try:
        expected = [cells.number(kept, decimal)]
    except Bad:
        expected = None
    assert found in (None, expected)


def test_plain_numbers_come_at_once():
    assert cells.plain_numbers(["60.5", "", "-3"], ".") == [60.5, None, -3.0]
    assert cells.plain_numbers(["60,5", "", "-3"], ",") == [60.5, None, -3.0]
    assert cells.plain_numbers([60.5, "", -3.0], ",") == [60.5, None, -3.0]
    assert cells.plain_numbers(["60.5", "61 yd"], ".") is None
    assert cells.plain_numbers(["6\n0", "1"], ",") is None


PLANS = [
    Plan(
        columns={
            0: Column("day"), 1: Column("club"), 2: Column("carry", "yd"), 3: Column("side", "m"),
            4: Column("ball_speed", "mph"), 5: Column("club_speed", "mps"), 6: Column("effort"),
        },
        device="radar",
    ),
    Plan(
        columns={1: Column("player"), 2: Column("is_clean"), 3: Column("total", "ft"),
                 4: Column("length"), 6: Column("spin")},
        decimal=",", day="2026-02-25", player="text", order=DateOrder.DMY,
    ),
    Plan(columns={0: Column("day"), 9: Column("carry", "m")}, order=DateOrder.MDY),
]  # fmt: skip


def messy(seed: int) -> list[list]:
    """Rows of every kind, some short; now and then a column without a fault."""
    chance = random.Random(seed)
    plain = {n for n in range(7) if chance.random() < 0.5}
    rows = []
    for _ in range(chance.randint(1, 40)):
        row = [chance.choice(DAYS[:1] if 0 in plain else DAYS)]
        row += [chance.choice(CELLS[:3] if n in plain else CELLS) for n in range(1, 7)]
        rows.append(row[: chance.choice((7, 7, 7, 4, 0))])
    return rows


@pytest.mark.parametrize("plan", PLANS, ids=["measured", "seen", "short"])
@pytest.mark.parametrize("seed", range(60))
def test_rows_say_together_what_each_says_alone(plan, seed):
    rows, reader = messy(seed), RowReader(plan, TODAY)
    together = reader.read_all(turned(rows), len(rows))
    for place, row in enumerate(rows):
        alone = RowReader(plan, TODAY).read(row)
        assert together.faults.get(place, []) == alone.faults
        if not alone.faults:
            said = {name: column[place] for name, column in together.values.items()}
            assert {name: v for name, v in said.items() if v not in (None, "")} == alone.values


def listed(file, kind, **asked):
    """Blocks as rows, without the spaces around their cells."""
    return [
        (number, row if isinstance(row, BadRow) else [reading.stripped(cell) for cell in row])
        for block in blocks_of(file, kind, **asked)
        for number, row in zip(block.numbers, block.rows, strict=True)
    ]


FILES = {
    "plain": CSV,
    "without a last end": CSV.rstrip(),
    "empty rows": b"a,b\n\n1,2\n,,\n \n3,4\n\n\n5\n",
    "quoted": b'a,b\n"1,5","say ""x"""\n"3" ,4\n"5","6"\n"7","8"\n',
    "two lines": b'a,b\n"two\nlines",3\n4,5\n"six\n","7"\n8,9\n',
    "open": b'a,b\n1,"open\n' + b"".join(b"%d,0\n" % i for i in range(2, 60)),
    "inches": b"a,b\n5' 10\",x\n6' 2\",y\n7,z\n",
    "even and open": b'a,b\nx"y"z,"c\n1,2\n"3,4\n5",6\n',
    "wide": b"a,b\n" + b"," * 500 + b"1\n3,4\n",
    "long": b"a,b\n" + b"x" * 5000 + b",1\n3,4\n",
    "returns": b"a,b\r1,2\r\r3,4\r",
    "spaces": b" a , b \r\n 1,2 \r\n",
}


@pytest.mark.parametrize("size", [1, 2, 3, 1000])
@pytest.mark.parametrize("name", FILES)
def test_a_file_has_the_same_rows_in_blocks_of_any_size(name, size):
    file = io.BytesIO(FILES[name])
    kind = FileKind("csv", "utf-8-sig", ",")
    rows = list(rows_of(file, kind))
    assert listed(file, kind, size=size) == rows
    assert listed(file, kind, size=size, first=3) == [each for each in rows if each[0] >= 3]


def test_a_workbook_comes_in_blocks_too():
    file = io.BytesIO(workbook([["a", "b"], *(row.split(",")[:2] for row in ROWS), [None], [1, 2]]))
    kind = kind_of(file)
    assert listed(file, kind, size=2, first=2) == list(rows_of(file, kind))[1:]


def test_a_block_of_long_lines_is_cut_short(monkeypatch):
    monkeypatch.setattr(reading, "LONGEST_BLOCK", 1000)
    file = io.BytesIO(b"".join(b"%d,%s\n" % (i, b"x" * 90) for i in range(100)))
    blocks = list(blocks_of(file, FileKind("csv", "utf-8-sig", ","), 1000))
    assert max(len(block.rows) for block in blocks) <= 26  # Sixteen lines at a time.
    assert [n for block in blocks for n in block.numbers] == list(range(1, 101))
