"""Pages come compressed to whoever asks from here, and to nobody whom another site sends."""

import gzip
import json

import pytest

from tests.factories import make_student

pytestmark = pytest.mark.django_db
ASKED = {"Accept-Encoding": "gzip, br"}


def test_a_page_asked_for_from_here_is_a_fraction_of_itself(coach, coach_client):
    for n in range(20):
        make_student(coach, f"Student {n}")
    plain = coach_client.get("/who/", {"all": "1"})
    packed = coach_client.get(
        "/who/", {"all": "1"}, headers=ASKED | {"Sec-Fetch-Site": "same-origin"}
    )
    assert packed["Content-Encoding"] == "gzip"
    assert "Accept-Encoding" in packed["Vary"]
    assert len(packed.content) < len(plain.content) / 2
    assert "Student 19" in gzip.decompress(packed.content).decode()


@pytest.mark.parametrize(
    "headers",
    [
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
        {},
        {"Sec-Fetch-Site": "none", "Accept-Encoding": "identity"},
    ],
)
def test_where_another_site_could_choose_what_is_asked_nothing_is_compressed(
    coach, coach_client, headers
):
    """Its length would tell of what stands in the page (BREACH)."""
    answer = coach_client.get("/find/", {"q": "guess"}, headers=ASKED | headers)
    assert answer.status_code == 200
    assert "Content-Encoding" not in answer


def test_the_same_page_is_never_twice_as_long(coach, coach_client):
    """Random bytes hide the last few of its length."""
    asked = ASKED | {"Sec-Fetch-Site": "none"}
    lengths = {len(coach_client.get("/find/", headers=asked).content) for _ in range(20)}
    assert len(lengths) > 3


def test_what_is_no_page_is_left_alone(coach_client):
    answer = coach_client.get("/api/key", headers=ASKED | {"Sec-Fetch-Site": "same-origin"})
    assert answer.status_code == 200
    assert "Content-Encoding" not in answer


def test_what_the_api_takes_is_sent_packed_and_not_twice(client, db, django_assert_num_queries):
    """It is the same for everybody, so its length tells nothing."""
    client.get("/api/schema")
    with django_assert_num_queries(0):
        answer = client.get("/api/schema", headers=ASKED)
    assert answer["Content-Encoding"] == "gzip"
    assert len(answer.content) < 20_000
    assert json.loads(gzip.decompress(answer.content))["openapi"].startswith("3.")
    again = client.get("/api/schema", headers=ASKED | {"If-None-Match": answer["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
