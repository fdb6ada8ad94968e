"""Whether anything points from one studio into another, or from one student to another."""

from collections import deque
from collections.abc import Iterable
from functools import cache

from django.apps import apps
from django.db import connection
from django.db.models import F, Field, ForeignKey, Model, QuerySet

from shared.people.models import Student, Studio, User


def references(model: type[Model]) -> list[Field]:
    """Its references to other rows, those to users left out: a user may be of two studios."""
    found = [each for each in model._meta.concrete_fields if isinstance(each, ForeignKey)]
    return [each for each in found if each.related_model is not User]


@cache
def way_to(root: type[Model], model: type[Model]) -> str | None:
    """The shortest way over references from a row to its studio or student; '' for itself."""
    waiting = deque([(model, "")])
    seen = {model}
    while waiting:
        here, way = waiting.popleft()
        if here is root:
            return way
        for each in references(here):
            if each.related_model not in seen:
                seen.add(each.related_model)
                waiting.append((each.related_model, f"{way}__{each.name}".lstrip("_")))
    return None


def pairs(root: type[Model]) -> list[tuple[type[Model], Field, str, str]]:
    """A reference, the row's own way to the root, and the way over the reference."""
    found = []
    for model in apps.get_models(include_auto_created=True):
        own = way_to(root, model)
        for each in references(model) if own else ():
            beyond = way_to(root, each.related_model)
            over = f"{each.name}__{beyond}".rstrip("_")
            if beyond is not None and over != own:
                found.append((model, each, own, over))
    return found


@cache
def strangers() -> list[tuple[str, QuerySet]]:
    """For every reference the rows whose studio or student is not that of what they refer to."""
    found = []
    for root in (Studio, Student):
        for model, each, own, over in pairs(root):
            rows = model._base_manager.exclude(**{own: None}).exclude(**{over: None})
            said = f"{model._meta.label} {{}}: {each.name} of another {root.__name__}"
            found.append((said, rows.exclude(**{over: F(own)}).values_list("pk", flat=True)))
    return found


def in_one(selects: Iterable[str]) -> str:
    return " UNION ALL ".join(selects)


@cache
def any_strangers() -> tuple[str, tuple]:
    """Asks which of them has a row: one statement, worded once, as it is asked at every step."""
    worded = [query.query.sql_with_params() for _, query in strangers()]
    each = (f"SELECT {n} WHERE EXISTS ({sql})" for n, (sql, _) in enumerate(worded))
    return in_one(each), sum((params for _, params in worded), ())


def crossings() -> list[str]:
    """Every row that belongs to one studio or student and refers to what is another's."""
    with connection.cursor() as cursor:
        cursor.execute(*any_strangers())
        there = [strangers()[number] for (number,) in cursor.fetchall()]
    return [said.format(pk) for said, query in there for pk in query.all()]
