"""The studio's lines as a form: each with its name, unit, default, and why it is that."""

from dataclasses import dataclass
from typing import Any

from django import forms

from coaching.forecast.models import StudioThresholds
from coaching.forecast.own_thresholds import COLUMNS


@dataclass(frozen=True, slots=True)
class Explained:
    label: str
    why: str


EXPLAINED = {
    "finish_percent": Explained(
        "A week counts as finished from this share of its work, in percent",
        "Four fifths keep a move alive. If we asked for all of it, most good weeks would count as "
        "unfinished.",
    ),
    "in_step_percent": Explained(
        "“In step” when this share of such weeks was finished, in percent",
        "From here on the student’s own weeks say it is likely.",
    ),
    "tight_percent": Explained(
        "“Tight” when this share of such weeks was finished, in percent",
        "Below this, fewer than one such week in three was finished. It is worth a word now.",
    ),
    "weeks_needed": Explained(
        "Past weeks needed for a word",
        "With fewer weeks one odd week would decide. Until then it is too soon to say.",
    ),
    "quiet_days": Explained(
        "No word after at least so many days",
        "A weekend and a busy day are no silence, whoever the student is.",
    ),
    "quiet_times": Explained(
        "No word after so many times the longest gap",
        "Whoever writes once a week is not quiet after five days. Each is compared with their own "
        "past.",
    ),
    "jump_times": Explained(
        "Hard swings jump from so many times the usual",
        "Half as much again as in four weeks before is worth a question.",
    ),
    "jump_rise": Explained(
        "and a rise of at least so many swings",
        "From a low start, a few swings more are no jump.",
    ),
    "jump_rise_under_16": Explained(
        "The same rise for those under 16", "The young are asked about sooner."
    ),
    "first_ceiling": Explained(
        "Most hard swings in a first week",
        "Without three known weeks there is no usual to compare with (common practice).",
    ),
    "first_ceiling_under_16": Explained(
        "The same for those under 16", "Lower for the young, for the same reason."
    ),
    "cram_percent": Explained(
        "Crammed from this share of the minutes, in percent",
        "Practice in the two days before a lesson lasts less than a spread.",
    ),
    "cram_points": Explained(
        "and so many points above the plan’s share",
        "If the plan was for the last two days, it is no cramming.",
    ),
    "as_asked_percent": Explained(
        "Ask about counts when this share is exactly as asked, in percent",
        "Real counts vary a little. When nearly all are as asked, one clip tells more.",
    ),
    "event_days": Explained(
        "An event is near within so many days",
        "This close to it nothing new helps, so it is said on the board.",
    ),
}


class BordersForm(forms.ModelForm):
    """Ends are the model's; the default stands with each reason."""

    class Meta:
        model = StudioThresholds
        fields = COLUMNS

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.label_suffix = ""
        start = self.defaults()
        for name, explained in EXPLAINED.items():
            field = self.fields[name]
            field.label = explained.label
            field.help_text = f"{explained.why} We start from {start[name]}."

    @staticmethod
    def defaults() -> dict[str, Any]:
        fresh = StudioThresholds()
        return {name: getattr(fresh, name) for name in COLUMNS}
