"""What a coach chooses before the app draws."""

from datetime import date, timedelta
from typing import Any

from django import forms
from django.db.models import F, Max, Q

from practice.drills.models import Drill
from practice.drills.queries import swap_choices, test_choices
from practice.tryouts.models import MOST_PAIRS, MOST_STARTS, MOST_TOGETHER
from practice.tryouts.services import LEAST_PAIRS
from practice.weeks.queries import this_opening
from shared.kit.text import date_words
from shared.people import access
from shared.people.models import Student, User

WEEKS_AHEAD = 8


class TryOutForm(forms.Form):
    """Drill, test, the window, and who else: first those to whom `by` sent a week lately."""

    drill: forms.ModelChoiceField = forms.ModelChoiceField(
        queryset=Drill.objects.none(),
        empty_label="choose a drill",
        label="Drill",
        help_text="Best one that was not practised for two months.",
    )
    test: forms.ModelChoiceField = forms.ModelChoiceField(
        queryset=Drill.objects.none(),
        empty_label="choose a test",
        label="Test that judges it",
        help_text="The same test, once a week.",
    )
    first = forms.TypedChoiceField(label="First possible week", coerce=date.fromisoformat)
    starts = forms.IntegerField(
        label="Possible weeks",
        min_value=1,
        max_value=MOST_STARTS,
        initial=6,
        help_text="For each student. With six for one student, chance gives 1 in 6.",
    )
    others: forms.ModelMultipleChoiceField = forms.ModelMultipleChoiceField(
        queryset=Student.objects.none(),
        label="Together with",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=f"At most {MOST_TOGETHER - 1} more. Each begins in a week of their own.",
    )

    def __init__(self, *args: Any, student: Student, by: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        others = access.students_planned_by(by).filter(studio=student.studio_id)
        fields: Any = self.fields
        fields["drill"].queryset = swap_choices(student.studio)
        fields["test"].queryset = test_choices(student.studio)
        fields["first"].choices = [(str(week), date_words(week)) for week in _weeks(student)]
        sent = Max("weeks__sent_at", filter=Q(weeks__author=by))
        lately = F("sent").desc(nulls_last=True)
        others = others.exclude(pk=student.pk).annotate(sent=sent).order_by(lately, "name")
        fields["others"].queryset = others


class TurnsForm(forms.Form):
    """A drill, another or none, the test, and how long."""

    drill: forms.ModelChoiceField = forms.ModelChoiceField(
        queryset=Drill.objects.none(), empty_label="choose a drill", label="Drill"
    )
    other: forms.ModelChoiceField = forms.ModelChoiceField(
        queryset=Drill.objects.none(),
        label="In turns with",
        required=False,
        empty_label="the same drill, light",
        help_text="Another drill takes every other week. Light is half the visits for a fortnight.",
    )
    test: forms.ModelChoiceField = forms.ModelChoiceField(
        queryset=Drill.objects.none(),
        empty_label="choose a test",
        label="Test that judges it",
        help_text="The same test, once a week, best on its last day.",
    )
    first = forms.TypedChoiceField(label="First week", coerce=date.fromisoformat)
    pairs = forms.IntegerField(
        label="Pairs of turns",
        min_value=LEAST_PAIRS,
        max_value=MOST_PAIRS,
        initial=6,
        help_text="With six pairs chance alone gives 2 in 64. Five or less are a hint at best.",
    )

    def __init__(self, *args: Any, student: Student, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: Any = self.fields
        fields["drill"].queryset = fields["other"].queryset = swap_choices(student.studio)
        fields["test"].queryset = test_choices(student.studio)
        fields["first"].choices = [(str(week), date_words(week)) for week in _weeks(student)]


def _weeks(student: Student) -> list[date]:
    opens = this_opening(student)
    return [opens + timedelta(weeks=n) for n in range(1, WEEKS_AHEAD + 1)]
