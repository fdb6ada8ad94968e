"""To which week work belongs: its words, and the earliest that it can be."""

from datetime import timedelta

import pytest

from practice.compliance.dates import Filed, file_result, first_week_of
from practice.log.models import Result
from tests.factories import MONDAY


def test_the_log_keeps_the_words_of_the_rule():
    assert {word.value for word in Filed} == set(Result.Filed.values)
    assert {word.name: word.value for word in Filed} == {w.name: w.value for w in Result.Filed}


@pytest.mark.parametrize("published", [None, *range(-30, 9)])
@pytest.mark.parametrize("is_marked", [False, True])
def test_no_work_stands_in_a_week_before_the_one_it_is_looked_for_in(published, is_marked):
    """Reads by days ask for these weeks alone, so that nothing earlier is gone through."""
    opens = MONDAY
    for n in range(-30, 40):
        day = opens + timedelta(days=n)
        sent = None if published is None else opens + timedelta(days=published)
        week, _ = file_result(day=day, opens=opens, published_on=sent, for_last_week=is_marked)
        assert week >= first_week_of(day)
