"""Forms for side cups, and the squeeze bottle that thickens by standing open."""

from decimal import Decimal

from django import forms

from buckets.forms.acting import FillForm, RawMixin
from buckets.forms.pickers import GravityField
from buckets.operations.cups import GONE
from studio.fields import ActForm, VolumeField


class CupForm(RawMixin, FillForm):
    """How much, and how thick."""

    volume_l = VolumeField(
        label="How much you need",
        first_unit="mL",
        error_messages={"required": "How much do you need?"},
    )
    to_sg = GravityField(
        label="How thick it should be",
        help_text="Its specific gravity, like 1.38.",
        error_messages={"required": "How thick should it be? Like 1.38."},
    )


class CupGoneForm(ActForm):
    how = forms.ChoiceField(
        label="What became of it",
        choices=[(word, word) for word in GONE],
        widget=forms.RadioSelect,
        error_messages={
            "required": "Used up, or thrown away?",
            "invalid_choice": "Used up, or thrown away?",
        },
    )


class BottleForm(forms.Form):
    """Asked by the address: nothing is written, so it needs no key."""

    bottle = VolumeField(label="How much is wanted in the bottle", first_unit="mL", maximum=5, required=False)
    bottle_sg = GravityField(label="How thick", required=False)

    def clean(self) -> dict[str, Decimal | None]:
        cleaned = super().clean() or {}
        for name, other in (("bottle", "bottle_sg"), ("bottle_sg", "bottle")):
            if not self.errors and cleaned.get(name) is None and cleaned.get(other) is not None:
                self.add_error(name, "Say both: how much, and how thick.")
        return cleaned
