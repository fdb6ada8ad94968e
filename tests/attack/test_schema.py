"""Every operation of our own OpenAPI description, asked badly: a status that it names."""

import json
from uuid import uuid4

import pytest
from django.test import Client
from drf_spectacular.generators import SchemaGenerator

from practice.phone.keys import make_key
from tests.conftest import signed_in

pytestmark = pytest.mark.django_db
OWN_PAGE = {"sec-fetch-site": "same-origin"}
DEEP = "[" * 100_000
BODIES = (
    "", "null", "[]", "{}", "1", '"x"', "NaN", "[" * 5, DEEP, "\ufeff{}", "\x00", '{"a": 1e999}',
    '{"e": {}}', '{"e": [1, null, {"id": 1}, {"id": "\\u0000"}, {"id": "\\ud800"}]}',
    '{"student": "\\u0000"}', '{"student": null}', '{"device": "\\ud800"}',
    '{"id": "x", "day": "0001-01-01", "shots": [{}]}',
    '{"id": "%(id)s", "day": "9999-12-31", "shots": [{"carry": 1e308}]}',
    '{"id": "%(id)s", "day": "2031-02-24", "shots": [{"club": "%(id)s"}]}',
    '{"id": "%(id)s", "v": 1, "who": "%(me)s", "k": "log", "day": "2031-02-30"}',
    '{"id": "%(id)s", "v": 99999999999999999999, "who": "%(me)s"}',
)  # fmt: skip
ASKED = ("", "x", "-1", "NaN", "9" * 400, "\x00", "１", "1,2,3")


@pytest.fixture(scope="module")
def operations():
    """Path, method, and what the description says of it."""
    described = SchemaGenerator().get_schema(request=None, public=True)
    found = [
        (path, method, operation)
        for path, methods in described["paths"].items()
        for method, operation in methods.items()
        if path != "/api/schema"
    ]
    assert len(found) > 12
    return found


@pytest.fixture
def callers(student):
    """Each a way to ask, with the headers it asks with."""
    key, _ = make_key(user=student.user, student=student, device="")
    return (
        (signed_in(student.user), OWN_PAGE),
        (signed_in(student.user), {}),
        (signed_in(student.lead_coach), OWN_PAGE),
        (Client(), {"authorization": f"LogKey {key}"}),
        (Client(), {"authorization": "LogKey \x00"}),
        (Client(), {}),
    )


def asked(operation):
    """The address as it is, and with each of its parameters asked badly."""
    names = [each["name"] for each in operation.get("parameters", ()) if each["in"] == "query"]
    return [{}, *({name: value} for name in names for value in ASKED)]


def test_whatever_is_asked_the_answer_is_one_that_is_described(student, operations, callers):
    faults = []
    for path, method, operation in operations:
        for student_id in (student.pk, uuid4()):
            at = path.replace("{student_id}", str(student_id))
            at = at.replace("{entry_id}", str(uuid4())).replace("{clip_id}", str(uuid4()))
            for client, headers in callers:
                bodies = BODIES if method in {"post", "put"} and student_id == student.pk else ("",)
                sent = [(query, "{}") for query in asked(operation)] + [({}, b) for b in bodies]
                for query, body in sent:
                    text = body.replace("%(id)s", str(uuid4())).replace("%(me)s", str(student.pk))
                    answer = client.generic(
                        method.upper(), at, text, "application/json", headers=headers,
                        query_params=query,
                    )  # fmt: skip
                    if str(answer.status_code) not in operation["responses"]:
                        what = f"{method.upper()} {path} {query} {body[:40]}"
                        faults.append(f"{what}: {answer.status_code} {answer.content[:80]!r}")
                    elif answer.content:
                        json.loads(answer.content)
    assert not faults, "\n".join(sorted(set(faults)))
