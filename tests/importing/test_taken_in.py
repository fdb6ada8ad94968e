"""What comes in from files that were easily taken wrongly, and that nothing stays of a file."""

import json

import pytest

from practice.importing import services, work
from practice.importing.columns import Plan
from practice.importing.models import RefusedRow
from practice.shots.models import Club, Shot, Sitting
from shared.kit.units import SPEED
from shared.people.access import recordable
from tests.importing.test_pages import at, sent

pytestmark = pytest.mark.django_db


def bring(student, content, **more):
    from dataclasses import replace

    file = services.take(
        student=recordable(student), by=student.lead_coach, name="shots", size=len(content),
        chunks=[content],
    )  # fmt: skip
    plan = replace(Plan.from_json(file.plan), device="radar A", **more)
    services.name_columns(file=file, by=student.lead_coach, plan=plan)
    work.read_waiting()
    file.refresh_from_db()
    return file


def test_a_column_ball_in_mph_is_its_speed_and_one_sitting(student):
    rows = "\n".join(f"2026-02-20,7i,{61 + n / 10},{100 + n}" for n in range(40))
    bring(student, f"Date,Club,Ball (mph),Carry (yd)\n{rows}\n".encode())
    assert (Sitting.objects.count(), Shot.objects.count()) == (1, 40)
    assert Sitting.objects.get().ball == ""
    assert Shot.objects.order_by("number")[0].ball_speed == pytest.approx(SPEED["mph"].to_si(61.0))


def test_three_names_of_a_club_are_one_club(student):
    bring(
        student,
        b"Date,Club,Carry (m)\n2026-02-20,7i,138\n2026-02-20,Iron 7,139\n"
        b"2026-02-20,Eisen 7,137\n2026-02-20,PW 46\xc2\xb0,110\n2026-02-20,PW,111\n",
    )
    assert Club.objects.count() == 2
    assert Shot.objects.count() == 5


def test_two_wedges_of_one_name_and_two_lofts_are_two_clubs(student):
    bring(
        student, b"Date,Club,Carry (m)\n2026-02-20,SW 54\xc2\xb0,80\n2026-02-20,SW 58\xc2\xb0,60\n"
    )
    assert Club.objects.count() == 2


def test_a_file_taken_back_leaves_nothing_of_its_own(student):
    Club.objects.create(student=student, name="7 iron")
    content = b"Date,Club,Carry (m)\n2026-02-20,7i,138\n2026-02-20,Driver,210\n"
    file = bring(student, content)
    assert set(Club.objects.values_list("name", flat=True)) == {"7 iron", "Driver"}
    services.take_back(file=file)
    assert list(Club.objects.values_list("name", flat=True)) == ["7 iron"]
    assert not Shot.objects.exists()
    assert not Sitting.objects.exists()


def test_a_club_that_was_hit_since_stays(student):
    file = bring(student, b"Date,Club,Carry (m)\n2026-02-20,Driver,210\n")
    bring(student, b"Date,Club,Total (m)\n2026-02-21,Driver,225\n")
    services.take_back(file=file)
    assert Club.objects.get().name == "Driver"


def test_rows_of_another_player_stay_out(student):
    content = f"Date,Player,Carry (m)\n2026-02-20,{student.name},138\n2026-02-20,Other One,99\n"
    file = bring(student, content.encode())
    assert [shot.carry for shot in Shot.objects.all()] == [138]
    assert RefusedRow.objects.get(file=file).reason == "This row is Other One’s."


def test_whose_rows_must_be_said(student, coach_client):
    file = sent(student, b"Date,Player,Carry (m)\n2026-02-20,S.,138\n2026-02-20,Other,99\n")
    form = {"field-0": "day", "field-1": "player", "field-2": "carry", "unit-2": "m",
            "order": "ymd", "decimal": ".", "device": "radar A", "bring": ""}  # fmt: skip
    answer = coach_client.post(at(student, file.pk), form)
    assert answer.status_code == 400
    assert "is called in the column of players" in answer.content.decode()


def test_a_speed_cannot_be_named_a_ball_by_hand_either(student, coach_client):
    file = sent(student, b"Date,Ball (mph),Carry (m)\n2026-02-20,61.2,101\n")
    form = {"field-0": "day", "field-1": "ball", "field-2": "carry", "unit-2": "m",
            "order": "ymd", "decimal": ".", "device": "radar A", "bring": ""}  # fmt: skip
    answer = coach_client.post(at(student, file.pk), form)
    assert answer.status_code == 400
    assert "it cannot be Ball" in answer.content.decode()


def test_json_and_one_column_a_ball_come_in(student):
    shots = [{"club": "7i", "carry_m": 138.0 + n, "ballSpeed_mps": 48.0} for n in range(3)]
    bring(student, json.dumps({"date": "2026-02-20", "shots": shots}).encode())
    assert Shot.objects.count() == 3
    bring(student, b"Shot,1,2\nDate,2026-02-21,2026-02-21\nClub,7i,7i\nCarry (m),140,141\n")
    assert Shot.objects.count() == 5
    assert Club.objects.count() == 1


def test_a_unit_in_the_cell_is_believed_before_that_of_the_column(student):
    bring(student, b"Date,Club,Carry (m)\n2026-02-20,7i,100 yd\n2026-02-20,7i,100\n")
    assert [round(s.carry, 2) for s in Shot.objects.order_by("number")] == [91.44, 100]


def test_the_preview_says_what_comes_out_in_the_readers_unit(student, coach, coach_client):
    coach.distance_unit = "m"
    coach.save()
    Club.objects.create(student=student, name="7 iron")
    file = sent(student, b"Date,Club,Carry (yd)\n2026-02-20,7i,100\n2026-02-20,Driver,200\n")
    page = coach_client.get(at(student, file.pk)).content.decode()
    assert "91.4 m" in page
    assert "the same as 7 iron" in page
    assert "new</span>" in page
