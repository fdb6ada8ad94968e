"""What a coach typed into Set the week: rows of text, moved about, and read as parts."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from django import forms
from django.http import QueryDict
from django.utils.html import format_html
from django.utils.safestring import SafeString

from practice.drills.dose import Dose, DoseError, parse
from practice.drills.models import Drill, DrillRevision
from practice.weeks.places import PLACE_WORDS
from practice.weeks.plan import MOST_MINUTES, MOST_PARTS, MOST_SESSIONS, PartSpec
from shared.people.models import Studio

MOST_DRILLS = 400
FIELDS = ("id", "drill", "dose", "sessions", "minutes", "places", "cue", "note")
NOTE_LENGTH = 600
USUAL_VISITS = 3
# What can be wrong with a number; the limits' own validators say it by these codes too.
CODES = ("required", "invalid", "min_value", "max_value")


@dataclass(frozen=True, slots=True)
class ShelfDrill:
    """What Set the week needs to know of a drill."""

    pk: UUID
    name: str
    area: str
    # As it stands on the shelf.
    heading: str
    dose: str
    cue: str
    purpose: str
    seconds_per_rep: int
    needs_ball: bool
    is_archived: bool
    test: DrillRevision | None = None


def shelf_of(studio: Studio) -> dict[UUID, ShelfDrill]:
    """The studio's drills by id, by area and name. One query."""
    drills = (
        Drill.objects.filter(studio=studio, current__isnull=False)
        .select_related("current", "tested_by__current")
        .order_by("is_test", "current__area", "current__name")
    )
    return {drill.pk: _shelf_drill(drill) for drill in drills[:MOST_DRILLS]}


def _shelf_drill(drill: Drill) -> ShelfDrill:
    now = drill.current
    if now is None:
        raise ValueError("A drill on the shelf has words.")
    return ShelfDrill(
        pk=drill.pk,
        name=now.name,
        area=now.area,
        heading="Tests" if drill.is_test else now.get_area_display().capitalize(),
        dose=now.dose,
        cue=now.cue,
        purpose=now.purpose,
        seconds_per_rep=now.seconds_per_rep,
        needs_ball=now.needs_ball,
        is_archived=drill.archived_at is not None,
        test=drill.tested_by.current if drill.tested_by else None,
    )


# --- rows as typed ----------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Typed:
    """The form as it stands: rows of raw text and the words to the student."""

    rows: tuple[dict[str, Any], ...] = ()
    note: str = ""

    def as_json(self) -> dict[str, Any]:
        return {"rows": list(self.rows), "note": self.note}


def from_post(post: QueryDict) -> Typed:
    """Read the form, whatever is in it. Text is cut at what a field can hold, twice over."""
    count = post.get("rows", "0")
    number = min(int(count), MOST_PARTS + 1) if count.isdecimal() and len(count) < 4 else 0
    rows = tuple(_row_from_post(post, n) for n in range(number))
    return Typed(rows, post.get("note", "")[: 2 * NOTE_LENGTH])


def _row_from_post(post: QueryDict, n: int) -> dict[str, Any]:
    row: dict[str, Any] = {name: post.get(f"p{n}-{name}", "")[:600] for name in FIELDS}
    row["by_total"] = bool(post.get(f"p{n}-by_total"))
    row["days"] = [day for day in post.getlist(f"p{n}-days")[:7] if day in set("0123456")]
    return row


def from_json(kept: Mapping[str, Any]) -> Typed:
    return Typed(tuple(kept.get("rows", ())), kept.get("note", ""))


def from_specs(specs: Sequence[PartSpec], note: str, shelf: Mapping[UUID, ShelfDrill]) -> Typed:
    return Typed(tuple(_row_from_spec(spec, shelf.get(spec.drill)) for spec in specs), note)


def _row_from_spec(spec: PartSpec, drill: ShelfDrill | None) -> dict[str, Any]:
    usual = spec.dose.minutes(drill.seconds_per_rep) if drill else None
    return {
        "id": str(spec.id) if spec.id else "",
        "drill": str(spec.drill),
        "dose": str(spec.dose),
        "sessions": str(spec.sessions),
        # Left empty where it follows from the dose, so that it goes on following.
        "minutes": "" if spec.minutes == usual else f"{spec.minutes:g}",
        "by_total": spec.by_total,
        **days_of(spec),
        "cue": spec.cue,
        "note": spec.note,
    }


def as_fitted(row: dict[str, Any], was: PartSpec, now: PartSpec) -> dict[str, Any]:
    """The row on its days, with as much less as the week may ask."""
    less: dict[str, Any] = {}
    if now.sessions != was.sessions:
        less["sessions"] = str(now.sessions)
    if now.dose != was.dose:
        less |= {"dose": str(now.dose), "minutes": row["minutes"] and f"{now.minutes:g}"}
    return row | less | days_of(now)


def days_of(spec: PartSpec) -> dict[str, Any]:
    """The fixed days of a row, and where the session of each is meant to be: '0:net 3:range'."""
    return {
        "days": [str(day) for day in spec.days],
        "places": " ".join(f"{day}:{place}" for day, place in spec.places),
    }


