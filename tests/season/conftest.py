import pytest

from coaching.planning.milp import Program


@pytest.fixture(autouse=True)
def as_long_as_it_takes(monkeypatch):
    """The planner's limit is for a coach who waits; a busy machine must not change its answers."""
    solve = Program.solve
    monkeypatch.setattr(
        Program, "solve", lambda self, *, seconds=None, gap=0.0: solve(self, gap=gap)
    )
