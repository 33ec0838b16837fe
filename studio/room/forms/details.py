from typing import Any

from django import forms

from studio.room.forms.kept import KeptForm
from studio.room.models import Details
from studio.room.operations.details import FIELDS


class DetailsForm(KeptForm):
    """Who the studio is, for labels, the binder and whoever has to call somebody."""

    name = forms.CharField(
        label="Name of the studio", help_text="As it stands on labels and the binder.", max_length=80
    )
    address = forms.CharField(
        label="Address",
        help_text="In an emergency it is read out on the phone.",
        max_length=200,
        required=False,
    )
    phone = forms.CharField(
        label="Phone",
        help_text="Where somebody of the studio answers: +49 30 5550 123.",
        max_length=40,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "tel"}),
    )
    emergency = forms.CharField(
        label="In an emergency",
        help_text="Whom to call, in the order to call them: emergency number, poison centre, a person. "
        "It stands on labels and on the sheets for first aid.",
        max_length=200,
        required=False,
    )
    law = forms.ChoiceField(
        label="Rules for hazards and labels",
        help_text="The studio's own law comes first everywhere; the others are shown beside it. "
        "Labels printed under another law count as out of date.",
        choices=Details.Law.choices,
        widget=forms.RadioSelect,
    )

    @classmethod
    def shows(cls, details: Details) -> dict[str, Any]:
        """What the form begins with: what stands."""
        return {name: getattr(details, name) for name in FIELDS}
