"""A set as it is typed, in the unit of whoever types."""

import uuid
from datetime import date, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from practice.numbers.balls.forms import DAY
from practice.strength.models import BODY_MASS, MOST_MASS, MOST_REPS
from shared.kit.units import MASS

OLDEST = timedelta(days=366)


class LiftForm(forms.Form):
    """One set to near failure."""

    id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    name = forms.CharField(label="Lift", max_length=40, help_text="Trap bar, squat, row.")
    mass = forms.FloatField(label="Lifted", min_value=0)
    reps = forms.IntegerField(
        label="Repetitions",
        min_value=1,
        max_value=MOST_REPS,
        help_text="1 to 10, the last one near the limit. Beyond 10 no estimate is worth much.",
    )
    body_mass = forms.FloatField(label="Body mass", min_value=0, required=False)
    day = forms.DateField(label="Day", widget=DAY)
    was_supervised = forms.BooleanField(
        label="Somebody qualified was there", required=False, help_text="A single lift needs it."
    )

    def __init__(self, *args: Any, unit: str, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.unit, self.today = MASS[unit], today
        for name in ("mass", "body_mass"):
            self.fields[name].label = f"{self.fields[name].label}, {self.unit.sign}"

    def clean_mass(self) -> float:
        return self._kilograms("mass", "A lift", 0.5, MOST_MASS)

    def clean_body_mass(self) -> float | None:
        if self.cleaned_data.get("body_mass") is None:
            return None
        return self._kilograms("body_mass", "A body mass", *BODY_MASS)

    def _kilograms(self, name: str, words: str, low: float, high: float) -> float:
        kilograms = self.unit.to_si(self.cleaned_data[name])
        if not low <= kilograms <= high:
            least, most = self.unit.from_si(low), self.unit.from_si(high)
            raise ValidationError(
                f"{words} lies between {least:.0f} and {most:.0f} {self.unit.sign}."
            )
        return kilograms

    def clean_day(self) -> date:
        day: date = self.cleaned_data["day"]
        if day > self.today:
            raise ValidationError("That day is still to come.")
        if day < self.today - OLDEST:
            raise ValidationError("That day is more than a year ago.")
        return day

    def clean(self) -> dict[str, Any]:
        if self.cleaned_data.get("reps") == 1 and not self.cleaned_data.get("was_supervised"):
            self.add_error(
                "was_supervised", "A single lift is only kept if somebody qualified was there."
            )
        return self.cleaned_data
