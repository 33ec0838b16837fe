from typing import Any

from django import forms
from django.core.validators import RegexValidator

from studio.fields import MassField, NumberField
from studio.room.forms.kept import KeptForm
from studio.room.models import Vessel
from studio.room.operations.vessels import VESSEL_CODE


def size(label: str, hint: str) -> NumberField:
    """An inner size in cm; a glaze bucket is under two metres."""
    return NumberField(label=label, help_text=hint, unit="cm", above=0, maximum=200)


class VesselForm(KeptForm):
    """The sizes of a bucket, measured inside."""

    bottom_cm = size("Inner diameter at the floor", "Across the inside, where the wall begins.")
    top_cm = size("Inner diameter at the brim", "Across the inside at the very top.")
    height_cm = size("Inner height, floor to brim", "Along the middle, not along the wall.")
    empty_g = MassField(
        label="Empty weight", help_text="Clean and dry, without its lid.", first_unit="kg", maximum=50_000
    )
    offset_l = NumberField(
        label="Measured litres less the reckoned ones",
        help_text="Leave empty unless you weighed water in: a foot ring or round corners make a difference.",
        unit="L",
        minimum=-20,
        maximum=20,
        required=False,
    )
    place = forms.CharField(
        label="Place", help_text="Where it stands: shelf A1.", max_length=60, required=False
    )

    def act_args(self) -> dict[str, Any]:
        args = super().act_args()
        args["offset_l"] = args["offset_l"] or 0
        return args

    def sizes(self) -> Vessel | None:
        """A vessel of the sizes typed so far, or None while one is missing or wrong."""
        names = ("bottom_cm", "top_cm", "height_cm")
        self.is_valid()
        sizes = {name: self.cleaned_data.get(name) for name in names}
        if None in sizes.values():
            return None
        return Vessel(offset_l=self.cleaned_data.get("offset_l") or 0, **sizes)


class NewVesselForm(VesselForm):
    """A bucket new to the room."""

    code = forms.CharField(
        label="Code",
        help_text="As written on the bucket: at most 12 letters, digits and dashes, like B07.",
        max_length=12,
        validators=[RegexValidator(f"^{VESSEL_CODE}$", "Only letters, digits and dashes, like B07.")],
    )
    field_order = ["key", "code"]


class PlaceForm(KeptForm):
    """Where a bucket stands now."""

    place = forms.CharField(label="It stands now at", max_length=60)
