"""Eleven more files, in another hand than the first ten: other words, signs and layouts.

All invented. The right answer stands beside each file; of a column that is not told, None. A
wrong answer is never allowed, a missing one in five of a hundred.
"""

import json

import pytest

from practice.shots.club_names import is_club
from tests.importing.files import workbook
from tests.importing.test_ten_files import looked_at, share_told, table, wrong_columns

FILES = {
    "english, upright bars, units in the cells": (
        table(
            "When|Shot #|Stick|Ball Spd|Club Hd Spd|Launch Ang|Back Spin|Carried|Rolled to|"
            "Off-line",
            "14 Mar 2026|1|6 iron|121.4mph|87.2mph|16.1deg|5980rpm|168.3yds|176.0yds|4.1yds",
            "14 Mar 2026|2|6 iron|120.0mph|86.1mph|16.9deg|6105rpm|165.9yds|173.2yds|-2.7yds",
            sign="|",
        ),
        ["day", None, "club", ("ball_speed", "mph"), ("club_speed", "mph"), "launch", "spin",
         ("carry", "yd"), ("total", "yd"), ("side", "yd")],
    ),
    "english, feet per nothing, a title above": (
        table(
            "Saturday range session,,,,,",
            "Player,Club,Vball (m/s),Vclub (m/s),Carry flat (m),Lateral (m)",
            "Ada Hill,Gap wedge,37.4,30.1,86.2,1.4 R",
            "Ada Hill,Gap wedge,36.8,29.9,84.0,2.2 L",
        ),
        ["player", "club", ("ball_speed", "mps"), ("club_speed", "mps"), ("carry", "m"),
         ("side", "m")],
    ),
    "german, square brackets, decimal commas": (
        table(
            "Zeitpunkt;Schütze;Schlaeger;Ballgeschwindigkeit [km/h];"
            "Schlägergeschwindigkeit [km/h];Abschlagwinkel [°];Rückdrall [U/min];Flugweite [m];"
            "Gesamtweite [m];Seitenabweichung [m];Abschlagplatz",
            "14.03.2026 10:12;Ada Hügel;Holz 3;221,5;152,8;11,4;3.410;188,2;206,9;-6,1;Box 4",
            "14.03.2026 10:13;Ada Hügel;Holz 3;219,0;151,9;12,0;3.505;185,7;203,3;3,8;Box 4",
        ),
        ["day", "player", "club", ("ball_speed", "kmh"), ("club_speed", "kmh"), "launch", "spin",
         ("carry", "m"), ("total", "m"), ("side", "m"), None],
    ),
    "german, json, a list of visits": (
        json.dumps([
            {"datum": "2026-03-14", "ort": "Halle", "schlaege": [
                {"schlaeger": "E8", "ballgeschwindigkeit_kmh": 168.4, "flugweite_m": 128.1,
                 "drehzahl": 7010},
                {"schlaeger": "E8", "ballgeschwindigkeit_kmh": 170.2, "flugweite_m": 129.9,
                 "drehzahl": 6920}]},
        ]).encode(),
        ["day", "place", "club", ("ball_speed", "kmh"), ("carry", "m"), "spin"],
    ),
    "french, quoted cells with commas": (
        table(
            '"Jour","Joueur","Bâton","Vitesse balle (m/s)","Vitesse club (m/s)","Angle d’envol",'
            '"Rotation arrière (tr/min)","Vol (m)","Longueur totale (m)","Déviation (m)"',
            '"14/03/2026","Ada Colline","Fer 9","45,1","33,9","22,4","7 900","118","121,0","-1,1"',
            '"14/03/2026","Ada Colline","Fer 9","44,7","33,5","23,0","8 050","116","119,4","2,6"',
        ),
        ["day", "player", "club", ("ball_speed", "mps"), ("club_speed", "mps"), "launch", "spin",
         ("carry", "m"), ("total", "m"), ("side", "m")],
    ),
    "spanish workbook, units below": (
        workbook([
            ["Día", "Jugador", "Palo", "Vel. bola", "Vel. cabeza palo", "Ángulo salida",
             "Efecto", "Vuelo", "Total", "Desvío", "Observaciones"],
            ["", "", "", "(km/h)", "(km/h)", "(°)", "(rpm)", "(m)", "(m)", "(m)", ""],
            ["14/03/2026", "Ada Colina", "Hierro 5", 192.4, 135.0, 14.1, 5210, 156.3, 166.0, 2.2,
             "viento"],
            ["14/03/2026", "Ada Colina", "Hierro 5", 190.8, 134.1, 14.8, 5302, 154.0, 163.1, -4.9,
             ""],
        ]),
        ["day", "player", "club", ("ball_speed", "kmh"), ("club_speed", "kmh"), "launch", "spin",
         ("carry", "m"), ("total", "m"), ("side", "m"), None],
    ),
    "italian, one column a ball": (
        table(
            "Colpo;1;2;3",
            "Giorno;14/03/2026;14/03/2026;14/03/2026",
            "Ferro;Ferro 8;Ferro 8;Ferro 8",
            "Velocità della palla (m/s);46,2;45,8;46,9",
            "Velocità del bastone (m/s);34,0;33,8;34,4",
            "Angolo di decollo (°);19,8;20,4;19,1",
            "Volo (m);126,0;124,7;128,3",
            "Scarto laterale (m);-1,0;2,2;0,4",
        ),
        [None, "day", "club", ("ball_speed", "mps"), ("club_speed", "mps"), "launch",
         ("carry", "m"), ("side", "m")],
    ),
    "dutch, tabs": (
        table(
            "Datum\tSpeler\tClub\tBalsnelheid (km/u)\tClubsnelheid (km/u)\tLanceerhoek\t"
            "Toeren (rpm)\tDraagafstand (m)\tTotale afstand (m)\tZijafwijking (m)\tOpmerking",
            "14-03-2026\tAda Heuvel\tijzer 6\t184,1\t131,7\t15,9\t5640\t149,8\t158,2\t3,3\tregen",
            "14-03-2026\tAda Heuvel\tijzer 6\t182,9\t130,8\t16,4\t5722\t147,7\t155,9\t-1,9\t",
        ),
        ["day", "player", "club", ("ball_speed", "kmh"), ("club_speed", "kmh"), "launch", "spin",
         ("carry", "m"), ("total", "m"), ("side", "m"), None],
    ),
    "portuguese": (
        table(
            "Data;Jogador;Taco;Velocidade da bola (km/h);Velocidade do taco (km/h);"
            "Ângulo de lançamento;Rotação (rpm);Voo (m);Distância total (m);Desvio lateral (m)",
            "14/03/2026;Ada Colina;Ferro 7;176,0;128,0;18,0;6300;138,5;145,0;-2,0",
            "14/03/2026;Ada Colina;Ferro 7;174,4;127,1;18,6;6410;136,1;142,8;1,5",
        ),
        ["day", "player", "club", ("ball_speed", "kmh"), ("club_speed", "kmh"), "launch", "spin",
         ("carry", "m"), ("total", "m"), ("side", "m")],
    ),
    "danish": (
        table(
            "Dato;Spiller;Kølle;Boldhastighed (m/s);Køllehastighed (m/s);Udgangsvinkel;Spin;"
            "Carry (m);Samlet længde (m);Sideafvigelse (m)",
            "14-03-2026;Ada Bakke;Jern 7;48,4;35,2;18,3;6250;138,8;145,1;-2,4",
            "14-03-2026;Ada Bakke;Jern 7;47,9;34,9;18,9;6330;136,9;143,0;1,8",
        ),
        ["day", "player", "club", ("ball_speed", "mps"), ("club_speed", "mps"), "launch", "spin",
         ("carry", "m"), ("total", "m"), ("side", "m")],
    ),
    "json lines, short names": (
        b"\n".join(
            json.dumps({
                "ts": "2026-03-14T10:12:00Z", "player_name": "Ada Hill", "club_name": "5 wood",
                "ball_speed_mps": ball, "club_head_speed_mps": 43.0, "launch_angle_deg": 13.2,
                "spin_rpm": 4100, "carry_m": carry, "total_m": carry + 14, "lateral_m": -3.2,
            }).encode()
            for ball, carry in ((62.1, 186.0), (61.4, 183.3))
        ),
        ["day", "player", "club", ("ball_speed", "mps"), ("club_speed", "mps"), "launch", "spin",
         ("carry", "m"), ("total", "m"), ("side", "m")],
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", FILES)
def test_no_column_of_it_is_wrong(name):
    assert wrong_columns(*FILES[name]) == []


def test_ninety_five_of_a_hundred_columns_are_right():
    many, right, missed = share_told(FILES)
    assert many >= 95
    assert right >= 0.95, missed


def told(header, *rows):
    _, found = looked_at(table(header, *rows))
    return [(column.field, column.unit) if column else None for column in found]


def test_where_a_heading_says_nothing_the_cells_tell_what_only_one_column_can_be():
    assert told(
        "Zork,Vurm,Carry (m),Blap (m),Club speed (km/h),Quix (km/h),Frob (rpm),Nurd (m)",
        "20.02.2026,Eisen 7,138.2,145.0,128.4,176.2,6210,-3.4",
        "20.02.2026,PW,104.9,108.1,119.0,148.9,8105,2.0",
    ) == [
        ("day", ""), ("club", ""), ("carry", "m"), ("total", "m"), ("club_speed", "kmh"),
        ("ball_speed", "kmh"), ("spin", ""), ("side", "m"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("header", "cells"),
    [
        ("Date,Club,Carry (m),Blap (m),Nurd (m)", "2026-02-20,7i,138,145,144"),  # Two alike.
        ("Date,Club,Carry (m),Blap (m)", "2026-02-20,7i,138,27"),  # A height, it may be.
        ("Date,Club,Blap (m)", "2026-02-20,7i,138"),  # In the air, or all the way?
        ("Date,Club,Carry (m),Blap", "2026-02-20,7i,138,145"),  # No unit: anything.
        ("Date,Club,Carry (m),Frob (rpm),Vurm (rpm)", "2026-02-20,7i,138,6200,300"),
        ("Date,Club,Carry (m),Smash factor", "2026-02-20,7i,138,1.4"),  # Said to be another's.
        ("Date,Club,Carry (m),Grip", "2026-02-20,7i,138,P"),
    ],
)
def test_what_may_be_two_things_is_left_out(header, cells):
    first, second = cells, cells.replace("138", "139")
    found = told(header, first, second)
    known = {"Date": ("day", ""), "Club": ("club", ""), "Carry (m)": ("carry", "m")}
    assert found == [known.get(title) for title in header.split(",")]


@pytest.mark.parametrize(
    ("name", "is_one"),
    [("7i", True), ("Fer 9", True), ("PW", True), ("54°", True), ("Sand wedge", True),
     ("54", False), ("70", False), ("P", False), ("", False), ("Bay 4", False), ("regen", False)],
)  # fmt: skip
def test_what_can_be_nothing_but_a_club(name, is_one):
    assert is_club(name) is is_one
