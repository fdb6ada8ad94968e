"""How a session looks in the API's description. It is read by practice.log.document alone.

The two are kept together by a test that holds entries of every kind against both.
"""

from functools import cache
from typing import Any

from drf_spectacular.utils import inline_serializer
from rest_framework import serializers

from practice.log.document import (
    KINDS,
    LATEST,
    MOST_BALLS,
    MOST_BLOCKS,
    MOST_MINUTES,
    MOST_REPS,
    MOST_STEPS,
    NOTE_LENGTH,
    WHAT,
)
from practice.log.measured import CLUB_LENGTH, NAME_LENGTH
from practice.log.shot_figures import FIGURES, LENGTHS
from practice.log.shot_figures import MOST_BALLS as MOST_SHOTS

MAYBE: dict[str, Any] = {"required": False, "allow_null": True}
MINUTES: dict[str, Any] = {"min_value": 0, "max_value": MOST_MINUTES}


def _figure(name: str) -> serializers.FloatField:
    limit = FIGURES[name]
    words = {"side": "Positive to the right.", "target": "The distance that was meant."}
    return serializers.FloatField(
        min_value=limit.low,
        max_value=limit.high,
        help_text=f"In {limit.unit}. {words.get(name, '')}".strip(),
        **MAYBE,
    )


def _ball() -> serializers.Serializer:
    return inline_serializer(
        "Ball",
        {
            "club": serializers.CharField(max_length=CLUB_LENGTH, allow_blank=True, required=False),
            "length": serializers.ChoiceField(LENGTHS, allow_blank=True, required=False),
            "effort": serializers.IntegerField(min_value=0, max_value=100, **MAYBE),
            **{name: _figure(name) for name in FIGURES},
        },
        many=True,
        max_length=MOST_SHOTS,
        help_text="In the order they were hit; at least one figure besides the target in each.",
    )


def _shots() -> serializers.Serializer:
    name: dict[str, Any] = {"max_length": NAME_LENGTH, "allow_blank": True, "required": False}
    return inline_serializer(
        "Shots",
        {
            "device": serializers.CharField(help_text="Empty: judged by eye.", **name),
            "ball": serializers.CharField(**name),
            "place": serializers.CharField(**name),
            "indoors": serializers.BooleanField(**MAYBE),
            "balls": _ball(),
        },
        help_text="From version 2 on. A change without it leaves the shots there are.",
        **MAYBE,
    )


def _block() -> serializers.Serializer:
    step: dict[str, Any] = {
        "n": serializers.IntegerField(min_value=0, max_value=MOST_REPS, **MAYBE),
        "c": serializers.IntegerField(min_value=0, max_value=MOST_REPS, **MAYBE),
        "e": serializers.IntegerField(min_value=0, max_value=100, **MAYBE),
    }
    return inline_serializer(
        "Block",
        {
            "p": serializers.UUIDField(help_text="The part of the week.", **MAYBE),
            "d": serializers.UUIDField(help_text="The drill, if no part or a swap.", **MAYBE),
            "w": serializers.ChoiceField(WHAT, allow_blank=True, required=False),
            "s": inline_serializer(
                "Step", step, many=True, max_length=MOST_STEPS, help_text="Done, clean, effort.",
                required=False,
            ),
            "min": serializers.FloatField(**MINUTES, **MAYBE),
            "t": serializers.FloatField(help_text="By the clock.", **MINUTES, **MAYBE),
            "g": serializers.FloatField(help_text="Said before it.", **MINUTES, **MAYBE),
            "as": serializers.BooleanField(help_text="Done as asked.", **MAYBE),
            "stop": serializers.BooleanField(help_text="Ended by the stop rule.", **MAYBE),
            "last": serializers.BooleanField(help_text="For last week.", **MAYBE),
            "balls": serializers.IntegerField(min_value=0, max_value=MOST_BALLS, **MAYBE),
            "hard": serializers.IntegerField(min_value=0, max_value=MOST_BALLS, **MAYBE),
            "shots": _shots(),
        },
        many=True,
        max_length=MOST_BLOCKS,
        required=False,
    )  # fmt: skip


def _pain() -> serializers.Serializer:
    return inline_serializer(
        "Pain",
        {
            "lvl": serializers.IntegerField(min_value=0, max_value=10),
            "where": serializers.CharField(max_length=60, allow_blank=True, required=False),
            "signs": serializers.ListField(child=serializers.CharField(), required=False),
            "new": serializers.BooleanField(**MAYBE),
            "p": serializers.UUIDField(**MAYBE),
        },
        **MAYBE,
    )


@cache
def _session() -> type[serializers.Serializer]:
    one = inline_serializer(
        "Session",
        {
            "id": serializers.UUIDField(required=False),
            "v": serializers.IntegerField(min_value=1, max_value=LATEST),
            "k": serializers.ChoiceField(KINDS),
            "who": serializers.UUIDField(help_text="The student."),
            "day": serializers.DateField(),
            "at": serializers.CharField(help_text="With its UTC offset."),
            "target": serializers.UUIDField(help_text="Of a change or a take-back.", **MAYBE),
            "b": _block(),
            "min": serializers.FloatField(**MINUTES, **MAYBE),
            "felt": serializers.IntegerField(min_value=0, max_value=10, **MAYBE),
            "note": serializers.CharField(max_length=NOTE_LENGTH, allow_blank=True, required=False),
            "pain": _pain(),
            "about": serializers.UUIDField(help_text="The part that a question is about.", **MAYBE),
            "caution": serializers.UUIDField(**MAYBE),
            "first": serializers.DateField(**MAYBE),
            "last": serializers.DateField(**MAYBE),
        },
    )
    return type(one)


def session() -> serializers.Serializer:
    """One entry of the phone log, of the newest version."""
    return _session()()


def kept_session() -> serializers.Serializer:
    return inline_serializer(
        "KeptSession",
        {
            "ok": serializers.BooleanField(),
            "me": serializers.UUIDField(),
            "counts": serializers.BooleanField(
                help_text="False once it was changed or taken back."
            ),
            "received": serializers.DateTimeField(),
            "session": session(),
        },
    )
