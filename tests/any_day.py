"""The suite on a day of one's choice, and in an order of chance: nothing may rest on either.

    pytest --today 2028-02-29T12:00 --shuffle 7 -m "not long and not browser"

The run begins at that instant (UTC) and its clock goes on from there. Processes that a test
starts keep this machine's clock, so browser tests are not for this. Modules stay together, as
what one makes for all its tests would else be made for each.
"""

from datetime import UTC, datetime
from random import Random

import time_machine

from tests.statements import keeps_transactions


def begin(text: str) -> time_machine.travel:
    """Set the clock to an instant of ISO 8601, in UTC where it says no zone.

    It is never set back between tests: what some make for all would then lie ahead of them.
    """
    found = datetime.fromisoformat(text)
    travel = time_machine.travel(found if found.tzinfo else found.replace(tzinfo=UTC))
    travel.start()
    return travel


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
