"""What an entry may say, field by field, and that nothing else gets in."""

import json
from uuid import uuid4

import pytest

from practice.log.document import LATEST, parse
from practice.log.fields import MOST_CHARACTERS, MOST_DEPTH, Refusal
from practice.log.known import known_only

GOOD = {
    "id": str(uuid4()),
    "v": 1,
    "k": "log",
    "who": str(uuid4()),
    "day": "2031-02-26",
    "at": "2031-02-26T11:30:00+01:00",
    "b": [{"p": None, "d": None, "w": "range", "s": [{"n": 10, "c": 8, "e": 50}], "min": 12.5}],
    "min": 15,
    "felt": 6,
    "note": "calm",
    "pain": {"lvl": 2, "where": "wrist", "signs": [], "new": True, "p": None},
}


def reason(**fields):
    with pytest.raises(Refusal) as refused:
        parse(GOOD | fields)
    assert refused.value.sentence.endswith((".", "…."))
    return refused.value.reason


def block(**fields):
    return {"b": [GOOD["b"][0] | fields]}


def step(**fields):
    return block(s=[GOOD["b"][0]["s"][0] | fields])


def pain(**fields):
    return {"pain": GOOD["pain"] | fields}


def test_a_good_entry_reads_back():
    read = parse(GOOD)
    assert (read.kind, read.felt, read.minutes, read.note) == ("log", 6, 15.0, "calm")
    assert read.blocks[0].steps[0].as_row() == {"n": 10, "clean": 8, "effort": 50}
    assert read.pain.level == 2


def test_minutes_by_the_clock_and_as_they_were_said_before_it():
    (told,) = parse(GOOD | block(t=9, g=12)).blocks
    assert (told.minutes, told.timed, told.guessed) == (12.5, 9.0, 12.0)
    (silent,) = parse(GOOD).blocks
    assert (silent.timed, silent.guessed) == (None, None)
    assert reason(**block(t=601)) == reason(**block(g=-1)) == "amount"


@pytest.mark.parametrize(
    ("fields", "expected"),
    [
        ({"k": "shot"}, "kind"),
        ({"k": None}, "kind"),
        ({"k": ["log"]}, "kind"),
        ({"v": LATEST + 1}, "version"),
        ({"v": True}, "shape"),
        ({"v": 0}, "shape"),
        ({"v": None}, "shape"),
        ({"id": "1"}, "shape"),
        ({"id": str(uuid4()).upper()}, "shape"),
        ({"who": None}, "shape"),
        ({"day": "2031-02-29"}, "day"),
        ({"day": "2031-W09-3"}, "day"),
        ({"day": "20310226"}, "day"),
        ({"day": "٢٠٣١-٠٢-٢٦"}, "day"),
        ({"day": None}, "day"),
        ({"at": "2031-02-26T11:30:00"}, "shape"),
        ({"at": "2031-02-26"}, "shape"),
        ({"at": 1}, "shape"),
        ({"at": "0001-01-01T00:00:00+14:00"}, "shape"),
        ({"at": "9999-12-31T23:59:59-12:00"}, "shape"),
        ({"min": -1}, "amount"),
        ({"min": 601}, "amount"),
        ({"min": True}, "shape"),
        ({"min": "15"}, "shape"),
        ({"min": float("nan")}, "amount"),
        ({"min": float("inf")}, "amount"),
        ({"felt": 11}, "amount"),
        ({"felt": -1}, "amount"),
        ({"felt": 5.5}, "shape"),
        ({"felt": False}, "shape"),
        ({"note": "x" * 2001}, "shape"),
        ({"note": "a\x00b"}, "shape"),
        ({"note": "a\ud800b"}, "shape"),
        ({"note": {"a": 1}}, "shape"),
        ({"b": {}}, "shape"),
        ({"b": [1]}, "shape"),
        ({"b": [{}] * 31}, "amount"),
        (step(n=-1), "amount"),
        (step(n=1000), "amount"),
        (step(n=True), "shape"),
        (step(n="10"), "shape"),
        (step(n=10**30), "amount"),
        (step(n=2.5), "shape"),
        (step(c=11), "amount"),
        (step(c=-1), "amount"),
        (step(e=101), "amount"),
        (block(s="x"), "shape"),
        (block(s=[{"n": 1}] * 61), "amount"),
        (block(balls=2001), "amount"),
        (block(hard=-1), "amount"),
        (block(p="other"), "part"),
        (block(d=7), "part"),
        (block(w="holiday"), "shape"),
        (block(w=["range"]), "shape"),
        (block(stop="yes"), "shape"),
        (block(**{"as": 1}), "shape"),
        (pain(lvl=11), "amount"),
        (pain(where="x" * 61), "shape"),
        (pain(signs="sharp"), "shape"),
        (pain(signs=["x"] * 21), "amount"),
        (pain(signs=[1]), "shape"),
        ({"pain": [1]}, "shape"),
        ({"k": "change"}, "target"),
        ({"k": "back", "target": "x"}, "target"),
        ({"k": "read"}, "shape"),
        ({"k": "away", "first": "2031-03-02", "last": "2031-03-01"}, "day"),
        ({"k": "away", "first": "2031-03-02", "last": "2031-03-03", "kind": "x"}, "shape"),
        ({"k": "away", "first": "soon", "last": "2031-03-01"}, "day"),
        ({"unknown": "\x00"}, "shape"),
        ({"unknown": {"\ud800": 1}}, "shape"),
        ({"unknown": 1e300}, "amount"),
        ({"unknown": [[[[[[[[[[]]]]]]]]]]}, "shape"),
        ({"unknown": "x" * 50_000}, "shape"),
        ({"b": [], "min": None, "felt": None, "note": "", "pain": None}, "shape"),
    ],
)
def test_what_cannot_be_taken_says_why(fields, expected):
    assert reason(**fields) == expected


