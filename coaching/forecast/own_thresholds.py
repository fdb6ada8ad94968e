"""The studio's own borders as the rules take them, now or as they stood at a moment."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from coaching.forecast.models import StudioThresholds
from coaching.forecast.thresholds import DEFAULTS, Thresholds

COLUMNS = (
    "finish_percent",
    "in_step_percent",
    "tight_percent",
    "weeks_needed",
    "quiet_days",
    "quiet_times",
    "jump_times",
    "jump_rise",
    "jump_rise_under_16",
    "first_ceiling",
    "first_ceiling_under_16",
    "cram_percent",
    "cram_points",
    "as_asked_percent",
    "event_days",
)


def thresholds_of(studio_id: UUID, at: datetime | None = None) -> Thresholds:
    """The studio's borders, now or at a moment; the defaults if it never set any. One query."""
    row = StudioThresholds.objects.filter(studio=studio_id).first()
    return from_row(row, at) if row else DEFAULTS


def from_row(row: StudioThresholds, at: datetime | None = None) -> Thresholds:
    """With `at`, as they stood then."""
    values = {name: getattr(row, name) for name in COLUMNS}
    later = [w for w in row.before if at and datetime.fromisoformat(w["until"]) > at]
    return from_values(values | later[0] if later else values)


def from_values(values: Mapping[str, Any]) -> Thresholds:
    """From the columns of a row; the defaults where a studio has none."""
    if values["finish_percent"] is None:
        return DEFAULTS
    return Thresholds(
        finish_share=values["finish_percent"] / 100,
        in_step_from=values["in_step_percent"] / 100,
        tight_from=values["tight_percent"] / 100,
        weeks_needed=values["weeks_needed"],
        quiet_days=values["quiet_days"],
        quiet_times=float(values["quiet_times"]),
        jump_times=float(values["jump_times"]),
        jump_rise=values["jump_rise"],
        jump_rise_under_16=values["jump_rise_under_16"],
        first_ceiling=values["first_ceiling"],
        first_ceiling_under_16=values["first_ceiling_under_16"],
        cram_share=values["cram_percent"] / 100,
        cram_above_plan=values["cram_points"] / 100,
        as_asked_share=values["as_asked_percent"] / 100,
        event_days=values["event_days"],
    )


def as_values(row: StudioThresholds) -> dict[str, Any]:
    """The row's borders for its own memory of what stood before."""
    values = {name: getattr(row, name) for name in COLUMNS}
    return values | {name: str(values[name]) for name in ("quiet_times", "jump_times")}
