from django import forms

from studio.fields import ActForm, MassField, NumberField, VolumeField
from studio.room.forms.measuring import MeasuredSgMixin


class WaterForm(ActForm):
    """Water into the bucket."""

    water_l = VolumeField(label="Water in")

    def act_args(self):
        return {**super().act_args(), "raw": self.typed()}


class SieveForm(ActForm):
    """Through which sieve."""

    mesh = forms.IntegerField(
        min_value=10,
        max_value=635,
        label="Mesh (ASTM E11 number)",
        widget=forms.TextInput({"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={
            "invalid": "A mesh is a whole number, like 80.",
            "min_value": "The coarsest sieve here is 10 mesh.",
            "max_value": "The finest sieve there is has 635 mesh.",
        },
    )
    note = forms.CharField(required=False, max_length=200, label="What stayed on it, how often")


class GrossForm(ActForm):
    """The whole bucket on a scale."""

    gross_g = MassField(label="Bucket with everything in it, without lid", first_unit="kg")

    def act_args(self):
        return {**super().act_args(), "raw": self.typed()}


class BatchReadingForm(MeasuredSgMixin, ActForm):
    """An in-process reading: SG, and how deep the glaze stands."""

    depth_cm = NumberField(unit="cm", above=0, maximum=200, required=False, label="Depth with the stick")
    volume_l = VolumeField(required=False, label="or litres, if you know them")
    field_order = [*MeasuredSgMixin.field_order, "depth_cm", "volume_l"]

    def act_args(self):
        names = ("key", "sg", "u_sg", "depth_cm", "volume_l")
        return {**{n: self.cleaned_data.get(n) for n in names}, "raw": self.typed()}


class ReasonForm(ActForm):
    """Why."""

    reason = forms.CharField(max_length=200, label="Why?")


class DecisionForm(ActForm):
    """What was decided."""

    decision = forms.CharField(max_length=200, label="What was decided, and why?")
