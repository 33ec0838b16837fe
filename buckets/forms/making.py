"""Forms for making glaze into a bucket: beginning, abandoning, pouring."""

from typing import Any

from django import forms

from batches.models import Batch
from buckets.forms.acting import OTHER_BUCKET
from buckets.forms.asking import what_is_in
from buckets.forms.pickers import GravityField, VesselField
from buckets.forms.told import LookedAtField, ToldLevel
from buckets.models import Fill
from buckets.operations.pouring import brings_up
from studio.fields import ActForm


class BeginForm(ToldLevel, ActForm):
    """What is in the bucket now, measured again before weighing. Needed only when there is something."""

    sg = GravityField(label="Its specific gravity now")
    fill = LookedAtField()
    either = ("depth_cm", "volume_l")
    waives = ("sg",)  # of an empty bucket
    field_order = ["depth_cm", "volume_l", "sg"]

    def __init__(self, *args: Any, batch: Batch, there: Fill | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.batch, self.there = batch, there
        if there is None:
            for name in ("depth_cm", "volume_l", "sg"):
                del self.fields[name]
        else:
            asked = f"What is the specific gravity in {there.vessel.code} now?"
            self.fields["sg"].error_messages["required"] = asked

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        looked_at = cleaned.get("fill")
        cleaned["fill"] = Fill.objects.filter(pk=looked_at).first() if looked_at else None
        if looked_at and cleaned["fill"] is None:
            self.add_error(None, OTHER_BUCKET)
        cleaned["told_l"] = None
        if self.there is None:
            return cleaned
        cleaned["told_l"] = self.told(self.there.vessel)
        if cleaned["told_l"] is None and not {"depth_cm", "volume_l"} & set(self.errors):
            self.add_error("depth_cm", f"How much is in {self.there.vessel.code} now? Depth or litres.")
        return cleaned

    def act_args(self) -> dict[str, Any]:
        names = ("key", "fill", "depth_cm", "volume_l", "sg")
        return {**{name: self.cleaned_data.get(name) for name in names}, "raw": self.typed()}

    def to_send(self) -> list[tuple[str, str]]:
        """Hidden inputs that begin with exactly what was worked out."""
        names = ("depth_cm", "volume_l_0", "volume_l_1", "sg")
        kept = [(name, self.data[name]) for name in names if self.data.get(name)]
        return kept + ([("fill", str(self.there.pk))] if self.there else [])


class AbandonForm(ActForm):
    """Why a batch is given up, and whether the glaze in the bucket was touched."""

    reason = forms.CharField(
        label="Why, and what became of what was weighed",
        max_length=200,
        error_messages={"required": "Say why, and what became of what was weighed."},
    )
    mixed = forms.BooleanField(
        label="Some of it went into the glaze in the bucket",
        help_text="Then the bucket stays held until somebody has decided about it.",
        required=False,
    )


class PourForm(ToldLevel, ActForm):
    """Into which bucket, and how much."""

    vessel = VesselField(label="Into which bucket", error_messages={"required": "Into which bucket?"})
    field_order = ["vessel", "depth_cm", "volume_l"]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("vessel") is not None:
            self.told(cleaned["vessel"], on_record=self.initial.get("volume_l"))
        return cleaned

    def act_args(self) -> dict[str, Any]:
        return {**super().act_args(), "raw": self.typed()}


def fill_of(batch: Batch) -> Fill | None:
    """What is in the bucket that a batch is to bring up; None when there is nothing to measure."""
    return what_is_in(batch.vessel) if batch.vessel and brings_up(batch) else None
