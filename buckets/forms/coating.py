"""Forms about coats: a tile kept, coats on a wall asked about, a piece weighed before and after."""

from decimal import Decimal
from typing import Any

from django import forms

from buckets.calc.areas import bowl_area_cm2, plate_area_cm2, tile_area_cm2
from buckets.forms.acting import FillForm, RawMixin, TakeBackForm
from buckets.models import Fill
from studio.calc.coating import cylinder_area_cm2
from studio.fields import MassField, NumberField, ReadableForm
from studio.quantities import rounded
from studio.room.models import Body
from studio.tone import speak

NOTHING, ONE_COAT, THIS_MUCH = "nothing", "one", "typed"


def _coat(label: str, **kwargs: Any) -> NumberField:
    return NumberField(
        label=label, unit="g/cm²", minimum="0.005", maximum="0.5", places=4, required=False, **kwargs
    )


def _gravity(label: str, **kwargs: Any) -> NumberField:
    return NumberField(label=label, above=1, maximum="2.2", places=4, required=False, **kwargs)


def _grams(label: str, **kwargs: Any) -> MassField:
    return MassField(label=label, maximum=50_000, required=False, **kwargs)


def _body() -> forms.ModelChoiceField:
    return forms.ModelChoiceField(
        queryset=Body.objects.filter(retired_at=None),
        label="Clay body",
        required=False,
        empty_label="Not said",
    )


class TileForm(RawMixin, FillForm):
    """A tile dipped and weighed, and if there was one a second of the same stir."""

    seconds = NumberField(label="Seconds in the glaze", unit="s", above=0, maximum=600, places=1)
    sg = _gravity("Specific gravity", help_text="Left empty: the last reading, if it still counts.")
    body = _body()
    area_cm2 = NumberField(
        label="Glazed surface",
        help_text="Length times width of what was dipped, each face that got glaze.",
        unit="cm²",
        above=0,
        maximum=10_000,
        places=1,
        required=False,
    )
    gain_g = _grams("Heavier at once after the dip by", help_text="Before it dries: wet glaze.")
    dry_g = _grams("or heavier once dry by", help_text="Dried through: dry glaze.")
    coat_g_per_cm2 = _coat("or its coat")
    seconds_2 = NumberField(
        label="Seconds of the second tile", unit="s", above=0, maximum=600, places=1, required=False
    )
    gain_2_g = _grams("Second tile, heavier at once by")
    dry_2_g = _grams("Second tile, or heavier once dry by")
    coat_2_g_per_cm2 = _coat("Second tile, or its coat")
    target_g_per_cm2 = _coat(
        "The coat this glaze wants", help_text="Left empty: what the first tile got was right."
    )
    note = forms.CharField(
        label="Note",
        required=False,
        max_length=200,
        error_messages={"max_length": "A note has at most 200 letters."},
    )


class TakeBackTileForm(TakeBackForm):
    """Why a tile does not count."""

    def act_args(self) -> dict[str, Any]:
        return {**super().act_args(), "raw": self.typed()}


