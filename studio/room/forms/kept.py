"""What the forms of room and store share: the typed text is kept, and doubtful numbers are asked about."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.core.validators import MaxLengthValidator

from studio.fields import ActForm
from studio.people.models import Entry

SAYS = {
    "required": "Nothing is typed here yet.",
    "incomplete": "Choose the unit, too.",
    "invalid_choice": "Choose one from the list.",
}
LETTERS = "At most %(limit_value)d letters; these are %(show_value)d."


def speak(fields: Iterable[forms.Field]) -> None:
    """Give fields the house's sentences, where they bring none of their own."""
    for field in fields:
        for code, sentence in SAYS.items():
            if field.error_messages.get(code) == _framework_says(field, code):
                field.error_messages[code] = sentence
        for validator in field.validators:
            if isinstance(validator, MaxLengthValidator):
                validator.message = LETTERS
        speak(getattr(field, "fields", ()))


def _framework_says(field: forms.Field, code: str) -> Any:
    """The message of the field's class, the nearest base first."""
    said = (getattr(base, "default_error_messages", {}) for base in type(field).__mro__)
    return next((messages[code] for messages in said if code in messages), None)


class KeptForm(ActForm):
    """A form whose typed text goes with the act, for whoever doubts the number later."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        speak(self.fields.values())

    def act_args(self) -> dict[str, Any]:
        return {**super().act_args(), "raw": self.typed()}


class AskingForm(KeptForm):
    """A form that asks once more about a number that is allowed and unlikely.

    ``doubts`` of the subclass says field and question; a tick of ``sure`` answers all of them.
    """

    sure = forms.BooleanField(label="Yes, that is right as typed", required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.order_fields([*(name for name in self.fields if name != "sure"), "sure"])

    def doubts(self) -> list[tuple[str, str]]:
        """Fields and the questions beside them, from the cleaned values."""
        return []

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        doubts = [] if self.errors or self._done_already(cleaned) else self.doubts()
        if doubts:
            self.fields["sure"].widget = forms.CheckboxInput()
        if doubts and not cleaned.get("sure"):
            for field, question in doubts:
                self.add_error(field, question)
        return cleaned

    def _done_already(self, cleaned: dict[str, Any]) -> bool:
        """Sent twice: the act answers for itself, and what it wrote must not raise new doubts."""
        return Entry.objects.filter(key=cleaned.get("key")).exists()

    def act_args(self) -> dict[str, Any]:
        args = super().act_args()
        args.pop("sure", None)
        return args


class PlainForm(KeptForm):
    """An act with nothing to type: put away, retire, release."""


class ReasonForm(KeptForm):
    """An act that wants its reason in words."""

    reason = forms.CharField(label="Why?", max_length=200)
