"""A small door to SciPy's HiGHS: a mixed-integer program built line by line. Pure.

SciPy is loaded when something is solved, never before.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from math import inf
from typing import Any

_INTEGRAL = 1e-6


class Infeasible(ValueError):
    """No values keep all the limits."""


@dataclass(frozen=True, slots=True)
class Solved:
    """Values by variable, and the proven distance from the best, as a share (None: unknown)."""

    values: list[float]
    value: float
    gap: float | None


@dataclass(slots=True)
class Program:
    """Make the sum of `gain` times variable as great as the limits allow."""

    gains: list[float] = field(default_factory=list)
    lows: list[float] = field(default_factory=list)
    highs: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    rows: list[tuple[list[tuple[int, float]], float, float]] = field(default_factory=list)

    def variable(
        self, gain: float = 0.0, *, low: float = 0.0, high: float = 1.0, whole: bool = True
    ) -> int:
        """A new variable between `low` and `high`; returns its number."""
        self.gains.append(gain)
        self.lows.append(low)
        self.highs.append(high)
        self.whole.append(whole)
        return len(self.gains) - 1

    def limit(
        self, terms: Iterable[tuple[int, float]], *, low: float = -inf, high: float = inf
    ) -> None:
        """low <= sum of factor times variable <= high."""
        self.rows.append((list(terms), low, high))

    def solve(self, *, seconds: float | None = None, gap: float = 0.0) -> Solved | None:
        """The best values, or the best found in `seconds`; None if none were found by then.

        `gap`: stop when the best is proven to be this close, as a share.

        Raises
        ------
        Infeasible
            No values keep all the limits.
        RuntimeError
            The program has no greatest value, or the solver gave up for another reason.
        """
        import numpy as np
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import csr_array

        entries = [(r, v, f) for r, (terms, _, _) in enumerate(self.rows) for v, f in terms]
        if not self.gains:
            return Solved([], 0.0, 0.0)
        rows, columns, factors = zip(*entries, strict=True) if entries else ((), (), ())
        matrix = csr_array((factors, (rows, columns)), shape=(len(self.rows), len(self.gains)))
        limits = LinearConstraint(matrix, [r[1] for r in self.rows], [r[2] for r in self.rows])
        options: dict[str, float] = {"mip_rel_gap": gap}
        if seconds is not None:
            options["time_limit"] = seconds
        found = milp(
            -np.asarray(self.gains),
            integrality=np.asarray(self.whole, dtype=np.uint8),
            bounds=Bounds(np.asarray(self.lows), np.asarray(self.highs)),
            constraints=limits if self.rows else None,
            options=options,
        )
        if found.status == 2:
            raise Infeasible(found.message)
        if found.status not in {0, 1}:
            raise RuntimeError(f"The solver stopped: {found.message}")
        return None if found.x is None else self._read(found)

    def _read(self, found: Any) -> Solved:
        values = [float(value) for value in found.x]
        for number, value in enumerate(values):
            if self.whole[number]:
                if abs(value - round(value)) > _INTEGRAL:
                    raise RuntimeError("The solver's answer is not whole.")
                values[number] = float(round(value))
        gap = found.mip_gap if any(self.whole) else 0.0
        total = sum(gain * value for gain, value in zip(self.gains, values, strict=True))
        return Solved(values, total, None if gap is None else float(gap))
