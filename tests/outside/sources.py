"""Names the outside source of a check, and which function it checks."""

from collections import defaultdict
from collections.abc import Callable

import pytest

CHECKS: dict[str, list[str]] = defaultdict(list)


def checks(*functions: Callable, source: str, cases: int = 1) -> pytest.MarkDecorator:
    """Mark a test as a check of these functions against a source outside the project."""
    for function in functions:
        CHECKS[f"{function.__module__}.{function.__qualname__}"].extend([source] * cases)
    return pytest.mark.outside
