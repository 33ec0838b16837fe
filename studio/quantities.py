"""Exact amounts: whole small units in the database, Decimal in Python.

SQLite keeps Decimal as a float, so sums of it drift; whole numbers are exact on both databases.
"""

from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models


class QuantityField(models.Field):
    """A Decimal with a fixed number of places, stored as a whole number of its smallest unit.

    ``places=3`` on ``mass_g`` stores milligrams, on ``volume_l`` millilitres. A value with more
    places than that is refused, never rounded silently: round where the rule is known.
    """

    description = "exact amount in whole small units"

    def __init__(self, *args: Any, places: int, **kwargs: Any) -> None:
        self.places = places
        super().__init__(*args, **kwargs)

    def deconstruct(self):
        name, path, args, kwargs = super().deconstruct()
        return name, path, args, {**kwargs, "places": self.places}

    def get_internal_type(self) -> str:
        return "BigIntegerField"

    def from_db_value(self, value, expression, connection):
        return None if value is None else Decimal(int(value)).scaleb(-self.places)

    def to_python(self, value):
        if value is None:
            return None
        try:
            number = value if isinstance(value, Decimal) else Decimal(str(value))
        except InvalidOperation as error:
            raise ValidationError("This is not a number.") from error
        if not number.is_finite():
            raise ValidationError("This is not a number.")
        return number

    def get_prep_value(self, value):
        number = self.to_python(super().get_prep_value(value))
        if number is None:
            return None
        whole = number.scaleb(self.places)
        if whole != whole.to_integral_value():
            raise ValueError(f"{self.name}: {number} has more than {self.places} places")
        if abs(whole) >= 2**63:
            raise ValueError(f"{self.name}: {number} is too large")
        return int(whole)


def rounded(value: Decimal | float | int, places: int) -> Decimal:
    """The nearest Decimal with that many places, halves away from zero."""
    number = value if isinstance(value, Decimal) else Decimal(repr(float(value)))
    return number.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)


def mass_field(**kwargs: Any) -> QuantityField:
    """Grams, kept in whole milligrams."""
    return QuantityField(places=3, **kwargs)


def volume_field(**kwargs: Any) -> QuantityField:
    """Litres, kept in whole millilitres."""
    return QuantityField(places=3, **kwargs)


def money_field(**kwargs: Any) -> QuantityField:
    """Studio currency, kept in ten-thousandths so that a gram of whiting still has a price."""
    return QuantityField(places=4, **kwargs)


def sg_field(**kwargs: Any) -> QuantityField:
    """Specific gravity, four places."""
    return QuantityField(places=4, **kwargs)


def length_field(**kwargs: Any) -> QuantityField:
    """Centimetres, kept in whole hundredths of a millimetre."""
    return QuantityField(places=3, **kwargs)
