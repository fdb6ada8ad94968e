"""Files as they come, and files that mean harm."""

import io
import zipfile

import pytest

from practice.importing import columns, days, reading
from practice.importing import workbook as workbook_reader
from practice.importing.days import DateOrder
from practice.importing.reading import BadRow, FileKind, Unreadable, kind_of, rows_of
from practice.importing.recognise import guess_columns
from shared.site.jail import NotTaken
from tests.importing.files import HEADER, ROWS, with_part, workbook


def read(content: bytes):
    file = io.BytesIO(content)
    return [row for _, row in rows_of(file, kind_of(file))]


TEXT = "Datum;Schläger;Carry [m]\n20.02.2026;54°;60,5\n"


@pytest.mark.parametrize(
    ("encoding", "said"),
    [
        ("utf-8", "UTF-8"),
        ("utf-8-sig", "UTF-8"),
        ("utf-16", "UTF-16"),
        ("utf-16-le", "UTF-16"),
        ("utf-16-be", "UTF-16"),
        ("cp1252", "Western European"),
    ],
)
def test_letters_are_found_out(encoding, said):
    content = TEXT.encode(encoding)
    assert said in kind_of(io.BytesIO(content)).words
    assert read(content) == [["Datum", "Schläger", "Carry [m]"], ["20.02.2026", "54°", "60,5"]]


def test_a_byte_that_windows_does_not_know_is_latin():
    assert kind_of(io.BytesIO(b"a,b\n\x81,1\n")).encoding == "latin-1"


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_separators_and_line_ends_are_found_out(separator, end):
    lines = [separator.join(["Club", "Carry", "Total"]), separator.join(["54", "60", "62"])]
    content = (end.join(lines) + end).encode()
    assert read(content) == [["Club", "Carry", "Total"], ["54", "60", "62"]]


def test_decimal_commas_do_not_count_as_separators():
    content = b"Club;Carry;Total\n54;60,5;62,1\n54;61,5;63,1\n"
    assert kind_of(io.BytesIO(content)).separator == ";"


def test_empty_rows_are_passed_over_and_numbers_stay_those_of_the_file():
    file = io.BytesIO(b"a,b\n\n,,\n1,2\n")
    assert list(rows_of(file, kind_of(file))) == [(1, ["a", "b"]), (4, ["1", "2"])]


def test_a_tab_parts_cells_before_a_comma_does():
    rows = "List\nName, first\tMail\tAim\nHill, Ada\ta@example.org\nLund, Bo\tb@example.org\t90\n"
    assert kind_of(io.BytesIO(rows.encode())).separator == "\t"


def test_quoted_cells_may_hold_separators_quotes_and_line_ends():
    content = b'a,b\n"1,5","say ""x"""\n"two\nlines",3\n4,5\n'
    file = io.BytesIO(content)
    found = list(rows_of(file, kind_of(file)))
    assert found[1:] == [(2, ["1,5", 'say "x"']), (3, ["two\nlines", "3"]), (5, ["4", "5"])]


def test_an_open_quotation_mark_costs_its_own_line_only():
    content = b'a,b\n1,"open\n' + b"".join(b"%d,0\n" % i for i in range(2, 60))
    rows = read(content)
    assert isinstance(rows[1], BadRow)
    assert rows[2:] == [[str(i), "0"] for i in range(2, 60)]


def test_inches_inside_words_open_nothing():
    assert read(b"a,b\n5' 10\",x\n6' 2\",y\n")[1:] == [["5' 10\"", "x"], ["6' 2\"", "y"]]


def test_a_torn_last_line_is_a_row_like_others():
    assert read(b"a,b\n1,2\n3")[-1] == ["3"]


def test_a_giant_cell_and_a_giant_line_are_bad_rows():
    rows = read(b"a,b\n" + b"x" * 1_000_000 + b"\n1,2\n" + b"," * 500 + b"1\n3,4\n")
    assert rows[0] == ["a", "b"]
    assert [row for row in rows if not isinstance(row, BadRow)][1:] == [["1", "2"], ["3", "4"]]
    assert any(isinstance(row, BadRow) for row in rows)


