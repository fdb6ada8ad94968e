"""Many rows through one template, whose text is made once for all rows of a kind.

Sixty rows cost Django's templates more than all else of a page. A template that needs nothing but
its `row` says the same of all rows but for their words: it is asked once with marks in their
place, and the words are put between its pieces, escaped as the template would.
"""

from collections.abc import Callable, Iterable
from dataclasses import fields, replace
from functools import cache
from html import escape
from operator import attrgetter
from typing import Any
from weakref import WeakKeyDictionary

from django import template
from django.template.engine import Engine
from django.utils.safestring import SafeString, mark_safe

register = template.Library()

MARK = "\ue000"  # Of no script: what stands between two of it is the place of a field.
# Words of the template, and between them the place of the field that comes next.
_Pieces = tuple[list[str], list[int]]
_known: "WeakKeyDictionary[Any, dict[Any, _Pieces]]" = WeakKeyDictionary()


@register.simple_tag(takes_context=True)
def alike(
    context: template.RequestContext, name: str, rows: Iterable[Any], apart: str = ""
) -> SafeString:
    """Each of these flat dataclasses through the template of this name, as its `row`.

    The one whose `id` is `apart` is printed by itself, with all that the page knows.
    """
    page = Engine.get_default().get_template(name)
    known = _known.setdefault(page, {})
    printed: list[str] = []
    for row in rows:
        if apart and row.id == apart:
            with context.push(row=row):
                printed.append(page.render(context))
            continue
        model: Any = type(row)
        values = _values_of(model)(row)
        kind = (model, *(bool(each) if isinstance(each, str) else each for each in values))
        words, places = known.get(kind) or known.setdefault(kind, _pieces(page, row))
        printed.append(words[0])
        for place, after in zip(places, words[1:], strict=True):
            value = values[place]
            printed += (value if hasattr(value, "__html__") else escape(value), after)
    return mark_safe("".join(printed))  # noqa: S308 (escaped as the template does)


@cache
def _values_of(kind: Any) -> Callable[[Any], tuple[Any, ...]]:
    return attrgetter(*(each.name for each in fields(kind)))


def _pieces(page: Any, row: Any) -> _Pieces:
    """What is empty, or no words, stays as it is: the template may ask for it."""
    marked = {
        each.name: mark_safe(f"{MARK}{place}{MARK}")  # noqa: S308 (our own)
        for place, each in enumerate(fields(row))
        if isinstance(value := getattr(row, each.name), str) and value
    }
    text = page.render(template.Context({"row": replace(row, **marked)}))
    words = text.split(MARK)
    return words[::2], [int(place) for place in words[1::2]]
