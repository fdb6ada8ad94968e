"""How many cells the matrix of tests/test_routes.py has, and how many nothing explains.

    .venv/bin/python -m tests.matrix

A cell is one request: an address, who asks, how, and in what state the victim's record is.
"""

import sys
from collections import Counter

import pytest

VICTIMS = {
    "test_who_gets_in": "a child whose record is open",
    "test_a_child_whose_guardian_withdrew_is_nobodys": "a child whose guardian withdrew",
    "test_a_child_whom_no_second_adult_confirmed_is_nobodys": "a child whom nobody confirmed",
    "test_a_child_who_is_of_age_is_no_guardians": "a child who is of age",
}


class Cells:
    """Counts every request, and the addresses at which something was not as it must be."""

    def __init__(self) -> None:
        self.asked: Counter[str] = Counter()
        self.unexplained: Counter[str] = Counter()
        self.addresses = 0
        self._victim = ""

    def pytest_collection_finish(self) -> None:
        from tests import test_routes

        asks = test_routes.written
        self.addresses = len(test_routes.ALL)

        def counted(*given):
            self.asked[self._victim] += 1
            return asks(*given)

        test_routes.written = counted

    def pytest_runtest_call(self, item) -> None:
        self._victim = VICTIMS.get(item.originalname, "")

    def pytest_runtest_logreport(self, report) -> None:
        if report.failed:
            self.unexplained[self._victim] += 1


def main() -> int:
    cells = Cells()
    code = pytest.main(["-q", "-p", "no:cacheprovider", "tests/test_routes.py"], plugins=[cells])
    print(f"{cells.addresses} addresses; cells, and addresses with one that is unexplained:")
    for victim in VICTIMS.values():
        print(f"{cells.asked[victim]:>8}{cells.unexplained[victim]:>6}  {victim}")
    print(f"{sum(cells.asked.values()):>8}{sum(cells.unexplained.values()):>6}  together")
    return int(code)


if __name__ == "__main__":
    sys.exit(main())
