"""Count it yourself: what a coach saw beside the student."""

import uuid
from datetime import date, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from practice.coach_counts.models import MOST_REPS
from practice.drills.models import Drill
from practice.numbers.balls.forms import DAY
from shared.people.models import Student

MOST_DRILLS = 300
OLDEST = timedelta(days=84)


class CountForm(forms.Form):
    """Reps of one drill at one felt effort, clean by the coach and by the student."""

    id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    drill: forms.ModelChoiceField = forms.ModelChoiceField(
        Drill.objects.none(), label="Drill", empty_label=None
    )
    effort = forms.IntegerField(
        label="Felt effort, percent",
        min_value=10,
        max_value=100,
        help_text="As asked, such as 40, 60 or 80.",
    )
    reps = forms.IntegerField(label="Reps", min_value=1, max_value=MOST_REPS)
    own_reps = forms.IntegerField(
        label="Reps by the student’s own count",
        min_value=1,
        max_value=MOST_REPS,
        required=False,
        help_text="Ask before you say yours: it shows how minutes at home are meant.",
    )
    clean_reps = forms.IntegerField(label="Clean by your count", min_value=0, max_value=MOST_REPS)
    own_clean_reps = forms.IntegerField(
        label="Clean by the student’s own count",
        min_value=0,
        max_value=MOST_REPS,
        required=False,
        help_text="Ask before you say yours.",
    )
    day = forms.DateField(label="Day", widget=DAY)

    def __init__(self, *args: Any, student: Student, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        drills: Any = self.fields["drill"]
        found = Drill.objects.filter(studio=student.studio_id, current__isnull=False)
        drills.queryset = (
            found.filter(archived_at=None).select_related("current").order_by("current__name", "pk")
        )

    def clean_day(self) -> date:
        day: date = self.cleaned_data["day"]
        if day > self.today:
            raise ValidationError("That day is still to come.")
        if day <= self.today - OLDEST:
            raise ValidationError("Counts older than twelve weeks change nothing any more.")
        return day

    def clean(self) -> dict[str, Any]:
        reps = self.cleaned_data.get("reps")
        for name in ("clean_reps", "own_clean_reps"):
            counted = self.cleaned_data.get(name)
            if reps is not None and counted is not None and counted > reps:
                self.add_error(name, f"There cannot be more clean ones than the {reps} made.")
        return self.cleaned_data
