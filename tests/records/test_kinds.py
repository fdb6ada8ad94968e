"""Every kind of record is in the one list, and in an order that can be written and taken away."""

import pytest
from django.apps import apps
from django.db import models

from coaching.records.kinds import BY_NAME, KINDS, OF_STUDENT, RecordKind, Whose, not_listed
from shared.people.models import Student, Studio, User


def all_models():
    return apps.get_models(include_auto_created=True)


def test_a_model_in_no_list_is_found():
    """Say in coaching/records/kinds.py whose it is, and whether it leaves with them."""
    assert not_listed(all_models()) == []


def test_the_list_has_teeth():
    class Forgotten(models.Model):
        class Meta:
            app_label = "records"
            managed = False

    try:
        assert not_listed([Student, Forgotten]) == ["records.Forgotten"]
    finally:
        del apps.all_models["records"]["forgotten"]
        apps.clear_cache()


def test_each_kind_is_named_once():
    assert len(BY_NAME) == len(KINDS) == len({kind.model for kind in KINDS})


def field_at(model: type[models.Model], path: str) -> models.Field:
    *way, last = path.split("__")
    for name in way:
        model = model._meta.get_field(name).related_model
    return model._meta.pk if last == "pk" else model._meta.get_field(last)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_the_path_leads_to_whose_it_is(kind: RecordKind):
    if kind.whose is Whose.HOUSE:
        assert kind.path == ""
        return
    owner = {Whose.STUDENT: Student, Whose.USER: User, Whose.STUDIO: Studio}[kind.whose]
    end = field_at(kind.model, kind.path)
    by_address = kind.whose is Whose.USER and isinstance(end, models.EmailField)
    assert by_address or (end.related_model or end.model) is owner


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_what_refers_comes_after_what_is_referred_to(kind: RecordKind):
    """So that a studio's file can be read from the top, and a student taken away from the end."""
    models_before = [each.model for each in KINDS[: KINDS.index(kind)]]
    for field in kind.model._meta.concrete_fields:
        if field.is_relation and field.related_model is not kind.model and not field.null:
            assert field.related_model in models_before or kind.whose is Whose.HOUSE, field.name


def test_fields_that_are_named_are_there():
    for kind in KINDS:
        names = {field.name for field in kind.model._meta.concrete_fields}
        attnames = {field.attname for field in kind.model._meta.concrete_fields}
        assert kind.secret <= names | attnames, kind.name
        assert kind.hidden <= names, kind.name


def test_whatever_points_to_a_student_is_the_students():
    """Or it would keep the student from going. A user's own row may name whom it is about."""
    for kind in KINDS:
        for field in kind.model._meta.concrete_fields:
            if field.related_model is Student:
                assert kind in OF_STUDENT, f"{kind.name}.{field.name}"
