"""Forms for a bucket that does not look like its picture."""

from django import forms

from buckets.forms.acting import FillForm
from buckets.models import Fill
from studio.fields import ActForm


class NotThePictureForm(FillForm):
    """One tap: nothing to type."""


class OtherBucketForm(ActForm):
    other = forms.ModelChoiceField(
        Fill.objects.filter(emptied_at=None).select_related("vessel"),
        label="The other bucket",
        error_messages={
            "required": "Which other bucket could it be?",
            "invalid_choice": "There is no such bucket with something in it.",
        },
    )