def new_row(drill: ShelfDrill, visits: int = USUAL_VISITS) -> dict[str, Any]:
    """A part with the drill's own dose, so many times, free within the week."""
    blank: dict[str, Any] = dict.fromkeys(FIELDS, "")
    return blank | {
        "drill": str(drill.pk),
        "dose": drill.dose,
        "sessions": str(visits),
        "by_total": False,
        "days": [],
    }


def arrange(
    typed: Typed,
    do: str,
    shelf: Mapping[UUID, ShelfDrill],
    add: Sequence[str],
    visits: Mapping[UUID, int],
) -> Typed:
    """Add parts, or move or remove one: 'add', 'up:2', 'down:0', 'remove:1'.

    `visits`: how often, of drills of which a draw says so.
    """
    rows = list(typed.rows)
    verb, _, place = do.partition(":")
    if verb == "add":
        drills = {str(pk): drill for pk, drill in shelf.items()}
        added = [drills[pk] for pk in add if pk in drills]
        rows += [new_row(drill, visits.get(drill.pk, USUAL_VISITS)) for drill in added]
        return replace(typed, rows=tuple(rows[: max(MOST_PARTS, len(typed.rows))]))
    n = int(place) if place.isdecimal() and len(place) < 3 else len(rows)
    to = n + {"up": -1, "down": 1, "remove": 0}.get(verb, 0)
    if n < len(rows) and 0 <= to < len(rows):
        row = rows.pop(n)
        if verb != "remove":
            rows.insert(to, row)
    return replace(typed, rows=tuple(rows))


# --- rows as parts -------------------------------------------------------------------


class RowForm(forms.Form):
    """One row read as a part; `spec` is there when it is valid."""

    id = forms.UUIDField(required=False)
    drill = forms.UUIDField(error_messages=dict.fromkeys(CODES, "Choose a drill."))
    dose = forms.CharField(required=False, max_length=200)
    sessions = forms.IntegerField(min_value=1, max_value=MOST_SESSIONS)
    minutes = forms.FloatField(required=False, min_value=0.5, max_value=MOST_MINUTES)
    by_total = forms.BooleanField(required=False)
    days = forms.TypedMultipleChoiceField(
        required=False, coerce=int, choices=[(n, str(n)) for n in range(7)]
    )
    places = forms.CharField(required=False, max_length=200)
    cue = forms.CharField(required=False, max_length=160)
    note = forms.CharField(required=False, max_length=300)

    def __init__(self, row: Mapping[str, Any], shelf: Mapping[UUID, ShelfDrill]) -> None:
        super().__init__(row)
        self.shelf = shelf
        self.marked_dose: SafeString | None = None
        for name, words in {
            "sessions": f"Write between 1 and {MOST_SESSIONS} visits a week, such as 3.",
            "minutes": f"Write up to {MOST_MINUTES:.0f} minutes a visit, such as 12.",
        }.items():
            self.fields[name].error_messages |= dict.fromkeys(CODES, words)

    def clean_drill(self) -> ShelfDrill:
        drill = self.shelf.get(self.cleaned_data["drill"])
        if drill is None:
            raise forms.ValidationError("This drill is not on your shelf. Choose another.")
        return drill

    def clean_dose(self) -> Dose | None:
        drill = self.cleaned_data.get("drill")
        text = self.cleaned_data["dose"] or (drill.dose if drill else "")
        if not text and drill is None:
            return None
        try:
            return parse(text)
        except DoseError as error:
            self.marked_dose = format_html(
                "{}<mark>{}</mark>{}",
                text[: error.start],
                error.word or " ",
                text[error.end :],
            )
            raise forms.ValidationError(error.message) from error

    def clean(self) -> dict[str, Any]:
        read = super().clean() or self.cleaned_data
        if not self.errors and len(set(read["days"])) > read["sessions"]:
            self.add_error(
                "days",
                "More days are fixed than there are visits. Untick a day or ask for more visits.",
            )
        if not self.errors and self.session_minutes > MOST_MINUTES:
            self.add_error(
                "dose",
                f"That would take {self.session_minutes:.0f} minutes a visit. Ask for less.",
            )
        return read

    @property
    def session_minutes(self) -> float:
        """Minutes of one session: as typed, else as long as the dose takes."""
        read = self.cleaned_data
        return float(read["minutes"] or read["dose"].minutes(read["drill"].seconds_per_rep))

    @property
    def day_places(self) -> tuple[tuple[int, str], ...]:
        """A place goes with its day: of a day that was moved by hand none is known."""
        pairs = (word.partition(":") for word in self.cleaned_data["places"].split())
        known = {day: place for day, _, place in pairs if place in PLACE_WORDS}
        days = sorted(set(self.cleaned_data["days"]))
        return tuple((day, known[str(day)]) for day in days if str(day) in known)

    @property
    def spec(self) -> PartSpec:
        read = self.cleaned_data
        return PartSpec(
            drill=read["drill"].pk,
            dose=read["dose"],
            sessions=read["sessions"],
            minutes=self.session_minutes,
            by_total=read["by_total"],
            days=tuple(sorted(set(read["days"]))),
            places=self.day_places,
            cue=read["cue"],
            note=read["note"],
            id=read["id"],
        )
