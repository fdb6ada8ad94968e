"""What a coach writes into a season, and what a student says about their days."""

from collections.abc import Iterable, Iterator
from typing import Any

from django import forms
from django.http import QueryDict

from coaching.season.clashes import Body, GymLine, GymLoad
from coaching.season.models import Event, Measure, PracticeDay, Stage
from coaching.season.ramp import MOST_MINUTES
from coaching.season.services import WantedRamp
from practice.drills.models import Area, Drill
from practice.weeks.places import PLACE_WORDS, DayPlace
from shared.kit import units
from shared.kit.weeks import DAY_NAMES
from shared.people.models import Student, User

ROWS_OF_PHASES = 6
SPEEDS = (Measure.BALL_SPEED, Measure.CLUB_SPEED)
ABSENCE = "away"
BAD_DATE = "Write a date as in 2031-02-24."


def date_field(label: str, *, required: bool = True) -> forms.DateField:
    return forms.DateField(
        label=label,
        required=required,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": BAD_DATE, "required": "Choose a day."},
    )


def number_field(label: str, low: int, high: int, *, required: bool = False) -> forms.IntegerField:
    words = f"Write a whole number from {low} to {high}."
    return forms.IntegerField(
        label=label,
        required=required,
        min_value=low,
        max_value=high,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
        error_messages=dict.fromkeys(("invalid", "min_value", "max_value", "required"), words),
    )


class EventForm(forms.Form):
    kind = forms.ChoiceField(
        label="What", choices=[*Event.Kind.choices, (ABSENCE, "days away, excused")]
    )
    name = forms.CharField(label="Name", max_length=80, required=False)
    first = date_field("First day")
    last = date_field("Last day", required=False)

    def clean(self) -> dict[str, Any]:
        said = super().clean() or self.cleaned_data
        first, last = said.get("first"), said.get("last")
        if said.get("kind") != ABSENCE and not said.get("name"):
            self.add_error("name", "Give it a name.")
        if first and last and last < first:
            self.add_error("last", "The last day cannot be before the first.")
        return said


class PlanForm(forms.Form):
    first = date_field("The season starts on")
    last = date_field("and ends on")
    note = forms.CharField(
        label="Words about the season",
        required=False,
        max_length=600,
        widget=forms.Textarea(attrs={"rows": 2}),
    )


class PhaseForm(forms.Form):
    """One row; a row without a name is no phase."""

    name = forms.CharField(label="Name", max_length=40, required=False)
    first = date_field("First day", required=False)
    last = date_field("Last day", required=False)

    def clean(self) -> dict[str, Any]:
        said = super().clean() or self.cleaned_data
        filled = bool(said.get("name"))
        for name in ("first", "last"):
            if filled and not said.get(name) and name not in self.errors:
                self.add_error(name, "Choose a day.")
        if not filled and (said.get("first") or said.get("last")):
            self.add_error("name", "Give the phase a name, or take its days out.")
        return said

    @property
    def phase(self) -> dict[str, Any] | None:
        return dict(self.cleaned_data) if self.cleaned_data.get("name") else None


