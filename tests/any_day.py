"""The suite on a day of one's choice, and in an order of chance: nothing may rest on either.

    pytest --today 2028-02-29T12:00 --shuffle 7 -m "not long and not browser"

Each test begins at that instant (UTC) and its clock goes on from there. Processes that a test
starts keep this machine's clock, so browser tests are not for this. Modules stay together, as
what one makes for all its tests would else be made for each.
"""

from datetime import UTC, datetime
from random import Random

import pytest
import time_machine

from tests.statements import keeps_transactions


def instant(text: str) -> datetime:
    """Of ISO 8601, in UTC where it says no zone."""
    found = datetime.fromisoformat(text)
    return found if found.tzinfo else found.replace(tzinfo=UTC)


class Today:
    """The clock stands at this instant while tests are collected, and when each begins."""

    def __init__(self, begins: datetime) -> None:
        self.begins = begins
        self.travel = time_machine.travel(begins)
        self.clock = self.travel.start()

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_setup(self, item) -> None:
        self.clock.move_to(self.begins)


def shuffled(items: list, seed: int) -> list:
    """Modules by chance, and the tests of each; those that empty the database stay at the end."""
    chance, modules = Random(seed), {}
    for item in items:
        modules.setdefault((keeps_transactions(item), item.path), []).append(item)
    order = list(modules)
    chance.shuffle(order)
    for tests in modules.values():
        chance.shuffle(tests)
    return [item for key in sorted(order, key=lambda key: key[0]) for item in modules[key]]
