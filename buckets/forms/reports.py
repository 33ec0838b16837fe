"""Forms for reports: what is wrong with photos, the window of doubt, the decision, the worst case."""

from typing import Any

from django import forms

from buckets.forms.acting import FillForm, RawMixin
from buckets.models import Report
from buckets.pictures import MOST_BYTES, MOST_PHOTOS, NoPicture, Picture, picture, too_large
from studio.fields import ActForm, NumberField, VolumeField
from studio.recipes.models import Recipe


class ReportForm(RawMixin, FillForm):
    """What is wrong: a kind is enough, and so are words."""

    kind = forms.ChoiceField(
        label="What is it",
        required=False,
        choices=Report.Kind.choices,
        widget=forms.RadioSelect,
        error_messages={"invalid_choice": "Choose one of these, or say it in words."},
    )
    words = forms.CharField(
        label="What looks wrong",
        help_text="Where, since when, what fell in. Names of people are not needed.",
        required=False,
        max_length=400,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"max_length": "Say it in at most 400 letters; a technician will ask for the rest."},
    )
    either = ("kind", "words")

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean() or {}
        if not {"kind", "words"} & set(self.errors) and not cleaned.get("kind") and not cleaned.get("words"):
            self.add_error("words", "Tap what it is, or say in a few words what looks wrong.")
        return cleaned


class Files(forms.ClearableFileInput):
    """Several files in one field."""

    allow_multiple_selected = True
    template_name = "django/forms/widgets/file.html"


class PhotosField(forms.FileField):
    """Photos, each judged by what is in it; cleans to pictures made anew."""

    widget = Files

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("required", False)
        super().__init__(**kwargs)

    def clean(self, data: Any, initial: Any = None) -> list[Picture]:  # type: ignore[override]
        sent = data if isinstance(data, list | tuple) else [data] if data else []
        if len(sent) > MOST_PHOTOS:
            raise forms.ValidationError(f"At most {MOST_PHOTOS} photos; choose the clearest ones.")
        return [self._picture(file) for file in sent]

    def _picture(self, file: Any) -> Picture:
        if not hasattr(file, "read"):
            raise forms.ValidationError("That is not a file. Choose a photo, or leave it out.")
        # Its name is a stranger's word and is never looked at.
        if file.size > MOST_BYTES:
            raise forms.ValidationError(too_large(file.size))
        try:
            return picture(file.read())
        except NoPicture as no_picture:
            raise forms.ValidationError(str(no_picture)) from no_picture


ACCEPTED = "image/jpeg,image/png,image/webp"


class ReportPageForm(ReportForm):
    """The same on a page, with photos: taken now, or chosen from those that are there."""

    taken = PhotosField(
        label="Take a photo",
        help_text="Opens the camera on a phone.",
        widget=forms.FileInput(attrs={"accept": ACCEPTED, "capture": "environment"}),
    )
    chosen = PhotosField(
        label="Or choose photos",
        help_text=f"JPEG, PNG or WebP, up to {MOST_PHOTOS}, 10 MB each. Where it was taken is not kept.",
        widget=Files(attrs={"accept": ACCEPTED, "multiple": True}),
    )

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean() or {}
        if len(self._photos(cleaned)) > MOST_PHOTOS:
            self.add_error("chosen", f"At most {MOST_PHOTOS} photos; choose the clearest ones.")
        if self.errors and self.files and not {"taken", "chosen"} & set(self.errors):
            self.add_error("chosen", "Choose the photo once more: a browser does not keep it.")
        return cleaned

    def _photos(self, cleaned: dict[str, Any]) -> list[Picture]:
        return [*(cleaned.get("taken") or ()), *(cleaned.get("chosen") or ())]

    def act_args(self) -> dict[str, Any]:
        args = super().act_args()
        found = {one.digest: one for one in self._photos(args)}
        rest = {name: value for name, value in args.items() if name not in ("taken", "chosen")}
        return {**rest, "photos": list(found), "pictures": found}


class AnswerReportForm(ActForm):
    decision = forms.ChoiceField(
        label="What becomes of it",
        choices=Report.Decision.choices,
        widget=forms.RadioSelect,
        error_messages={
            "required": "What is to become of it? Choose one of these.",
            "invalid_choice": "What is to become of it? Choose one of these.",
        },
    )
    answer = forms.CharField(
        label="What was found and decided",
        help_text="The reporter reads it, and everybody who used the bucket in the 7 days before.",
        max_length=400,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={
            "required": "Say what was found and decided.",
            "max_length": "Say it in at most 400 letters.",
        },
    )


class Moment(forms.DateTimeInput):
    """Day and time in the browser's own manner, kept as typed where it has none."""

    input_type = "datetime-local"

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs, format="%Y-%m-%dT%H:%M")


WHEN = "Type day and time like 2026-04-07 09:00."


class DoubtForm(RawMixin, ActForm):
    good_until = forms.DateTimeField(
        label="It was surely good at",
        widget=Moment,
        error_messages={"required": "When was it surely good?", "invalid": WHEN},
    )
    good_why = forms.CharField(
        label="What shows it",
        help_text="A fired tile, a piece out of the kiln.",
        required=False,
        max_length=200,
        error_messages={"max_length": "At most 200 letters."},
    )


class ClearTintForm(FillForm):
    decision = forms.CharField(
        label="What tile and reading showed",
        max_length=400,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={
            "required": "Say what tile and reading showed.",
            "max_length": "Say it in at most 400 letters.",
        },
    )


class WorstCaseForm(ActForm):
    """How much of another glaze may have gone in, at most. Nothing is written."""

    recipe = forms.ModelChoiceField(
        label="Which glaze fell in",
        queryset=Recipe.objects.filter(current__isnull=False).select_related("current"),
        empty_label="Choose",
        error_messages={
            "required": "Which glaze may it be?",
            "invalid_choice": "There is no such recipe with a version in force.",
        },
    )
    foreign_l = VolumeField(
        label="At most so much of it",
        first_unit="mL",
        maximum=100,
        error_messages={"required": "How much may it have been, at most?"},
    )
    foreign_sg = NumberField(
        label="Its specific gravity",
        help_text="Empty: the target of its recipe.",
        above=1,
        maximum=3,
        places=4,
        required=False,
    )
    volume_l = VolumeField(
        label="Litres in the bucket before", error_messages={"required": "How much was in it?"}
    )
    sg = NumberField(
        label="Specific gravity in the bucket",
        above=1,
        maximum=3,
        places=4,
        error_messages={"required": "What is the specific gravity in the bucket?"},
    )


class HoldLotForm(RawMixin, ActForm):
    reason = forms.CharField(
        label="Why the lot is in doubt",
        help_text="Everybody who opens one of these buckets reads it.",
        max_length=140,
        error_messages={"required": "Say why the lot is in doubt.", "max_length": "At most 140 letters."},
    )


class LiftLotForm(RawMixin, ActForm):
    decision = forms.CharField(
        label="What was found and decided",
        max_length=400,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={
            "required": "Say what was found and decided.",
            "max_length": "Say it in at most 400 letters.",
        },
    )
