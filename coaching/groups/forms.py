"""What is typed about a group and its sessions."""

from datetime import date
from typing import Any
from uuid import uuid4

from django import forms

from coaching.groups.models import MOST_ADULTS
from coaching.groups.services import Meeting
from practice.log.document import MOST_BALLS, MOST_MINUTES
from shared.people.access import Recordable

DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class StudentsField(forms.ModelMultipleChoiceField):
    """Students by name, each with a box to tick."""

    widget = forms.CheckboxSelectMultiple

    def label_from_instance(self, obj: Any) -> str:
        return str(obj.name)


class NameForm(forms.Form):
    name = forms.CharField(label="Name of the group", max_length=60)


class GroupForm(NameForm):
    """The name, and who is in it."""

    def __init__(self, *args: Any, among: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["students"] = StudentsField(among, label="Who is in it", required=False)


class SessionForm(forms.Form):
    """A meeting of the group: sent twice it counts once."""

    id = forms.UUIDField(widget=forms.HiddenInput)
    day = forms.DateField(label="Day", widget=DAY)
    minutes = forms.IntegerField(label="Minutes", min_value=1, max_value=MOST_MINUTES)
    balls = forms.IntegerField(
        label="Balls each", min_value=0, max_value=MOST_BALLS, required=False
    )
    hard = forms.IntegerField(
        label="Hard swings each", min_value=0, max_value=MOST_BALLS, required=False
    )
    adults = forms.IntegerField(label="Adults with the group", min_value=1, max_value=MOST_ADULTS)

    def __init__(
        self, *args: Any, members: list[Recordable], today: date, last: Any = None, **kwargs: Any
    ) -> None:
        first = {"id": uuid4(), "day": today, "minutes": 60, "adults": 1}
        if last is not None:
            first |= {"minutes": last.minutes, "adults": last.adults}
        super().__init__(*args, **kwargs | {"initial": first, "label_suffix": ""})
        self.members = {str(student.pk): student for student in members}
        self.fields["present"] = forms.MultipleChoiceField(
            label="Who was there",
            choices=[(pk, student.name) for pk, student in self.members.items()],
            widget=forms.CheckboxSelectMultiple,
            error_messages={"required": "Tick who was there."},
        )

    def told(self) -> Meeting:
        said = self.cleaned_data
        names = ("id", "day", "minutes", "balls", "hard", "adults")
        return Meeting(**{name: said[name] for name in names})

    def present(self) -> list[Recordable]:
        return [self.members[pk] for pk in self.cleaned_data["present"]]
