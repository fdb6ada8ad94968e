"""The whole loop as a newcomer walks it: demo, coach, student without signal, coach again."""

import pytest

from tests import migrated
from tests.browser import house

pytestmark = pytest.mark.browser
STUDENT = "Ravindu Peshala"


@pytest.fixture
def empty_house(tmp_path):
    """A server over an empty database."""
    migrated.sqlite(tmp_path / "phone.sqlite3")
    with house.running(tmp_path) as server:
        yield server


def walk_in(browser, server, name: str, **context):
    person = house.new_context(browser, server, **context)
    page = person.new_page()
    page.goto(server.url)
    with page.expect_navigation():
        page.get_by_role("button", name=name, exact=True).click()
    return person, page


def test_from_an_empty_house_to_a_log_without_signal_on_the_coachs_page(browser, empty_house):
    newcomer = house.new_context(browser, empty_house, viewport={"width": 1280, "height": 800})
    page = newcomer.new_page()
    page.goto(empty_house.url)
    page.get_by_role("button", name="Load the demo").click()
    page.get_by_role("link", name="Choose who to be").wait_for(timeout=600_000)
    assert "Dougal Abernant: 13 weeks" in page.inner_text("main")
    newcomer.close()

    coach, board = walk_in(browser, empty_house, "Odile Marchbank")
    assert board.get_by_role("heading", name="Seven stops through the demo").is_visible()
    board.goto(f"{empty_house.url}/who/?all=1")
    text = board.inner_text("main")
    assert text.index("Callum Ferreby") < text.index("Gerald Umpleby") < text.index(STUDENT)
    before = row_of(board)

    student, page = walk_in(browser, empty_house, STUDENT)
    phone = house.Phone(page, empty_house).loaded()
    while page.get_by_role("button", name="Understood", exact=True).is_visible():
        phone.tap("Understood")
    phone.all_sent()
    page.wait_for_function("navigator.serviceWorker.ready.then(() => true)")
    rows_before = len(empty_house.rows())

    student.set_offline(True)
    phone.open()  # A cold start: the page comes from the phone alone.
    phone.done_as_asked()
    assert "phone" in phone.pill()
    assert len(empty_house.rows()) == rows_before

    student.set_offline(False)
    phone.open()
    phone.all_sent()
    assert len(empty_house.rows()) == rows_before + 1
    assert house.verdict(phone.ticks, empty_house.rows()) == ([], [])

    board.reload()
    assert row_of(board) != before
    coach.close()
    student.close()


def row_of(board) -> str:
    """The student's line on Who needs me, as text."""
    text = board.inner_text("main")
    start = text.index(STUDENT)
    return text[start : start + 400]
