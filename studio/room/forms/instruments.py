from django import forms

from studio.fields import MassField, NumberField
from studio.room.forms.kept import KeptForm
from studio.room.models import Glass


class ScaleForm(KeptForm):
    """What stands on a scale's plate."""

    name = forms.CharField(label="Name", help_text="What people call it: fine scale.", max_length=40)
    division_g = MassField(
        label="Smallest step it shows",
        help_text="The division d on its plate: 0.1 g, 1 g, 5 g.",
        maximum=1000,
    )
    capacity_g = MassField(
        label="Most it weighs",
        help_text="Max on its plate. Batches are split into loads that stay under it.",
        first_unit="kg",
        maximum=500_000,
    )


class GlassForm(KeptForm):
    """A flask or cylinder as its maker marked it."""

    name = forms.CharField(label="Name", help_text="What people call it: cylinder 100.", max_length=40)
    kind = forms.ChoiceField(label="What is it?", choices=Glass.Kind.choices, widget=forms.RadioSelect)
    volume_ml = NumberField(label="Volume", unit="mL", above=0, maximum=10_000)
    tolerance_ml = NumberField(
        label="Tolerance, plus or minus",
        help_text="It stands on the glass. It decides how far a reading can be trusted.",
        unit="mL",
        above=0,
        maximum=1000,
    )
    empty_g = MassField(
        label="Weight when empty, clean and dry",
        help_text="Saves weighing it every time.",
        required=False,
        maximum=20_000,
    )
