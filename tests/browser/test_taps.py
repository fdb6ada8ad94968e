"""How many taps a log takes after the link was opened. A number field is one tap."""

import re

import pytest

pytestmark = pytest.mark.browser

LESS = re.compile("^Done.*: one less$")
COUNT_TAPS = """
self.taps = 0;
addEventListener("pointerdown", () => self.taps++, true);
"""


@pytest.fixture
def counted(context, server):
    from tests.browser.house import Phone

    context.add_init_script(COUNT_TAPS)
    return Phone(context.new_page(), server).open()


def taps(phone) -> int:
    return phone.page.evaluate("() => self.taps")


def test_done_as_asked_takes_at_most_three_taps(counted):
    counted.done_as_asked()
    assert 1 <= taps(counted) <= 3
    counted.all_sent()
    (row,) = counted.server.rows()
    assert row["b"][0]["as"] is True
    assert [step["n"] for step in row["b"][0]["s"]] == [10, 8, 6]


def test_two_corrected_counts_take_at_most_nine_taps(counted):
    counted.tap("Did part", "link")
    counted.page.get_by_role("button", name=LESS).nth(1).click()
    counted.page.get_by_role("button", name=LESS).nth(2).click()
    counted.page.get_by_role("button", name=LESS).nth(2).click()
    counted.tap("Save")
    counted.all_sent()
    assert 5 == taps(counted) <= 9
    (row,) = counted.server.rows()
    assert [step["n"] for step in row["b"][0]["s"]] == [10, 7, 4]
    assert "as" not in row["b"][0]


def test_a_typed_count_and_a_clean_count_take_fewer_still(counted):
    counted.tap("Did part", "link")
    for name, count in (("#n1", "7"), ("#c0", "8")):
        counted.page.click(name)
        counted.page.fill(name, count)
    counted.tap("Save")
    counted.all_sent()
    assert taps(counted) == 4
    (row,) = counted.server.rows()
    assert row["b"][0]["s"][:2] == [{"n": 10, "c": 8, "e": 50}, {"n": 7, "e": 70}]
