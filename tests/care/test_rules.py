"""When pain stops a part. The product's own duty-of-care rules; no outside source."""

import pytest

from practice.care import rules


@pytest.mark.parametrize(
    ("level", "signs", "serious"),
    [
        (0, [], False),
        (3, [], False),
        (4, [], True),
        (10, [], True),
        *[(1, [sign], True) for sign in rules.SIGNS],
        *[(0, [sign], True) for sign in rules.EMERGENCY],
        (1, ["a sign of a later version"], True),
        (1, [""], False),
    ],
)
def test_what_stops_a_part(level, signs, serious):
    assert rules.is_serious(level, signs) is serious


def test_an_emergency_is_told_to_call_whatever_the_number():
    for sign in rules.EMERGENCY:
        assert "emergency services" in rules.advice(0, [sign], "Odile").stop
    assert [sign for sign in rules.SIGNS if rules.is_emergency(0, [sign])] == ["numb"]


@pytest.mark.parametrize(
    ("level", "signs", "words"),
    [
        (9, [], "emergency services"),
        (10, ["sharp"], "emergency services"),
        (2, ["numb"], "emergency services"),
        (8, ["sharp"], "Stop this part"),
    ],
)
def test_the_worst_pain_and_numbness_are_told_to_call(level, signs, words):
    """As the list says on the same page: loss of feeling is not for a coach."""
    assert words in rules.advice(level, signs, "Odile").stop


def test_words_keep_their_shape_and_their_length():
    told = [
        rules.advice(level, signs, "Odile") for level, signs in ((1, []), (5, []), (1, ["head"]))
    ]
    for advice in told:
        assert all((advice.when, advice.stop, advice.who))
        assert len(str(advice).split()) <= 25
    assert rules.advice(0, [], "Odile") is None


def test_the_coach_is_named_and_nothing_is_blamed():
    assert "Odile" in str(rules.advice(5, [], "Odile"))
    assert "Nothing is lost" in rules.stopped_words("Odile")


def test_signs_are_read_in_words():
    assert rules.sign_words(["night", "new one"]) == ["hurts at night", "new one"]


def test_little_pain_stops_nothing_and_an_emergency_waits_for_no_coach():
    little = rules.advice(rules.SERIOUS_LEVEL - 1, [], "Odile")
    assert "If it gets worse" in little.stop
    assert "Stop this part" in rules.advice(rules.SERIOUS_LEVEL, [], "Odile").stop
    assert "Odile" not in str(rules.advice(10, ["chest"], "Odile"))
