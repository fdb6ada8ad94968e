"""The questions that are not about days, and what a coach makes of the answers."""

from typing import Any

from django import forms

from coaching.intake.models import MEASURES
from practice.care.models import LONGEST_EARLIER
from practice.care.screening import MOVEMENTS, Can
from practice.drills.models import Drill

LEVELS = [
    ("", "Not said"),
    ("0", "Nothing hurts"),
    *((str(n), f"{n} of 10") for n in range(1, 11)),
]


class AnswersForm(forms.Form):
    level = forms.ChoiceField(label="Does anything hurt now?", choices=LEVELS, required=False)
    where = forms.CharField(label="Where does it hurt?", max_length=60, required=False)
    hurt_before = forms.CharField(
        label="What hurt or was injured before?",
        max_length=LONGEST_EARLIER,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    measures = forms.MultipleChoiceField(
        label="What can be measured where you practise?",
        choices=list(MEASURES.items()),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    aim = forms.CharField(label="What is it for, in your words?", max_length=200, required=False)

    def __init__(self, *args: Any, asks_health: bool, child: str = "", **kwargs: Any) -> None:
        """`child`: the name of whom a guardian answers for."""
        super().__init__(*args, **kwargs)
        if child:
            self.fields["measures"].label = f"What can be measured where {child} practises?"
            self.fields["aim"].label = f"What is it for, in the words of {child}?"
        if not asks_health:
            for name in ("level", "where", "hurt_before"):
                del self.fields[name]

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        said["level"] = int(said.get("level") or 0)
        if said.get("level") and not said.get("where"):
            self.add_error("where", "Say where it hurts, as in: left wrist.")
        if said.get("where") and not said.get("level"):
            self.add_error("level", "Say how much it hurts, from 1 to 10.")
        return said


class ReviewForm(forms.Form):
    aim = forms.CharField(label="The aim, in the student’s words", max_length=200, required=False)


class ScreeningForm(forms.Form):
    movement = forms.ChoiceField(label="Movement", choices=list(MOVEMENTS.items()))
    can = forms.ChoiceField(label="How it goes", choices=[(c.value, c.label) for c in Can])
    drills = forms.ModelMultipleChoiceField(
        label="Drills that need it",
        help_text="For what it cannot yet. Each then bears a caution for this student.",
        queryset=Drill.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args: Any, studio: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        shelf = Drill.objects.filter(studio=studio, archived_at=None, current__isnull=False)
        field: Any = self.fields["drills"]
        field.queryset = shelf.select_related("current").order_by("current__name")
        field.label_from_instance = lambda drill: drill.current.name

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        if said.get("can") == Can.CANNOT and not said.get("drills"):
            self.add_error("drills", "Tick the drills that need it, so that each bears a caution.")
        return said
