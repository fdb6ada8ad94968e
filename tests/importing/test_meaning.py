"""What headings say by the words they are made of, and that no list holds as a whole.

The words are general usage of the sport and of measuring: from memory, no source.
"""

import pytest

from practice.importing.meaning import OTHER, meaning
from practice.importing.names import unit_of


@pytest.mark.parametrize(
    ("heading", "field"),
    [
        ("Geschw. Ball", "ball_speed"),
        ("Ballstartgeschwindigkeit", "ball_speed"),
        ("vitesse initiale de la balle", "ball_speed"),
        ("prędkość piłki", "ball_speed"),
        ("ボール初速", "ball_speed"),
        ("bollens utgångshastighet", "ball_speed"),
        ("tempo testa bastone", "club_speed"),
        ("prędkość kija", "club_speed"),
        ("ヘッドスピード", "club_speed"),
        ("køllehovedets fart", "club_speed"),
        ("kąt startu", "launch"),
        ("vert. Startwinkel", "launch"),
        ("打ち出し角", "launch"),
        ("obroty wsteczne", "spin"),
        ("Drehzahl Ball", "spin"),
        ("スピン量", "spin"),
        ("odległość lotu", "carry"),
        ("Länge Flug", "carry"),
        ("キャリー", "carry"),
        ("całkowita odległość", "total"),
        ("dist. tot.", "total"),
        ("総距離", "total"),
        ("odchylenie boczne", "side"),
        ("carry dev. lat.", "side"),
        ("左右ブレ", "side"),
        ("Ballgeschwindigket", "ball_speed"),  # A slip of the finger.
    ],
)
def test_words_together_say_which_field_a_heading_is(heading, field):
    found, share = meaning(heading)
    assert (found, share > 0.75) == (field, True)


@pytest.mark.parametrize(
    "heading",
    [
        "temps de vol", "Spinachse", "côté spin", "direction de lancement", "Landewinkel",
        "Ball Nr", "Höjd max", "kąt natarcia", "Uhrzeit", "Slag nr", "wind speed", "club path",
    ],
)  # fmt: skip
def test_what_is_near_to_ours_and_is_not_stays_outside(heading):
    assert meaning(heading)[0] == OTHER


@pytest.mark.parametrize("heading", ["speed", "Weite", "angle", "Ballast", "x", "", "ball q", "42"])
def test_what_words_do_not_say_is_not_guessed(heading):
    found, share = meaning(heading)
    assert found is None or share < 0.75


def test_a_word_without_end_costs_no_more_than_a_long_one():
    assert meaning("ball" * 500)[1] < 0.75


@pytest.mark.parametrize(
    "sign", ["rpm", "U/min", "tr/min", "giri/min", "varv/min", "ford/perc", "dev/dk", "dev/dak"]
)
def test_turns_a_minute_are_that_however_a_minute_is_cut_short(sign):
    assert unit_of(sign) == "rpm"
