"""The form for a bucket found on the shelf with glaze in it."""

from typing import Any

from django import forms

from buckets.forms.acting import LevelFields, RawMixin
from studio.fields import ActForm, NumberField, SgFormMixin
from studio.recipes.forms.fields import COLOUR, CONE_CHOICES, TargetGravityField
from studio.recipes.models import Recipe
from studio.room.models import Vessel


class TakeOverForm(RawMixin, SgFormMixin, LevelFields, ActForm):
    vessel = forms.ModelChoiceField(
        Vessel.objects.filter(state=Vessel.State.IN_SERVICE),
        label="Bucket",
        to_field_name="code",
        empty_label="choose",
        error_messages={
            "required": "Which bucket is it?",
            "invalid_choice": "There is no such bucket in service.",
        },
    )
    recipe = forms.ModelChoiceField(
        Recipe.objects.filter(state=Recipe.State.CURRENT).select_related("current"),
        label="Recipe",
        help_text="Its target, window and contents are taken from the version in force.",
        required=False,
        empty_label="no recipe: the name below",
        error_messages={"invalid_choice": "There is no such recipe in use."},
    )
    glaze = forms.CharField(
        label="or the glaze as it is called",
        required=False,
        max_length=80,
        error_messages={"max_length": "A name has at most 80 letters."},
    )
    target_sg = TargetGravityField(label="Target", required=False, help_text="Left empty: the recipe’s own.")
    half_window = NumberField(
        label="Window around it, ±", required=False, above=0, maximum="0.2", places=4, help_text="Like 0.02."
    )
    particle_density = NumberField(
        label="Density of its powder",
        unit="g/mL",
        required=False,
        above=1,
        maximum=8,
        help_text="Only if it is known; without it nothing is said about powder to add.",
    )
    cone = forms.ChoiceField(
        label="Cone",
        choices=CONE_CHOICES,
        required=False,
        error_messages={"invalid_choice": "Choose a cone from the list; 06 and 6 are different cones."},
    )
    atmosphere = forms.ChoiceField(
        label="Atmosphere",
        choices=[("", "as the recipe says"), *Recipe.Atmosphere.choices],
        required=False,
        error_messages={"invalid_choice": "Choose oxidation, reduction or neutral."},
    )
    look = forms.CharField(
        label="How it looks",
        required=False,
        max_length=160,
        error_messages={"max_length": "Say it in at most 160 letters."},
    )
    colour = forms.CharField(
        label="Colour for the dip stick",
        required=False,
        max_length=7,
        validators=[COLOUR],
        help_text="# and six digits, like #6f9aa0; left empty: the recipe’s, or grey.",
    )
    note = forms.CharField(
        label="What is known about it",
        required=False,
        max_length=200,
        error_messages={"max_length": "A note has at most 200 letters."},
    )
    either = ("recipe", "glaze", "depth_cm", "volume_l")
    waives = ("sg",)
    field_order = ["key", "vessel", "recipe", "glaze", "depth_cm", "volume_l", "sg", "sg_pick"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["sg"].required = False
        self.fields["sg"].help_text = "If it was measured just now."

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean() or {}
        cleaned["sg"] = cleaned.get("sg") or None
        if not self.errors and not cleaned.get("recipe") and not cleaned.get("glaze"):
            self.add_error("glaze", "Which glaze is it? Choose a recipe or type a name.")
        if not self.errors and cleaned.get("depth_cm") is None and cleaned.get("volume_l") is None:
            self.add_error("depth_cm", "How much is in it? Give the depth on the stick or the litres.")
        return cleaned
