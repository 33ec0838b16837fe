"""Water against printed tables and reference packages (slurry_checks.json, table f_water)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.calc.water import (
    water_density_kell_kg_per_m3,
    water_density_kg_per_l,
    water_density_kg_per_m3,
    water_viscosity_mpas,
)
from tests.calc.reference import table

WATER = table("f_water")


@pytest.mark.parametrize("row", WATER, ids=lambda row: f"{row['T_C']} C")
def test_density_agrees_with_two_independent_equations_of_state(row):
    ours = water_density_kg_per_m3(temperature_c=row["T_C"])
    assert ours == pytest.approx(row["tanaka_kg_m3"], abs=6e-4)  # printed to 6 figures
    assert ours == pytest.approx(row["coolprop_iapws95_kg_m3"], abs=1.2e-3 + 5e-4)
    assert ours == pytest.approx(row["iapws_if97_kg_m3"], abs=9e-3 + 5e-4)


@pytest.mark.parametrize("row", WATER, ids=lambda row: f"{row['T_C']} C")
def test_the_older_formula_stays_within_three_grams_in_a_cubic_metre_of_it(row):
    older = water_density_kell_kg_per_m3(temperature_c=row["T_C"])
    assert older == pytest.approx(row["kell_kg_m3"], abs=6e-4)
    assert older == pytest.approx(water_density_kg_per_m3(temperature_c=row["T_C"]), abs=3.5e-3)


@pytest.mark.parametrize("row", WATER, ids=lambda row: f"{row['T_C']} C")
def test_viscosity_agrees_with_a_reference_package(row):
    ours = water_viscosity_mpas(temperature_c=row["T_C"])
    assert ours == pytest.approx(row["coolprop_mu_mPas"], rel=4e-5)


@given(t=st.floats(4, 39))
def test_above_four_degrees_warmer_water_is_lighter_and_thinner(t):
    assert water_density_kg_per_l(temperature_c=t + 1) < water_density_kg_per_l(temperature_c=t)
    assert water_viscosity_mpas(temperature_c=t + 1) < water_viscosity_mpas(temperature_c=t)


@pytest.mark.parametrize("t", [-0.1, 40.1, float("nan"), float("inf")])
def test_temperatures_that_the_formula_does_not_hold_for_are_refused(t):
    with pytest.raises(ValueError, match="temperature_c must be 0 to 40, got"):
        water_density_kg_per_m3(temperature_c=t)
