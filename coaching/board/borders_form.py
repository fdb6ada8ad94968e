"""The studio's lines as a form: each with its name, unit, default, and why it is that."""

from dataclasses import dataclass
from typing import Any

from django import forms

from coaching.standing.borders import COLUMNS
from coaching.standing.models import StudioThresholds


@dataclass(frozen=True, slots=True)
class Explained:
    label: str
    why: str


EXPLAINED = {
    "finish_percent": Explained(
        "Enough of a week is, percent of the asked work",
        "An outlook asks whether this much will be done: four fifths keep a move alive, and "
        "asking for all would call most good weeks unfinished.",
    ),
    "in_step_percent": Explained(
        "In step from, percent of such weeks",
        "From here on the student's own weeks say it is more likely than not, with a margin.",
    ),
    "tight_percent": Explained(
        "Tight from, percent of such weeks",
        "Below this fewer than one in three such weeks came through, so it is worth a word now.",
    ),
    "weeks_needed": Explained(
        "Past weeks needed for a word",
        "With fewer weeks one odd one decides the word; until then it is too soon to say.",
    ),
    "quiet_days": Explained(
        "No word after at least, days",
        "A weekend and a busy day are no silence, whoever the student is.",
    ),
    "quiet_times": Explained(
        "No word after, times the longest usual gap",
        "Whoever writes once a week is not quiet after five days: each is compared with "
        "themselves.",
    ),
    "jump_times": Explained(
        "Hard swings jump from, times the usual",
        "Half as much again as the four weeks before is a reason to ask what changed.",
    ),
    "jump_rise": Explained(
        "and a rise of at least, swings",
        "A few swings more on a low base are no jump, whatever the ratio.",
    ),
    "jump_rise_under_16": Explained(
        "the same under 16, swings", "The young are asked about sooner."
    ),
    "first_ceiling": Explained(
        "Hard swings in the first weeks at most",
        "Without three known weeks there is no usual to compare with (common practice).",
    ),
    "first_ceiling_under_16": Explained(
        "the same under 16", "Lower for the young, for the same reason."
    ),
    "cram_percent": Explained(
        "Crammed from, percent of the minutes",
        "Most of a week's minutes in the two days before a lesson keep less well than a spread.",
    ),
    "cram_points": Explained(
        "and above the plan's share by, points",
        "A plan for the last two days that was followed is no cramming.",
    ),
    "as_asked_percent": Explained(
        "Counts exactly as asked are a question from, percent",
        "Real counts vary a little; when nearly all are as asked, one clip tells more.",
    ),
    "event_days": Explained(
        "An event is near within, days",
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