class Asking(ReadableForm):
    """A question with its answers in the address."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        speak(self.fields.values())


class CoatsForm(Asking):
    """Which wall, what is on it, what is to come. Every field may be left empty."""

    body = _body()
    wall_mm = NumberField(
        label="Wall",
        help_text="Left empty: the body's usual wall.",
        unit="mm",
        above=0,
        maximum=100,
        places=1,
        required=False,
    )
    faces = forms.ChoiceField(
        label="Glazed",
        choices=[("2", "on both faces"), ("1", "on one face")],
        widget=forms.RadioSelect,
        required=False,
    )
    under = forms.ChoiceField(
        label="On it already",
        choices=[(NOTHING, "nothing"), (ONE_COAT, "one coat"), (THIS_MUCH, "this much:")],
        widget=forms.RadioSelect,
        required=False,
    )
    under_g_per_cm2 = _coat("Dry glaze on it")
    under_fill = forms.ModelChoiceField(
        queryset=Fill.objects.none(),
        label="Of which glaze",
        required=False,
        empty_label="the same as the next",
    )
    hours = NumberField(
        label="Dipped how long ago",
        help_text="Left empty: just now.",
        unit="h",
        minimum=0,
        maximum=1000,
        places=2,
        required=False,
    )
    cup_sg = _gravity("From a cup thinned to", help_text="Its specific gravity. Left empty: from the bucket.")
    coat_g_per_cm2 = _coat("Next coat", help_text="Left empty: the coat this glaze wants.")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["under_fill"]
        assert isinstance(field, forms.ModelChoiceField)  # noqa: S101 - for the type checker
        field.queryset = Fill.objects.filter(emptied_at=None).select_related("vessel")
        field.label_from_instance = lambda fill: f"{fill.vessel.code} {fill.glaze}"  # type: ignore[method-assign]

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean() or {}
        amount = cleaned.get("under_g_per_cm2")
        if cleaned.get("under") == THIS_MUCH and amount is None and "under_g_per_cm2" not in self.errors:
            self.add_error("under_g_per_cm2", "How much dry glaze is on it? Or choose one coat.")
        if cleaned.get("under") in (NOTHING, ONE_COAT) and amount is not None:
            self.add_error("under", "If so much is on it, choose “this much”; else clear the number.")
        if cleaned.get("under") in ("", None):
            cleaned["under"] = THIS_MUCH if amount is not None else NOTHING
        return cleaned


class ShapeFields(forms.Form):
    """Glazed surface: typed, or from the sizes of a common form. Cleans to ``area_cm2``."""

    shape = forms.ChoiceField(
        label="Form",
        choices=[
            ("", "I know the surface"),
            ("mug", "mug or cylinder, inside and outside"),
            ("bowl", "bowl, inside and outside"),
            ("plate", "plate, both faces"),
            ("tile", "tile, one face"),
        ],
        required=False,
    )
    area_cm2 = NumberField(
        label="Glazed surface of one piece", unit="cm²", above=0, maximum=100_000, places=1, required=False
    )
    diameter_cm = NumberField(label="Across", unit="cm", above=0, maximum=200, required=False)
    height_cm = NumberField(
        label="High",
        help_text="A plate's rim above its well.",
        unit="cm",
        minimum=0,
        maximum=200,
        required=False,
    )
    piece_wall_mm = NumberField(
        label="Wall", help_text="Of a mug or bowl.", unit="mm", above=0, maximum=100, places=1, required=False
    )
    well_cm = NumberField(
        label="Well of a plate across",
        help_text="Left empty: flat to its edge.",
        unit="cm",
        above=0,
        maximum=200,
        required=False,
    )

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean() or {}
        shape = cleaned.get("shape")
        if shape and not self.errors:
            missing = [name for name in NEEDS[shape] if cleaned.get(name) is None]
            for name in missing:
                self.add_error(name, "This size is needed for the surface.")
            if not missing:
                self._reckon(shape, cleaned)
        return cleaned

    def _reckon(self, shape: str, cleaned: dict[str, Any]) -> None:
        sizes = {name: float(cleaned[name]) for name in SIZES if cleaned.get(name) is not None}
        try:
            cleaned["area_cm2"] = rounded(AREAS[shape](sizes), 1)
        except ValueError:
            self.add_error(NEEDS[shape][-1], "With these sizes nothing of the form is left. Check them.")


SIZES = ("diameter_cm", "height_cm", "piece_wall_mm", "well_cm")
NEEDS = {
    "mug": ("diameter_cm", "height_cm", "piece_wall_mm"),
    "bowl": ("diameter_cm", "height_cm", "piece_wall_mm"),
    "plate": ("diameter_cm",),
    "tile": ("diameter_cm", "height_cm"),
}


def _round(sizes: dict[str, float]) -> dict[str, float]:
    return {
        "diameter_cm": sizes["diameter_cm"],
        "height_cm": sizes["height_cm"],
        "wall_cm": sizes["piece_wall_mm"] / 10,
    }


AREAS = {
    "mug": lambda sizes: cylinder_area_cm2(**_round(sizes)),
    "bowl": lambda sizes: bowl_area_cm2(**_round(sizes)),
    "plate": lambda sizes: plate_area_cm2(
        diameter_cm=sizes["diameter_cm"],
        well_cm=sizes.get("well_cm", sizes["diameter_cm"]),
        rise_cm=sizes.get("height_cm", 0.0),
    ),
    "tile": lambda sizes: tile_area_cm2(width_cm=sizes["diameter_cm"], height_cm=sizes["height_cm"]),
}


class DragOutForm(ShapeFields, Asking):
    """A piece weighed before and at once after its dip; or none weighed, and the coat said instead."""

    pieces = forms.IntegerField(
        label="Pieces dipped",
        required=False,
        min_value=1,
        max_value=1000,
        widget=forms.TextInput({"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={
            "invalid": "Pieces are counted in whole numbers.",
            "min_value": "At least one piece.",
            "max_value": "At most 1000 pieces at once.",
        },
    )
    before_g = _grams("One piece before")
    after_g = _grams("At once after")
    seconds = NumberField(
        label="Seconds in the glaze",
        help_text="Only to keep it as a tile.",
        unit="s",
        above=0,
        maximum=600,
        places=1,
        required=False,
    )
    coat_g_per_cm2 = _coat("or its coat", help_text="Left empty: the coat this glaze wants.")

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean() or {}
        before, after = cleaned.get("before_g"), cleaned.get("after_g")
        if self.errors:
            return cleaned
        if (before is None) != (after is None):
            self.add_error("after_g" if after is None else "before_g", "Weigh it both times, or not at all.")
        elif before is not None and after <= before:
            self.add_error("after_g", "After the dip it is heavier. Are the two the right way round?")
        if cleaned.get("area_cm2") is None and not self.errors:
            self.add_error("area_cm2", "How large is the glazed surface? Choose a form, or type it.")
        return cleaned

    @property
    def gain_g(self) -> Decimal | None:
        """Wet glaze on one piece, where it was weighed."""
        before, after = self.cleaned_data["before_g"], self.cleaned_data["after_g"]
        return None if before is None else after - before