@pytest.mark.parametrize(
    ("content", "word"),
    [
        (b"", "empty"),
        (b"  \n ", "empty"),
        (b"%PDF-1.7 ...", "PDF"),
        (b"\x89PNG\r\n\x1a\n....", "picture"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1", "old workbook"),
        (b"\x1f\x8b\x08\x00", "packed"),
        (b"\x00\x01\x02\x03" * 50, "not a table"),
        (b"a,b\n1,2\n" * 20_000 + b"\x00", "not a table"),
        (b"PK\x03\x04nonsense", "damaged"),
    ],
)
def test_what_is_no_table_is_said_in_a_sentence(content, word):
    with pytest.raises(Unreadable, match=word):
        kind_of(io.BytesIO(content))


def test_too_many_rows_are_said(monkeypatch):
    monkeypatch.setattr(reading, "MOST_ROWS", 3)
    with pytest.raises(Unreadable, match="more than 3 rows"):
        read(b"a,b\n1,2\n3,4\n5,6\n")


# --- workbooks ---


def test_a_workbook_is_read_by_its_content():
    from datetime import datetime

    rows = read(
        workbook([["Date", "Carry"], [datetime(2026, 2, 20), 60.5], [None, None], ["x", True]])
    )
    assert rows == [["Date", "Carry"], [datetime(2026, 2, 20), 60.5], ["x", "yes"]]


def test_an_archive_that_is_no_workbook_is_refused():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        packed.writestr("notes.txt", "hello")
    with pytest.raises(Unreadable, match="not a workbook"):
        kind_of(out)


BOOK = workbook([HEADER.split(","), *(row.split(",") for row in ROWS)])
SHEET = "xl/worksheets/sheet1.xml"


@pytest.mark.parametrize(
    ("content", "kind"),
    [(BOOK, FileKind("xlsx")), (b'[{"a": 1}, {"a": 2}, {"a": 3}]', FileKind("json", "utf-8"))],
)
def test_no_more_rows_are_opened_than_are_asked_for(content, kind):
    assert len(list(rows_of(io.BytesIO(content), kind, 2))) == 2


def test_a_bomb_is_refused_by_what_it_says_it_unpacks_to():
    content = bytearray(with_part(BOOK, SHEET, b"<worksheet>" + b" " * 500_000 + b"</worksheet>"))
    last = content.rfind(b"PK\x01\x02")
    content[last + 24 : last + 28] = (2**30).to_bytes(4, "little")
    with pytest.raises(Unreadable, match="unpacks to more"):
        kind_of(io.BytesIO(bytes(content)))


def test_too_many_parts_and_too_many_words_are_refused(monkeypatch):
    monkeypatch.setattr(workbook_reader, "MOST_WHOLE", 10)
    with pytest.raises(NotTaken, match="unpacks to more"):
        workbook_reader.check_workbook(io.BytesIO(BOOK))
    monkeypatch.undo()
    monkeypatch.setattr(workbook_reader, "MOST_PARTS", 3)
    with pytest.raises(NotTaken, match="unpacks to more"):
        workbook_reader.check_workbook(io.BytesIO(BOOK))


@pytest.mark.parametrize(
    "declared",
    [
        b'<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]>',
        b'<!DOCTYPE x SYSTEM "file:///etc/passwd">',
        b"<!-- " + b"x" * 20_000 + b" --><!DOCTYPE x>",
    ],
)
def test_declared_entities_are_refused_before_a_row_is_read(declared):
    content = with_part(BOOK, SHEET, b'<?xml version="1.0"?>' + declared + b"<worksheet/>")
    with pytest.raises(Unreadable, match="no workbook needs"):
        kind_of(io.BytesIO(content))


def test_a_size_that_lies_is_damage():
    lie = bytearray(BOOK)
    # The size in the central directory, of every part: one byte only.
    at = 0
    while (at := lie.find(b"PK\x01\x02", at)) >= 0:
        lie[at + 24 : at + 28] = (1).to_bytes(4, "little")
        at += 4
    with pytest.raises(Unreadable, match="damaged"):
        read(bytes(lie))


def test_a_broken_sheet_is_damage():
    content = with_part(BOOK, SHEET, b"<worksheet><sheetData><row><c r='A1'><v>1</v>")
    with pytest.raises(Unreadable, match="damaged"):
        read(content)


def test_a_cell_far_out_is_not_read():
    sheet = (
        b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
        b'<sheetData><row r="1"><c r="A1"><v>1</v></c><c r="XFD1"><v>2</v></c></row></sheetData>'
        b"</worksheet>"
    )
    assert read(with_part(BOOK, SHEET, sheet)) == [[1.0]]


# --- what the columns may be ---


def guessed(header):
    found = guess_columns(header, (), (), {"distance": "m", "speed": "mph"}, ".")
    return {header[i]: (c.field, c.unit) for i, c in found.items()}


def test_columns_by_general_names_and_units():
    assert guessed(
        ["Date", "Club Name", "Carry (yds)", "Ball Speed [km/h]", "Offline", "Notes"]
    ) == {
        "Date": ("day", ""),
        "Club Name": ("club", ""),
        "Carry (yds)": ("carry", "yd"),
        "Ball Speed [km/h]": ("ball_speed", "kmh"),
        # In the file's own unit, before the reader's.
        "Offline": ("side", "yd"),
    }
    assert guessed(["carry_distance", "clubSpeed"]) == {
        "carry_distance": ("carry", "m"),
        "clubSpeed": ("club_speed", "mph"),
    }


def test_a_second_column_of_the_same_name_is_left_out():
    assert list(guessed(["Carry", "Total", "carry distance"]).values()) == [
        ("carry", "m"), ("total", "m"),
    ]  # fmt: skip


def test_the_header_is_found_below_a_preamble():
    rows = [["Report of", "Sam"], ["", ""], ["Date", "Club", "Carry"], ["2026-02-20", "54", "60"]]
    assert columns.find_header(rows) == 2
    assert columns.find_header([["Tag", "Weite"], ["2026-02-20", "60"]]) == 0
    assert columns.find_header([["54", "60"], ["54", "61"]]) is None
    assert columns.is_units_row(["", "[yd]", "mph"])
    assert not columns.is_units_row(["", "54", "mph"])


def test_decimals_and_days_are_found_out():
    assert columns.guess_decimal([["60,5", "1"], ["61,5", "2.5"]]) == ","
    assert columns.guess_decimal([["60.5"], ["61.5"]]) == "."
    assert days.guess_order(["20.02.2026"]) is DateOrder.DMY
    assert days.guess_order(["02/20/2026", "02/03/2026"]) is DateOrder.MDY
    assert days.guess_order(["2026-02-20"]) is DateOrder.YMD
    assert not days.is_order_sure(["02/03/2026"], DateOrder.DMY)
    assert days.is_order_sure(["20/03/2026"], DateOrder.DMY)
    assert days.is_order_sure(["02.03.2026"], DateOrder.DMY)
    assert not days.is_order_sure(["02.03.2026"], DateOrder.MDY)


def test_a_plan_comes_back_from_its_json():
    plan = columns.Plan(
        columns={2: columns.Column("carry", "yd")}, decimal=",", order=DateOrder.DMY, indoors=True
    )
    assert columns.Plan.from_json(plan.as_json()) == plan


def test_a_header_has_one_fingerprint_whatever_its_case_and_spaces():
    assert columns.fingerprint(["Carry  (yd)", "Club"]) == columns.fingerprint(
        ["carry (yd)", "CLUB"]
    )
    assert columns.fingerprint(["ab", "c"]) != columns.fingerprint(["a", "bc"])


@pytest.mark.parametrize(
    ("text", "encoding"),
    [
        ("imię;dzień\nZofia Bąk;śr\nTymon Łoś;pt\n", "cp1250"),
        ("co;ile\nręcznik;30 min\nśrodek;20 min\nćwiczenie;10 min\n", "cp1250"),
        ("prénom;axe\nSœur Clément;cœur\n", "cp1252"),
        ("jméno;den\nJiří Dvořák;středa\n", "cp1250"),
        ("név;nap\nSzőke Ödön;hétfő\n", "cp1250"),
        ("prénom;jour\nZoé Lefèvre;vendredi\nFrançois;mardi\n", "cp1252"),
        ("navn;dag\nSøren Ærø;onsdag\nÅse;fredag\n", "cp1252"),
        ("Name;Tag\nJürgen Groß;Mi\n", "cp1252"),
        ("nome;dia\nJoão Conceição;terça\n", "cp1252"),
    ],
)
def test_names_come_in_their_own_letters(text, encoding):
    """Read in another code page Bąk is B¹k, and nobody would be asked."""
    content = io.BytesIO(text.encode(encoding))
    kind = kind_of(content)
    rows = [row for _, row in reading.rows_of(content, kind, 10)]
    assert rows == [line.split(";") for line in text.splitlines()]
