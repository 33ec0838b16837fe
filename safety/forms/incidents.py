from typing import Any

from django import forms

from safety.incidents import HURT, SPILLED
from studio.materials.models import Material
from studio.room.forms.kept import KeptForm


def _tapped(words: tuple[str, ...]) -> forms.ChoiceField:
    return forms.ChoiceField(
        label="What is it",
        choices=[(word, word.capitalize()) for word in words],
        required=False,
        widget=forms.RadioSelect,
        error_messages={"invalid_choice": "Choose one of these, or say it in words."},
    )


def _in_words(help_text: str = "", **attrs: str) -> forms.CharField:
    return forms.CharField(
        label="In words",
        help_text=help_text,
        required=False,
        max_length=1900,
        widget=forms.Textarea(attrs={"rows": 4, **attrs}),
    )


class Moment(forms.DateTimeInput):
    """Day and time in the browser's own manner, kept as typed where it has none."""

    input_type = "datetime-local"

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs, format="%Y-%m-%dT%H:%M")


class IncidentForm(KeptForm):
    """What happened: a tap is enough, and so are words."""

    kind = _tapped(())
    words = _in_words()
    done = forms.CharField(
        label="What was done at once",
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    place = forms.CharField(label="Where", required=False, max_length=60)
    material = forms.ModelChoiceField(
        label="Which material",
        queryset=Material.objects.order_by("name"),
        required=False,
        empty_label="not known, or none of these",
    )
    happened_at = forms.DateTimeField(
        label="When",
        help_text="Left empty: now.",
        required=False,
        widget=Moment,
        error_messages={"invalid": "Type day and time like 2026-04-07 09:00."},
    )
    either = ("kind", "words")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if not {"kind", "words"} & set(self.errors) and not (cleaned.get("kind") or cleaned.get("words")):
            self.add_error("words", "Tap what it is, or say it in a few words.")
        return cleaned

    def act_args(self) -> dict[str, Any]:
        args = super().act_args()
        kind, words, at = args.pop("kind"), args.pop("words"), args.pop("happened_at")
        tapped = f"{kind.capitalize()}." if kind else ""
        return {**args, "what": f"{tapped} {words}".strip(), "at": at}


class SpillForm(IncidentForm):
    """Something was spilled."""

    kind = _tapped(SPILLED)
    words = _in_words("How much, over what, did any reach the drain.")


class InjuryForm(IncidentForm):
    """Somebody is hurt."""

    kind = _tapped(HURT)
    words = _in_words("Who was hurt, by what, how. Only managers read it.", autocomplete="off")


class AftermathForm(KeptForm):
    """What became of it; the last one may close it."""

    what = forms.CharField(
        label="What became of it",
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 4}),
        error_messages={"required": "Say what became of it."},
    )
    closes = forms.BooleanField(
        label="That is the end of it: close it",
        help_text="Added to again, it is open again.",
        required=False,
    )
