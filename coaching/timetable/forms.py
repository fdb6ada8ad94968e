"""What a coach types into the timetable."""

from datetime import date, time
from typing import Any

from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator

from coaching.timetable.models import MOST_MINUTES
from coaching.timetable.recurrence import NAMES
from shared.people import access
from shared.people.models import Student, Studio, User

# A rule is reckoned day by day from its first, and a calendar looks some years ahead.
EARLIEST, LATEST = date(2000, 1, 1), date(2199, 12, 31)
EVERY = [(1, "every week"), (2, "every second week"), (3, "every third week"),
         (4, "every fourth week")]  # fmt: skip


def _day(label: str, **more: Any) -> forms.DateField:
    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    wrong = "Write the day like 2026-03-24."
    errors = {"invalid": wrong, "required": wrong}
    within = [MinValueValidator(EARLIEST, wrong), MaxValueValidator(LATEST, wrong)]
    return forms.DateField(
        label=label, widget=widget, error_messages=errors, validators=within, **more
    )


def _time(label: str) -> forms.TimeField:
    wrong = "Write the time like 16:30."
    widget = forms.TimeInput(attrs={"type": "time"}, format="%H:%M")
    return forms.TimeField(
        label=label, widget=widget, error_messages={"invalid": wrong, "required": wrong}
    )


class SeriesForm(forms.Form):
    """A student's lesson that comes back."""

    student = forms.ModelChoiceField(
        label="Student",
        queryset=Student.objects.none(),
        empty_label="choose one",
        error_messages={"required": "Choose a student.", "invalid_choice": "Choose a student."},
    )
    weekday = forms.TypedChoiceField(label="On", coerce=int, choices=list(enumerate(NAMES)))
    at = _time("At")
    every = forms.TypedChoiceField(label="How often", coerce=int, choices=EVERY)
    minutes = forms.IntegerField(
        label="Minutes", min_value=5, max_value=MOST_MINUTES, initial=60,
        error_messages=dict.fromkeys(
            ("invalid", "required", "min_value", "max_value"), f"From 5 to {MOST_MINUTES} minutes."
        ),
    )  # fmt: skip
    first = _day("From")
    coach = forms.ModelChoiceField(label="With", queryset=User.objects.none(), empty_label=None)

    def __init__(self, *args: Any, user: User, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        students: Any = self.fields["student"]
        students.queryset = access.students_planned_by(user).order_by("name")
        coaches: Any = self.fields["coach"]
        coaches.queryset = access.planners_in(studio)
        coaches.initial = user.pk


class HolidayForm(forms.Form):
    first = _day("First day")
    last = _day("Last day")
    name = forms.CharField(label="What", max_length=60, required=False)

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        first, last = said.get("first"), said.get("last")
        if isinstance(first, date) and isinstance(last, date):
            if last < first:
                self.add_error("last", "The last day is before the first.")
            elif (last - first).days > 120:
                self.add_error("last", "At most 120 days at once.")
        return said


class MoveForm(forms.Form):
    day = _day("Day")
    at = _time("Time")

    def moment(self) -> tuple[date, time]:
        return self.cleaned_data["day"], self.cleaned_data["at"]


class EndForm(forms.Form):
    last = _day("Last day")
