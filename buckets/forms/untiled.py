"""Forms for a release before the tile is fired, and for the tile that comes after."""

from typing import Any

from django import forms

from buckets.forms.acting import FillForm

LETTERS = "At most 200 letters."


class UntiledForm(FillForm):
    reason = forms.CharField(
        label="Why it can't wait for its tile",
        help_text="Class on Thursday, the kiln is full until Monday.",
        max_length=200,
        error_messages={"required": "Say why it can't wait for its tile.", "max_length": LETTERS},
    )


class JudgeTileForm(FillForm):
    """Good or bad, and what it shows."""

    tile = forms.ChoiceField(
        label="The tile is",
        choices=[("good", "good"), ("bad", "bad: hold the bucket")],
        widget=forms.RadioSelect,
        error_messages={"required": "Good or bad?", "invalid_choice": "Good or bad?"},
    )
    words = forms.CharField(
        label="What it shows",
        help_text="Beside the tile of the recipe, in the same light.",
        max_length=200,
        error_messages={"required": "Say what the tile shows.", "max_length": LETTERS},
    )

    def act_args(self) -> dict[str, Any]:
        said = super().act_args()
        said["good"] = said.pop("tile") == "good"
        return said