@pytest.mark.parametrize("fields", [step(n=999), {"min": 600}, block(min=600), block(t=600)])
def test_the_most_that_can_be_meant_is_taken(fields):
    assert parse(GOOD | fields).blocks


def test_only_a_newer_version_is_held_instead_of_refused():
    with pytest.raises(Refusal) as held:
        parse(GOOD | {"v": LATEST + 1, "k": "whatever", "b": 7})
    assert held.value.hold


@pytest.mark.parametrize("raw", [None, 1, "x", [], [1], True])
def test_what_is_no_object_is_no_entry(raw):
    from practice.log.document import head

    with pytest.raises(Refusal):
        head(raw)


@pytest.mark.parametrize(
    "note",
    ["", " ", "🏌🏽‍♀️", "\u202eabc", "\u200b", "=1+1", "<b>", "{{ x }}", "%s{}", "'; --", "é" * 2000],
)
def test_odd_but_honest_words_are_kept_as_they_are(note):
    assert parse(json.loads(json.dumps(GOOD | {"note": note}))).note == note


def test_keys_of_a_later_version_are_left_alone():
    assert parse(GOOD | {"mood": "good"}) == parse(GOOD)


# --- what is kept of it ------------------------------------------------------------------

BALL = {"club": "54", "length": "chest", "carry": 58.0}
SHOTS = {"device": "Radar", "ball": "range", "place": "bay 2", "indoors": True, "balls": [BALL]}


def test_what_this_version_does_not_know_is_kept_nowhere_in_it():
    """Beside each value that is known stands one that is not."""
    clean = GOOD | {"v": 2} | block(shots=SHOTS)
    new = {"later": {"n": 1}}
    shots = SHOTS | new | {"balls": [BALL | new]}
    dirty = clean | new | {"pain": GOOD["pain"] | new}
    dirty["b"] = [clean["b"][0] | new | {"shots": shots, "s": [clean["b"][0]["s"][0] | new]}]
    assert known_only(dirty) == known_only(clean) == clean


def test_an_entry_of_the_first_version_knew_of_no_shots():
    told = GOOD | block(shots=SHOTS)
    assert known_only(told) == GOOD
    assert not parse(told).says_shots


def test_one_block_with_shots_is_enough_to_say_some():
    """Of a change that says none, those of before are carried over."""
    plain, measured = GOOD["b"][0], GOOD["b"][0] | {"shots": SHOTS}
    assert parse(GOOD | {"v": 2, "b": [plain, measured]}).says_shots
    assert not parse(GOOD | {"v": 2, "b": [plain, plain]}).says_shots


def test_none_of_what_can_be_counted_is_an_answer():
    read = parse(GOOD | {"felt": 0, "pain": GOOD["pain"] | {"lvl": 0}} | step(n=0, c=0, e=0))
    assert (read.felt, read.pain.level) == (0, 0)
    assert read.blocks[0].steps[0].as_row() == {"n": 0, "clean": 0, "effort": 0}


def test_the_longest_entry_is_taken_and_one_sign_more_is_not():
    def weighs(raw):
        """Each value is one, and a text as many more as it has signs."""
        if isinstance(raw, dict):
            return 1 + sum(weighs(name) + weighs(value) for name, value in raw.items())
        if isinstance(raw, list):
            return 1 + sum(map(weighs, raw))
        return 1 + (len(raw) if isinstance(raw, str) else 0)

    room = MOST_CHARACTERS - weighs(GOOD | {"more": ""})
    assert parse(GOOD | {"more": "x" * room})
    assert reason(more="x" * (room + 1)) == "shape"


def test_eight_deep_is_taken_by_name_or_by_place_and_nine_is_not():
    def nested(depth, wrap):
        return wrap(nested(depth - 1, wrap)) if depth else 1

    for wrap in (lambda inner: {"n": inner}, lambda inner: [inner]):
        assert parse(GOOD | {"more": nested(MOST_DEPTH - 1, wrap)})
        assert reason(more=nested(MOST_DEPTH, wrap)) == "shape"
