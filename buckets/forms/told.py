"""How much is in a bucket, as somebody tells it."""

from decimal import Decimal

from django import forms

from buckets.told import told_litres
from studio.errors import Refused
from studio.fields import NumberField, VolumeField
from studio.room.models import Vessel


class ToldLevel(forms.Form):
    """How much is in a bucket: depth, litres, or both when they agree."""

    depth_cm = NumberField(label="Depth with the stick", unit="cm", minimum=0, maximum=500, required=False)
    volume_l = VolumeField(label="or litres, if you know better", above=None, required=False)

    def told(self, vessel: Vessel, *, on_record: Decimal | None = None) -> Decimal | None:
        """Litres told for ``vessel``; a disagreement is put beside the field.

        Litres that still stand as the page filled them in (``on_record``) give way to a depth.
        """
        depth_cm, volume_l = self.cleaned_data.get("depth_cm"), self.cleaned_data.get("volume_l")
        try:
            return told_litres(vessel, depth_cm=depth_cm, volume_l=volume_l)
        except Refused as refusal:
            if depth_cm is not None and volume_l is not None and volume_l == on_record:
                self.cleaned_data["volume_l"] = None
                return self.told(vessel)
            self.add_error(refusal.field, refusal.sentence)
            return None


class LookedAtField(forms.IntegerField):
    """Which fill the page showed when its form was made; hidden, so its sentence is for the whole form."""

    def __init__(self) -> None:
        super().__init__(required=False, min_value=1, max_value=2**63 - 1, widget=forms.HiddenInput)

    def clean(self, value):
        try:
            return super().clean(value)
        except forms.ValidationError:
            return -1  # no fill has this number, so it is another one than the bucket holds
