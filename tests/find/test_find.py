"""Find: what begins with the letters typed, and never what is somebody else's."""

import pytest
from django.urls import reverse

from coaching.find.queries import PAGES, find
from tests.conftest import signed_in
from tests.factories import make_coach, make_drill, make_student, studio_of

pytestmark = pytest.mark.django_db


def words(found) -> list[tuple[str, str]]:
    return [(one.words, one.kind) for one in found]


@pytest.fixture
def roster(coach):
    make_drill(studio_of(coach), name="Putting clock")
    return [make_student(coach, name) for name in ("Ann Lark", "Lars Berg", "Bo Allard")]


@pytest.mark.parametrize(
    ("typed", "names"),
    [
        ("lar", ["Ann Lark", "Lars Berg"]),
        ("LAR", ["Ann Lark", "Lars Berg"]),
        ("  bo ", ["Bo Allard"]),
        ("ard", []),
        ("%", []),
        ("", []),
    ],
)
def test_a_word_of_the_name_begins_with_it(coach, roster, typed, names):
    assert [one.words for one in find(coach, typed) if one.kind == "student"] == names


def test_drills_of_the_studio_and_pages_by_any_of_their_words(coach, roster):
    assert words(find(coach, "clo")) == [("Putting clock", "drill")]
    assert ("Who needs me", "page") in words(find(coach, "needs"))
    assert ("Call list", "page") in words(find(coach, "call l"))


def test_pages_are_found_by_what_somebody_wants_there(coach, roster):
    assert ("Students", "page") in words(find(coach, "invite"))
    assert ("Settings", "page") in words(find(coach, "passk"))


def test_nothing_of_another_studio(coach, roster):
    other = make_coach()
    assert not [one for one in find(other, "lar") if one.kind == "student"]
    assert find(coach, "putt")
    assert not find(other, "putt")


def test_pages_that_a_role_may_not_open_are_not_offered(coach):
    assistant = make_coach(studio_of(coach), role="assistant")
    assert ("Week for several", "page") not in words(find(assistant, "week"))
    assert ("Week for several", "page") in words(find(coach, "week"))


def test_every_page_named_opens_for_whoever_finds_it(coach):
    for role in ("owner", "coach", "assistant"):
        user = make_coach(studio_of(coach), role=role)
        client = signed_in(user)
        for page, _, _ in PAGES:
            for one in find(user, page):
                assert client.get(one.url).status_code == 200, (role, one.url)


def test_the_page_lists_or_goes_there(coach, coach_client, roster):
    page = coach_client.get(reverse("find:find"), {"q": "lar"}).content.decode()
    assert "Ann Lark" in page
    assert "Lars Berg" in page
    gone = coach_client.get(reverse("find:find"), {"q": "ann"})
    assert gone.url == reverse("board:student", args=[roster[0].pk])
    part = coach_client.get(reverse("find:find"), {"q": "lar", "part": "1"}).content.decode()
    assert "<html" not in part
    assert part.count('role="option"') == 2


def test_nothing_found_says_what_to_type(coach_client):
    page = coach_client.get(reverse("find:find"), {"q": "<zzz>"}).content.decode()
    assert "Nothing begins with “&lt;zzz&gt;”." in page


def test_a_student_has_no_such_page(student_client):
    assert student_client.get(reverse("find:find"), {"q": "a"}).status_code == 404


def test_its_queries_do_not_grow(coach, roster, django_assert_max_num_queries):
    for n in range(30):
        make_student(coach, f"Lara {n:02}")
    with django_assert_max_num_queries(3):
        assert len([one for one in find(coach, "la") if one.kind == "student"]) == 8
