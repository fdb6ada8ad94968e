"""What a coach sets for a block of speed practice."""

from typing import Any

from django import forms

from practice.shots.models import SpeedBlock
from shared.kit.units import SPEED
from shared.people.models import Student

DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
# Metres a second; wide of everything that was hit (common practice, no source).
LEAST, MOST = 5.0, 120.0


class SpeedField(forms.CharField):
    """A speed in the coach's unit, kept in metres a second; 155,5 and 155.5 are the same."""

    def __init__(self, *, unit: str, **kwargs: Any) -> None:
        self.speed = SPEED[unit]
        super().__init__(required=False, max_length=8, **kwargs)

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        least, most = self.speed.from_si(LEAST), self.speed.from_si(MOST)
        try:
            speed = self.speed.to_si(float(text.replace(",", ".")))
        except ValueError:
            speed = 0.0
        if not LEAST <= speed <= MOST:
            raise forms.ValidationError(
                f"Write a number from {least:.0f} to {most:.0f} {self.speed.sign}, or nothing."
            )
        return speed

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        return super().widget_attrs(widget) | {"inputmode": "decimal", "autocomplete": "off"}


class BlockForm(forms.Form):
    """When the block starts, and the everyday speeds aimed at."""

    starts_on = forms.DateField(
        label="Block starts on",
        required=False,
        widget=DAY,
        help_text="The first four test days from then on are the start. Empty: from the first day.",
    )

    def __init__(self, *args: Any, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        sign = SPEED[unit].sign
        for name, words in (("ball_speed", "Ball speed"), ("club_speed", "Club speed")):
            self.fields[name] = SpeedField(unit=unit, label=f"{words} aimed at, {sign}")


def first_values(student: Student, unit: str) -> dict[str, Any]:
    """The block as it stands, in the coach's unit."""
    block = SpeedBlock.objects.filter(student=student).first()
    if block is None:
        return {}
    aims = {"ball_speed": block.ball_speed, "club_speed": block.club_speed}
    return {"starts_on": block.starts_on} | {
        name: f"{SPEED[unit].from_si(aim):.1f}" for name, aim in aims.items() if aim is not None
    }
