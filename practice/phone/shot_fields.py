"""Fields of the plain page for what is measured ball by ball."""

from django import forms

from practice.drills.models import Measures
from practice.log.measured import CLUB_LENGTH, NAME_LENGTH
from practice.log.shot_figures import FIGURES, LENGTHS
from practice.phone.typed_balls import EXAMPLE
from practice.shots.models import Shot
from practice.shots.odd import SURE
from shared.kit.units import DISTANCE, SPEED, Unit
from shared.people.models import User

MOST_TYPED = 10_000
LENGTH_WORDS = dict(Shot.Length.choices)
SHOT_FIELDS = ("shots", "club", "length", "device", "ball", "place", "roof")


def unit_of(measure: str, reader: User) -> Unit:
    if FIGURES[measure].unit == "m":
        return DISTANCE[reader.distance_unit]
    return SPEED[reader.speed_unit]


def shot_fields_of(measure: str, unit: Unit) -> dict[str, forms.Field]:
    """A box for the balls, and what they were hit and measured with."""

    def words(label: str, longest: int, hint: str = "") -> forms.CharField:
        return forms.CharField(label=label, max_length=longest, required=False, help_text=hint)

    name = Measures(measure).label
    fields: dict[str, forms.Field] = {
        "shots": forms.CharField(
            label=f"{str(name).capitalize()} of each ball in {unit.sign}, one a line",
            required=False,
            max_length=MOST_TYPED,
            help_text=f"In the order they were hit: {EXAMPLE}. Then leave the counts above.",
            widget=forms.Textarea(attrs={"rows": 4, "autocomplete": "off"}),
        ),
        "club": words("Club", CLUB_LENGTH, "For lines that name none."),
    }
    if measure == Measures.CARRY:
        choices = [("", "not said"), *((length, LENGTH_WORDS[length]) for length in LENGTHS)]
        fields["length"] = forms.ChoiceField(label="Swing", choices=choices, required=False)
    roofs = [("", "not said"), ("in", "indoors"), ("out", "outdoors")]
    return fields | {
        "device": words("Device", NAME_LENGTH, "Empty if it was judged by eye."),
        "ball": words("Ball", NAME_LENGTH),
        "place": words("Place", NAME_LENGTH),
        "roof": forms.ChoiceField(label="Roof", choices=roofs, required=False),
        "sure": forms.BooleanField(label=SURE, required=False),
    }
