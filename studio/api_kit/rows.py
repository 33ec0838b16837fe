"""Rows as programs read them: amounts exact, as text with all their places, each with its unit."""

from typing import Any

from django.db import models
from rest_framework import serializers

from studio.quantities import QuantityField

UNITS = (
    ("price_per_kg", "studio currency per kg"),
    ("_pct", "%"),
    ("_ml", "mL"),
    ("_kg", "kg"),
    ("_cm", "cm"),
    ("_mm", "mm"),
    ("_min", "min"),
    ("seconds", "seconds"),
    ("_ratio", "no unit"),
    ("_g", "g"),
    ("_l", "L"),
    ("_c", "degrees Celsius"),
    ("density", "g/mL"),
    ("cost", "studio currency"),
    ("value", "studio currency"),
    ("_share", "0 to 1, no unit"),
    ("sg", "specific gravity, no unit"),
    ("ph", "pH, no unit"),
    ("half_window", "specific gravity, no unit"),
)


def amount(said: str, places: int = 3, **kwargs: Any) -> serializers.DecimalField:
    """An exact amount; ``said`` names its unit first. 19 digits hold all that the database does."""
    return serializers.DecimalField(
        max_digits=19, decimal_places=places, help_text=said, read_only=True, **kwargs
    )


def unit_of(name: str) -> str:
    """The unit that the name of a quantity ends with; LookupError when it says none."""
    for ending, unit in UNITS:
        if name.endswith(ending):
            return unit
    raise LookupError(f"say the unit of {name} with amount()")


class RowOut(serializers.ModelSerializer):
    """A row as it is answered: everything in it is read only, quantities keep their places."""

    def build_standard_field(self, field_name: str, model_field: models.Field) -> Any:
        if isinstance(model_field, models.DecimalField) and not isinstance(model_field, QuantityField):
            field, kwargs = super().build_standard_field(field_name, model_field)
            said = ", ".join(str(w) for w in (unit_of(field_name), model_field.help_text) if w)
            return field, {**kwargs, "help_text": said}
        if not isinstance(model_field, QuantityField):
            return super().build_standard_field(field_name, model_field)
        words = ", ".join(str(w) for w in (unit_of(field_name), model_field.help_text) if w)
        kwargs = {"max_digits": 19, "decimal_places": model_field.places, "help_text": words}
        return serializers.DecimalField, {**kwargs, "allow_null": model_field.null}

    def get_fields(self) -> dict[str, serializers.Field]:
        fields = super().get_fields()
        for field in fields.values():
            field.read_only = True
        return fields
