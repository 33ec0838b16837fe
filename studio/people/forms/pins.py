"""A PIN for the room's tablet."""

from django import forms

from studio.fields import ActForm
from studio.people.forms.joining import password_field
from studio.people.pins import SHAPE


class SetPin(ActForm):
    """A new PIN, typed twice because it cannot be seen."""

    current = password_field("Your password", "current-password")
    pin = forms.CharField(
        label="PIN",
        help_text=f"{SHAPE} Not a birthday, and not one you use elsewhere.",
        max_length=40,
        widget=forms.PasswordInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    again = forms.CharField(
        label="The same PIN again",
        max_length=40,
        widget=forms.PasswordInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )

    def clean(self):
        cleaned = super().clean()
        if cleaned.get("again") and cleaned.get("pin") and cleaned["pin"] != cleaned["again"]:
            self.add_error("again", "The two are not the same. Type both once more.")
        return cleaned

    def act_args(self):
        args = super().act_args()
        del args["again"]
        return args
