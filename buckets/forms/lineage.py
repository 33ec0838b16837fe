"""Forms for a fill that goes on as another one: mixed, split, carried away."""

from typing import Any

from django import forms

from buckets.forms.acting import FillForm, RawMixin
from buckets.forms.pickers import RowSelect, VesselField
from buckets.models import Fill
from buckets.queries import empty_vessels
from studio import words
from studio.fields import VolumeField

STIRRED = {
    "label": "Stirred to the floor just now",
    "help_text": "Unstirred, one bucket gets the water and the other the powder.",
    "required": False,
}


class SpareField(forms.ModelChoiceField):
    """A bucket with something in it, by the fill that is in it."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            Fill.objects.filter(emptied_at=None).select_related("vessel").order_by("vessel__code"),
            empty_label="Choose a bucket",
            error_messages={
                "required": "Out of which bucket?",
                "invalid_choice": "That is not in a bucket any more. Choose one from the list.",
            },
            **kwargs,
        )

    def to_python(self, value: Any) -> Any:
        # One that has been emptied meanwhile is let through: the act names what became of it, and a form
        # that is sent twice finds what its first sending did.
        try:
            return super().to_python(value)
        except forms.ValidationError:
            said = str(value)
            known = said.isascii() and said.isdigit() and len(said) <= 18
            gone = Fill.objects.select_related("vessel").filter(pk=int(said)).first() if known else None
            if gone is None:
                raise
            return gone

    def label_from_instance(self, fill: Any) -> str:
        return f"{fill.vessel.code}, {fill.glaze}, {words.litres(fill.volume_l)}"


class BlendForm(RawMixin, FillForm):
    """Which bucket, how much of it, and whether it may become a glaze of its own."""

    spare = SpareField(label="Out of which bucket")
    volume_l = VolumeField(
        label="How much of it goes in", error_messages={"required": "How much of it goes in?"}
    )
    stirred = forms.BooleanField(**{**STIRRED, "label": "Both are stirred to the floor just now"})
    another_glaze = forms.BooleanField(
        label="It may become a glaze of its own",
        help_text="Only when two recipes are mixed: then it is in testing, without a window.",
        required=False,
    )
    glaze = forms.CharField(
        label="What it is called then",
        help_text="Left empty: named after both. Only when two recipes are mixed.",
        required=False,
        max_length=80,
        error_messages={"max_length": "A name has at most 80 letters."},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.fill is not None and not self.is_bound:
            spare = self.fields["spare"]
            spare.queryset = spare.queryset.exclude(pk=self.fill.pk)  # type: ignore[attr-defined]


def _empty_ones() -> Any:
    for code, place in empty_vessels().order_by("code").values_list("code", "place"):
        yield code, f"{code}, {place}" if place else code


class SplitForm(RawMixin, FillForm):
    """Into which empty bucket, and how much."""

    vessel = VesselField(
        label="Into which empty bucket",
        widget=RowSelect(_empty_ones, "Choose an empty bucket"),
        error_messages={"required": "Into which bucket?"},
    )
    volume_l = VolumeField(
        label="How much goes over",
        help_text="All of it: then this bucket is empty.",
        error_messages={"required": "How much goes over?"},
    )
    stirred = forms.BooleanField(**STIRRED)


class MoveForm(RawMixin, FillForm):
    place = forms.CharField(
        label="Where it stands now",
        help_text="A shelf and its space: shelf C2.",
        max_length=60,
        error_messages={"required": "Where does it stand now?", "max_length": "At most 60 letters."},
    )
