"""The form for a reading: a known volume weighed, or the number typed; and the level, if it was read."""

from typing import Any

from django import forms

from buckets.forms.acting import FillForm, LevelFields, RawMixin
from studio import words
from studio.room.forms.measuring import MeasuredSgMixin
from studio.room.models import Glass, Scale


class ReadingForm(RawMixin, MeasuredSgMixin, LevelFields, FillForm):
    tare_checked = forms.BooleanField(
        label="The empty weight is right as typed",
        required=False,
        help_text="Weighed clean and dry just now.",
    )
    note = forms.CharField(
        label="Note",
        required=False,
        max_length=200,
        error_messages={"max_length": "A note has at most 200 letters."},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, describe in (("glass", _glass), ("scale", _scale)):
            field: Any = self.fields[name]
            field.widget = forms.RadioSelect()
            field.empty_label = None
            field.label_from_instance = describe
            field.widget.choices = field.choices
            field.error_messages["invalid_choice"] = "Choose one of these."

    def suggest(self, *, glasses: list[Glass], scales: list[Scale]) -> None:
        """Before anything is typed: the only glass with its empty weight, the finest scale."""
        if len(glasses) == 1:
            self.initial["glass"], self.initial["tare_g"] = glasses[0].pk, glasses[0].empty_g
        if scales:
            self.initial["scale"] = min(scales, key=lambda scale: scale.division_g).pk


def _glass(glass: Glass) -> str:
    size = f"{words.number(glass.volume_ml, 2, least=0)} mL ± {words.number(glass.tolerance_ml, 2, least=0)}"
    empty = f", empty {words.grams(glass.empty_g)}" if glass.empty_g is not None else ""
    return f"{glass.name}: {size}{empty}"


def _scale(scale: Scale) -> str:
    return f"{scale.name}: shows {words.grams(scale.division_g)}, up to {words.mass(scale.capacity_g)}"
