"""Fields printed without templates are what Django's templates print, to the letter."""

from datetime import UTC, date, datetime

import pytest
from django import forms
from django.forms.renderers import DjangoTemplates
from django.utils.safestring import mark_safe

from shared.site.form_fields import _WAYS, PlainFields

ODD = '<b a="1">&\'{{ x }}'
CHOICES = [("", "Choose"), ("1", ODD), ("Group <i>", [("2", mark_safe("<i>two</i>")), (3, 3)])]


class Every(forms.Form):
    word = forms.CharField(label=ODD, widget=forms.TextInput(attrs={"class": ODD, "hidden": True}))
    safe = forms.CharField(label=mark_safe("a <b>b</b>"), help_text=ODD, required=False)
    number = forms.FloatField(widget=forms.NumberInput(attrs={"step": 0.5, "min": 0}))
    mail = forms.EmailField()
    address = forms.URLField(assume_scheme="https")
    secret = forms.CharField(widget=forms.PasswordInput(render_value=True))
    kept = forms.CharField(widget=forms.HiddenInput)
    day = forms.DateField()
    at = forms.DateTimeField()
    hour = forms.TimeField()
    yes = forms.BooleanField(required=False)
    note = forms.CharField(widget=forms.Textarea(attrs={"rows": 2, "data-no": False}))
    one = forms.ChoiceField(choices=CHOICES)
    several = forms.MultipleChoiceField(choices=CHOICES)
    ring = forms.ChoiceField(choices=CHOICES, widget=forms.RadioSelect(attrs={"class": "x"}))
    boxes = forms.MultipleChoiceField(choices=CHOICES, widget=forms.CheckboxSelectMultiple)


FULL = {
    "word": ODD, "safe": mark_safe("<i>"), "number": 12345.5, "mail": ODD, "address": "x",
    "secret": "s", "kept": 0, "day": date(2031, 3, 3), "at": datetime(2031, 3, 3, 8, 5, tzinfo=UTC),
    "hour": "8:05", "yes": True, "note": ODD, "one": "1", "several": ["2", "3"], "ring": "3",
    "boxes": ["1", "2"],
}  # fmt: skip


@pytest.mark.parametrize("given", [{"data": {}}, {"data": FULL}, {"initial": FULL}, {}])
def test_every_field_is_as_django_prints_it(given, monkeypatch):
    asked = []
    usual = DjangoTemplates.render

    def note(self, name, *rest):
        asked.append(name)
        return usual(self, name, *rest)

    form, like = (Every(**given, renderer=kind()) for kind in (PlainFields, DjangoTemplates))
    monkeypatch.setattr(DjangoTemplates, "render", note)
    for ours, theirs in zip(form, like, strict=True):
        for say in (str, forms.BoundField.label_tag, forms.BoundField.legend_tag, _each, _wrong):
            assert say(ours) == say(theirs)
            assert hasattr(say(ours), "__html__") == hasattr(say(theirs), "__html__")
    assert set(_WAYS) - {"django/forms/widgets/input.html"} <= set(asked)


def test_a_label_without_a_tag_is_its_words():
    form = Every(renderer=PlainFields(), use_required_attribute=False)
    form.fields["word"].widget.attrs["id"] = ""
    like = Every(renderer=DjangoTemplates(), use_required_attribute=False, auto_id=False)
    assert Every(renderer=PlainFields(), auto_id=False)["word"].label_tag() == (
        like["word"].label_tag()
    )


def _each(field) -> str:
    """Each choice by itself, as templates print them in a loop."""
    return "".join(str(choice) for choice in field)


def _wrong(field) -> str:
    return str(field.errors)
