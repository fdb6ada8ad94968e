"""Balls in the box of the plain page: one a line, in the reader's unit, nothing guessed."""

import pytest

from practice.log.models import Entry
from practice.phone.typed_balls import read_balls
from practice.shots.models import Shot, Sitting
from shared.kit.refused import Refused
from shared.kit.units import DISTANCE, SPEED
from shared.people.models import User
from tests import factories
from tests.log.test_pages import form_of

YARDS, METRES, MPH = DISTANCE["yd"], DISTANCE["m"], SPEED["mph"]


def read(text, measure="carry", unit=METRES, **given):
    return read_balls(text, measure, unit, **{"club": "", "length": ""} | given)


def test_a_number_a_line_with_comma_or_point():
    assert read("61.5\n\n 60,25 \n") == [{"carry": 61.5}, {"carry": 60.25}]


def test_club_and_swing_of_the_line_before_those_of_the_form():
    found = read("60 Hip 40\nchest 61\n62", club="54", length="full")
    assert found == [
        {"carry": 40, "club": "60", "length": "hip"},
        {"carry": 61, "club": "54", "length": "chest"},
        {"carry": 62, "club": "54", "length": "full"},
    ]


def test_units_are_exact_and_targets_go_round():
    # NIST SP 811 (2008), B.8: yard 0.9144 m, mile an hour 0.44704 m/s.
    assert read("100", unit=YARDS) == [{"carry": 91.44}]
    assert read("100", "club_speed", MPH) == [{"club_speed": 44.704}]
    found = read("1\n2\n3", targets=[60.0, 40.0])
    assert [ball["target"] for ball in found] == [60, 40, 60]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("60\nfar", "Line 2: “far” is no number from 0 to 450 m."),
        ("-3", "Line 1: “-3” is no number"),
        ("nan", "Line 1: “nan” is no number"),
        ("451", "Line 1: “451” is no number"),
        ("1e2", "Line 1: “1e2” is no number"),
        ("54 60 chest 61", "Line 1 has more in it than club, swing and number."),
        ("hip chest 61", "Line 1 has more in it"),
        ("x" * 21 + " 61", "Line 1 has more in it"),
        ("60\n" * 301, "These are 301 balls"),
    ],
)
def test_a_line_that_cannot_be_read_is_named(text, said):
    with pytest.raises(Refused) as wrong:
        read(text)
    assert str(wrong.value).startswith(said)


@pytest.fixture
def tested(student):
    drill = factories.make_drill(student.studio, "Wedges", "8 balls", measures="carry")
    User.objects.filter(pk=student.user_id).update(distance_unit="yd")
    return factories.make_part(factories.make_week(student), drill)


def sent(client, part, **fields):
    return form_of(client.get("/log/plain"), part.pk) | {
        f"{part.pk}-{name}": value for name, value in fields.items()
    }


def test_balls_are_logged_without_a_script(student_client, student, tested):
    html = student_client.get("/log/plain").content.decode()
    assert "Carry of each ball in yd, one a line" in html
    fields = {"shots": "100\n98,5", "club": "54", "length": "chest", "device": "Radar"}
    form = sent(student_client, tested, **fields, roof="in")
    assert student_client.post("/log/plain", form).status_code == 302
    assert student_client.post("/log/plain", form).status_code == 302  # Twice is once.
    sitting = Sitting.objects.get()
    assert (sitting.device, sitting.indoors, sitting.evidence) == ("Radar", True, "measured")
    rows = Shot.objects.order_by("number").values_list("club__name", "length", "carry")
    assert list(rows) == [("54", "chest", 91.44), ("54", "chest", 90.0684)]
    (result,) = Entry.objects.get().results.all()
    assert ([step["n"] for step in result.steps], result.as_asked) == ([2], False)


def test_a_wrong_line_is_said_and_nothing_typed_is_lost(student_client, tested):
    form = sent(student_client, tested, shots="100\n<b>", club="54")
    page = student_client.post("/log/plain", form)
    html = page.content.decode()
    assert page.status_code == 422
    assert "Line 2: “&lt;b&gt;” is no number from 0 to 492 yd." in html
    assert "100\n&lt;b&gt;</textarea>" in html
    assert not Entry.objects.exists()


def test_without_balls_it_is_the_form_it_was(student_client, tested):
    assert student_client.post("/log/plain", sent(student_client, tested)).status_code == 302
    assert not Sitting.objects.exists()
    assert Entry.objects.get().results.get().as_asked


def test_a_carry_far_from_the_usual_is_asked_about_once(student_client, student, tested):
    usual = sent(student_client, tested, shots="\n".join(["54 chest 60"] * 6))
    assert student_client.post("/log/plain", usual).status_code == 302
    form = sent(student_client, tested, shots="54 chest 6")
    page = student_client.post("/log/plain", form)
    said = page.content.decode()
    assert "6 yd is far from the usual 60. Is it right?" in said
    assert "54 chest 6</textarea>" in said
    assert Shot.objects.count() == 6
    sure = form | {f"{tested.pk}-sure": "on"}
    assert student_client.post("/log/plain", sure).status_code == 302
    assert Shot.objects.count() == 7
