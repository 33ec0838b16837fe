"""Measuring SG: uncertainty, verdict, other scales. Single values: tests/test_reference.py."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from studio.calc.gravity import (
    hydrometer,
    mean_of_readings,
    sg_known_volume,
    sg_same_vessel,
    uncertainty_of_dry,
    uncertainty_of_ratio,
    uncertainty_of_weighing,
    verdict,
)
from studio.calc.gravity_scales import (
    baume_from_sg,
    density_units,
    sg_from_baume,
    sg_from_pint_weight,
    sg_from_twaddell,
    twaddell_from_sg,
)
from tests.calc.reference import table

SGS = st.floats(1.0, 2.2)
ORDER = {"inside": 0, "undecided": 1, "outside": 2}


@pytest.mark.parametrize(
    "row", table("e_u_sg"), ids=lambda r: f"{r['SG']}/{r['V_mL']}/{r['tol_V']}/{r['tol_scale']}"
)
def test_the_table_of_uncertainties(row):
    # slurry_checks.json, table e_u_sg: arithmetic by a script, verified there by Monte Carlo
    u = uncertainty_of_weighing(
        sg=row["SG"], volume_ml=row["V_mL"], tol_volume_ml=row["tol_V"], tol_scale_g=row["tol_scale"]
    )
    wanted = (row["u_volume"], row["u_mass"], row["u"], row["U_k2"])
    assert (u.u_from_volume, u.u_from_mass, u.u, u.U) == pytest.approx(wanted, rel=1e-5)
    judged = verdict(reading=row["SG"], target=row["SG"], half_window=0.02, u=u.u)
    assert judged.accept_within == pytest.approx(row["inside_if_within(window 0.02)"], rel=1e-5)


@pytest.mark.parametrize("row", table("e_conversions"), ids=lambda r: f"{r['SG_or_rho']}")
def test_the_table_of_scales(row):
    # slurry_checks.json, table e_conversions: exact unit definitions
    x = row["SG_or_rho"]
    units = density_units(rho_kg_per_l=x)
    found = (
        baume_from_sg(sg=x),
        baume_from_sg(sg=x, modulus=144.3),
        twaddell_from_sg(sg=x),
        20 * x,
        units.oz_per_imp_pint,
        units.oz_per_us_pint,
        units.lb_per_us_gal,
    )
    assert found == pytest.approx(tuple(row.values())[1:], rel=1e-5)


# --- laws


@given(sg=SGS, modulus=st.sampled_from([145.0, 144.3]))
def test_scales_lead_back_to_the_sg(sg, modulus):
    assert sg_from_baume(degrees=baume_from_sg(sg=sg, modulus=modulus), modulus=modulus) == pytest.approx(sg)
    assert sg_from_twaddell(degrees=twaddell_from_sg(sg=sg)) == pytest.approx(sg)


def test_an_imperial_pint_of_water_weighs_twenty_ounces_within_a_quarter_percent():
    # slurry.md e: P/20 and the true mass differ by 0.22 %, because the pint was weighed in air
    pint_oz = density_units(rho_kg_per_l=1.0).oz_per_imp_pint
    assert sg_from_pint_weight(pint_oz=pint_oz) == pytest.approx(1.0022, abs=1e-4)


@given(reading=SGS, target=SGS, u=st.floats(0, 0.02), k=st.floats(1, 3))
def test_nearer_to_the_target_is_never_a_worse_verdict(reading, target, u, k):
    nearer = target + (reading - target) / 2
    words = [
        verdict(reading=x, target=target, half_window=0.02, u=u, k=k).word for x in (reading, nearer, target)
    ]
    assert ORDER[words[0]] >= ORDER[words[1]] >= ORDER[words[2]]


@given(reading=SGS, u=st.floats(0, 0.02), more=st.floats(0, 0.02))
def test_knowing_less_never_decides_what_knowing_more_could_not(reading, u, more):
    sure = verdict(reading=reading, target=1.45, half_window=0.02, u=u).word
    unsure = verdict(reading=reading, target=1.45, half_window=0.02, u=u + more).word
    assert unsure in (sure, "undecided")


@given(reading=SGS, target=SGS, h=st.floats(0.001, 0.1), u=st.floats(1e-6, 0.05))
def test_a_verdict_is_the_same_on_both_sides_of_the_target_and_its_chance_is_one(reading, target, h, u):
    here = verdict(reading=reading, target=target, half_window=h, u=u)
    there = verdict(reading=2 * target - reading, target=target, half_window=h, u=u)
    assert 0 <= here.p_inside <= 1
    assert here.p_inside == pytest.approx(there.p_inside, abs=1e-6)
    assert here.difference == pytest.approx(-there.difference, abs=1e-12)


@given(reading=SGS, u=st.floats(1e-4, 0.02))
def test_inside_is_at_least_97_percent_sure_and_outside_at_most_3(reading, u):
    # k = 2 leaves 2.3 % of a normal distribution beyond each edge
    found = verdict(reading=reading, target=1.45, half_window=0.02, u=u)
    assume(found.word != "undecided")
    assert found.p_inside >= 0.954 if found.word == "inside" else found.p_inside <= 0.0228


def test_the_edge_of_a_window_known_without_doubt_is_inside():
    for reading in (1.43, 1.47, 1.45):
        assert verdict(reading=reading, target=1.45, half_window=0.02, u=0).word == "inside"
    assert verdict(reading=1.4701, target=1.45, half_window=0.02, u=0).word == "outside"
    assert verdict(reading=1.4701, target=1.45, half_window=0.02, u=0).p_inside == 0
    assert verdict(reading=1.47, target=1.45, half_window=0.02, u=0).p_inside == 1


def test_a_window_narrower_than_the_uncertainty_calls_nothing_inside():
    # slurry_checks.json table e_u_sg: class B glass and a 1 g scale, U 0.024
    found = verdict(reading=1.45, target=1.45, half_window=0.02, u=0.0119024)
    assert found.word == "undecided"
    assert found.accept_within < 0


@given(volume=st.floats(50, 1000), tol_v=st.floats(0, 5), tol_s=st.floats(0, 5), fill=st.floats(0, 2), sg=SGS)
def test_a_bigger_vessel_of_the_same_tolerance_is_never_worse(volume, tol_v, tol_s, fill, sg):
    def u(volume_ml):
        return uncertainty_of_weighing(
            sg=sg, volume_ml=volume_ml, tol_volume_ml=tol_v, tol_scale_g=tol_s, u_fill_ml=fill
        ).u

    assert u(volume * 2) <= u(volume)


@given(sg=SGS, volume=st.floats(50, 1000), a=st.floats(0, 1))
def test_the_ratio_needs_no_volume_so_without_scale_and_fill_errors_it_is_exact(sg, volume, a):
    assert uncertainty_of_ratio(sg=sg, volume_ml=volume, tol_scale_g=0).u == 0
    with_scale = uncertainty_of_ratio(sg=sg, volume_ml=volume, tol_scale_g=a).u
    assert with_scale == pytest.approx(a / math.sqrt(3) / volume * math.sqrt(1 + sg**2 + (sg - 1) ** 2))


@given(sg=st.floats(1.05, 2), v=st.floats(1, 50), part=st.sampled_from(["u_volume_l", "u_sg", "u_rho_s"]))
def test_the_uncertainty_of_the_dry_mass_is_the_slope_times_the_uncertainty(sg, v, part):
    step = 1e-6
    at = {"volume_l": v, "sg": sg, "rho_s": 2.6}
    moved = {**at, part.removeprefix("u_"): at[part.removeprefix("u_")] + step}
    none = {"u_volume_l": 0.0, "u_sg": 0.0, "u_rho_s": 0.0}
    found = uncertainty_of_dry(**at, **{**none, part: step})
    slope = uncertainty_of_dry(**moved, **none).dry_kg - uncertainty_of_dry(**at, **none).dry_kg
    assert found.u_dry_kg == pytest.approx(abs(slope), rel=1e-3)


@given(slurry_g=st.floats(150, 400), tare_g=st.floats(0, 60), t=st.floats(0, 40))
def test_a_vessel_weighed_twice_with_water_reads_one(slurry_g, tare_g, t):
    found = sg_same_vessel(slurry_g=slurry_g, water_g=slurry_g, tare_g=tare_g, temperature_c=t)
    assert (found.sg_apparent, found.sg_buoyancy_corrected) == (1, pytest.approx(1))


@given(reading=SGS, t=st.floats(1, 39), w=st.floats(0, 0.8))
def test_a_hydrometer_read_at_its_own_temperature_reads_true(reading, t, w):
    found = hydrometer(
        reading_sg=reading, temperature_c=t, calibrated_at_c=t, water_reference_c=t, w=w, rho_s=2.6
    )
    assert found.sg_t_t == pytest.approx(reading)
    assert found.rho_at_t == pytest.approx(found.rho_at_t_cal)


def test_readings_of_one_stir_agree_up_to_the_limit_and_not_beyond():
    assert mean_of_readings(readings=[1.452, 1.450]).agree
    assert mean_of_readings(readings=[1.45, 1.46]).agree
    assert not mean_of_readings(readings=[1.45, 1.4611]).agree
    assert mean_of_readings(readings=[1.45]).mean == 1.45


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: sg_known_volume(gross_g=60, tare_g=60, volume_ml=100), "gross_g must be above 60, got 60"),
        (lambda: sg_known_volume(gross_g=200, tare_g=-1, volume_ml=100), "tare_g must be 0 or more"),
        (lambda: sg_known_volume(gross_g=200, tare_g=60, volume_ml=0), "volume_ml must be above 0"),
        (lambda: verdict(reading=1.45, target=1.45, half_window=0, u=0.004), "half_window must be above 0"),
        (lambda: verdict(reading=1.45, target=1.45, half_window=0.02, u=-1), "u must be 0 or more, got -1"),
        (
            lambda: verdict(reading=float("nan"), target=1.45, half_window=0.02, u=0),
            "reading must be a finite",
        ),
        (
            lambda: uncertainty_of_weighing(sg=1.4, volume_ml=100, tol_volume_ml=-1, tol_scale_g=0),
            "tol_volume_ml",
        ),
        (lambda: mean_of_readings(readings=[]), "at least one SG, got none"),
        (lambda: sg_from_baume(degrees=145), "degrees must be 0 to"),
        (lambda: sg_from_twaddell(degrees=-1), "degrees must be 0 or more, got -1"),
        (lambda: baume_from_sg(sg=0.9), "sg must be 1 or more, got 0.9"),
    ],
)
def test_a_value_out_of_range_is_refused_with_its_name_what_was_wanted_and_what_came(call, words):
    with pytest.raises(ValueError, match=words):
        call()
