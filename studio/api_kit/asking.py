"""What stands behind the ``?`` of an address: fields for the questions a list understands."""

import re
from typing import Any

from django import forms

ROW = re.compile("[0-9]{1,18}")


class RowNumber(forms.CharField):
    """The number of a row; cleans to it, or None when nothing was asked."""

    sent_as = int

    def __init__(self, label: str) -> None:
        super().__init__(label=label, required=False, max_length=40)

    def clean(self, value: Any) -> int | None:
        text = super().clean(value)
        if not text:
            return None
        if not ROW.fullmatch(text):
            raise forms.ValidationError("This is not the number of a row.")
        return int(text)


def one_of(label: str, choices: Any) -> forms.ChoiceField:
    """One word of a list, or nothing."""
    return forms.ChoiceField(label=label, choices=choices, required=False)


def words(label: str, letters: int) -> forms.CharField:
    """A few letters, or nothing."""
    return forms.CharField(label=label, max_length=letters, required=False)