class PriorityForm(forms.Form):
    """One row; a row without a name is no priority. Speeds and distances in the coach's units."""

    name = forms.CharField(label="Priority", max_length=80, required=False)
    stage = forms.ChoiceField(
        label="Stage", choices=[("", "no stage"), *Stage.choices], required=False
    )
    drill = forms.ModelChoiceField(
        Drill.objects.none(), label="Ladder of", required=False, empty_label="no drill"
    )
    measure = forms.ChoiceField(label="Measured by", choices=Measure.choices)
    value = forms.FloatField(
        label="Target",
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
        error_messages={"invalid": "Write a number."},
    )
    effort = number_field("At felt effort, percent", 10, 100)
    words = forms.CharField(label="Target in words", max_length=120, required=False)
    by = date_field("By when", required=False)

    def __init__(self, *args: Any, student: Student, reader: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.reader = reader
        drills: Any = self.fields["drill"]
        drills.queryset = (
            Drill.objects.filter(studio=student.studio_id, current__isnull=False, archived_at=None)
            .select_related("current")
            .order_by("current__name")
        )
        speed, distance = units.SPEED[reader.speed_unit], units.DISTANCE[reader.distance_unit]
        measure: Any = self.fields["measure"]
        measure.choices = [
            (Measure.BALL_SPEED, f"everyday ball speed, {speed.sign}"),
            (Measure.CLUB_SPEED, f"everyday club speed, {speed.sign}"),
            (Measure.CLEAN, "clean of 100 at an effort"),
            (Measure.CARRY_ERROR, f"carry, at most so many {distance.sign} off"),
            (Measure.OTHER, "in words"),
        ]
        if not self.is_bound:
            self.initial.setdefault("measure", Measure.OTHER)

    def clean(self) -> dict[str, Any]:
        said = super().clean() or self.cleaned_data
        measure, value = said.get("measure"), said.get("value")
        if not said.get("name"):
            if value is not None or said.get("words"):
                self.add_error("name", "Give the priority a name, or take its target out.")
            return said
        if value is not None and not 0 <= value <= 1000:
            self.add_error("value", "Write a number from 0 to 1000.")
        if measure == Measure.CLEAN and value is not None and value > 100:
            self.add_error("value", "At most 100 of 100 can be clean.")
        if measure != Measure.OTHER and value is None and "value" not in self.errors:
            self.add_error("value", "Write the target as a number, or choose “in words”.")
        return said

    @property
    def priority(self) -> dict[str, Any] | None:
        said = dict(self.cleaned_data)
        if not said.get("name"):
            return None
        if said["measure"] == Measure.OTHER:
            said["value"] = None
        elif said["value"] is not None:
            said["value"] = _unit(said["measure"], self.reader).to_si(said["value"])
        return said


def _unit(measure: str, reader: User) -> units.Unit:
    if measure in SPEEDS:
        return units.SPEED[reader.speed_unit]
    if measure == Measure.CARRY_ERROR:
        return units.DISTANCE[reader.distance_unit]
    return units.Unit("")


def shown_value(measure: str, value: float | None, reader: User) -> str:
    """A kept target as its reader types it."""
    return "" if value is None else f"{_unit(measure, reader).from_si(value):.4g}"


class RampForm(forms.Form):
    """Weekly minutes of one area; without a target there is no line for it."""

    start = number_field("Minutes a week now", 0, MOST_MINUTES)
    target = number_field("to", 0, MOST_MINUTES)
    due = date_field("by the week of", required=False)
    cap = number_field("Growth a week at most, percent", 1, 100)
    lighter_every = number_field("Every … week lighter (0: none)", 0, 12)
    lighter = number_field("to percent", 1, 100)

    def __init__(self, *args: Any, area: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.area = area
        self.area_name = str(Area(area).label).capitalize()

    def clean_lighter_every(self) -> int | None:
        every: int | None = self.cleaned_data["lighter_every"]
        if every == 1:
            raise forms.ValidationError("Every second to twelfth week can be lighter, or none (0).")
        return every

    def clean(self) -> dict[str, Any]:
        said = super().clean() or self.cleaned_data
        if said.get("target") is not None and not said.get("due") and "due" not in self.errors:
            self.add_error("due", "Choose the week of the target.")
        return said

    def wanted(self, opens_of: Any) -> WantedRamp | None:
        said = self.cleaned_data
        if said.get("target") is None:
            return None
        told = {name: said[name] for name in ("cap", "lighter_every", "lighter")}
        return WantedRamp(
            area=self.area,
            start=said.get("start") or 0,
            target=said["target"],
            due=opens_of(said["due"]),
            **{name: number for name, number in told.items() if number is not None},
        )


class GymDayForm(forms.Form):
    """One day of the gym strip; without a load it is not marked."""

    load = forms.ChoiceField(
        label="Load",
        required=False,
        choices=[*((load.value, load.value) for load in GymLoad), ("", "no mark")],
        widget=forms.RadioSelect,
    )
    body = forms.ChoiceField(
        label="Body",
        required=False,
        choices=[
            (Body.BOTH.value, "whole body"),
            (Body.LOWER.value, "legs"),
            (Body.UPPER.value, "upper body"),
        ],
    )
    jumps = forms.BooleanField(label="jumps", required=False)

    def line(self) -> GymLine | None:
        said = self.cleaned_data
        if not said["load"]:
            return None
        return GymLine(
            GymLoad(said["load"]), Body(said["body"] or Body.BOTH.value), jumps=said["jumps"]
        )


class TimesForm(forms.Form):
    times = forms.TypedChoiceField(
        label="Keep it for",
        coerce=int,
        choices=[(1, "this week"), (4, "4 weeks from here"), (8, "8 weeks"), (12, "12 weeks")],
    )


class DayForm(forms.Form):
    """One weekday with up to two places; without minutes the day is not practised on."""

    minutes = number_field("Minutes", 0, 600)
    place = forms.ChoiceField(label="Where", choices=[(p.value, w) for p, w in PLACE_WORDS.items()])
    more_minutes = number_field("Minutes", 0, 600)
    more_place = forms.ChoiceField(
        label="Where", choices=[(p.value, w) for p, w in PLACE_WORDS.items()], required=False
    )

    def __init__(self, *args: Any, weekday: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.weekday, self.name = weekday, DAY_NAMES[weekday]

    def clean(self) -> dict[str, Any]:
        said = super().clean() or self.cleaned_data
        both = said.get("minutes") and said.get("more_minutes")
        if both and said.get("place") == said.get("more_place"):
            self.add_error("more_place", "The same place twice: add the minutes up instead.")
        return said

    def times(self) -> Iterator[tuple[int, DayPlace, int]]:
        said = self.cleaned_data
        for minutes, place in (("minutes", "place"), ("more_minutes", "more_place")):
            if said.get(minutes):
                yield self.weekday, DayPlace(said[place] or DayPlace.HOME), said[minutes]


def day_forms(
    told: Iterable[PracticeDay], first_weekday: int, posted: QueryDict | None
) -> list[DayForm]:
    """The seven days in the order of the student's week, with what was told of each."""
    days = list(told)
    return [
        DayForm(posted, weekday=n, prefix=f"d{n}", initial=_told_of(days, n), label_suffix="")
        for n in ((first_weekday + each) % 7 for each in range(7))
    ]


def _told_of(told: list[PracticeDay], weekday: int) -> dict[str, Any]:
    here = [day for day in told if day.weekday == weekday]
    initial: dict[str, Any] = {}
    for day, prefix in zip(here, ("", "more_"), strict=False):
        initial |= {f"{prefix}minutes": day.minutes, f"{prefix}place": day.place}
    return initial
