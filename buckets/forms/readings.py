"""The form for a reading: a known volume weighed, or the number typed; and the level, if it was read."""

from typing import Any

from django import forms

from buckets.forms.acting import FillForm, LevelFields, RawMixin
from studio.room.forms.measuring import MeasuredSgMixin


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
        self.fields["sg"].label = "Specific gravity"
        self.fields["tare_g"].help_text = "Left empty: the glass’s own weight, as above."
        self.fields["gross_g"].help_text = "Stirred glaze up to the mark, the outside wiped."
