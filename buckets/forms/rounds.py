"""Forms of a round along the shelf."""

from typing import Any

from django import forms

from buckets.forms.acting import OTHER_BUCKET
from buckets.models import Fill, Round
from studio.fields import ActForm


class BeginRoundForm(ActForm):
    kind = forms.ChoiceField(
        choices=Round.Kind.choices,
        label="Which round",
        widget=forms.RadioSelect,
        error_messages={"required": "Choose the opening or the closing round."},
    )


class StopForm(ActForm):
    """One bucket: seen, stirred, or passed by with a word why."""

    fill = forms.ModelChoiceField(
        Fill.objects.select_related("vessel"),
        widget=forms.HiddenInput,
        error_messages={"required": OTHER_BUCKET, "invalid_choice": OTHER_BUCKET},
    )
    done = forms.ChoiceField(
        choices=[("stirred", "stirred"), ("seen", "seen"), ("passed", "passed by")],
        error_messages={
            "required": "Stirred, seen, or passed by?",
            "invalid_choice": "Stirred, seen, or passed by?",
        },
    )
    note = forms.CharField(
        label="Why it is passed by",
        help_text="Someone is dipping, the lid is stuck.",
        required=False,
        max_length=200,
        error_messages={"max_length": "At most 200 letters."},
    )

    def act_args(self) -> dict[str, Any]:
        said = super().act_args()
        done = said.pop("done")
        return {**said, "stirred": done == "stirred", "passed": done == "passed"}
