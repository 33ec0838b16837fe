"""Units at the door. Definitions exact: NIST SP 811, from memory."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.calc.units import (
    MASS_UNITS,
    VOLUME_UNITS,
    UnknownUnit,
    from_grams,
    from_litres,
    to_grams,
    to_litres,
)

AMOUNTS = st.decimals(min_value=0, max_value=10**9, places=5)
MASS_CODES, VOLUME_CODES = [c for c, _ in MASS_UNITS], [c for c, _ in VOLUME_UNITS]


@pytest.mark.parametrize(
    ("amount", "unit", "grams"),
    [
        ("1", "g", "1"),
        ("1.5", "kg", "1500"),
        ("1", "lb", "453.59237"),
        ("1", "oz", "28.349523125"),
        ("16", "oz", "453.59237"),
        ("50", "lb", "22679.6185"),  # edge case 30: a 50 lb bag is 22.6796 kg
        ("0", "lb", "0"),
        ("999999999.99999", "lb", "453592369999.9954640763"),
    ],
)
def test_masses_are_exact(amount, unit, grams):
    assert to_grams(amount=Decimal(amount), unit=unit) == Decimal(grams)


@pytest.mark.parametrize(
    ("amount", "unit", "litres"),
    [
        ("250", "mL", "0.25"),
        ("1", "L", "1"),
        ("1", "US_gal", "3.785411784"),
        ("5", "US_gal", "18.92705892"),
        ("1", "imp_gal", "4.54609"),
    ],
)
def test_volumes_are_exact(amount, unit, litres):
    assert to_litres(amount=Decimal(amount), unit=unit) == Decimal(litres)


@given(amount=AMOUNTS, unit=st.sampled_from(MASS_CODES))
def test_a_mass_in_any_unit_comes_back_as_it_was(amount, unit):
    back = from_grams(mass_g=to_grams(amount=amount, unit=unit), unit=unit)
    assert back.quantize(Decimal("0.00001")) == amount


@given(amount=AMOUNTS, unit=st.sampled_from(VOLUME_CODES))
def test_a_volume_in_any_unit_comes_back_as_it_was(amount, unit):
    back = from_litres(volume_l=to_litres(amount=amount, unit=unit), unit=unit)
    assert back.quantize(Decimal("0.00001")) == amount


@given(amount=AMOUNTS, unit=st.sampled_from(MASS_CODES))
def test_large_amounts_carry_no_exponent(amount, unit):
    assert to_grams(amount=amount, unit=unit).as_tuple().exponent <= 0


@pytest.mark.parametrize(
    "unit", ["", "G", "gram", "stone", "mL", "kg*1000", "lb; 1", "1 kg", "kg ", "__class__"]
)
def test_a_unit_that_is_not_on_the_list_is_refused_and_never_read_as_an_expression(unit):
    with pytest.raises(UnknownUnit, match="unit must be one of g, kg, oz, lb") as refused:
        to_grams(amount=Decimal(1), unit=unit)
    assert refused.value.unit == unit


def test_a_volume_is_not_a_mass():
    with pytest.raises(UnknownUnit, match="unit must be one of mL, L, US gal, imperial gal"):
        to_litres(amount=Decimal(1), unit="kg")


@pytest.mark.parametrize("amount", ["NaN", "Infinity", "-Infinity"])
def test_an_amount_that_is_not_finite_is_refused(amount):
    with pytest.raises(ValueError, match="amount must be a finite number"):
        to_grams(amount=Decimal(amount), unit="g")
