"""How well each way of measuring knows an SG, against the ``uncertainties`` package and the reference."""

from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from studio.calc.gravity import (
    density_by_hydrometer,
    uncertainty_of_dry,
    uncertainty_of_ratio,
    uncertainty_of_weighing,
)
from studio.calc.gravity_doubt import (
    filled_with_water,
    particle_density,
    sg_per_division,
    uncertainty_of_hydrometer,
)
from studio.calc.gravity_scales import TOLD, sg_told, told_from_sg
from studio.calc.water import water_density_kg_per_l

A = 1 / sqrt(3)  # half-width to standard uncertainty: rectangular, reference e

sgs, masses = st.floats(1.05, 2.0), st.floats(20, 400)


@given(sg=sgs, volume=st.floats(50, 1000), glass=st.floats(0.05, 5), scale=st.floats(0.01, 2))
def test_a_known_volume_weighed_agrees_with_the_package(sg, volume, glass, scale):
    gross, tare = ufloat(60 + sg * volume, scale * A), ufloat(60, scale * A)
    told = (gross - tare) / ufloat(volume, glass * A)
    ours = uncertainty_of_weighing(sg=sg, volume_ml=volume, tol_volume_ml=glass, tol_scale_g=scale)
    assert ours.u == pytest.approx(told.std_dev, rel=1e-9)


@given(sg=sgs, volume=st.floats(50, 1000), scale=st.floats(0.01, 2), fill=st.floats(0.01, 0.5))
def test_the_same_vessel_against_water_agrees_with_the_package(sg, volume, scale, fill):
    tare = ufloat(60, scale * A)
    # the masses are those of the two fills as they came out, each filled as well as one can fill
    slurry = ufloat(60 + sg * volume, scale * A) + sg * ufloat(0, fill)
    water = ufloat(60 + volume, scale * A) + ufloat(0, fill)
    told = (slurry - tare) / (water - tare)
    ours = uncertainty_of_ratio(sg=sg, volume_ml=volume, tol_scale_g=scale, u_fill_ml=fill)
    assert ours.u == pytest.approx(told.std_dev, rel=1e-9)


@given(sg=sgs, division=st.floats(0.001, 0.05), warm=st.floats(5, 35))
def test_a_hydrometer_agrees_with_the_package(sg, division, warm):
    right, read = ufloat(0, division * A), ufloat(0, division / 2 * A)
    t = ufloat(warm, 1 * A)
    told = (sg + read + right) * (1 - 25e-6 * (t - 20))
    ours = uncertainty_of_hydrometer(reading_sg=sg, division_sg=division)
    assert ours.u == pytest.approx(told.std_dev, rel=1e-3)


def test_a_hydrometer_of_two_thousandths_knows_an_sg_to_about_three():
    # derived: 0.002 x sqrt(1/3 + 1/12) = 0.00129, twice that
    doubt = uncertainty_of_hydrometer(reading_sg=1.45, division_sg=0.002).U
    assert doubt == pytest.approx(0.00258, abs=1e-5)


@given(unit=st.sampled_from(["SG", "baumé", "twaddell"]), sg=st.floats(1.1, 1.9))
def test_a_division_in_sg_is_the_slope_of_the_scale(unit, sg):
    as_read = sg if unit == "SG" else told_from_sg(unit=unit, sg=sg)
    slope = {"SG": 1.0, "baumé": sg**2 / 145, "twaddell": 1 / 200}[unit]  # by hand
    assert sg_per_division(unit=unit, as_read=as_read, division=0.5) == pytest.approx(slope / 2, rel=1e-4)


@given(net=masses, warm=st.floats(1, 39), scale=st.floats(0.01, 2), reading=st.floats(0.01, 1))
def test_a_glass_filled_with_water_agrees_with_the_package(net, warm, scale, reading):
    rho = water_density_kg_per_l(temperature_c=warm)
    slope = water_density_kg_per_l(temperature_c=warm + 0.5) - water_density_kg_per_l(
        temperature_c=warm - 0.5
    )
    rho_w = rho + slope * ufloat(0, A)
    told = (ufloat(60 + net, scale * A) - ufloat(60, scale * A)) / rho_w + ufloat(0, reading * A)
    ours = filled_with_water(net_g=net, temperature_c=warm, tol_scale_g=scale, tol_reading_ml=reading)
    assert ours.volume_ml == pytest.approx(told.nominal_value, rel=1e-12)
    assert ours.u_ml == pytest.approx(told.std_dev, rel=1e-6)


