"""Template helpers used on most pages."""

from collections.abc import Sequence
from html import escape
from typing import Any

from django import template
from django.template import Context
from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from shared.drawing import charts, plotly
from shared.drawing.work_bar import Bar, draw

register = template.Library()


@register.simple_tag(takes_context=True)
def page_link(context: Context, words: str, route: str, *args: object) -> SafeString:
    """A link in a list of pages; on its own page it says that one is there."""
    address = reverse(route, args=args)
    here = ' aria-current="page"' if context["request"].path == address else ""
    link = f'<a href="{escape(address)}"{here}>{escape(words)}</a>'
    return mark_safe(link)  # noqa: S308 (both texts escaped above)


@register.simple_tag
def work_bar(bar: Bar) -> SafeString:
    """A work bar as inline SVG. Put the same in words beside it."""
    return mark_safe(draw(bar))  # noqa: S308 (draw escapes the only text in it)


@register.simple_tag
def chart(figure: charts.Chart) -> SafeString:
    """A small chart as inline SVG. Its table goes beside it: drawing/table.html."""
    return mark_safe(charts.draw(figure))  # noqa: S308 (draw escapes every text in it)


@register.inclusion_tag("drawing/figure.html")
def figure(chart: charts.Chart, key: str) -> dict[str, Any]:
    """A figure that Plotly draws over the small chart, with its table. `key`: one on the page."""
    return {
        "chart": chart,
        "key": key,
        "data_id": f"figure-{key}",
        "figure": plotly.figure(chart),
    }


@register.simple_tag
def table_rows(rows: Sequence[Sequence[str]]) -> SafeString:
    """Rows of a table's body, made here: a loop of the template's takes ten times as long."""
    cells = ("</td><td>".join([escape(cell) for cell in row]) for row in rows)
    lines = "".join([f"<tr><td>{row}</td></tr>" for row in cells])
    return mark_safe(lines)  # noqa: S308 (escaped above)
