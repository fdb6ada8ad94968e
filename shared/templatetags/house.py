"""Template helpers used on most pages."""

from collections.abc import Sequence
from html import escape
from typing import Any

from django import template
from django.template import Context
from django.template.base import Parser, Token
from django.template.defaulttags import URLNode
from django.template.defaulttags import url as usual_url
from django.utils.html import conditional_escape
from django.utils.safestring import SafeString, mark_safe

from shared.kit.drawing import charts, plotly
from shared.kit.drawing.work_bar import WorkBar, draw
from shared.kit.text import in_minutes
from shared.outbox.mail_sender import reaches_nobody
from shared.site.addresses import address_of

register = template.Library()


class AddressNode(URLNode):
    """As Django's own, by `address_of` where the route is followed by nothing but arguments."""

    def render(self, context: Context) -> str:
        if self.kwargs or self.asvar:
            return super().render(context)
        args = [arg.resolve(context) for arg in self.args]
        found = address_of(self.view_name.resolve(context), args)
        return conditional_escape(found) if context.autoescape else found


@register.tag
def url(parser: Parser, token: Token) -> AddressNode:
    node = usual_url(parser, token)
    return AddressNode(node.view_name, node.args, node.kwargs, node.asvar)


@register.simple_tag(takes_context=True)
def page_link(context: Context, words: str, route: str, *args: object) -> SafeString:
    """A link in a list of pages; on its own page it says that one is there."""
    address = address_of(route, args)
    here = ' aria-current="page"' if context["request"].path == address else ""
    link = f'<a href="{escape(address)}"{here}>{escape(words)}</a>'
    return mark_safe(link)  # noqa: S308 (both texts escaped above)


@register.simple_tag
def place_link(words: str, is_here: bool, route: str, *args: object) -> SafeString:
    """A link to a place of several pages; on any of them it says that one is there."""
    here = ' aria-current="true"' if is_here else ""
    link = f'<a href="{escape(address_of(route, args))}"{here}>{escape(words)}</a>'
    return mark_safe(link)  # noqa: S308 (both texts escaped above)


@register.simple_tag(takes_context=True)
def is_among(context: Context, *routes: str) -> bool:
    """Whether the page shown is one of these; 'lessons:' names every page of that part."""
    match = context["request"].resolver_match
    here = match.view_name if match else ""
    return any(
        here == route or (route.endswith(":") and here.startswith(route)) for route in routes
    )


@register.simple_tag
def mail_reaches_nobody() -> bool:
    """Whether mails are only written to files: no page may say that one is on its way."""
    return reaches_nobody()


@register.simple_tag
def work_bar(bar: WorkBar) -> SafeString:
    """A work bar as inline SVG. Put the same in words beside it."""
    return mark_safe(draw(bar))  # noqa: S308 (draw escapes the only text in it)


@register.simple_tag
def chart(figure: charts.Drawing) -> SafeString:
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


register.filter("in_minutes", in_minutes)
