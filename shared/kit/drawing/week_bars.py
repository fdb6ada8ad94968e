"""Some weeks at a glance: one small bar a week, its height the share that was done.

A line is what was asked of each; a dot stands for a week that was excused, which is
neither nothing nor all. The words beside it say the same.
"""

from collections.abc import Sequence
from functools import cache
from html import escape

from shared.kit.drawing.scale import n

WIDTH, HEIGHT = 10.0, 24.0
BAR, TOP = 7.0, 3.0


@cache
def _of_week(index: int) -> tuple[str, str, str]:
    """What every drawing has at this place: the dot, the line, and where the bar begins."""
    x = index * WIDTH + (WIDTH - BAR) / 2
    dot = f'<circle cx="{n(x + BAR / 2)}" cy="{n(HEIGHT - 2)}" r="1.5"/>'
    return dot, f"M{n(x)} {n(TOP)}h{n(BAR)}", f"M{n(x)} {n(HEIGHT)}"


def week_bars(shares: Sequence[float | None], label: str) -> str:
    """Shares in [0, 1], oldest first, None for an excused week; '' without any."""
    if not shares:
        return ""
    tall = HEIGHT - TOP
    bars, lines, dots = [], [], []
    for index, share in enumerate(shares):
        dot, line, foot = _of_week(index)
        if share is None:
            dots.append(dot)
            continue
        height = n(max(0.0, min(1.0, share)) * tall)
        lines.append(line)
        bars.append(f"{foot}v{'-' if height != '0' else ''}{height}h{BAR:g}v{height}z")
    return (
        f'<svg class="week-bars" viewBox="0 0 {n(len(shares) * WIDTH)} {HEIGHT:g}" role="img">'
        f"<title>{escape(label)}</title>"
        f'<path class="week-bars-done" d="{"".join(bars)}"/>'
        f'<path class="week-bars-asked" d="{"".join(lines)}"/>'
        f'<g class="week-bars-excused">{"".join(dots)}</g></svg>'
    )
