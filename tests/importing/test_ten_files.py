"""Ten files of our own making, in seven languages and several layouts: what each column is.

All invented. The right answer stands beside each file; of a column that is not told, None. A
wrong answer is never allowed, a missing one in five of a hundred.
"""

import io
import json

import pytest

from practice.importing import columns, names, reading
from practice.importing.recognise import guess_columns
from tests.importing.files import workbook

USUAL = {"distance": "yd", "speed": "mph"}


def table(header, *rows, sign=","):
    return ("\n".join([header, *rows]) + "\n").replace("|", sign).encode()


FILES = {
    # The file that was taken apart: a column Ball in mph.
    "english, ball in mph": (
        table(
            "Date,Club,Ball (mph),Club (mph),Smash,Launch (deg),Spin (rpm),Carry (yd),Side (yd)",
            "02/25/2026,7i,118.2,84.4,1.40,17.2,6400,160.2,-3.1",
            "02/25/2026,7i,119.4,85.1,1.40,17.0,6500,162.0,2.4",
        ),
        ["day", "club", ("ball_speed", "mph"), ("club_speed", "mph"), None, "launch", "spin",
         ("carry", "yd"), ("side", "yd")],
    ),
    "english, units below": (
        table(
            "Shot No,Time Stamp,Club Type,Club Head Speed,Ball Speed,Launch Direction,"
            "Launch Angle,Total Spin,Spin Axis,Carry Distance,Carry Deviation,Total Distance,"
            "Apex Height,Attack Angle,Club Path",
            ",,,[m/s],[m/s],[deg],[deg],[rpm],[deg],[m],[m],[m],[m],[deg],[deg]",
            "1,2026-02-20 10:11:12,PW,36.1,44.9,-1.2,24.8,8900,3.1,112.4,-2.2,115.0,28.1,-4.4,1.0",
            "2,2026-02-20 10:12:40,PW,36.4,45.2,0.8,25.3,9010,-1.4,113.9,1.7,116.2,28.8,-4.1,0.6",
        ),
        [None, "day", "club", ("club_speed", "mps"), ("ball_speed", "mps"), None, "launch",
         "spin", None, ("carry", "m"), ("side", "m"), ("total", "m"), None, None, None],
    ),
    "german": (
        table(
            "Datum;Spieler;Schläger;Schlägerkopfgeschw. (km/h);Ballgeschw. (km/h);Abflugwinkel;"
            "Startrichtung;Spinrate;Carry-Länge (m);Gesamtlänge (m);"
            "Seitliche Abweichung (m);Höhe (m)",
            "20.02.2026;Ina Muster;Eisen 7;128,4;176,2;18,1;0,4;6210;138,2;145,0;-3,4;27,2",
            "20.02.2026;Ina Muster;Eisen 7;129,0;177,9;17,6;-1,2;6105;139,9;147,1;2,0;26,4",
        ),
        ["day", "player", "club", ("club_speed", "kmh"), ("ball_speed", "kmh"), "launch", None,
         "spin", ("carry", "m"), ("total", "m"), ("side", "m"), None],
    ),
    "french": (
        table(
            "Date\tClub\tVitesse de balle (km/h)\tVitesse de tête de club (km/h)\tAngle de "
            "décollage (°)\tTaux de spin (tr/min)\tPortée (m)\tDistance totale (m)\t"
            "Écart latéral (m)",
            "25/02/2026\tFer 7\t176,2\t128,4\t18,1\t6210\t138,2\t145,0\t-3,4",
            "25/02/2026\tFer 7\t174,9\t127,0\t18,8\t6340\t136,4\t142,2\t1,1",
        ),
        ["day", "club", ("ball_speed", "kmh"), ("club_speed", "kmh"), "launch", "spin",
         ("carry", "m"), ("total", "m"), ("side", "m")],
    ),
    "spanish": (
        table(
            "Fecha;Palo;Velocidad de bola (m/s);Velocidad del palo (m/s);Ángulo de lanzamiento;"
            "Altura (m);Giro (rpm);Vuelo (m);Distancia total (m);Desviación lateral (m)",
            "20/02/2026;Hierro 7;48,2;35,1;18,0;26,0;6300;138,0;144,0;-3,0",
            "21/02/2026;Hierro 7;48,9;35,4;17,5;27,5;6200;140,5;146,4;2,5",
        ),
        ["day", "club", ("ball_speed", "mps"), ("club_speed", "mps"), "launch", None, "spin",
         ("carry", "m"), ("total", "m"), ("side", "m")],
    ),
    "swedish and dutch words": (
        table(
            "Dag;Klubba;Bollhastighet (m/s);Klubbhastighet (m/s);Utgångsvinkel;Carry längd (m);"
            "Avvikelse (m);Totale afstand (m)",
            "2026-02-20;järn 7;48,2;35,1;18,0;138,0;-3,0;144,2",
            "2026-02-20;järn 7;48,9;35,4;17,4;140,1;2,5;146,0",
        ),
        ["day", "club", ("ball_speed", "mps"), ("club_speed", "mps"), "launch", ("carry", "m"),
         ("side", "m"), ("total", "m")],
    ),
    "italian workbook": (
        workbook([
            ["Data", "Bastone", "Velocità palla (km/h)", "Angolo di lancio", "Rotazione (rpm)",
             "Distanza di volo (m)", "Distanza totale (m)", "Deviazione laterale (m)", "Note"],
            ["20/02/2026", "Ferro 7", 174.0, 18.5, 6150, 137.5, 143.8, -1.2, "vento"],
            ["20/02/2026", "Ferro 7", 176.1, 18.0, 6010, 139.0, 145.2, 3.9, ""],
        ]),
        ["day", "club", ("ball_speed", "kmh"), "launch", "spin", ("carry", "m"), ("total", "m"),
         ("side", "m"), None],
    ),
    "json with a session around": (
        json.dumps({
            "device": "Radar A", "sessionDate": "2026-02-20",
            "shots": [
                {"club": "7i", "ball": {"speed_mph": 118.2, "spinRate": 6400},
                 "carryDistance_yd": 160.2, "offline_yd": -2.0, "smashFactor": 1.4},
                {"club": "7i", "ball": {"speed_mph": 117.0, "spinRate": 6300},
                 "carryDistance_yd": 158.8, "offline_yd": 4.0, "smashFactor": 1.39},
            ],
        }).encode(),
        ["device", "day", "club", ("ball_speed", "mph"), "spin", ("carry", "yd"), ("side", "yd"),
         None],
    ),
    "json lines, units in the cells": (
        b"\n".join(
            json.dumps(
                {"date": "2026-02-20", "club": "PW 46°", "ball": ball, "carry": carry}
            ).encode()
            for ball, carry in (("61.2 mph", "101 yd"), ("62.0 mph", "103 yd"))
        ),
        ["day", "club", ("ball_speed", "mph"), ("carry", "yd")],
    ),
    "one column a ball": (
        table(
            "Shot,1,2,3,4",
            "Date,2026-02-20,2026-02-20,2026-02-20,2026-02-20",
            "Club,54°,54°,50°,50°",
            "Ball Speed (m/s),31.2,31.9,35.0,35.4",
            "Carry (m),70.1,72.0,84.2,85.5",
            "Offline (m),-2.2,0.5,3.1,-0.4",
            "Smash Factor,1.1,1.1,1.2,1.2",
        ),
        [None, "day", "club", ("ball_speed", "mps"), ("carry", "m"), ("side", "m"), None],
    ),
}  # fmt: skip


