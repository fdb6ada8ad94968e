"""Between what each figure of a shot can lie, in SI. Pure."""

from collections.abc import Mapping
from types import MappingProxyType

# What a ball, a club or a person can do; beyond it something was mistyped.
LIMITS: Mapping[str, tuple[str, float, float]] = MappingProxyType(
    {
        "target": ("A target", 0.5, 400),
        "effort": ("An effort", 1, 110),
        "carry": ("A carry", 0, 400),
        "total": ("A total", 0, 450),
        "side": ("A miss to the side", -150, 150),
        "ball_speed": ("A ball speed", 1, 110),
        "club_speed": ("A club speed", 1, 80),
        "launch": ("A launch angle", -20, 80),
        "spin": ("A spin", 0, 15_000),
    }
)
