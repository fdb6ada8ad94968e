"""What is typed in the bay: clubs, and a line of carries."""

import re
import uuid
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from practice.shots.limits import LIMITS
from practice.shots.models import Club, Shot, Sitting
from practice.shots.odd import SURE, odd_one, question
from practice.shots.queries import known_figures
from practice.shots.services import MOST_BALLS, Setting, ShotInput, ShotSessionInput
from shared.kit import units
from shared.people.models import Student

_NUMBER = re.compile(r"[-+−]?\d{1,4}(?:\.\d{1,3}|,\d)?", re.ASCII)
_TYPED = 2000
DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


def read_line(text: str) -> list[float]:
    """The numbers of a line with spaces between them; 60.5 and 60,5 are the same.

    Raises ValidationError that names the word at fault.
    """
    found = []
    for word in re.split(r"[\s;]+", text.strip()):
        bare = word.rstrip(",")
        if not bare:
            continue
        if not _NUMBER.fullmatch(bare):
            raise ValidationError(
                f"“{bare[:30]}” cannot be read. Put a space between the numbers, as in 58 61 60.5"
            )
        found.append(float(bare.replace(",", ".").replace("−", "-")))
    return found


class ClubForm(forms.ModelForm):
    """A club's name, loft and when it was last changed."""

    class Meta:
        model = Club
        fields = ("name", "loft", "changed_on")
        labels = {
            "name": "Name of the club",
            "loft": "Loft, degrees",
            "changed_on": "Loft or shaft last changed on",
        }
        help_texts = {
            "name": "As it stands on the sole: 54°, or sand wedge.",
            "loft": "Clubs under 40° are kept, and are not on the wedge card.",
            "changed_on": "Balls from before that day leave the card.",
        }
        widgets = {"changed_on": DAY}

    def __init__(self, *args: Any, student: Student, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.instance.student = student

    def clean_name(self) -> str:
        name = str(self.cleaned_data["name"])
        same = Club.objects.filter(student=self.instance.student, name=name)
        if same.exclude(pk=self.instance.pk).exists():
            raise ValidationError("There is a club of that name already, perhaps a retired one.")
        return name


class BallsForm(forms.Form):
    """One swing at one target: a line of carries, in the unit of whoever types."""

    id = forms.UUIDField(widget=forms.HiddenInput)
    club: forms.ModelChoiceField = forms.ModelChoiceField(
        Club.objects.none(), label="Club", empty_label=None
    )
    length = forms.ChoiceField(
        label="Swing length",
        choices=[*Shot.Length.choices, ("", "in between, no stock swing")],
        required=False,
    )
    target = forms.FloatField(label="Target", required=False)
    carries = forms.CharField(
        label="Carries",
        max_length=_TYPED,
        help_text="Every ball, mishits too, with spaces between: 58 61 60.5",
        widget=forms.Textarea(attrs={"rows": 2, "inputmode": "decimal"}),
    )
    sides = forms.CharField(
        label="To the side",
        required=False,
        max_length=_TYPED,
        help_text="One for each carry, right +, left −: 2 -1.5 0",
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    day = forms.DateField(label="Day", widget=DAY)
    evidence = forms.ChoiceField(label="How we know", choices=Sitting.Evidence.choices)
    device = forms.CharField(label="Device", max_length=60, required=False)
    ball = forms.CharField(label="Ball", max_length=60, required=False)
    place = forms.CharField(label="Place", max_length=60, required=False)
    roof = forms.ChoiceField(
        label="Roof",
        choices=[("", "not noted"), ("in", "indoors"), ("out", "outdoors")],
        required=False,
    )

    sure = forms.BooleanField(label=SURE, required=False)

    def __init__(self, *args: Any, student: Student, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.unit, self.student = units.DISTANCE[unit], student
        self.asks = False  # Whether something typed is asked about.
        clubs: Any = self.fields["club"]
        clubs.queryset = Club.objects.filter(student=student, retired_on=None).order_by("name")
        for name in ("target", "carries", "sides"):
            self.fields[name].label = f"{self.fields[name].label}, {self.unit.sign}"

    def clean_carries(self) -> list[float]:
        carries = read_line(self.cleaned_data["carries"])
        if not 0 < len(carries) <= MOST_BALLS:
            raise ValidationError(f"Write 1 to {MOST_BALLS} carries.")
        return [self._within("carry", value) for value in carries]

    def clean_sides(self) -> list[float]:
        return [
            self._within("side", value) for value in read_line(self.cleaned_data.get("sides") or "")
        ]

    def clean_target(self) -> float | None:
        target = self.cleaned_data.get("target")
        return None if target is None else self._within("target", target)

    def _within(self, name: str, value: float) -> float:
        words, low, high = LIMITS[name]
        metres = self.unit.to_si(value)
        if not low <= metres <= high:
            least, most = self.unit.from_si(low), self.unit.from_si(high)
            raise ValidationError(
                f"{words} lies between {least:.0f} and {most:.0f} {self.unit.sign};"
                f" {value:g} cannot be."
            )
        return metres

    def clean(self) -> dict[str, Any]:
        sides, carries = self.cleaned_data.get("sides"), self.cleaned_data.get("carries")
        if sides and carries and len(sides) != len(carries):
            self.add_error(
                "sides",
                f"There are {len(carries)} carries and {len(sides)} sides: write one for each"
                " carry, or none.",
            )
        if carries and not self.cleaned_data.get("sure"):
            self._ask_about(carries)
        return self.cleaned_data

    def _ask_about(self, carries: list[float]) -> None:
        """A carry far from all that this swing has brought so far."""
        club, length = self.cleaned_data.get("club"), self.cleaned_data.get("length", "")
        if club is None:
            return
        known = known_figures([self.student], "carry", club=club, length=length)
        odd = odd_one(carries, known.get(self.student.pk, []))
        if odd is not None:
            self.asks = True
            figure, usual = map(self.unit.from_si, odd)
            self.add_error("carries", question(round(figure, 1), usual, self.unit.sign))

    def told(self) -> ShotSessionInput:
        """What was typed, in SI. Only of a valid form."""
        said = self.cleaned_data
        sides = said["sides"] or [None] * len(said["carries"])
        return ShotSessionInput(
            id=said["id"],
            day=said["day"],
            setting=Setting(
                device=said["device"],
                ball=said["ball"],
                place=said["place"],
                indoors={"in": True, "out": False}.get(said["roof"]),
                evidence=said["evidence"],
            ),
            balls=[
                ShotInput(
                    club=said["club"],
                    length=said["length"],
                    target=said["target"],
                    carry=carry,
                    side=side,
                )
                for carry, side in zip(said["carries"], sides, strict=True)
            ],
        )


def first_values(last: Sitting | None, today: Any) -> dict[str, Any]:
    """A new form as it opens: today, and where and with what it was the last time."""
    values: dict[str, Any] = {"id": uuid.uuid4(), "day": today, "length": Shot.Length.HIP}
    if last is not None:
        roof = {True: "in", False: "out", None: ""}[last.indoors]
        values |= {"device": last.device, "ball": last.ball, "place": last.place, "roof": roof}
        values["evidence"] = last.evidence
    return values
