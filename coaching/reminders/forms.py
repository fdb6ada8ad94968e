"""What a student or guardian chooses about reminders."""

from datetime import time
from typing import Any

from django import forms

from coaching.reminders.due import QUIET_FROM, QUIET_UNTIL, Kind
from coaching.reminders.models import KIND_FIELDS, ReminderRule
from shared.weeks import DAY_NAMES

EXPLAINED = {
    Kind.PRACTICE_CALL: "Practice call: on planned days, while something is still to do",
    Kind.MIDWEEK_OFFER: "Midweek offer: on a Wednesday, a shorter week if this one is tight",
    Kind.NEW_WEEK: "New week: when your coach has sent one",
    Kind.LESSON_TOMORROW: "Lesson tomorrow: is there any question?",
    Kind.TEST_TOMORROW: "Test tomorrow: what is planned",
}


class RuleForm(forms.Form):
    at = forms.TimeField(
        label="Time of day",
        widget=forms.TimeInput(attrs={"type": "time", "min": "07:00", "max": "20:59"}),
        # Its words are in the template, with the name of the zone.
        help_text="07:00 to 20:59",
    )
    weekdays = forms.TypedMultipleChoiceField(
        label="Days for the practice call",
        choices=list(enumerate(DAY_NAMES)),
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    kinds = forms.TypedMultipleChoiceField(
        label="What for",
        choices=[(name, EXPLAINED[Kind(name)]) for name in KIND_FIELDS],
        coerce=Kind,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    @staticmethod
    def initial_of(rule: ReminderRule) -> dict[str, Any]:
        return {
            "at": rule.at.strftime("%H:%M"),
            "weekdays": sorted(rule.chosen_weekdays),
            "kinds": [kind.value for kind in rule.wants],
        }

    def clean_at(self) -> time:
        at: time = self.cleaned_data["at"]
        if not QUIET_UNTIL <= at < QUIET_FROM:
            raise forms.ValidationError("Choose a time from 07:00 to 20:59: nights are quiet.")
        return at.replace(second=0, microsecond=0)
