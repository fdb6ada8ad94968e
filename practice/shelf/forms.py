"""What a coach may write about a drill."""

from typing import Any, cast

from django import forms
from django.forms.models import fields_for_model
from django.urls import reverse
from django.utils.html import format_html

from practice.drills import dose as doses
from practice.drills.models import Caution, Drill, DrillRevision, Measures
from practice.drills.protocol import in_order, targets
from practice.drills.queries import swap_choices, test_choices
from shared.kit.refused import Refused
from shared.people.models import Studio

MOST_CAUTION_WORDS = 25
# Groups of the page, in its order. Every field a revision's writer may set is in one.
GROUPS: dict[str, tuple[str, ...]] = {
    "What it is": ("name", "area", "purpose", "dose", "clean_means", "cue"),
    "How it is done": ("setup", "setup_seated", "to_log"),
    "How much": ("short_form", "seconds_per_rep", "clean_line", "has_stop_rule"),
    "Measured ball by ball": (
        "measures",
        "targets",
        "target_order",
        "target_tries",
        "target_seed",
        "rest_seconds",
    ),
    "Up and down": ("go_up", "go_down"),
    "Where and with what": ("equipment", "places", "space", "needs_ball", "min_age"),
}
WORDING = tuple(name for names in GROUPS.values() for name in names)
HINTS = {
    "dose": "Steps with commas between them, such as 12@40, 9@60. Or 3x8, or 20 balls.",
    "short_form": "What remains of it when there are only 15 minutes.",
    "setup": "Say lead and trail, so left- and right-handers read the same text.",
    "seconds_per_rep": "For the minutes: 30 for a ball, 10 for a rehearsal is usual.",
    "clean_line": "Percent of reps.",
    "measures": "Then the phone takes a number for each ball. The dose says how many.",
    "targets": "If the distance is called, such as 65, 40, 90 m. Or in yd. They come in this "
    "order.",
    "target_order": "Your choice; no order is known to teach more.",
    "target_seed": "A new number makes a new order. Keep it, so that tests compare.",
    "rest_seconds": "The phone counts them down between balls. Leave empty for none.",
    "min_age": "Leave empty if there is no limit.",
}
UNCHOSEN = {"area": "choose one", "target_order": "as they are written"}
LABELS = {
    "seconds_per_rep": "Seconds for each rep",
    "has_stop_rule": "Has a stop rule: stopping by it counts as done in full",
    "needs_ball": "Needs a ball",
}


class DoseField(forms.CharField):
    """A dose in its one-line form; an error shows the line with the wrong word marked."""

    def clean(self, value: Any) -> str:
        text = super().clean(value)
        if not text:
            return ""
        try:
            written = str(doses.parse(text))
        except doses.DoseError as error:
            raise forms.ValidationError(marked(error), code="dose") from error
        if len(written) > (self.max_length or len(written)):
            raise forms.ValidationError("That dose is too long to keep.", code="long")
        return written


class TargetsField(forms.CharField):
    """Targets in one line, kept as they were written."""

    def clean(self, value: Any) -> str:
        text: str = super().clean(value).strip()
        try:
            targets(text)
        except Refused as error:
            raise forms.ValidationError(str(error), code="targets") from error
        return text


def marked(error: doses.DoseError) -> str:
    """The sentence of the error, then what was typed with the word at fault marked."""
    before, after = error.text[: error.start], error.text[error.end :]
    return format_html(
        '{} <span class="typed">{}<mark>{}</mark>{}</span>',
        error.message,
        before,
        error.word,
        after,
    )


