"""PINs for the room's tablet: typed when they are set, and when the tablet asks."""

from django import forms

from studio.errors import Refused
from studio.fields import ActForm
from studio.people.forms.joining import password_field
from studio.people.pins import SHAPE
from studio.tone import speak


class DigitsInput(forms.PasswordInput):
    """Digits that are never shown again. No password field: a browser would offer to keep those."""

    input_type = "text"

    def __init__(self, **attrs) -> None:
        super().__init__({"inputmode": "numeric", "autocomplete": "off", "class": "pin", **attrs})


class SetPin(ActForm):
    """A new PIN, typed twice because it cannot be seen."""

    current = password_field("Your password", "current-password")
    pin = forms.CharField(
        label="PIN",
        help_text=f"{SHAPE} Not a birthday, and not one you use elsewhere.",
        max_length=40,
        widget=DigitsInput(),
    )
    again = forms.CharField(label="The same PIN again", max_length=40, widget=DigitsInput())

    def clean(self):
        cleaned = super().clean()
        if cleaned.get("again") and cleaned.get("pin") and cleaned["pin"] != cleaned["again"]:
            self.add_error("again", "The two are not the same. Type both once more.")
        return cleaned

    def act_args(self):
        args = super().act_args()
        del args["again"]
        return args


class AskedPin(forms.Form):
    """The PIN of whoever chose their name at the tablet, with what was wrong about the one before."""

    pin = forms.CharField(label="PIN", help_text=SHAPE, widget=DigitsInput(autofocus=True))

    def __init__(self, refusal: Refused | None = None) -> None:
        super().__init__(None if refusal is None else {}, prefix="tablet")
        speak(self.fields.values())
        if refusal is not None:
            self.errors.clear()
            self.add_error("pin", refusal.sentence)
