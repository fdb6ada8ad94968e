"""Ids of another studio in forms of one's own: refused, or nothing comes of them."""

from functools import cache
from uuid import UUID

import pytest
from django.apps import apps
from django.db import connection, transaction
from django.utils import timezone

from practice.drills.models import Drill
from practice.shots.models import Club
from shared.people.models import Student, Studio, User
from tests import factories
from tests.attack.isolation import crossings, in_one, way_to
from tests.attack.test_every_form import as_a_browser_would, every_form
from tests.conftest import signed_in
from tests.test_routes import cast, things_of

__all__ = ["cast"]
pytestmark = pytest.mark.django_db
KINDS = [model for model in apps.get_models() if way_to(Studio, model)]
NAMED = [model for model in KINDS if model._meta.pk.get_internal_type() == "UUIDField"]


@pytest.fixture
def elsewhere() -> Studio:
    """Another studio with one of everything, and a strength coach."""
    child = factories.make_child(factories.make_coach(name="Elsewhere"), name="Elsewhere's child")
    Student.objects.filter(pk=child.pk).update(joined_on=timezone.localdate())
    child.refresh_from_db()
    things_of(child)
    factories.make_coach(child.studio, "helper")
    Club.objects.create(student=child, name="52")
    return child.studio


@pytest.fixture
def forms(cast):
    """Every form of one's own studio, which has one of everything too."""
    clients, child, things = cast
    Club.objects.create(student=child, name="52")
    adult = factories.make_student(child.lead_coach, "Adult")
    clients["adult"] = signed_in(adult.user)
    return every_form(clients, {"child": things, "adult": things | {"student_id": adult.pk}})


def twin(text: str, studio: Studio) -> str | None:
    """The id of something of the same kind in the other studio; None for what is no id."""
    try:
        value = UUID(text)
    except ValueError:
        return None
    if User.objects.filter(pk=value).exists():
        return str(studio.memberships.values_list("user", flat=True)[0])
    for model in NAMED:
        if model._base_manager.filter(pk=value).exists():
            there = model._base_manager.filter(**{way_to(Studio, model): studio})
            return str(there.values_list("pk", flat=True)[0])
    return None


@cache
def counting(studio: UUID) -> tuple[str, tuple]:
    """Asks how much there is of every kind in a studio: one statement, worded once."""
    found = [model._base_manager.filter(**{way_to(Studio, model): studio}) for model in KINDS]
    worded = [each.order_by().values("pk").query.sql_with_params() for each in found]
    each = (f"SELECT {n}, COUNT(*) FROM ({sql}) AS it" for n, (sql, _) in enumerate(worded))
    return in_one(each), sum((params for _, params in worded), ())


def counts(studio: Studio) -> dict[str, int]:
    """How much there is of every kind in a studio."""
    with connection.cursor() as cursor:
        cursor.execute(*counting(studio.pk))
        return {KINDS[number]._meta.label: count for number, count in cursor.fetchall()}


def test_ids_of_another_studio_lead_nowhere(forms, elsewhere):
    before, faults, tried = counts(elsewhere), [], 0
    for found in forms:
        usual = as_a_browser_would(found.form)
        for name, offered in found.form.offers.items():
            theirs = next(filter(None, (twin(text, elsewhere) for text in offered)), None)
            if theirs is None or found.form.method == "get":
                continue
            for sent in ([theirs], [*usual.get(name, []), theirs]):
                tried += 1
                with transaction.atomic():
                    answer = found.client.post(found.form.action, usual | {name: sent})
                    faults += [f"{found.name} {name}: {fault}" for fault in crossings()]
                    if counts(elsewhere) != before:
                        faults.append(f"{found.name} {name} changed the other studio")
                    transaction.set_rollback(True)
                if answer.status_code == 302 and User.objects.filter(pk=theirs).exists():
                    faults.append(f"{found.name} {name} took somebody who does not work here")
                if answer.status_code >= 500 or b"Elsewhere" in answer.content:
                    faults.append(f"{found.name} {name}: {answer.status_code}")
    assert tried > 20
    assert not faults, "\n".join(faults)


def test_what_crosses_is_found(elsewhere, student):
    assert crossings() == []
    theirs = Drill.objects.filter(studio=elsewhere).first()
    part = factories.make_part(factories.make_week(student), theirs)
    other = factories.make_student(student.lead_coach, "Other")
    club = Club.objects.create(student=other, name="56")
    sitting = student.sittings.create(day=factories.MONDAY)
    shot = sitting.shots.create(student=student, club=club, number=1)
    assert sorted(crossings()) == [
        f"shots.Shot {shot.pk}: club of another Student",
        f"weeks.Part {part.pk}: week of another Studio",
    ]
