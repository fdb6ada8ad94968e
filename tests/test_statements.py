"""The choice of tests for another engine leaves out no statement."""

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
