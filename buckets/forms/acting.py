"""Forms for acts on one fill. The page's form says which fill it was opened for."""

from typing import Any

from django import forms

from buckets.models import Fill
from buckets.using import piece_ml
from studio.fields import ActForm, MassField, NumberField, VolumeField
from studio.room import policy

FINEST_MESH = 635  # the last sieve of the series (ASTM E11, table opened)
OTHER_BUCKET = "This form was made for another bucket. Nothing was saved; open the page of the bucket again."


class FillForm(ActForm):
    """An act on a fill. ``fill`` is the one the person looked at; None: the page could not tell."""

    def __init__(self, *args: Any, fill: Fill | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fill = fill

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean()
        if self.fill is None:
            self.add_error(None, OTHER_BUCKET)
        return cleaned


class RawMixin(ActForm):
    """Keeps what was typed beside what it was read as."""

    def act_args(self) -> dict[str, Any]:
        return {**super().act_args(), "raw": self.typed()}


class StirForm(FillForm):
    """Stirred: nothing to type."""


class WaterForm(RawMixin, FillForm):
    volume_l = VolumeField(label="Water that went in", error_messages={"required": "How much water went in?"})
    note = forms.CharField(
        label="Note",
        help_text="Where it came from, if that matters: rinse water, the tap.",
        required=False,
        max_length=200,
        error_messages={"max_length": "A note has at most 200 letters."},
    )


class SieveForm(RawMixin, FillForm):
    mesh = forms.IntegerField(
        label="Mesh of the sieve",
        help_text="The finest it went through: 80 for most glazes, 100 to 120 for colourants.",
        required=False,
        min_value=1,
        max_value=FINEST_MESH,
        widget=forms.TextInput({"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={
            "invalid": "A mesh is a whole number, like 80.",
            "min_value": f"A mesh is a number from 1 to {FINEST_MESH}, like 80.",
            "max_value": f"A mesh is a number from 1 to {FINEST_MESH}, like 80.",
        },
    )
    residue_g = MassField(label="What stayed on it", help_text="Weighed, wet as it is.", required=False)
    rinse_l = VolumeField(
        label="Rinse water that went into the bucket",
        help_text="It counts as water in.",
        first_unit="mL",
        required=False,
    )
    note = forms.CharField(
        label="Note",
        help_text="A few hard bits, a hair, blue specks.",
        required=False,
        max_length=200,
        error_messages={"max_length": "A note has at most 200 letters."},
    )


class UseForm(RawMixin, FillForm):
    """Litres, or pieces, or both. Pieces alone are taken for about as much as such pieces take."""

    volume_l = VolumeField(
        label="Glaze you used",
        help_text="Left empty: about as much as that many pieces take.",
        first_unit="mL",
        required=False,
    )
    pieces = forms.IntegerField(
        label="For how many pieces",
        required=False,
        min_value=1,
        max_value=1000,
        widget=forms.TextInput({"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={
            "invalid": "Pieces are counted in whole numbers.",
            "min_value": "At least one piece, or leave this empty.",
            "max_value": "At most 1000 pieces in one entry.",
        },
    )
    either = ("volume_l", "pieces")

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean() or {}
        if {"volume_l", "pieces"} & set(self.errors) or cleaned.get("volume_l") is not None:
            return cleaned
        pieces = cleaned.get("pieces")
        if pieces is None:
            self.add_error("volume_l", "How much did you use? An estimate is better than nothing.")
        elif self.fill is not None:
            cleaned["volume_l"] = pieces * piece_ml(self.fill, policy.in_force()) / 1000
        return cleaned


class TakeBackForm(ActForm):
    reason = forms.CharField(
        label="What was wrong with it",
        help_text="Other bucket, slip of the finger, scale not on nought.",
        max_length=200,
        error_messages={"required": "Say what was wrong with it.", "max_length": "At most 200 letters."},
    )


class LevelFields(forms.Form):
    """How much is in the bucket: the depth on the stick or litres."""

    depth_cm = NumberField(
        label="Depth on the stick",
        help_text="Stir first, then read the wet mark.",
        unit="cm",
        minimum=0,
        maximum=500,
        required=False,
    )
    volume_l = VolumeField(label="or the litres", required=False)

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean() or {}
        if cleaned.get("depth_cm") is not None and cleaned.get("volume_l") is not None:
            self.add_error("volume_l", "Give the depth or the litres, not both: which one counts?")
        return cleaned
