"""Logging without a script: a form per part, turned into the same entry a phone makes."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID, uuid4

from django import forms

from practice.care.rules import WORDS_OF_SIGNS
from practice.log.document import LATEST, MOST_BALLS, MOST_MINUTES, MOST_REPS, NOTE_LENGTH, WHAT
from practice.phone.queries import PlainWeek
from practice.phone.reading import WHAT as WHAT_WORDS
from practice.phone.reading import amount, day_words
from practice.phone.shot_fields import SHOT_FIELDS, shot_fields_of, unit_of
from practice.phone.typed_balls import read_balls
from practice.shots.odd import UsualFigure, odd_ball, question
from shared.kit.refused import Refused
from shared.people.models import User

DAYS_OFFERED = 14
NOTHING_HURTS = "Leave empty if nothing hurts."


class SessionForm(forms.Form):
    """What every session has. The id and the time are made with the page, so that
    pressing the button twice sends the same entry twice, which counts once."""

    entry = forms.UUIDField(widget=forms.HiddenInput)
    at = forms.CharField(widget=forms.HiddenInput, max_length=40)
    day = forms.ChoiceField(label="Day")
    minutes = forms.FloatField(min_value=0, max_value=MOST_MINUTES, required=False)
    felt = forms.IntegerField(
        label="How hard it felt, 0 to 10", min_value=0, max_value=10, required=False
    )
    note = forms.CharField(
        max_length=NOTE_LENGTH, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )
    pain_level = forms.IntegerField(
        label="Something hurts, 0 to 10",
        min_value=0,
        max_value=10,
        required=False,
        help_text=NOTHING_HURTS,
    )
    pain_where = forms.CharField(label="Where", max_length=60, required=False)
    pain_new = forms.BooleanField(label="It is new", required=False)
    pain_signs = forms.MultipleChoiceField(
        label="What it is like",
        choices=list(WORDS_OF_SIGNS.items()),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args: Any, today: date, now: datetime, **kwargs: Any) -> None:
        initial = {"entry": uuid4(), "at": now.isoformat(timespec="seconds")}
        kwargs |= {"initial": initial | kwargs.get("initial", {}), "label_suffix": ""}
        super().__init__(*args, **kwargs)
        days = [today - timedelta(days=n) for n in range(DAYS_OFFERED)]
        days = [day for day in days if self.offers(day)]
        self.fields["day"].choices = [  # type: ignore[attr-defined]  # A ChoiceField.
            (str(day), ("Today, " if day == today else "") + day_words(day)) for day in days
        ]

    def blocks(self) -> list[dict[str, Any]]:
        raise NotImplementedError

    def offers(self, day: date) -> bool:
        """Whether this form is for work on that day."""
        return True

    def pain_part(self) -> str | None:
        return None

    def document(self, student_id: UUID) -> dict[str, Any]:
        """The entry as a phone would send it."""
        said = self.cleaned_data
        return {
            "id": str(said["entry"]),
            "v": LATEST,
            "k": "log",
            "who": str(student_id),
            "day": said["day"],
            "at": said["at"],
            "b": self.blocks(),
            "min": said["minutes"],
            "felt": said["felt"],
            "note": said["note"],
            "pain": self._pain(),
        }

    def _pain(self) -> dict[str, Any] | None:
        said = self.cleaned_data
        if not said["pain_level"] and not said["pain_signs"]:
            return None
        return {
            "lvl": said["pain_level"] or 0,
            "where": said["pain_where"],
            "signs": said["pain_signs"],
            "new": said["pain_new"],
            "p": self.pain_part(),
        }


class PartForm(SessionForm):
    """One part of a week, a count a step, filled in as it was asked."""

    def __init__(
        self,
        *args: Any,
        part: dict[str, Any],
        week: PlainWeek,
        reader: User,
        usual: Sequence[UsualFigure] = (),
        **kwargs: Any,
    ) -> None:
        self.part, self.week, self.usual = part, week, usual
        self.asks = False  # Whether something typed is asked about.
        self.balls: list[dict[str, Any]] = []
        counts = {f"n{i}": step["n"] for i, step in enumerate(part["steps"])}
        minutes = {"minutes": amount(part["minutes"])}
        super().__init__(*args, initial=counts | minutes, **kwargs)
        for i, step in enumerate(part["steps"]):
            unit = " minutes" if step["u"] == "min" else ""
            self.fields[f"n{i}"] = _count(f"{step['label']}: done{unit}")
            self.fields[f"c{i}"] = _count("of those clean")
        if part["stop"]:
            self.fields["stopped"] = forms.BooleanField(
                label="I stopped by the stop rule", required=False
            )
        if part["measures"]:
            self.unit = unit_of(part["measures"], reader)
            self.fields |= shot_fields_of(part["measures"], self.unit)

    def shot_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in SHOT_FIELDS if name in self.fields]

    def sure_field(self) -> forms.BoundField | None:
        return self["sure"] if self.asks else None

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        if said.get("shots"):
            try:
                self.balls = read_balls(
                    said["shots"],
                    self.part["measures"],
                    self.unit,
                    club=said.get("club", ""),
                    length=said.get("length", ""),
                    targets=self.part["targets"],
                )
            except Refused as error:
                self.add_error("shots", str(error))
        odd = None if said.get("sure") else odd_ball(self.balls, self.usual)
        if odd is not None:
            self.asks = True
            figure, usual = map(self.unit.from_si, odd)
            self.add_error("shots", question(round(figure, 1), usual, self.unit.sign))
        return said

    def offers(self, day: date) -> bool:
        """The days of the week, and for last week the one after."""
        grace = timedelta(days=1 if self.week.is_last else 0)
        return self.week.opens <= day <= self.week.closes + grace

    def step_fields(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        return [(self[f"n{i}"], self[f"c{i}"]) for i in range(len(self.part["steps"]))]

    def pain_part(self) -> str:
        return str(self.part["id"])

    def blocks(self) -> list[dict[str, Any]]:
        said = self.cleaned_data
        steps = [
            {"n": said[f"n{i}"] or 0, "c": said[f"c{i}"], "e": None}
            for i in range(len(self.part["steps"]))
        ]
        asked = [step["n"] for step in self.part["steps"]]
        if self.balls:
            steps = []  # The balls are counted instead.
        block = {"p": self.part["id"], "d": None, "s": steps, "min": said["minutes"]}
        block["as"] = [step["n"] for step in steps] == asked
        block |= {"stop": bool(said.get("stopped")), "last": self.week.is_last}
        return [block | ({"shots": self._shots()} if self.balls else {})]

    def _shots(self) -> dict[str, Any]:
        said = self.cleaned_data
        setting = {name: said[name] for name in ("device", "ball", "place")}
        roof = {"in": True, "out": False}.get(said["roof"])
        return setting | {"indoors": roof, "balls": self.balls}


class OtherForm(SessionForm):
    """Practice that nobody asked for: one line."""

    what = forms.ChoiceField(label="What", choices=[(what, WHAT_WORDS[what]) for what in WHAT])
    balls = forms.IntegerField(min_value=0, max_value=MOST_BALLS, required=False)
    hard = forms.IntegerField(
        label="Hard swings", min_value=0, max_value=MOST_BALLS, required=False
    )

    def blocks(self) -> list[dict[str, Any]]:
        said = self.cleaned_data
        block = {"p": None, "d": None, "w": said["what"], "s": [], "min": said["minutes"]}
        return [block | {"balls": said["balls"], "hard": said["hard"]}]


class AwayForm(forms.Form):
    """Days on which nothing is asked; no reason is needed."""

    entry = forms.UUIDField(widget=forms.HiddenInput)
    at = forms.CharField(widget=forms.HiddenInput, max_length=40)
    first = forms.DateField(label="First day", widget=forms.DateInput(attrs={"type": "date"}))
    last = forms.DateField(label="Last day", widget=forms.DateInput(attrs={"type": "date"}))
    kind = forms.ChoiceField(
        label="I am", choices=[("away", "away"), ("unwell", "unwell"), ("other", "neither")]
    )

    def __init__(self, *args: Any, today: date, now: datetime, **kwargs: Any) -> None:
        initial = {"entry": uuid4(), "at": now.isoformat(timespec="seconds")}
        days = {"first": today.isoformat(), "last": today.isoformat()}
        kwargs |= {"initial": initial | days, "label_suffix": ""}
        super().__init__(*args, **kwargs)
        self.today = today

    def document(self, student_id: UUID) -> dict[str, Any]:
        """The entry as a phone would send it."""
        said = self.cleaned_data
        return {
            "id": str(said["entry"]),
            "v": LATEST,
            "k": "away",
            "who": str(student_id),
            "day": str(self.today),
            "at": said["at"],
            "first": str(said["first"]),
            "last": str(said["last"]),
            "kind": said["kind"],
        }


def _count(label: str) -> forms.IntegerField:
    return forms.IntegerField(label=label, min_value=0, max_value=MOST_REPS, required=False)
