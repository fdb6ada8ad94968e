"""What the database itself refuses of a count, and that it says why."""

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError

from practice.coach_counts.models import CheckedCount
from tests.factories import make_drill, studio_of

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"effort": 9}, "from 10 to 100 percent"),
        ({"effort": 101}, "from 10 to 100 percent"),
        ({"reps": 0, "clean_reps": 0}, "Count 1 to 500 reps"),
        ({"clean_reps": 11}, "more clean ones than were made"),
        ({"own_clean_reps": 11}, "more clean ones than were made"),
    ],
)
def test_impossible_counts_are_refused(coach, student, fields, sentence):
    given = {"effort": 40, "reps": 10, "clean_reps": 5, "day": "2031-02-26"}
    count = CheckedCount(student=student, drill=make_drill(studio_of(coach)), **given | fields)
    with pytest.raises(ValidationError, match=sentence):
        count.full_clean(exclude=["by"])
    with pytest.raises(IntegrityError):
        count.save()
