"""The work bar: one bar for the work of a week, a block of weeks or an area.

The outline is what was asked, drawn to the scale of its page; hatching is what of it
was done; a dotted run past the outline is work beyond what was asked, which never
fills a gap elsewhere; a pin stands where the work should be by now. The words beside
it say the same, so nothing depends on seeing it.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from html import escape

WIDTH = 320.0  # Units of the drawing; the style sheet gives them a length.
TOP, DEPTH, HEIGHT = 5.0, 14.0, 22.0
MIDDLE = TOP + DEPTH / 2
SHORTEST = 3.0  # An outline stays visible beside a very long one.

# Mail has no style sheet: the same classes as attributes, readable on white and on black.
_MAIL = {
    "outline": 'fill="none" stroke="#56626a" stroke-width="1.5"',
    "hatch": 'fill="none" stroke="#2f7a66" stroke-width="2"',
    "extra": 'fill="none" stroke="#2f7a66" stroke-width="3" stroke-dasharray="1 5" '
    'stroke-linecap="round"',
    "pin": 'fill="#8a6a1f" stroke="#8a6a1f" stroke-width="1.5"',
}
_PAGE = {part: f'class="work-bar-{part}"' for part in _MAIL}


@dataclass(frozen=True, slots=True)
class WorkBar:
    """What a work bar shows, in minutes unless its words say otherwise.

    `asked` leaves excused work out; `done` is at most `asked`. `scale` is the amount
    that fills the width, the same for every bar of a page (`scale_of`). `key` must
    differ between the bars of one page.
    """

    asked: float
    done: float
    extra: float = 0
    pin: float | None = None
    label: str = ""
    scale: float = 0
    key: str = ""


def draw(bar: WorkBar, *, for_mail: bool = False) -> str:
    """The bar as SVG: with classes for the pages, with literal colours for mail."""
    return work_bar(
        bar.asked,
        bar.done,
        extra=bar.extra,
        pin=bar.pin,
        label=bar.label,
        scale=bar.scale,
        key=bar.key,
        for_mail=for_mail,
    )


def work_bar(
    asked: float,
    done: float,
    *,
    extra: float = 0,
    pin: float | None = None,
    label: str = "",
    scale: float = 0,
    key: str = "",
    for_mail: bool = False,
) -> str:
    """The work bar as SVG. Without a label, the amounts in words are its title."""
    look = _MAIL if for_mail else _PAGE
    unit = WIDTH / (max(scale, asked + extra) or 1)
    length = max(asked * unit, SHORTEST) if asked else 0.0
    parts = [
        f"<title>{escape(label or in_words(asked, done, extra, pin))}</title>",
        _hatching(min(done, asked) * unit, key, look),
        _outline(length, look),
        _dotted(length, min(length + extra * unit, WIDTH), look),
        _pin(pin * unit, look) if pin is not None and asked else "",
    ]
    # A page may make it shorter than it is high: it is stretched then, and stays legible.
    size = ' class="work-bar" preserveAspectRatio="none"'
    if for_mail:
        size = f' width="{_n(WIDTH)}" height="{_n(HEIGHT)}"'
    return f'<svg{size} viewBox="0 0 {_n(WIDTH)} {_n(HEIGHT)}" role="img">{"".join(parts)}</svg>'


def scale_of(amounts: Iterable[float]) -> float:
    """The scale that the bars of one page share: its longest asked plus extra."""
    return max(amounts, default=0) or 1


def in_words(
    asked: float, done: float, extra: float = 0, pin: float | None = None, unit: str = "minutes"
) -> str:
    """The text equivalent: '61 of 105 minutes done, 12 beyond what was asked'."""
    if not asked:
        return f"{int(extra)} {unit} of own choice" if extra else "nothing asked"
    words = f"{int(done)} of {int(asked)} {unit} done"
    if extra >= 1:
        words += f", {int(extra)} beyond what was asked"
    if pin is not None:
        words += f", {int(pin)} planned by now"
    return words


def _hatching(length: float, key: str, look: dict[str, str]) -> str:
    if length < 0.5:
        return ""
    name = f"hatch-{key}" if key else f"hatch-{_n(length).replace('.', '-')}"
    return (
        f'<pattern id="{escape(name)}" width="5" height="5" patternUnits="userSpaceOnUse" '
        f'patternTransform="rotate(35)"><path {look["hatch"]} d="M1 0v5"/></pattern>'
        f'<path fill="url(#{escape(name)})" d="M0 {_n(TOP)}h{_n(length)}v{_n(DEPTH)}H0z"/>'
    )


def _outline(length: float, look: dict[str, str]) -> str:
    if not length:
        return ""
    # Drawn half a line inside, so that the stroke is not cut at the edge.
    return f'<path {look["outline"]} d="M1 {_n(TOP)}h{_n(max(length - 2, 1))}v{_n(DEPTH)}H1z"/>'


def _dotted(start: float, end: float, look: dict[str, str]) -> str:
    if end - start < 3:
        return ""
    return f'<path {look["extra"]} d="M{_n(start + 3)} {_n(MIDDLE)}H{_n(end - 1)}"/>'


def _pin(at: float, look: dict[str, str]) -> str:
    x = min(max(at, 3.0), WIDTH - 3)
    head = f"M{_n(x - 3)} 0h6l-3 5z"
    return f'<path {look["pin"]} d="{head}M{_n(x)} 4V{_n(HEIGHT - 1)}"/>'


def _n(value: float) -> str:
    """A coordinate: one decimal, none if whole; the same string on every machine."""
    return f"{value:.1f}".removesuffix(".0")