def looked_at(content):
    """The header of a file, and what is made of each column."""
    file = io.BytesIO(content)
    kind = reading.kind_of(file)
    rows = [row for _, row in reading.rows_of(file, kind) if not isinstance(row, reading.BadRow)]
    at = columns.find_header(rows)
    header, below = columns.header_at(rows, at), rows[at + 1 :]
    units = below.pop(0) if below and columns.is_units_row(below[0]) else ()
    found = guess_columns(
        header, units, below, USUAL, columns.guess_decimal(below), above=rows[:at]
    )
    return header, [found.get(index) for index in range(len(header))]


def compared(content, right):
    header, found = looked_at(content)
    assert len(header) == len(right), header
    for title, column, wanted in zip(header, found, right, strict=True):
        field, unit = wanted if isinstance(wanted, tuple) else (wanted, "")
        yield title, (column.field, column.unit) if column else (None, ""), (field, unit)


def wrong_columns(content, right):
    return [
        (title, found, wanted)
        for title, found, wanted in compared(content, right)
        if found[0] is not None and found != wanted
    ]


def share_told(files):
    """How many columns there are, the share of them that is right, and those that are not."""
    all_of_them = [each for content, right in files.values() for each in compared(content, right)]
    missed = [(title, found, wanted) for title, found, wanted in all_of_them if found != wanted]
    return len(all_of_them), 1 - len(missed) / len(all_of_them), missed


@pytest.mark.parametrize("name", FILES)
def test_no_column_of_it_is_wrong(name):
    assert wrong_columns(*FILES[name]) == []


def test_ninety_five_of_a_hundred_columns_are_right():
    many, right, missed = share_told(FILES)
    assert many >= 80
    assert right >= 0.95, missed


@pytest.mark.parametrize("unit", ["mph", "km/h", "m/s"])
@pytest.mark.parametrize(
    "title", ["Ball", "Club", "Place", "Session", "Device", "Carry", "Launch", "Player", "Spin"]
)
def test_a_unit_of_speed_is_never_a_name_nor_another_figure(title, unit):
    _, (_, found, _) = looked_at(
        table(f"Date,{title} ({unit}),Total (m)", "2026-02-20,61.2,144", "2026-02-20,62.4,145")
    )
    assert found is None or found.field in {"ball_speed", "club_speed"}


def test_a_wide_table_costs_no_more_than_its_first_columns(monkeypatch):
    """Each text is compared with hundreds of names, in the request that brings the file."""
    looked, known = [], names.is_known
    monkeypatch.setattr(names, "is_known", lambda cell: looked.append(cell) or known(cell))
    first = ("Carry", "Side", "Ball speed", "Spin")
    rows = [[word, *(f"abc {row} {each}" for each in range(1_900))]
            for row, word in enumerate(first)]  # fmt: skip
    kind = reading.kind_of(io.BytesIO("\n".join(map(",".join, rows)).encode()))
    assert kind.is_turned
    assert 0 < len(looked) <= 5 * names.LOOKED_ACROSS
