"""Weeks kept under a name, to start others from."""

from collections.abc import Sequence
from typing import Any

from django.db import transaction
from django.utils import timezone

from practice.weeks import queries
from practice.weeks.models import WeekTemplate
from practice.weeks.plan import PartSpec
from shared.kit.refused import Refused
from shared.people.models import Studio, User


@transaction.atomic
def save_template(
    *, studio: Studio, name: str, specs: Sequence[PartSpec], by: User
) -> WeekTemplate:
    """Keep these parts under a name of the studio's. Raises Refused."""
    name = _free_name(studio, name)
    if not specs:
        raise Refused("There is nothing in this week to save yet.")
    if WeekTemplate.objects.filter(studio=studio).count() >= queries.MOST_TEMPLATES:
        raise Refused(f"A studio keeps up to {queries.MOST_TEMPLATES} templates. Delete one first.")
    records = [record_of(spec) for spec in specs]
    return WeekTemplate.objects.create(studio=studio, name=name, parts=records, author=by)


@transaction.atomic
def rename_template(*, template: WeekTemplate, name: str) -> WeekTemplate:
    """Raises Refused if the name is empty or taken."""
    template.name = _free_name(template.studio, name, besides=template)
    template.saved_at = timezone.now()
    template.save(update_fields=["name", "saved_at"])
    return template


def delete_template(*, template: WeekTemplate) -> None:
    """Weeks made from it keep what they have."""
    WeekTemplate.objects.filter(pk=template.pk).delete()


def _free_name(studio: Studio, name: str, besides: WeekTemplate | None = None) -> str:
    name = " ".join(name.split())
    if not name:
        raise Refused("Give the template a name.")
    if len(name) > 80:
        raise Refused("A name has at most 80 letters.")
    others = WeekTemplate.objects.filter(studio=studio, name__iexact=name)
    if besides is not None:
        others = others.exclude(pk=besides.pk)
    if others.exists():
        raise Refused(f"There is a template called “{name}” already.")
    return name


def record_of(spec: PartSpec) -> dict[str, Any]:
    """A part as a template keeps it."""
    return {
        "drill": str(spec.drill),
        "dose": str(spec.dose),
        "sessions": spec.sessions,
        "minutes": spec.minutes,
        "by_total": spec.by_total,
        "days": list(spec.days),
        "cue": spec.cue,
        "note": spec.note,
    }
