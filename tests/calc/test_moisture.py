"""Moisture and loss on ignition. Single values: tests/test_reference.py, section m."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.materials.calc.moisture import ATOMS, calcined_swap, dry_basis, loss_on_ignition, moist_weigh

PCT = st.floats(0, 60)


@given(dry=st.floats(0, 50_000), pct=PCT)
def test_what_is_weighed_holds_the_powder_that_is_needed(dry, pct):
    wet = moist_weigh(dry_needed_g=dry, moisture_pct=pct)
    assert wet.weigh_g - wet.water_carried_g == pytest.approx(dry)
    assert wet.water_carried_g == pytest.approx(wet.weigh_g * pct / 100)


@given(dry=st.floats(1, 50_000), pct=PCT)
def test_both_bases_of_one_moisture_weigh_the_same(dry, pct):
    wet = moist_weigh(dry_needed_g=dry, moisture_pct=pct)
    same = moist_weigh(dry_needed_g=dry, moisture_pct=dry_basis(wet_basis_pct=pct), basis="dry")
    assert same.weigh_g == pytest.approx(wet.weigh_g)


@given(kaolin=st.floats(0, 5000), share=st.floats(0, 1), loi=st.floats(0, 40))
def test_raw_and_calcined_bring_the_same_fired_clay(kaolin, share, loi):
    swap = calcined_swap(kaolin_g=kaolin, share_calcined=share, loi_pct=loi)
    fired = swap.raw_g * (1 - loi / 100) + swap.calcined_g
    assert fired == pytest.approx(kaolin * (1 - loi / 100))


# Rows of the table in the reference, section m, that no check value covers.
TABLE = [
    ({"Ba": 1, "C": 1, "O": 3}, {"C": 1, "O": 2}, 197.338, 22.3013),
    ({"Sr": 1, "C": 1, "O": 3}, {"C": 1, "O": 2}, 147.628, 29.8107),
    ({"Li": 2, "C": 1, "O": 3}, {"C": 1, "O": 2}, 73.888, 59.5618),
    ({"Al": 1, "O": 3, "H": 3}, {"O": 1.5, "H": 3}, 78.003, 34.6429),
    ({"Ca": 2, "B": 6, "O": 16, "H": 10}, {"O": 5, "H": 10}, 411.08, 21.9118),
    ({"Na": 2, "B": 4, "O": 17, "H": 20}, {"O": 10, "H": 20}, 381.363, 47.2385),
    ({"Cu": 2, "C": 1, "O": 5, "H": 2}, {"C": 1, "O": 3, "H": 2}, 221.114, 28.0507),
    ({"Co": 1, "C": 1, "O": 3}, {"C": 1, "O": 2}, 118.941, 37.0007),
    ({"Mn": 1, "C": 1, "O": 3}, {"C": 1, "O": 2}, 114.946, 38.2867),
]


@pytest.mark.parametrize(("formula", "lost", "molar", "loi"), TABLE)
def test_losses_of_the_reference_table(formula, lost, molar, loi):
    found = loss_on_ignition(formula=formula, lost=lost)
    assert (found.molar_mass, found.loi_pct) == (pytest.approx(molar, rel=1e-4), pytest.approx(loi, rel=1e-4))
    assert found.calcined_factor * found.raw_per_calcined == pytest.approx(1)


@given(atoms=st.dictionaries(st.sampled_from(sorted(ATOMS)), st.integers(1, 9), min_size=1))
def test_what_loses_nothing_stays_whole(atoms):
    found = loss_on_ignition(formula=atoms, lost={})
    assert (found.loi_pct, found.calcined_factor) == (0, 1)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: moist_weigh(dry_needed_g=-1, moisture_pct=8), "dry_needed_g"),
        (lambda: moist_weigh(dry_needed_g=1, moisture_pct=100), "wet_basis_pct"),
        (lambda: moist_weigh(dry_needed_g=1, moisture_pct=-1, basis="dry"), "moisture_pct"),
        (lambda: moist_weigh(dry_needed_g=1, moisture_pct=math.nan), "wet_basis_pct"),
        (lambda: moist_weigh(dry_needed_g=1, moisture_pct=8, basis="damp"), "basis"),
        (lambda: dry_basis(wet_basis_pct=-1), "wet_basis_pct"),
        (lambda: loss_on_ignition(formula={"Xx": 1}, lost={}), "Xx"),
        (lambda: loss_on_ignition(formula={"C": 1}, lost={"O": 1}), "more O is lost"),
        (lambda: loss_on_ignition(formula={"C": 1}, lost={"C": 1}), "stays"),
        (lambda: loss_on_ignition(formula={"C": -1}, lost={}), "number of C"),
        (lambda: loss_on_ignition(formula={}, lost={}), "molar_mass"),
        (lambda: calcined_swap(kaolin_g=-1, share_calcined=0.5, loi_pct=14), "kaolin_g"),
        (lambda: calcined_swap(kaolin_g=1, share_calcined=1.1, loi_pct=14), "share_calcined"),
        (lambda: calcined_swap(kaolin_g=1, share_calcined=0.5, loi_pct=100), "loi_pct"),
    ],
)
def test_what_cannot_be_is_refused_by_name(call, says):
    with pytest.raises(ValueError, match=says):
        call()
