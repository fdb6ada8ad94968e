"""The description of the API: valid, complete, and true of what is sent and answered."""

from io import StringIO

import jsonschema
import pytest
from django.core.management import call_command
from drf_spectacular.generators import SchemaGenerator

from practice.log.document import parse
from practice.log.fields import Refusal
from tests.log.entries import back, change, entry, measured


def test_the_apis_description_is_valid_and_complete():
    out = StringIO()
    call_command("spectacular", validate=True, fail_on_warn=True, stdout=out)
    for path in ("/api/key", "/api/week", "/api/sync", "/api/sessions/{entry_id}"):
        assert f"{path}:" in out.getvalue()


@pytest.fixture(scope="module")
def described():
    """A check of a value against a component, in the JSON Schema that OpenAPI 3.0 stands for."""
    components = as_json_schema(SchemaGenerator().get_schema(request=None, public=True))

    def check(name, value):
        root = {"$ref": f"#/components/schemas/{name}", "components": components["components"]}
        jsonschema.Draft202012Validator(root).validate(value)

    return check


def as_json_schema(node):
    """`nullable`, which only OpenAPI 3.0 has, as another allowed type."""
    if isinstance(node, list):
        return [as_json_schema(item) for item in node]
    if not isinstance(node, dict):
        return node
    found = {key: as_json_schema(value) for key, value in node.items()}
    if found.pop("nullable", False):
        return {"anyOf": [found, {"type": "null"}]}
    return found


BALL = {"club": "54", "length": "hip", "target": 40, "effort": 70, "carry": 39.5, "total": 44}
FULL = BALL | {"side": -1.5, "ball_speed": 20.5, "club_speed": 18}


def test_sessions_of_every_kind_are_as_described(described, student, part):
    one = measured(student, part, balls=[FULL, {"club_speed": 41.2}])
    for said in (one, entry(student, part), measured(student), change(one), back(one)):
        described("Session", said)
        parse(said)


@pytest.mark.parametrize(
    "ball", [{"carry": 451}, {"carry": -1}, {"carry": "60"}, {"carry": 60, "length": "half"}]
)
def test_what_the_server_refuses_of_a_ball_the_description_refuses(described, student, ball):
    one = measured(student, balls=[ball])
    with pytest.raises(jsonschema.ValidationError):
        described("Session", one)
    with pytest.raises(Refusal):
        parse(one)


def test_what_was_put_is_got_with_its_shots(described, phone, student, student_client, part):
    one = measured(student, part, balls=[FULL])
    assert phone.put(one).status_code == 201
    answer = student_client.get(f"/api/sessions/{one['id']}")
    assert answer.status_code == 200
    described("KeptSession", answer.json())
    assert (answer.json()["session"], answer.json()["counts"]) == (one, True)
    phone.put(back(one))
    assert student_client.get(f"/api/sessions/{one['id']}").json()["counts"] is False
