"""What the forms of room and store share: the typed text is kept, and doubtful numbers are asked about."""

from typing import Any

from django import forms

from studio.fields import ActForm
from studio.people.models import Entry


class KeptForm(ActForm):
    """A form whose typed text goes with the act, for whoever doubts the number later."""

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
