"""Rows printed by the pieces of their template are what the template prints."""

from dataclasses import fields, replace
from gc import collect
from itertools import product

import pytest
from django.template import engines
from django.template.loader import get_template
from django.utils.safestring import mark_safe

from coaching.board.line_rows import LineRow
from shared.templatetags import alike

HOSTILE = "<b>&amp;</b> \"it's\" {{ row.id }} {% now 'Y' %}"
ROW = LineRow(
    id="one", name=HOSTILE, state="Tight", tone="act", because=HOSTILE, news="pain, a note",
    bar=mark_safe("<svg>1</svg>"), bar_words="words", weeks=mark_safe("<svg>2</svg>"),
    finished="2 of 8", finished_short="2/8", lesson="Today",
    do_words="Shorter week", do_url="/students/1/?a=1&b=2", is_weekless=False,
    student_url="/students/1/", row_url="/students/1/row/",
)  # fmt: skip
ONE_BY_ONE = '{% for row in rows %}{% include "board/_line.html" %}{% endfor %}'
ALIKE = '{% alike "board/_line.html" rows apart=board.open %}'


def printed(source, rows, **context):
    return engines["django"].from_string(source).render({"rows": rows, **context})


def kinds():
    """Each of the fields that may be empty with and without words."""
    some = (("", ROW.news), ("", ROW.lesson), ("", ROW.finished), (True, False))
    for news, lesson, finished, do in product(*some):
        yield replace(
            ROW, id=f"{news}{lesson}{finished}{do}", news=news, lesson=lesson, finished=finished,
            finished_short=finished.replace(" of ", "/"),
            do_words=ROW.do_words if do else "", do_url=ROW.do_url if do else "",
        )  # fmt: skip


def test_every_kind_of_row_is_printed_as_by_its_template():
    rows = [*kinds(), *(replace(row, name="Kim", because="no week") for row in kinds())]
    plain = printed(ONE_BY_ONE, rows)
    assert plain.count("<li") == len(rows) == 32
    assert printed(ALIKE, rows) == plain
    assert printed(ALIKE, rows[::-1]) == printed(ONE_BY_ONE, rows[::-1])
    assert "\ue000" not in plain


@pytest.mark.parametrize("name", [each.name for each in fields(LineRow)])
def test_no_word_of_one_row_stays_for_another(name):
    if not isinstance(getattr(ROW, name), str):
        return
    other = replace(ROW, **{name: "quite another"})
    assert printed(ALIKE, [ROW, other]) == printed(ONE_BY_ONE, [ROW, other])


def test_a_row_is_printed_once_and_an_equal_one_by_itself():
    """Words that are safe and words that are not are equal, and printed differently."""
    safe = replace(ROW, name=mark_safe("<b>Kim</b>"))
    other = replace(safe, name="<b>Kim</b>")
    plain = printed(ONE_BY_ONE, [safe, other])
    assert printed(ALIKE, [safe, other]) == printed(ALIKE, [safe, other]) == plain
    assert plain.count("<b>Kim</b>") == plain.count("&lt;b&gt;Kim&lt;/b&gt;") > 0


def test_what_became_of_a_row_goes_with_it():
    page = get_template("board/_line.html").template
    row = replace(ROW, name="Gone")
    printed(ALIKE, [row])
    texts = alike._printers[page].texts
    kept = len(texts)
    assert "Gone" in texts[row]
    del row
    collect()
    assert len(texts) < kept


def test_the_opened_row_knows_its_page(client):
    opened = replace(ROW, id="two")
    board = {"open": "two", "opened": None, "is_writing": False}
    rows = [ROW, opened, replace(ROW, id="three")]
    assert printed(ALIKE, rows, board=board) == printed(ONE_BY_ONE, rows, board=board)
    assert printed(ALIKE, rows, board=board).count("hidden>") == 2
