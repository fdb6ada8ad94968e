"""The pure words and the column's are the same."""

from practice.compliance.dates import Filed
from practice.log.models import Result


def test_the_log_keeps_the_words_of_the_rule():
    assert {word.value for word in Filed} == set(Result.Filed.values)
    assert {word.name: word.value for word in Filed} == {w.name: w.value for w in Result.Filed}
