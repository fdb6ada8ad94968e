"""The numbers as JSON: who gets them, that they are what the schema says, and shots sent."""

import json
import re
import uuid
from datetime import timedelta

import jsonschema
import pytest
from django.test import Client
from django.urls import URLPattern, get_resolver

from practice.numbers.kit.as_json import schema_of
from practice.phone import keys
from practice.shots.models import Shot, Sitting
from shared.people.models import Student
from tests.conftest import signed_in
from tests.numbers import make

pytestmark = pytest.mark.django_db
READS = ("speed", "wedges", "wedges/lookup?metres=65", "ladder", "load", "shots", "clubs")
SAME = {"HTTP_SEC_FETCH_SITE": "same-origin"}


def address(student, what):
    return f"/api/students/{student.pk}/{what}"


def schema():
    answer = Client().get("/api/schema")
    assert answer.status_code == 200
    return json.loads(answer.content)


def as_json_schema(described):
    """OpenAPI 3.0 says 'nullable' where JSON schema has null among the types."""
    if isinstance(described, list):
        return [as_json_schema(each) for each in described]
    if not isinstance(described, dict):
        return described
    inner = {k: as_json_schema(v) for k, v in described.items() if k != "nullable"}
    return {"anyOf": [inner, {"type": "null"}]} if described.get("nullable") is True else inner


def strict(described):
    """No field that the schema does not name."""
    if isinstance(described, list):
        return [strict(each) for each in described]
    if not isinstance(described, dict):
        return described
    closed = {k: strict(v) for k, v in described.items()}
    if described.get("type") == "object" and "properties" in described:
        closed["additionalProperties"] = False
    return closed


# --- who ---


@pytest.mark.parametrize("what", READS)
def test_the_api_opens_to_whom_the_pages_open(student, cast, what):
    for name, user in cast.items():
        expected = 200 if name in {"owner", "coach", "assistant", "student"} else 404
        answer = signed_in(user).get(address(student, what))
        assert answer.status_code == expected, name
        assert answer["Cache-Control"] == "no-store"
    unknown = Client().get(address(student, what))
    assert unknown.status_code == 401
    assert unknown.json()["code"] == "login"


@pytest.mark.parametrize("what", READS)
def test_a_guardian_reads_the_child_s(guardian_client, child, student, what):
    assert guardian_client.get(address(child, what)).status_code == 200
    assert guardian_client.get(address(student, what)).status_code == 404


def test_a_log_key_opens_its_own_student_only(coach, student, guardian, child):
    from tests.factories import make_child

    sibling = make_child(coach, guardian, name="Sib")
    secret, _ = keys.make_key(user=guardian, student=child)
    header = {"HTTP_AUTHORIZATION": f"LogKey {secret}"}
    assert Client().get(address(child, "wedges"), **header).status_code == 200
    assert Client().get(address(sibling, "wedges"), **header).status_code == 404


def test_what_is_not_yours_is_said_in_the_one_shape(cast, student):
    answer = signed_in(cast["stranger"]).get(address(student, "wedges"))
    assert answer.json() == {
        "code": "not_found",
        "detail": "There is no such thing, or it is not yours to see.",
    }


def test_the_gap_is_the_coach_s_to_say(coach_client, student_client, student):
    from practice.coach_counts.models import CheckedCount
    from tests.factories import make_drill

    CheckedCount.objects.create(
        student=student,
        drill=make_drill(student.studio),
        effort=40,
        reps=20,
        clean_reps=10,
        own_clean_reps=15,
        day=make.today_of(student),
    )
    assert coach_client.get(address(student, "ladder")).json()["drills"][0]["gap"] == 25
    assert student_client.get(address(student, "ladder")).json()["drills"][0]["gap"] is None


# --- the schema ---


def api_routes(resolver=None, above=""):
    for pattern in (resolver or get_resolver()).url_patterns:
        path = above + str(pattern.pattern)
        if isinstance(pattern, URLPattern):
            yield path
        else:
            yield from api_routes(pattern, path)


def test_every_route_of_the_api_is_in_the_schema():
    paths = set(schema()["paths"])
    routes = {"/" + re.sub(r"<(?:\w+:)?(\w+)>", r"{\1}", path) for path in api_routes()}
    found = {path for path in routes if path.startswith("/api/")} - {"/api/schema"}
    assert len(found) > 10
    assert found - paths == set()