def _wording_fields() -> dict[str, forms.Field]:
    fields = fields_for_model(
        DrillRevision,
        fields=WORDING,
        labels=LABELS,
        help_texts=HINTS,
        field_classes={"dose": DoseField, "short_form": DoseField, "targets": TargetsField},
        widgets={
            "setup": forms.Textarea(attrs={"rows": 4}),
            "setup_seated": forms.Textarea(attrs={"rows": 4}),
        },
    )
    for name, field in fields.items():
        # A model form would leave these to the model's own checking.
        own = getattr(DrillRevision._meta.get_field(name), "validators", [])  # noqa: SLF001 (documented)
        field.validators += [check for check in own if check not in field.validators]
    for name, words in UNCHOSEN.items():
        widget = cast("forms.Select", fields[name].widget)
        widget.choices = [("", words), *list(widget.choices)[1:]]
    for name in ("target_tries", "target_seed"):
        fields[name].required = False
    for name in ("dose", "short_form"):
        fields[name].widget.attrs |= {"autocomplete": "off", "spellcheck": "false"}
    return fields


class DrillForm(forms.Form):
    """The wording of a drill and its swaps.

    Not a ModelForm: a revision is never changed, it gets a successor.
    """

    swaps: forms.ModelMultipleChoiceField = forms.ModelMultipleChoiceField(
        queryset=Drill.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label="May be swapped for",
        help_text="A listed swap counts in full.",
    )
    tested_by: forms.ModelChoiceField = forms.ModelChoiceField(
        queryset=Drill.objects.none(),
        required=False,
        label="Tested by",
        empty_label="a coach’s own counts of it",
        help_text="What moved compares how much was done of it with this test.",
    )

    def __init__(self, *args: Any, studio: Studio, drill_id: Any = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.studio, self.drill_id = studio, drill_id
        self.fields = _wording_fields() | self.fields
        swaps: Any = self.fields["swaps"]
        swaps.queryset = swap_choices(studio).exclude(pk=drill_id)
        tests: Any = self.fields["tested_by"]
        tests.queryset = test_choices(studio).exclude(pk=drill_id)

    def clean_name(self) -> str:
        name = " ".join(self.cleaned_data["name"].split())
        same = Drill.objects.filter(studio=self.studio, current__name__iexact=name)
        there = same.exclude(pk=self.drill_id).first()
        is_kept = name.casefold() == str(self.initial.get("name", "")).casefold()
        if there is None or is_kept:
            return name
        way_out = "bring it back" if there.archived_at else "change that one"
        raise forms.ValidationError(
            format_html(
                '<a href="{}">{}</a> exists already: {}, or give this one another name.',
                reverse("drills:show", args=[there.pk]),
                there,
                way_out,
            ),
            code="taken",
        )

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        for name in ("target_tries", "target_seed"):
            if name in said:
                said[name] = said[name] or 1
        if said.get("targets") and said.get("measures") not in (None, Measures.CARRY):
            self.add_error("targets", "Targets are distances: choose carry as what is measured.")
        if said.get("targets") and said.get("target_order") and not self.errors:
            order = said["target_order"], said["target_tries"], said["target_seed"]
            try:
                in_order(said["targets"], *order)
            except Refused as error:
                self.add_error("target_order", str(error))
        return said

    @property
    def groups(self) -> list[tuple[str, list[forms.BoundField], bool]]:
        """What each drill needs first; the rest folded, and open where a line is marked."""
        return [
            (title, [self[name] for name in names], any(name in self.errors for name in names))
            for title, names in GROUPS.items()
        ]

    @property
    def wording(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in WORDING}


class NewDrillForm(DrillForm):
    """A new drill may be a test; a drill never becomes one later."""

    is_test = forms.BooleanField(required=False, label="This is a test, not practice")


class CautionForm(forms.ModelForm):
    """When, Stop, Who: at most 25 words together."""

    class Meta:
        model = Caution
        fields = ("when", "stop", "who")
        labels = {"when": "When", "stop": "Stop", "who": "Who"}
        help_texts = {
            "when": "The situation: If your back is stiff today,",
            "stop": "What to do: skip the turns and tap Something hurts.",
            "who": "Who to tell: Your coach will look.",
        }

    def clean(self) -> dict[str, Any]:
        said = {name: self.cleaned_data.get(name, "") for name in self.Meta.fields}
        words = sum(len(text.split()) for text in said.values())
        if words > MOST_CAUTION_WORDS:
            raise forms.ValidationError(
                f"These are {words} words; a caution has at most {MOST_CAUTION_WORDS} together."
            )
        return said
