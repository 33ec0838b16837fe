"""Forms for a reading that was not as expected: why, and what follows from it."""

from typing import Any

from django import forms

from buckets.forms.acting import RawMixin
from buckets.forms.lineage import SpareField
from buckets.forms.reports import WHEN, Moment
from buckets.models import Explanation
from studio.fields import ActForm, VolumeField

Why = Explanation.Why
# what is asked for each answer; the rest of the form stays away
ASKED: dict[str, tuple[str, ...]] = {
    Why.FORGOT: ("volume_l", "went_at", "note"),
    Why.UNSTIRRED: ("note",),
    Why.OTHER_BUCKET: ("to_fill", "note"),
    Why.CONTAMINATED: ("note",),
    Why.OTHER: ("note",),
}


class OtherBucketField(SpareField):
    """Another bucket with something in it."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.error_messages["required"] = "Which bucket was it?"


class ExplainForm(RawMixin, ActForm):
    """Why a reading was not as expected, with what each answer needs."""

    either = ("volume_l", "to_fill")  # needed for the answer that asks for them

    why = forms.ChoiceField(
        choices=Why.choices,
        widget=forms.HiddenInput,
        error_messages={
            "required": "What was it? Choose one of these.",
            "invalid_choice": "What was it? Choose one of these.",
        },
    )
    volume_l = VolumeField(label="How much water it was", required=False)
    went_at = forms.DateTimeField(
        label="When that was",
        help_text="Left empty: halfway between the two readings.",
        required=False,
        widget=Moment,
        error_messages={"invalid": WHEN},
    )
    to_fill = OtherBucketField(label="Which bucket it was", required=False)
    note = forms.CharField(
        label="Note",
        required=False,
        max_length=200,
        error_messages={"max_length": "A note has at most 200 letters."},
    )

    def clean(self) -> dict[str, Any]:
        told = super().clean() or {}
        why = told.get("why")
        missing = {
            Why.FORGOT: ("volume_l", "How much water was it?"),
            Why.OTHER_BUCKET: ("to_fill", "Which bucket was it?"),
            Why.OTHER: ("note", "Say in a few words what it was."),
        }
        name, sentence = missing.get(Why(why), ("", "")) if why else ("", "")
        if name and not told.get(name) and name not in self.errors:
            self.add_error(name, sentence)
        return told


class MoveReadingForm(RawMixin, ActForm):
    """Which bucket a reading belongs to."""

    to_fill = OtherBucketField(label="Which bucket it was")
    note = forms.CharField(
        label="Note",
        required=False,
        max_length=150,
        error_messages={"max_length": "A note has at most 150 letters."},
    )
