"""The check that the real shell passes must fail on four common wrong designs."""

import pytest

from tests.browser import wrong
from tests.browser.faults import AFTER_COMMIT, ANSWERS
from tests.browser.house import Phone, new_context, until, verdict

pytestmark = pytest.mark.browser

# What shows them up: answers after the work was done, answers that are nobody's, refusals.
FAULTS = ["500 after commit", "truncated", "portal", "204", "404", "409"]


def lost_and_doubled(browser, server, seed, design: str) -> tuple[int, int]:
    """Some entries through every fault, and a page that is reloaded in mid-request."""
    context = new_context(browser, server, seed["cookies"]["sam"], service_workers="block")
    html, more = wrong.built(design)
    context.route(
        f"{server.url}/log",
        lambda route: route.fulfill(body=html, headers={"Content-Type": "text/html"}),
    )
    # The server knows the second script of its own page alone.
    context.route(
        f"{server.url}/log/more-*.js",
        lambda route: route.fulfill(body=more, headers={"Content-Type": "text/javascript"}),
    )
    phone = Phone(context.new_page(), server).open()
    for fault in FAULTS:
        server.fault(fault)
        phone.done_as_asked()
        phone.until(lambda: server.faults_left == 0, f"the fault {fault}")
    server.fault("held before")
    phone.done_as_asked()
    until(lambda: server.faults_left == 0, "a request under way")
    phone.page.reload()
    phone.loaded()
    phone.until(lambda: settled(phone), "the page to have nothing more to do")
    context.close()
    lost, doubled = verdict(phone.ticks, server.rows())
    return len(lost), len(doubled)


def settled(phone) -> bool:
    return all(row["st"] != 0 for row in phone.stored())


def test_the_faults_are_faults_that_the_server_knows():
    assert set(FAULTS) <= {*ANSWERS, *AFTER_COMMIT}


@pytest.mark.parametrize("design", wrong.RIGHT)
def test_the_real_shell_passes(browser, server, seed, design):
    assert lost_and_doubled(browser, server, seed, design) == (0, 0)


@pytest.mark.parametrize("design", wrong.DESIGNS)
def test_a_wrong_design_is_found_out(browser, server, seed, design):
    lost, doubled = lost_and_doubled(browser, server, seed, design)
    assert lost + doubled > 0
    if design.startswith("N1"):
        assert doubled > 0
    else:
        assert lost > 0
