"""Forms for hydrometers and flow cups, and for what water tells of a glass and a bucket."""

from typing import Any

from django import forms

from studio.calc.flow import CUPS
from studio.fields import MassField, NumberField, ReadableForm
from studio.room.forms.kept import KeptForm
from studio.room.forms.measuring import scale_words
from studio.room.models import Hydrometer, Scale


class HydrometerForm(KeptForm):
    """What stands on its stem."""

    name = forms.CharField(label="Name", help_text="What people call it: long hydrometer.", max_length=40)
    shows = forms.ChoiceField(
        label="What does it show?", choices=Hydrometer.Shows.choices, widget=forms.RadioSelect
    )
    division = NumberField(
        label="Smallest step of its scale",
        help_text="In its own unit: 0.002 of SG, 1 degree.",
        above=0,
        maximum=10,
        places=4,
    )
    modulus = NumberField(
        label="Modulus, for degrees Baumé",
        help_text="145 on most; 144.3 on older ones. Left empty: 145.",
        above=100,
        maximum=200,
        places=2,
        required=False,
    )
    calibrated_at_c = NumberField(
        label="Made for",
        help_text="The temperature on its stem; 60 °F is 15.6 °C.",
        unit="°C",
        minimum=0,
        maximum=40,
        places=1,
        initial="20",
    )
    water_reference_c = NumberField(
        label="Its 1.000 is water at",
        help_text="The second number of 20/4, 60/60 and the like.",
        unit="°C",
        minimum=0,
        maximum=40,
        places=1,
        initial="20",
    )
    expansion_per_c = NumberField(
        label="Its glass grows by",
        help_text="0.000025 is the conventional value for hydrometers (ISO 1768).",
        unit="of itself for each °C",
        minimum=0,
        maximum="0.001",
        places=7,
        initial="0.000025",
    )


class FlowCupForm(KeptForm):
    """A cup with a hole in its floor."""

    name = forms.CharField(label="Name", help_text="What people call it: the 4 mm cup.", max_length=40)
    standard = forms.ChoiceField(
        label="The standard it was made to",
        help_text="It stands on the cup. Without one the seconds alone are kept, which is enough to compare.",
        choices=[("", "None, or nobody knows"), *((name, cup.words) for name, cup in CUPS.items())],
        required=False,
    )


class CalibrationForm(KeptForm):
    """A glass weighed empty and with water."""

    scale = forms.ModelChoiceField(
        Scale.objects.filter(retired_at=None),
        label="Weighed on",
        widget=forms.RadioSelect,
        empty_label=None,
        error_messages={"invalid_choice": "Choose one of these.", "required": "On which scale?"},
    )
    empty_g = MassField(label="1. Empty, clean and dry", maximum=20_000)
    full_g = MassField(
        label="2. Filled to the mark with water", help_text="Outside wiped dry.", maximum=40_000
    )
    temperature_c = NumberField(
        label="3. Temperature of the water",
        help_text="Let it stand in the room for an hour first.",
        unit="°C",
        minimum=1,
        maximum=40,
        places=1,
    )
    reading_ml = NumberField(
        label="The mark was met within, plus or minus",
        help_text="A drop is 0.05 mL. In a narrow neck about 0.1 mL, in a cylinder half a line.",
        unit="mL",
        above=0,
        maximum=50,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["scale"].label_from_instance = scale_words  # type: ignore[attr-defined]


class OffsetForm(KeptForm):
    """A bucket weighed with water at two depths."""

    low_cm = NumberField(label="Depth", unit="cm", above=0, maximum=200)
    low_g = MassField(label="Bucket and water", first_unit="kg", maximum=200_000)
    high_cm = NumberField(label="Depth", unit="cm", above=0, maximum=200)
    high_g = MassField(label="Bucket and water", first_unit="kg", maximum=200_000)
    temperature_c = NumberField(
        label="Temperature of the water", unit="°C", minimum=1, maximum=40, places=1, initial="20"
    )


class AtForm(ReadableForm):
    """At which SG it is asked what a pair can tell."""

    sg = NumberField(label="At a specific gravity of", minimum="1.05", maximum="2.2", places=3)
