from typing import Any

from django import forms

from safety.models import SafetyCheck
from studio.people.models import Member
from studio.people.queries import people_here
from studio.room.forms.kept import KeptForm

IN_ORDER = [("yes", "In order: it goes on being used"), ("no", "Not in order")]


class CleanedForm(KeptForm):
    """The room was cleaned wet: a tap is enough."""

    place = forms.CharField(
        label="Only a part?",
        help_text="Which. Left empty: the whole room; a part leaves the rest due.",
        max_length=60,
        required=False,
    )
    found = forms.CharField(
        label="What you noticed", help_text="Dust where none should be.", max_length=200, required=False
    )


class LookedForm(KeptForm):
    """What was found when it was looked at."""

    good = forms.ChoiceField(label="Is it in order?", choices=IN_ORDER, widget=forms.RadioSelect)
    found = forms.CharField(
        label="What was found",
        help_text="A gauge's number with its unit, what was changed. Needed when it is not in order.",
        max_length=200,
        required=False,
    )
    place = forms.CharField(
        label="Where, or which one",
        help_text="Where there are several: the same words each time. Left empty: all of them.",
        max_length=60,
        required=False,
    )
    done_on = forms.DateField(
        label="Looked at on",
        help_text="Left empty: today.",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("good") == "no" and not cleaned.get("found") and "found" not in self.errors:
            self.add_error("found", "Say what is not in order.")
        return cleaned

    def act_args(self) -> dict[str, Any]:
        args = super().act_args()
        return {**args, "good": args["good"] == "yes"}


class CorrectForm(LookedForm):
    """What was really found; the day stays unless another is typed."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["done_on"].help_text = "Left empty: the day it stands at."


class CheckForm(LookedForm):
    """A check of something of the room, or of one person's respirator."""

    kind = forms.ChoiceField(
        label="What was looked at", choices=SafetyCheck.Kind.choices, widget=forms.RadioSelect
    )
    person = forms.ModelChoiceField(
        label="Whose respirator",
        help_text="Only for a respirator; its fit is each person's own.",
        queryset=Member.objects.none(),
        required=False,
        empty_label="nobody's: it is the room's",
    )
    field_order = ("kind", "person", "good", "found", "place", "done_on")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["person"].queryset = people_here().order_by("name")  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if "person" in self.errors or "kind" not in cleaned:
            return cleaned
        whose = cleaned.get("person")
        if cleaned["kind"] == SafetyCheck.Kind.RESPIRATOR and whose is None:
            self.add_error("person", "Whose respirator is it?")
        elif cleaned["kind"] != SafetyCheck.Kind.RESPIRATOR and whose is not None:
            self.add_error("person", "Only a respirator is one person's. Leave this empty.")
        return cleaned
