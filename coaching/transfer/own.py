"""Whether all that a file brought is its own studio's, and touches nobody else's."""

from collections import Counter
from typing import Any
from uuid import UUID

from django.db.models import ForeignKey

from coaching.records.kinds import MOVING, RecordKind, Whose
from shared.people.models import Studio, User

BY_MODEL = {kind.model: kind for kind in MOVING}


def not_its_own(studio: UUID, brought: Counter[str]) -> str:
    """What of the file belongs to, or points into, another studio, in words; empty if nothing.

    `brought` counts the rows that were kept, by kind. The studio is new here, so whatever of
    it is here came with the file, and every row that came must be found under it.
    """
    for kind in MOVING:
        if kind.whose is Whose.USER and kind.model is not User:
            continue
        here = kind.of_studio(studio).count()
        if kind.model is User:
            if here < brought[kind.name]:
                return "a user who neither works nor practises in the studio"
        elif here != brought[kind.name]:
            return f"a {kind.name} of another studio"
        for field in _references(kind):
            if _strays(kind, field, studio):
                return f"a {kind.name} whose {field.name} is another studio’s"
    return ""


def _references(kind: RecordKind) -> list[ForeignKey[Any, Any]]:
    """References to rows that belong to a studio themselves."""
    found = [field for field in kind.fields if isinstance(field, ForeignKey)]
    return [field for field in found if field.related_model in BY_MODEL and _leads(field)]


def _leads(field: ForeignKey[Any, Any]) -> str:
    """The lookup from such a reference to its studio; empty for a user, who may have several."""
    if field.related_model is User:
        return ""
    if field.related_model is Studio:
        return field.name
    target = BY_MODEL[field.related_model]
    return f"{field.name}__{target.to_studio}" if target.to_studio else ""


def _strays(kind: RecordKind, field: ForeignKey[Any, Any], studio: UUID) -> bool:
    named = kind.of_studio(studio).filter(**{f"{field.name}__isnull": False})
    return named.exclude(**{_leads(field): studio}).exists()
