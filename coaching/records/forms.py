"""The form by which erasure is asked for."""

from django import forms

from coaching.records.models import WHY_LENGTH


class EraseForm(forms.Form):
    why = forms.CharField(
        label="Why",
        required=False,
        max_length=WHY_LENGTH,
        help_text="For whoever reads that it was asked. It goes with the rest.",
        error_messages={"max_length": f"Write it in {WHY_LENGTH} characters at most."},
    )
    sure = forms.BooleanField(
        label="I know that it cannot be brought back after that day",
        error_messages={"required": "Tick this line first. Without it nothing is erased."},
    )
