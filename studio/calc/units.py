"""Units at the door: amounts come in with a unit from a closed list and are kept in grams and litres.

The only place where pint is met. It is asked for the factor of a listed unit, never given what
somebody typed: its parser would take that for an expression. Built once, on first use, because that
takes most of a second.
"""

from collections.abc import Callable
from decimal import Context, Decimal
from functools import cache
from typing import Any, Final

Choices = tuple[tuple[str, str], ...]

MASS_UNITS: Final[Choices] = (("g", "g"), ("kg", "kg"), ("oz", "oz"), ("lb", "lb"))
VOLUME_UNITS: Final[Choices] = (
    ("mL", "mL"),
    ("L", "L"),
    ("US_gal", "US gal"),
    ("imp_gal", "imperial gal"),
)

_PINT_NAMES = {
    "g": "gram",
    "kg": "kilogram",
    "oz": "ounce",
    "lb": "pound",
    "mL": "milliliter",
    "L": "liter",
    "US_gal": "US_liquid_gallon",
    "imp_gal": "imperial_gallon",
}
_WIDE = Context(prec=60)  # 15 typed digits times a factor of 12 stay exact


class UnknownUnit(ValueError):
    """A unit that is not on the list; ``unit`` is what came."""

    def __init__(self, unit: str, wanted: Choices) -> None:
        super().__init__(f"unit must be one of {', '.join(word for _, word in wanted)}, got {unit!r}")
        self.unit = unit


@cache
def _registry() -> Any:
    from pint import UnitRegistry  # here because it is slow to import and only forms want it

    return UnitRegistry(non_int_type=Decimal, cache_folder=None)


@cache
def _factor(unit: str, into: str) -> Decimal:
    quantity = _registry().Quantity(Decimal(1), _PINT_NAMES[unit]).to(into)
    return Decimal(quantity.magnitude)


def to_grams(*, amount: Decimal, unit: str) -> Decimal:
    """Grams of ``amount`` in one of ``MASS_UNITS``, exact: 1 lb is 453.59237 g, 1 oz a sixteenth of it.

    ``UnknownUnit`` for any other unit, ValueError for an amount that is not finite. Definitions exact
    (NIST SP 811, from memory; the pint package agrees).
    """
    return _convert(_WIDE.multiply, amount, unit, MASS_UNITS, "gram")


def from_grams(*, mass_g: Decimal, unit: str) -> Decimal:
    """An amount of grams in one of ``MASS_UNITS``, to 60 digits where it does not end. Errors as above."""
    return _convert(_WIDE.divide, mass_g, unit, MASS_UNITS, "gram")


def to_litres(*, amount: Decimal, unit: str) -> Decimal:
    """Litres of ``amount`` in one of ``VOLUME_UNITS``, exact: US gal 3.785411784 L, imperial 4.54609 L.

    Errors and source as ``to_grams``.
    """
    return _convert(_WIDE.multiply, amount, unit, VOLUME_UNITS, "liter")


def from_litres(*, volume_l: Decimal, unit: str) -> Decimal:
    """An amount of litres in one of ``VOLUME_UNITS``, to 60 digits where it does not end."""
    return _convert(_WIDE.divide, volume_l, unit, VOLUME_UNITS, "liter")


def _convert(
    apply: Callable[[Decimal, Decimal], Decimal], amount: Decimal, unit: str, listed: Choices, into: str
) -> Decimal:
    if unit not in dict(listed):
        raise UnknownUnit(unit, listed)
    if not amount.is_finite():
        raise ValueError(f"amount must be a finite number, got {amount}")
    return Decimal(f"{apply(amount, _factor(unit, into)).normalize(_WIDE):f}")