@pytest.mark.parametrize("what", READS)
@pytest.mark.parametrize("full", [False, True], ids=["empty", "full"])
def test_each_answer_is_what_the_schema_says(coach_client, student, what, full):
    if full:
        clubs = make.card(student)
        sides = [1, -1, 2, -2, 0, 3, -3, 1, 0, 2]
        kept = make.sitting(student)
        make.balls(kept, clubs["50°"], make.AT_65, target=65, length="hip", sides=sides)
        speeds_of(student)
    path = "/api/students/{student_id}/" + what.split("?")[0]
    described = schema()["paths"][path]["get"]["responses"]["200"]["content"]["application/json"]
    answer = coach_client.get(address(student, what))
    assert answer.status_code == 200
    jsonschema.validate(answer.json(), strict(as_json_schema(described["schema"])))


def speeds_of(student):
    for days_ago in range(40, 0, -4):
        kept = make.sitting(student, days_ago=days_ago)
        wedge = student.clubs.first()
        Shot.objects.bulk_create(
            Shot(
                sitting=kept, student=student, number=n, club=wedge, effort=100, ball_speed=60.0 + n
            )
            for n in range(1, 7)
        )


def test_a_type_without_a_schema_is_an_error():
    with pytest.raises(TypeError):
        schema_of(Student)
    with pytest.raises(TypeError):
        schema_of(type[int])


# --- bad questions ---


@pytest.mark.parametrize(
    ("what", "sentence"),
    [
        ("wedges/lookup", "Say the distance: ?metres=65"),
        ("wedges/lookup?metres=far", "metres: Write a number from 1 to 200."),
        ("wedges/lookup?metres=nan", "metres: Write a number from 1 to 200."),
        ("wedges?within=0", "within: Write a number from 0.5 to 20."),
    ],
)
def test_a_bad_question_gets_a_sentence(coach_client, student, what, sentence):
    answer = coach_client.get(address(student, what))
    assert answer.status_code == 400
    assert answer.json() == {"code": "parse_error", "detail": sentence}


# --- shots ---


def body(**fields):
    return {
        "id": str(uuid.uuid4()),
        "day": "2031-02-26",
        "device": "box",
        "shots": [{"carry": 60.5, "side": -1, "length": "hip"}, {"ball_speed": 61.2}],
    } | fields


def send(client, student, said):
    return client.post(
        address(student, "shots"), json.dumps(said), content_type="application/json", **SAME
    )


@pytest.fixture
def today(student):
    return str(make.today_of(student))


def test_shots_are_kept_once_and_read_again(coach_client, student, today):
    wedge = make.club(student)
    said = body(day=today)
    said["shots"][0]["club"] = str(wedge.pk)
    assert send(coach_client, student, said).status_code == 201
    again = send(coach_client, student, said)
    assert (again.status_code, again.json()) == (200, {"id": said["id"], "shots": 2})
    rows = coach_client.get(address(student, "shots")).json()["shots"]
    assert [(row["carry"], row["side"], row["ball_speed"]) for row in rows] == [
        (60.5, -1, None),
        (None, None, 61.2),
    ]
    assert {row["device"] for row in rows} == {"box"}
    assert rows[0]["club"] == str(wedge.pk)


def test_the_student_and_the_guardian_send_too(student_client, student, guardian_client, child):
    for client, whose in ((student_client, student), (guardian_client, child)):
        said = body(day=str(make.today_of(whose)))
        assert send(client, whose, said).status_code == 201
    assert Sitting.objects.count() == 2


def test_nobody_else_sends(student, cast, today):
    for name in ("helper", "fellow", "stranger", "nobody"):
        assert send(signed_in(cast[name]), student, body(day=today)).status_code == 404, name
    assert send(Client(), student, body(day=today)).status_code == 401
    foreign = signed_in(cast["coach"]).post(
        address(student, "shots"), json.dumps(body()), content_type="application/json"
    )
    assert foreign.status_code == 403
    assert not Shot.objects.exists()


def test_nothing_is_kept_of_a_child_whose_guardian_withdrew(coach_client, child):
    child.guardianships.update(withdrawn_at="2026-01-01T00:00:00Z")
    assert send(coach_client, child, body(day=str(make.today_of(child)))).status_code == 404


