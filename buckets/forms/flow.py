"""Forms for seconds through a flow cup, and for the particle density of a glaze."""

from typing import Any

from django import forms

from buckets.forms.acting import FillForm, RawMixin
from studio.calc.flow import CUPS
from studio.fields import MassField, NumberField
from studio.room.forms.measuring import glass_words, scale_words
from studio.room.models import FlowCup, Glass, Scale


def note_field() -> forms.CharField:
    return forms.CharField(
        label="Note",
        required=False,
        max_length=200,
        error_messages={"max_length": "A note has at most 200 letters."},
    )


def one_of(rows: Any, label: str, missing: str) -> forms.ModelChoiceField:
    """One of the room's instruments in use, as a large target."""
    return forms.ModelChoiceField(
        rows,
        label=label,
        widget=forms.RadioSelect,
        empty_label=None,
        error_messages={"required": missing, "invalid_choice": "Choose one of these."},
    )


class FlowForm(RawMixin, FillForm):
    """Seconds through a cup."""

    cup = one_of(FlowCup.objects.filter(retired_at=None), "Flow cup", "Which cup was it?")
    seconds = NumberField(
        label="Seconds until the stream breaks",
        unit="s",
        above=0,
        maximum=900,
        places=1,
        error_messages={"required": "How many seconds did it take?"},
    )
    temperature_c = NumberField(
        label="Temperature of the glaze", unit="°C", minimum=0, maximum=60, places=1, required=False
    )
    is_reference = forms.BooleanField(
        label="This is how it should flow",
        help_text="The bucket is held against this one from now on.",
        required=False,
    )
    note = note_field()

    def __init__(self, *args: Any, may_mark: bool = True, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["cup"].label_from_instance = cup_words  # type: ignore[attr-defined]
        if not may_mark:
            del self.fields["is_reference"]


class DensityForm(RawMixin, FillForm):
    """One glass of slurry weighed, dried, and weighed again."""

    glass = one_of(Glass.objects.filter(retired_at=None), "Which glass?", "Which glass was filled?")
    scale = one_of(Scale.objects.filter(retired_at=None), "On which scale?", "On which scale?")
    tare_g = MassField(
        label="1. The glass empty", help_text="Left empty: the glass’s own weight, as above.", required=False
    )
    gross_g = MassField(label="2. Filled to the mark with stirred glaze")
    pan_g = MassField(label="3. The pan empty")
    pan_dry_g = MassField(
        label="4. The pan with the dry powder",
        help_text="Dried until two weighings an hour apart are the same.",
    )
    temperature_c = NumberField(
        label="Temperature of the glaze", unit="°C", minimum=0, maximum=40, places=1, initial="20"
    )
    note = note_field()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, describe in (("glass", glass_words), ("scale", scale_words)):
            self.fields[name].label_from_instance = describe  # type: ignore[attr-defined]


def cup_words(cup: FlowCup) -> str:
    """ "The 4 mm cup: ISO 2431, 4 mm"."""
    known = CUPS.get(cup.standard)
    return f"{cup.name}: {known.words}, {known.t_min_s:g} to {known.t_max_s:g} s" if known else cup.name
