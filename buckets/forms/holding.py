"""Forms for what is wrong with a bucket: reporting, answering, holding, lifting, releasing."""

from django import forms

from buckets.forms.acting import FillForm, RawMixin
from studio.fields import ActForm


class ReportForm(RawMixin, FillForm):
    words = forms.CharField(
        label="What looks wrong",
        help_text="Specks, a smell, a film on top, the wrong colour, a label that does not fit.",
        max_length=400,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={
            "required": "Say in a few words what looks wrong.",
            "max_length": "Say it in at most 400 letters; a technician will ask for the rest.",
        },
    )


class AnswerReportForm(ActForm):
    answer = forms.CharField(
        label="What was found and decided",
        max_length=400,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={
            "required": "Say what was found and decided.",
            "max_length": "Say it in at most 400 letters.",
        },
    )
    lift = forms.BooleanField(
        label="Lift the hold",
        help_text="The bucket goes back to the state it had before.",
        required=False,
    )


class HoldForm(FillForm):
    reason = forms.CharField(
        label="Why it is held",
        help_text="Everybody who opens this bucket reads it.",
        max_length=200,
        error_messages={"required": "Say why it is held.", "max_length": "At most 200 letters."},
    )


class LiftForm(FillForm):
    decision = forms.CharField(
        label="What was found and decided",
        max_length=400,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={
            "required": "Say what was found and decided.",
            "max_length": "Say it in at most 400 letters.",
        },
    )


class ReleaseForm(FillForm):
    """Released into use: nothing to type."""