def test_a_flask_of_100_g_water_at_20_degrees_holds_100_18_ml():
    # spc.md 7: net water grams / 0.998 at 20 C; Tanaka 0.998207 (slurry.md f)
    found = filled_with_water(net_g=100, temperature_c=20, tol_scale_g=0.1, tol_reading_ml=0.1)
    assert found.volume_ml == pytest.approx(100 / 0.998207, rel=1e-6)
    assert found.tolerance_ml == pytest.approx(0.174, abs=0.002)  # 0.1 g twice, 0.1 mL, 1 degree


@given(dry=st.floats(40, 110), share=st.floats(0.35, 0.5), glass=st.floats(0.05, 1), scale=st.floats(0.01, 1))
def test_particle_density_agrees_with_the_package(dry, share, glass, scale):
    rho_w = water_density_kg_per_l(temperature_c=20)
    net = 100 * rho_w + dry * (1 - share)
    m, v, d = ufloat(net, scale * sqrt(2) * A), ufloat(100, glass * A), ufloat(dry, scale * sqrt(2) * A)
    told = (d / v) * rho_w / (d / v - (m / v - rho_w))
    ours = particle_density(
        gross_g=60 + net, tare_g=60, volume_ml=100, dry_g=dry, tol_volume_ml=glass, tol_scale_g=scale
    )
    assert ours.rho_s == pytest.approx(told.nominal_value, rel=1e-9)
    assert ours.u == pytest.approx(told.std_dev, rel=1e-6)


def test_100_ml_of_144_7_g_that_dry_to_73_2_g_hold_powder_of_2_58():
    found = particle_density(
        gross_g=204.7, tare_g=60, volume_ml=100, dry_g=73.2, tol_volume_ml=0.5, tol_scale_g=0.1
    )
    assert found.rho_s == pytest.approx(2.58005, rel=1e-5)  # a6


@given(volume=st.floats(3, 20), sg=st.floats(1.2, 1.7), u=st.floats(0.001, 0.02))
def test_the_dry_mass_in_a_bucket_agrees_with_the_package(volume, sg, u):
    v, g, r = ufloat(volume, 0.1), ufloat(sg, u), ufloat(2.6, 0.05)
    told = v * r * (g - 1) / (r - 1)
    ours = uncertainty_of_dry(volume_l=volume, sg=sg, rho_s=2.6, u_volume_l=0.1, u_sg=u, u_rho_s=0.05)
    assert ours.u_dry_kg == pytest.approx(told.std_dev, rel=1e-9)


@given(unit=st.sampled_from(sorted(TOLD)), sg=st.floats(1.01, 2.2), modulus=st.sampled_from([144.3, 145.0]))
def test_every_unit_there_and_back_is_the_same_sg(unit, sg, modulus):
    told = told_from_sg(unit=unit, sg=sg, modulus=modulus)
    assert sg_told(unit=unit, value=told, modulus=modulus) == pytest.approx(sg, rel=1e-12)


# slurry.md e: the row of 1.45, and that of 1.3, of the table of scales
@pytest.mark.parametrize(
    ("unit", "value", "modulus", "sg"),
    [
        ("baumé", 45, 145, 1.45),
        ("baumé", 44.7828, 144.3, 1.45),
        ("twaddell", 90, 145, 1.45),
        ("oz imperial pint", 29, 145, 1.45),
        ("oz US pint", 24.2017, 145, 1.45),
        ("g/100 mL", 145, 145, 1.45),
        ("g/L", 1450, 145, 1.45),
        ("lb/US gal", 12.1008, 145, 1.45),
        ("baumé", 33.4615, 145, 1.3),
        ("oz US pint", 21.6981, 145, 1.3),
        ("lb/US gal", 10.849, 145, 1.3),
    ],
)
def test_units_as_the_reference_has_them(unit, value, modulus, sg):
    assert sg_told(unit=unit, value=value, modulus=modulus) == pytest.approx(sg, abs=5e-6)


@given(sg=st.floats(1.05, 2.0), low=st.floats(5, 30), more=st.floats(0.5, 10))
def test_of_two_readings_alike_the_warmer_one_is_of_a_lighter_slurry(sg, low, more):
    # the glass has grown, so more of it floats in what must then be lighter
    cold, warm = (
        density_by_hydrometer(reading_sg=sg, temperature_c=t, calibrated_at_c=20, water_reference_c=20)
        for t in (low, low + more)
    )
    assert warm < cold


def test_a_60_60_hydrometer_at_25_degrees_as_in_e23():
    f60 = 15.5555556
    rho = density_by_hydrometer(reading_sg=1.45, temperature_c=25, calibrated_at_c=f60, water_reference_c=f60)
    assert rho == pytest.approx(1.44823, abs=5e-6)


@pytest.mark.parametrize("wrong", [0, -1, float("nan"), float("inf")])
def test_a_unit_without_a_number_is_refused(wrong):
    with pytest.raises(ValueError, match="value must be above 0"):
        sg_told(unit="g/L", value=wrong)
