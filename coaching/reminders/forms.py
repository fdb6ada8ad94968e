"""What a student or guardian chooses about reminders."""

from dataclasses import asdict
from datetime import time
from typing import Any

from django import forms

from coaching.reminders.due import QUIET_FROM, QUIET_UNTIL, ReminderKind
from coaching.reminders.if_then import (
    HINDRANCES,
    INSTEADS,
    LONGEST,
    WHENS,
    WHERES,
    tidy,
)
from coaching.reminders.models import KIND_FIELDS, ReminderRule
from shared.kit.weeks import DAY_NAMES

EXPLAINED = {
    ReminderKind.PRACTICE_CALL: "Time to practise: on planned days, while something is to do",
    ReminderKind.MIDWEEK_OFFER: "A shorter week: offered on a Wednesday if this one is tight",
    ReminderKind.NEW_WEEK: "New week: when the coach has sent one",
    ReminderKind.LESSON_TOMORROW: "Lesson tomorrow: is there any question?",
    ReminderKind.TEST_TOMORROW: "Test tomorrow: what is planned",
    ReminderKind.WRITTEN: "From the coach: answers, messages, reports and clips",
}


def _answer(label: str, before: str = "") -> forms.CharField:
    return forms.CharField(label=label, max_length=LONGEST + len(before), required=False)


class RuleForm(forms.Form):
    PLAN = {"moment": WHENS, "place": WHERES, "hindrance": HINDRANCES, "instead": INSTEADS}
    moment = _answer("When? As in: after school")
    place = _answer("Where? As in: in the garage")
    hindrance = _answer("If, as in: it rains", "if ")
    instead = _answer("then, as in: the short form", "then ")
    follows_practice = forms.BooleanField(
        label="Instead, half an hour before practice usually starts",
        required=False,
    )
    by_chance = forms.BooleanField(
        label="Leave out about 3 of 10, drawn by chance",
        required=False,
    )
    at = forms.TimeField(
        label="Time of day",
        widget=forms.TimeInput(attrs={"type": "time", "min": "07:00", "max": "20:59"}),
        # Its words are in the template, with the name of the zone.
        help_text="07:00 to 20:59",
    )
    weekdays = forms.TypedMultipleChoiceField(
        label="Days on which practice may be called to mind",
        choices=list(enumerate(DAY_NAMES)),
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    kinds = forms.TypedMultipleChoiceField(
        label="What for",
        choices=[(name, EXPLAINED[ReminderKind(name)]) for name in KIND_FIELDS],
        coerce=ReminderKind,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    @staticmethod
    def initial_of(rule: ReminderRule) -> dict[str, Any]:
        return {
            "at": rule.at.strftime("%H:%M"),
            "weekdays": sorted(rule.chosen_weekdays),
            "kinds": [kind.value for kind in rule.wants],
            "follows_practice": rule.follows_practice,
            "by_chance": rule.by_chance,
            **asdict(rule.plan),
        }

    def __init__(
        self, *args: Any, is_adult: bool = True, first_weekday: int = 0, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        days: Any = self.fields["weekdays"]
        days.choices = days.choices[first_weekday:] + days.choices[:first_weekday]
        if not is_adult:
            del self.fields["by_chance"]
        for name in self.PLAN:
            self.fields[name].widget.attrs["list"] = f"id_{name}_words"

    @property
    def plan_fields(self) -> list[tuple[forms.BoundField, tuple[str, ...]]]:
        """Each question of the plan with the answers to tap."""
        return [(self[name], offered) for name, offered in self.PLAN.items()]

    def clean(self) -> dict[str, Any]:
        """The plan as it is kept: half of an 'if … then …' says nothing."""
        given = super().clean() or {}
        words = {name: str(given.get(name) or "") for name in self.PLAN}
        words["hindrance"] = tidy(words["hindrance"], "if ")[:LONGEST]
        words["instead"] = tidy(words["instead"], "then ")[:LONGEST]
        if bool(words["hindrance"]) != bool(words["instead"]):
            missing = "instead" if words["hindrance"] else "hindrance"
            self.add_error(missing, "Say both: what may be in the way, and what you do then.")
        plan = {name: tidy(each) for name, each in words.items()}
        if plan["hindrance"] and not (plan["moment"] or plan["place"]):
            self.add_error("moment", "Say first when or where, as in: after school.")
        return given | plan

    def clean_at(self) -> time:
        at: time = self.cleaned_data["at"]
        if not QUIET_UNTIL <= at < QUIET_FROM:
            raise forms.ValidationError("Choose a time from 07:00 to 20:59: nights are quiet.")
        return at.replace(second=0, microsecond=0)
