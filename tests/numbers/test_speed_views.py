"""The speed book's pages: who sees them, what they print, and how the block is set."""

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from practice.shots.models import SpeedBlock
from shared.kit.units import SPEED
from tests.conftest import signed_in
from tests.numbers.speeds import INES, many_days

pytestmark = pytest.mark.django_db
TEACH = {"owner", "coach", "assistant"}


def pages(student) -> dict[str, set[str]]:
    return {
        f"/students/{student.pk}/speed/": TEACH,
        f"/students/{student.pk}/speed/block/": {"owner", "coach"},
        f"/own/{student.pk}/speed/": {"student"},
    }


@pytest.mark.parametrize("page", range(3))
def test_each_page_opens_to_whom_it_is_for(student, cast, page):
    address, allowed = list(pages(student).items())[page]
    for name, user in cast.items():
        expected = 200 if name in allowed else 404
        assert signed_in(user).get(address).status_code == expected, name
    assert Client().get(address).status_code == 302


def test_only_those_who_plan_may_set_a_block(student, cast):
    for name in ("assistant", "helper", "student", "fellow", "stranger", "nobody"):
        answer = signed_in(cast[name]).post(f"/students/{student.pk}/speed/block/", {})
        assert answer.status_code == 404, name
    assert not SpeedBlock.objects.exists()


def test_a_guardian_sees_the_child_s_book_and_nobody_else_s(guardian_client, child, student):
    many_days(child, INES)
    page = guardian_client.get(f"/own/{child.pk}/speed/")
    assert "Kim&#x27;s usual is 155.1 mph" in page.content.decode()
    assert guardian_client.get(f"/own/{student.pk}/speed/").status_code == 404
    assert guardian_client.get(f"/students/{child.pk}/speed/").status_code == 404


def test_nothing_is_set_about_a_child_without_consent(coach_client, child):
    child.guardianships.update(withdrawn_at="2026-01-01T00:00:00Z")
    assert coach_client.post(f"/students/{child.pk}/speed/block/", {}).status_code == 404


def test_the_coach_s_page_answers_first_and_draws_second(coach_client, student):
    many_days(student, INES)
    page = coach_client.get(f"/students/{student.pk}/speed/").content.decode()
    answer = page.index("Up 6.9 mph, held. The start was 146.9 mph; since then it is 153.8.")
    assert answer < page.index("<svg") < page.index("Show as table") < page.index("Steadiness")
    assert 'type="application/json"' in page
    assert " style=" not in page
    assert "plotly.min.js" in page


def test_the_student_s_page_needs_no_script(student_client, student):
    many_days(student, INES)
    page = student_client.get(f"/own/{student.pk}/speed/").content.decode()
    assert "Your usual is 155.1 mph, up from 146.9 mph" in page
    assert "<svg" in page
    assert "<script" not in page
    assert "Show as table" in page


def test_an_empty_book_says_what_to_do(coach_client, student_client, student):
    assert b"No speed test yet" in coach_client.get(f"/students/{student.pk}/speed/").content
    assert b"No speed test yet" in student_client.get(f"/own/{student.pk}/speed/").content


@pytest.mark.parametrize(("unit", "words"), [("mph", "153.8"), ("kmh", "247.6"), ("mps", "68.8")])
def test_each_reader_reads_their_own_unit(coach, coach_client, student, unit, words):
    many_days(student, INES)
    coach.speed_unit = unit
    coach.save()
    page = coach_client.get(f"/students/{student.pk}/speed/").content.decode()
    assert f"since then it is {words}." in page
    assert "Up, held" in page
    assert SPEED[unit].sign in page


def test_a_block_is_set_in_the_coach_s_unit_and_kept_in_si(coach, coach_client, student):
    coach.speed_unit = "kmh"
    coach.save()
    address = f"/students/{student.pk}/speed/block/"
    coach_client.post(address, {"starts_on": "2026-01-05", "ball_speed": "252,0"})
    block = SpeedBlock.objects.get(student=student)
    assert block.ball_speed == pytest.approx(70)
    assert block.club_speed is None
    assert block.set_by == coach
    assert 'value="252.0"' in coach_client.get(address).content.decode()


def test_setting_it_again_changes_the_one_there_is(coach_client, student):
    address = f"/students/{student.pk}/speed/block/"
    for speed in ("150", "155"):
        coach_client.post(address, {"ball_speed": speed})
    assert SPEED["mph"].from_si(SpeedBlock.objects.get().ball_speed) == pytest.approx(155)


@pytest.mark.parametrize("typed", ["fast", "-3", "nan", "inf", "9999", "1e3", "1"])
def test_what_is_no_speed_is_said_and_nothing_is_lost(coach_client, student, typed):
    address = f"/students/{student.pk}/speed/block/"
    answer = coach_client.post(address, {"starts_on": "2026-01-05", "ball_speed": typed})
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "Write a number from 11 to 268 mph, or nothing." in page
    assert f'value="{typed}"' in page
    assert 'value="2026-01-05"' in page
    assert not SpeedBlock.objects.exists()


def test_the_aim_shows_in_the_book(coach_client, student):
    many_days(student, INES)
    coach_client.post(f"/students/{student.pk}/speed/block/", {"ball_speed": "157"})
    page = coach_client.get(f"/students/{student.pk}/speed/").content.decode()
    assert "157.0 mph: between " in page
    assert "A straight line is optimistic." in page


def test_the_page_s_queries_do_not_grow(coach_client, student):
    counts = []
    drill = None
    for figures in (INES[:1], INES):
        drill = many_days(student, figures, drill=drill, apart=6)
        with CaptureQueriesContext(connection) as queries:
            coach_client.get(f"/students/{student.pk}/speed/")
        counts.append(len(queries))
    assert counts[0] == counts[1] <= 16
