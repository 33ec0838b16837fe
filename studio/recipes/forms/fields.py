"""Fields that only recipes have: a cone, a colour, the gravity a glaze is made to."""

from decimal import Decimal

from django import forms
from django.core.validators import RegexValidator

from studio.calc.typed import TypedProblem, sg_candidates
from studio.fields import NumberInput
from studio.recipes.calc.cones import CONES

CONE_CHOICES = [
    ("", "choose"),
    ("written with a nought, cooler", [(cone, f"cone {cone}") for cone in CONES if cone[0] == "0"]),
    ("written without, hotter", [(cone, f"cone {cone}") for cone in CONES if cone[0] != "0"]),
]
COLOUR = RegexValidator(
    r"\A#[0-9a-fA-F]{6}\Z", "Pick a colour; it is kept as # and six digits, like #6f9aa0."
)


class TargetGravityField(forms.CharField):
    """The specific gravity a glaze is made to: taken as typed when it is one, else asked for again."""

    def __init__(self, **kwargs) -> None:
        kwargs.setdefault("widget", NumberInput())
        super().__init__(max_length=40, **kwargs)

    def clean(self, value):
        text = super().clean(value)
        if text in self.empty_values:
            return None
        try:
            candidates = sg_candidates(text)
        except TypedProblem as problem:
            raise forms.ValidationError(str(problem)) from problem
        if candidates and candidates[0].sure and candidates[0].sg > 1:
            return candidates[0].sg.quantize(Decimal("0.0001"))
        if candidates and not candidates[0].sure:
            meant = f"{candidates[0].sg.normalize():f}"
            raise forms.ValidationError(f"Type it as the glaze against water, like 1.45. Is {meant} meant?")
        raise forms.ValidationError(
            "A glaze is made to a specific gravity above 1 and up to 2.20, like 1.45."
        )
