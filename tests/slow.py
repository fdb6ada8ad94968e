"""A slower machine and line, by SLOW=6: what passes only in haste fails here."""

import os
import random
import time

SLOW = float(os.environ.get("SLOW", "0"))


class Late:
    """Every answer comes late, each by a time of its own."""

    def __init__(self, get_response) -> None:
        self.get_response = get_response

    def __call__(self, request):
        time.sleep(random.uniform(0, 0.05 * SLOW))
        return self.get_response(request)


def slowed(browser):
    """The same browser, each of whose pages has a processor so many times slower."""
    usual = browser.new_context

    def new_context(**options):
        context = usual(**options)
        context.on("page", slow_down)
        return context

    browser.new_context = new_context
    return browser


def slow_down(page) -> None:
    page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOW})
