"""Figures of this installation in the open exposition format, version 0.0.4 (text)."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

CONTENT_TYPE = "text/plain; version=0.0.4; charset=utf-8"


@dataclass(frozen=True, slots=True)
class Gauge:
    """One figure, or one for each value of a label. Names nobody."""

    name: str
    help: str
    value: float
    label: tuple[str, str] | None = None


# Apps add here what they can tell.
sources: list[Callable[[], Iterable[Gauge]]] = []


def exposition(gauges: Iterable[Gauge]) -> str:
    """The text: help and type once for each name, which all its lines must follow."""
    by_name: dict[str, list[Gauge]] = {}
    for gauge in gauges:
        by_name.setdefault(gauge.name, []).append(gauge)
    lines = []
    for name, same in by_name.items():
        lines += [f"# HELP {name} {same[0].help}", f"# TYPE {name} gauge"]
        lines += [f"{name}{_label(gauge)} {gauge.value:.10g}" for gauge in same]
    return "\n".join(lines) + "\n"


def _label(gauge: Gauge) -> str:
    if gauge.label is None:
        return ""
    name, value = gauge.label
    escaped = value.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    return f'{{{name}="{escaped}"}}'
