"""Forms for a bucket held, lifted, released."""

from django import forms

from buckets.forms.acting import FillForm


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
