"""Doses. Single values: tests/test_reference.py, section m."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.calc.doses import stock_dose

DRY = st.floats(0, 60)
PCT = st.floats(0, 5)
STOCK = st.floats(1, 500)
GOOD = {"dry_kg": 10.97, "dose_pct_of_dry": 0.1, "stock_g_per_l": 200}


@given(dry=DRY, pct=PCT, stock=STOCK, hydrate=st.floats(1, 3))
def test_the_solution_carries_exactly_the_dose(dry, pct, stock, hydrate):
    dose = stock_dose(dry_kg=dry, dose_pct_of_dry=pct, stock_g_per_l=stock, hydrate_factor=hydrate)
    assert dose.stock_ml / 1000 * stock == pytest.approx(dose.salt_g)
    assert dose.salt_g / hydrate == pytest.approx(dry * pct * 10)


@given(dry=DRY, pct=PCT, stock=STOCK)
def test_half_first_and_half_later_is_the_whole_dose(dry, pct, stock):
    half = stock_dose(dry_kg=dry, dose_pct_of_dry=pct / 2, stock_g_per_l=stock)
    whole = stock_dose(dry_kg=dry, dose_pct_of_dry=pct, stock_g_per_l=stock)
    assert 2 * half.stock_ml == pytest.approx(whole.stock_ml)


@pytest.mark.parametrize(
    "wrong",
    [
        {"dry_kg": -1},
        {"dry_kg": math.nan},
        {"dose_pct_of_dry": -0.1},
        {"dose_pct_of_dry": 101},
        {"stock_g_per_l": 0},
        {"stock_g_per_l": math.inf},
        {"hydrate_factor": 0.5},
        {"hydrate_factor": 11},
    ],
)
def test_an_impossible_dose_is_refused_by_name(wrong):
    with pytest.raises(ValueError, match=next(iter(wrong))):
        stock_dose(**{**GOOD, **wrong})