@pytest.mark.parametrize(
    ("fields", "status", "words"),
    [
        ({"shots": []}, 400, "at least 1"),
        ({"shots": [{"carry": 60}] * 201}, 400, "no more than 200"),
        ({"shots": [{"carry": -1}]}, 400, "greater than or equal to 0"),
        ({"shots": [{"carry": "far"}]}, 400, "valid number"),
        ({"shots": [{"length": "half", "carry": 3}]}, 400, "not a valid choice"),
        ({"shots": [{"target": 60}]}, 422, "ball 1: A ball needs a carry"),
        ({"shots": [{"carry": 60, "club": str(uuid.uuid4())}]}, 422, "This student has no club"),
        ({"day": "2999-01-01"}, 422, "That day is still to come."),
        ({"day": "soon"}, 400, "YYYY-MM-DD"),
        ({"id": "x"}, 400, "valid UUID"),
    ],
)
def test_what_cannot_be_kept_is_said(coach_client, student, today, fields, status, words):
    answer = send(coach_client, student, body(day=today) | fields)
    assert answer.status_code == status
    assert set(answer.json()) <= {"code", "detail", "fields"}
    assert answer.json()["detail"].endswith((".", "far"))
    assert words in json.dumps(answer.json())
    assert not Sitting.objects.exists()


def test_somebody_else_s_club_is_no_club(coach_client, student, cast, today):
    theirs = make.club(cast["fellow"].student_places.get())
    said = body(day=today, shots=[{"carry": 60, "club": str(theirs.pk)}])
    assert send(coach_client, student, said).status_code == 422


def test_an_id_of_another_student_s_sitting_is_taken(coach_client, student, cast, today):
    theirs = make.sitting(cast["fellow"].student_places.get())
    answer = send(coach_client, student, body(day=today, id=str(theirs.pk)))
    assert answer.json()["detail"] == "id: This id is taken. Make a new one and send again."
    assert theirs.shots.count() == 0


@pytest.mark.parametrize("text", [" ", "[]", "{", '{"shots": NaN}', "[" * 5000, '"x"'])
def test_what_is_no_sitting_at_all_is_refused(coach_client, student, text):
    answer = coach_client.post(
        address(student, "shots"), text, content_type="application/json", **SAME
    )
    assert answer.status_code == 400
    assert answer.json()["detail"]


def test_shots_come_in_pages(coach_client, student, django_assert_max_num_queries):
    wedge, kept = make.club(student), make.sitting(student)
    make.balls(kept, wedge, [float(n) for n in range(250)])
    first = coach_client.get(address(student, "shots")).json()
    assert (len(first["shots"]), first["next"]) == (200, 1)
    with django_assert_max_num_queries(5):  # Session, user, roles, student, shots.
        second = coach_client.get(address(student, "shots?page=1")).json()
    assert (len(second["shots"]), second["next"]) == (50, None)
    seen = {shot["number"] for shot in first["shots"] + second["shots"]}
    assert seen == set(range(1, 251))
    for bad in ("x", "-1", "9" * 30):
        assert coach_client.get(address(student, f"shots?page={bad}")).status_code == 200


# --- what is not for everybody who reads the rest ---


def holds_to_schema(answer, what):
    path = "/api/students/{student_id}/" + what
    described = schema()["paths"][path]["get"]["responses"]["200"]["content"]["application/json"]
    jsonschema.validate(answer, strict(as_json_schema(described["schema"])))


def test_what_moved_is_for_those_who_teach(coach, student, cast):
    from practice.compliance.tally import recompute
    from tests.factories import make_drill, make_part, make_week

    drill = make_drill(student.studio)
    opens = make.today_of(student) - timedelta(weeks=2)
    make_part(make_week(student, opens), drill)
    recompute(student, opens)
    for name, user in cast.items():
        answer = signed_in(user).get(address(student, "moved"))
        expected = 200 if name in {"owner", "coach", "assistant"} else 404
        assert answer.status_code == expected, name
    found = signed_in(coach).get(address(student, "moved")).json()
    assert [part["verdict"] for part in found["parts"]] == ["Too soon to say"]
    holds_to_schema(found, "moved")


def test_strength_is_for_the_adult_and_those_the_consent_names(coach, student, child, cast):
    from practice.strength.services import agree, keep_lift

    student_client = signed_in(student.user)
    assert student_client.get(address(student, "strength")).status_code == 404
    agree(student=student)
    keep_lift(
        student=student,
        by=student.user,
        lift_id=uuid.uuid4(),
        name="Squat",
        mass=100.0,
        reps=5,
        body_mass=80.0,
        day=make.today_of(student),
        was_supervised=True,
    )
    found = student_client.get(address(student, "strength")).json()
    # Epley (1985): 100 kg for 5 is 100 * (1 + 5 / 30) = 116.7 kg.
    assert found["sets"][0]["heaviest"]["value"] == pytest.approx(116.67, abs=0.01)
    holds_to_schema(found, "strength")
    for name in ("assistant", "stranger"):
        assert signed_in(cast[name]).get(address(student, "strength")).status_code == 404
    assert signed_in(coach).get(address(child, "strength")).status_code == 404
