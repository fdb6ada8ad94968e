"""The choice of tests for another engine leaves out no statement."""

import json
import os
from random import Random

from tests import statements


def test_a_statement_is_told_by_its_shape_alone():
    ask = 'SELECT "a" FROM "t" WHERE "a" IN ({}) LIMIT {}'
    few, many = ask.format("%s, %s", 21), ask.format("%s, %s, %s, %s, %s", 1)
    assert statements.shape(few) == statements.shape(many)
    assert statements.shape(few) != statements.shape(ask.format("SELECT 1", 21))
    rows = 'INSERT INTO "t" ("a", "b") VALUES {}'
    one, three = rows.format("(%s, %s)"), rows.format("(%s, %s), (%s, %s), (%s, %s)")
    assert statements.shape(one) == statements.shape(three)


def test_every_statement_is_sent_twice_by_those_that_are_left_if_it_ever_was():
    notes = {
        "dear": (9.0, ["a", "b"]),
        "cheap": (0.1, ["a", "b"]),
        "cheap too": (0.1, ["a", "b"]),
        "only one": (5.0, ["c"]),
    }
    assert statements.chosen(notes) == {"cheap", "cheap too", "only one"}


def test_what_runs_anyhow_counts_and_what_came_later_makes_idle():
    notes = {
        "of its own transactions": (3.0, ["a", "b"]),
        "rare for its time": (0.1, ["a", "b", "c"]),
        "all of it": (0.5, ["a", "b", "c", "d", "e"]),
        "all of it too": (0.6, ["a", "b", "c", "d", "e"]),
    }
    kept = ["of its own transactions"]
    assert statements.chosen(notes, kept) == notes.keys() - {"rare for its time"}
    assert statements.chosen({"idle": (1.0, [])} | notes, ["idle"]) >= {"idle"}


def test_what_runs_anyhow_is_one_of_the_two():
    notes = {"anyhow": (9.0, ["a"]), "cheap": (0.1, ["a"]), "dear": (0.2, ["a"])}
    assert statements.chosen(notes, ["anyhow"]) == {"anyhow", "cheap"}


def test_every_choice_sends_each_statement_twice_or_as_often_as_it_can():
    random = Random(5)
    for _ in range(200):
        notes = {
            str(test): (random.random(), sorted(random.sample("abcdefgh", random.randint(0, 5))))
            for test in range(12)
        }
        kept = random.sample(sorted(notes), 3)
        chosen = statements.chosen(notes, kept)
        assert set(kept) <= chosen
        for name in "abcdefgh":
            senders = {test for test, (_, sent) in notes.items() if name in sent}
            assert len(senders & chosen) >= min(2, len(senders))


def test_a_file_is_left_unread_only_where_it_is_older_than_the_notes_and_not_in_them(
    tmp_path, monkeypatch
):
    notes = tmp_path / ".statements"
    monkeypatch.setattr(statements, "FOLDER", notes)
    statements._noted_files.cache_clear()
    pure, asking, fresh = (tmp_path / f"test_{name}.py" for name in ("pure", "asking", "fresh"))
    for file in (pure, asking, fresh):
        file.touch()
    assert not statements.asks_for_nothing(pure)
    notes.mkdir()
    (notes / "gw0.json").write_text(json.dumps({"test_asking.py::test_it": (0.1, [])}))
    os.utime(notes / "gw0.json", (fresh.stat().st_mtime - 1,) * 2)
    os.utime(pure, (0, 0))
    os.utime(asking, (0, 0))
    left = [file.stem for file in (pure, asking, fresh) if statements.asks_for_nothing(file)]
    statements._noted_files.cache_clear()
    assert left == ["test_pure"]
