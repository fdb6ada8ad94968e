"""Many rows through one template, whose text is made once for all rows of a kind.

Sixty rows cost Django's templates more than all else of a page. A template that needs nothing but
its `row` says the same of all rows but for their words: it is asked once with marks in their
place, and the words are put between its pieces, escaped as the template would. What became of a
row is known as long as that row is: who keeps rows that did not change has them printed.
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
_printers: "WeakKeyDictionary[Any, _Printer]" = WeakKeyDictionary()


@register.simple_tag(takes_context=True)
def alike(
    context: template.RequestContext, name: str, rows: Iterable[Any], apart: str = ""
) -> SafeString:
    """Each of these flat dataclasses through the template of this name, as its `row`.

    They are frozen, have a slot for weak references and are equal to none but themselves. The one
    whose `id` is `apart` is printed by itself, with all that the page knows.
    """
    page = Engine.get_default().get_template(name)
    printer = _printers.get(page) or _printers.setdefault(page, _Printer())
    printed: list[str] = []
    for row in rows:
        if apart and row.id == apart:
            with context.push(row=row):
                printed.append(page.render(context))
            continue
        text = printer.texts.get(row)
        if text is None:
            text = printer.texts[row] = printer.print(page, row)
        printed.append(text)
    return mark_safe("".join(printed))  # noqa: S308 (escaped as the template does)


class _Printer:
    """The rows of one template: its pieces for each kind of them, and what became of each."""

    def __init__(self) -> None:
        self._known: dict[Any, _Pieces] = {}
        self.texts: WeakKeyDictionary[Any, str] = WeakKeyDictionary()

    def print(self, page: Any, row: Any) -> str:
        model: Any = type(row)
        values = _values_of(model)(row)
        kind = (model, *(bool(each) if isinstance(each, str) else each for each in values))
        words, places = self._known.get(kind) or self._known.setdefault(kind, _pieces(page, row))
        printed = [words[0]]
        for place, after in zip(places, words[1:], strict=True):
            value = values[place]
            printed += (value if hasattr(value, "__html__") else escape(value), after)
        return "".join(printed)


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
