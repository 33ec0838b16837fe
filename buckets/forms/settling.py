"""The form for one look at how fast a glaze settles."""

from typing import Any

from django import forms

from buckets.forms.acting import FillForm, RawMixin
from buckets.models import Settling
from studio.fields import NumberField

HIGHEST = "2.2"  # no glaze slurry is denser; common practice, no source


class SettlingForm(RawMixin, FillForm):
    kind = forms.ChoiceField(
        label="What you did",
        choices=[
            (Settling.Kind.TOP_SAMPLE.value, "weighed a sample from dip depth: the better way"),
            (Settling.Kind.CLEAR_LAYER.value, "looked at the clear layer in a jar"),
        ],
        widget=forms.RadioSelect,
        error_messages={
            "required": "A sample from dip depth, or a clear layer in a jar: which one?",
            "invalid_choice": "A sample from dip depth, or a clear layer in a jar: which one?",
        },
    )
    minutes = NumberField(
        label="How long it stood after stirring",
        unit="min",
        above=0,
        maximum=1440,
        places=1,
        error_messages={"required": "How long did it stand after stirring?"},
    )
    top_sg = NumberField(
        label="Specific gravity of the sample",
        help_text="Drawn from dip depth without stirring.",
        minimum=1,
        maximum=HIGHEST,
        places=4,
        required=False,
    )
    clear_mm = NumberField(
        label="Clear water on top", unit="mm", above=0, maximum=500, places=1, required=False
    )
    sg = NumberField(
        label="Specific gravity when stirred",
        help_text="Left empty: the last reading of a technician.",
        above=1,
        maximum=HIGHEST,
        places=4,
        required=False,
    )
    temperature_c = NumberField(
        label="Temperature", unit="°C", minimum=0, maximum=40, places=1, required=False
    )
    note = forms.CharField(
        label="Note",
        required=False,
        max_length=200,
        error_messages={"max_length": "A note has at most 200 letters."},
    )
    either = ("top_sg", "clear_mm")

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean() or {}
        wanted = {"top sample": "top_sg", "clear layer": "clear_mm"}.get(cleaned.get("kind", ""))
        if wanted is None or wanted in self.errors:
            return cleaned
        if cleaned.get(wanted) is None:
            self.add_error(wanted, ASKED[wanted])
        other = "clear_mm" if wanted == "top_sg" else "top_sg"
        if cleaned.get(other) is not None:
            self.add_error(other, "One way at a time: clear this, or keep it as a second look.")
        return cleaned


ASKED = {
    "top_sg": "What did the sample from dip depth come to, as specific gravity?",
    "clear_mm": "How many mm of clear water stood on top? None yet: wait longer.",
}
