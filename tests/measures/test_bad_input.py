"""What cannot be is refused by name, by every public function, in every argument."""

import math
from dataclasses import fields, is_dataclass, replace
from typing import Any

import pytest

from practice.measures.answers import BadData, TooLittle
from practice.measures.flight import Launch
from tests.measures.walk import GOOD, MAY_BE_NEGATIVE, WITHOUT_NUMBERS, public_functions

FUNCTIONS = public_functions()


def is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def with_one(value: Any, bad: Any) -> list[Any]:
    """All copies of an argument in which one number is replaced by a bad one."""
    if is_number(value):
        return [bad]
    if isinstance(value, Launch):
        return [replace(value, **{each.name: bad}) for each in fields(value)]
    if isinstance(value, dict):
        return [{**value, key: each} for key in value for each in with_one(value[key], bad)]
    if isinstance(value, list | tuple):
        return [
            [*value[:place], each, *value[place + 1 :]]
            for place in (0, len(value) - 1)
            for each in with_one(value[place], bad)
        ]
    return []


def emptied(value: Any) -> list[Any]:
    if isinstance(value, dict):
        inner = [{**value, key: each} for key in value for each in emptied(value[key])]
        return [{}, *inner]
    if isinstance(value, list):
        return [[], *[[*value[:-1], each] for each in emptied(value[-1])]]
    return []


def test_every_public_function_is_walked():
    assert set(FUNCTIONS) == set(GOOD) | WITHOUT_NUMBERS


@pytest.mark.parametrize("name", sorted(GOOD))
def test_the_good_call_is_answered(name):
    assert not isinstance(FUNCTIONS[name](**GOOD[name]), TooLittle)


@pytest.mark.parametrize("name", sorted(GOOD))
@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf], ids=str)
def test_what_is_not_finite_is_refused(name, bad):
    taken = []
    for argument, value in GOOD[name].items():
        for copy in with_one(value, bad):
            try:
                FUNCTIONS[name](**{**GOOD[name], argument: copy})
            except BadData:
                continue
            taken.append(argument)
    assert taken == []


@pytest.mark.parametrize("name", sorted(GOOD))
def test_what_is_below_zero_is_refused_where_it_cannot_be(name):
    taken = []
    for argument, value in GOOD[name].items():
        if (name, argument) in MAY_BE_NEGATIVE:
            continue
        for copy in with_one(value, -1):
            try:
                FUNCTIONS[name](**{**GOOD[name], argument: copy})
            except BadData:
                continue
            taken.append(argument)
    assert taken == []


@pytest.mark.parametrize("name", sorted(GOOD))
def test_words_among_the_numbers_are_refused(name):
    taken = []
    for argument, value in GOOD[name].items():
        for copy in with_one(value, "fast"):
            try:
                FUNCTIONS[name](**{**GOOD[name], argument: copy})
            except BadData:
                continue
            taken.append(argument)
    assert taken == []


# Nothing yet is no figure: an empty answer, or each left-out part of one.
EMPTY_IS_EMPTY = {
    ("bag.at_loft", "card"): "no swings",
    ("bag.at_loft", "lofts"): "no swings",
    ("diary.overcount", "others"): "nobody else",
    ("arrays.numbers", "values"): "a list that may be empty",
    ("change.worth_of", "day_figures"): "what is worth having at all",
    ("ladder.holds", "days"): "too few",
    ("studio.series_of_balls", "days"): "no series",
    ("studio.series_of_figures", "figures"): "no series",
    ("studio.series_of_shares", "days"): "no series",
    ("chart.signals", "z"): "no signal",
    ("claim.change_of_levels", "days"): "a day without balls is left out",
    ("days.level_over_days", "days"): "a day without balls is left out",
    ("gaps.in_between", "card"): "a swing without balls is left out",
    ("spread.components", "sessions"): "a session without values is left out",
    ("weather.card_in_air", "card"): "no cells",
    ("wedges.best_swings", "card"): "a swing without balls is left out",
    ("wedges.steps", "card"): "no steps",
    ("wedges.odd_clubs", "shorter"): "no clubs",
    ("wedges.odd_clubs", "longer"): "no clubs",
}


@pytest.mark.parametrize("name", sorted(GOOD))
def test_nothing_at_all_is_refused_or_too_little(name):
    figures = []
    for argument, value in GOOD[name].items():
        if (name, argument) in EMPTY_IS_EMPTY:
            continue
        for copy in emptied(value):
            try:
                answer = FUNCTIONS[name](**{**GOOD[name], argument: copy})
            except BadData:
                continue
            if not isinstance(answer, TooLittle):
                figures.append((argument, answer))
    assert figures == []


@pytest.mark.parametrize(
    ("name", "argument"),
    sorted(each for each in EMPTY_IS_EMPTY if each[1] in {"card", "shorter", "sessions", "z"}),
)
def test_nothing_yet_gives_an_empty_answer(name, argument):
    empty = type(GOOD[name][argument])()
    answer = FUNCTIONS[name](**{**GOOD[name], argument: empty})
    if isinstance(answer, dict) and name == "chart.signals":
        assert set(answer.values()) == {()}
    else:
        assert isinstance(answer, TooLittle) or not answer


def test_what_stands_on_a_line_is_checked_too():
    from tests.measures.walk import LINE

    assert is_dataclass(LINE)
    for level in (0.0, 1.0, math.nan):
        with pytest.raises(BadData):
            LINE.band(3, level=level)
        with pytest.raises(BadData):
            LINE.slope_interval(level)
