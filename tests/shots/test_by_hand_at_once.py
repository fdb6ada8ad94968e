"""The same balls sent by two at once, as a form that is sent twice would."""

from uuid import uuid4

from practice.shots.models import Shot, Sitting
from practice.shots.services import ShotInput, ShotSessionInput, add_balls
from tests.factories import NOON, make_coach, make_student
from tests.log.test_concurrency import at_once


def test_eight_who_send_the_same_balls_at_once_keep_them_once(transactional_db):
    coach = make_coach()
    student = make_student(coach)
    told = ShotSessionInput(uuid4(), NOON.date(), [ShotInput(carry=120.0), ShotInput(carry=121.0)])
    kept = at_once([lambda: add_balls(student=student, by=coach, told=told).pk] * 8)
    assert set(kept) == {told.id}
    assert (Sitting.objects.count(), Shot.objects.count()) == (1, 2)
