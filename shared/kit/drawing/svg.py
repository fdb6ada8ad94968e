"""The strokes that every small chart is made of. Every word goes through `text` or `svg`."""

from collections.abc import Iterable, Sequence
from html import escape

from shared.kit.drawing.scale import Scale, n, plain, tick_places

WIDTH, HEIGHT = 340.0, 210.0  # Units of the drawing; the style sheet gives them a length.
LEFT, RIGHT, TOP, BOTTOM = 42.0, 330.0, 24.0, 172.0
Dot = tuple[float, float]
LETTER = 7.0  # About as wide as one letter of the largest words.


def frame(up: Scale, title: str) -> list[str]:
    parts = [text("chart-axis", 2, 12, title, "start")]
    ticks = up.ticks()
    for tick in ticks:
        at, said = up.at(tick), plain(tick, tick_places(ticks))
        parts.append(f'<path class="chart-grid" d="M{n(LEFT)} {n(at)}H{n(RIGHT)}"/>')
        parts.append(text("chart-tick", LEFT - 5, at + 4, said, "end"))
    parts.append(f'<path class="chart-rule" d="M{n(LEFT)} {n(TOP)}V{n(BOTTOM)}H{n(RIGHT)}"/>')
    return parts


def level(at_value: float, label: str, up: Scale, dots: Sequence[Dot] = ()) -> list[str]:
    at = up.at(at_value)
    line = f'<path class="chart-mark" d="M{n(LEFT)} {n(at)}H{n(RIGHT)}"/>'
    return [line, beside(at, label, dots)]


def beside(
    at: float, label: str, dots: Sequence[Dot], ends: tuple[float, float] = (LEFT + 4, RIGHT)
) -> str:
    """The words of a level: above or below it, at either end, where fewest dots lie on them."""
    wide = LETTER * len(label)
    places = [(end, below) for below in (-3, 14) for end in ends]

    def covered(place: tuple[float, float]) -> int:
        end, below = place
        from_ = end if end < RIGHT else end - wide
        middle = at + below - 5
        return sum(-4 < x - from_ < wide + 4 and abs(y - middle) < 11 for x, y in dots)

    end, below = min(places, key=covered)
    return text("chart-note", end, at + below, label, "start" if end < RIGHT else "end")


def point(x: float, y: float, faint: bool, ringed: bool) -> str:
    kind = "chart-point chart-faint" if faint else "chart-point"
    ring = f'<circle class="chart-ring" cx="{n(x)}" cy="{n(y)}" r="7"/>' if ringed else ""
    return f'<circle class="{kind}" cx="{n(x)}" cy="{n(y)}" r="3.5"/>{ring}'


def box(kind: str, x: float, y: float, width: float, height: float) -> str:
    return (
        f'<rect class="{kind}" x="{n(x)}" y="{n(y)}" '
        f'width="{n(max(width, 0))}" height="{n(max(height, 0))}"/>'
    )


def empty() -> str:
    return text("chart-tick", (LEFT + RIGHT) / 2, (TOP + BOTTOM) / 2, "nothing yet", "middle")


def text(kind: str, x: float, y: float, words: str, anchor: str) -> str:
    return (
        f'<text class="{kind}" x="{n(x)}" y="{n(y)}" text-anchor="{anchor}">{escape(words)}</text>'
    )


def svg(title: str, desc: str, height: float, parts: Iterable[str]) -> str:
    return (
        f'<svg class="chart" viewBox="0 0 {n(WIDTH)} {n(height)}" role="img">'
        f"<title>{escape(title)}</title><desc>{escape(desc)}</desc>"
        f"{''.join(_in_layers(list(parts)))}</svg>"
    )


def _in_layers(parts: list[str]) -> list[str]:
    """Words over whatever is drawn before the first dot, so that no line strikes through them;
    dots and what lies over dots hide behind no word."""
    first = next((at for at, part in enumerate(parts) if part.startswith("<circle")), len(parts))
    words = [part for part in parts if part.startswith("<text")]
    below, above = (
        [part for part in half if not part.startswith("<text")]
        for half in (parts[:first], parts[first:])
    )
    return [*below, *words, *above]
