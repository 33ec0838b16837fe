"""Settling: slurry_checks.json section i, its table, and laws."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.calc import settling
from studio.front.check_values import run_case
from studio.front.checks import CHECKS
from tests.calc.reference import REFERENCE, table

CASES = json.loads((REFERENCE / "slurry_checks.json").read_text(encoding="utf-8"))["cases"]
SECTION = [case for case in CASES if case["section"] == "i"]
GRIND = {"d_um": [45, 20, 10, 5], "share": [10, 20, 30, 40], "rho_s": 2.6, "temperature_c": 20.0}
SEEN = {
    "clear_mm": 8, "t_s": 600, "sg_obs": 1.45, "temperature_obs_c": 20.0, "rho_s": 2.6, "height_mm": 300,
    "phi_bed": 0.45, "want_mm": 5,
}  # fmt: skip


def test_all_twelve_cases_of_the_section_agree():
    assert len(SECTION) == 12
    assert [case["id"] for case in SECTION if run_case(case, table=CHECKS).problems] == []


@pytest.mark.parametrize("row", table("i_settling"), ids=lambda row: f"{row['d_um']}um {row['rho_s']}")
def test_every_row_of_the_printed_table_agrees(row):
    alone = settling.stokes(d_um=row["d_um"], rho_s=row["rho_s"], temperature_c=20.0)
    assert alone.v_mm_s == pytest.approx(row["stokes_mm_s"], rel=1e-5)
    assert alone.reynolds == pytest.approx(row["Re"], rel=1e-5)
    assert alone.v_drag_corrected_mm_s == pytest.approx(row["stokes_drag_corrected_mm_s"], rel=1e-5)
    crowd = settling.hindered(d_um=row["d_um"], rho_s=row["rho_s"], sg=row["SG"], temperature_c=20.0)
    assert crowd.v_mm_s == pytest.approx(row["hindered_mm_s"], rel=1e-5)
    assert crowd.s_for_10_mm == pytest.approx(row["s_for_10_mm"], rel=1e-5)


@pytest.mark.parametrize(
    ("sg", "seconds"),
    [(1.35, 112), (1.45, 164), (1.60, 314)],  # slurry reference i, printed to the second
)
def test_the_practice_fact_of_five_minutes_is_met_by_the_reference_grind(sg, seconds):
    assert settling.time_to_loss(sg=sg, y=0.1, depth_mm=100, **GRIND) == pytest.approx(seconds, abs=0.6)


def test_a_finer_grind_settles_slower():
    finer = {**GRIND, "d_um": [32, 20, 10, 5], "share": [5, 15, 30, 50]}
    found = settling.time_to_loss(sg=1.45, y=0.1, depth_mm=100, **finer)
    assert found == pytest.approx(345, abs=0.6)  # slurry reference i


@given(sg=st.floats(1.2, 1.7), y=st.floats(0.01, 0.95))
def test_after_the_time_to_a_loss_that_loss_has_come(sg, y):
    t_s = settling.time_to_loss(sg=sg, y=y, depth_mm=80, **GRIND)
    assert settling.top_layer_loss(sg=sg, t_s=t_s, depth_mm=80, **GRIND).loss == pytest.approx(y, rel=1e-6)


@given(sg=st.floats(1.36, 1.53), cooler=st.floats(1, 18))
def test_colder_is_slower_and_thicker_is_slower(sg, cooler):
    at = settling.settle_calibrated(sg=sg, temperature_c=20.0, **SEEN)
    cold = settling.settle_calibrated(sg=sg, temperature_c=20.0 - cooler, **SEEN)
    thick = settling.settle_calibrated(sg=sg + 0.01, temperature_c=20.0, **SEEN)
    assert cold.t_for_want_s > at.t_for_want_s
    assert thick.t_for_want_s > at.t_for_want_s
    assert thick.max_clear_mm < at.max_clear_mm


def test_at_its_own_sg_and_temperature_an_observation_says_what_was_seen():
    same = settling.settle_calibrated(sg=1.45, temperature_c=20.0, **{**SEEN, "want_mm": 8})
    assert same.t_for_want_s == pytest.approx(600)


@pytest.mark.parametrize("sg", [1.34, 1.56])
def test_an_observation_is_not_carried_further_than_a_tenth_of_sg(sg):
    with pytest.raises(ValueError, match=r"more than 0\.1"):
        settling.settle_calibrated(sg=sg, temperature_c=20.0, **SEEN)


def test_twice_the_loss_seen_allows_half_the_time():
    # t_allow = t_obs loss_allow / loss_obs, slurry reference i
    assert settling.allowed_s(t_obs_s=300, loss_obs=0.2, loss_allow=0.1) == pytest.approx(150)
    assert settling.loss_of_top(sg=1.45, sg_top=1.37445) == pytest.approx(0.167899, rel=1e-4)  # i10


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"share": [1, 2]}, "as many shares as diameters"),
        ({"share": [0, 0, 0, 0]}, "sum_of_shares"),
        ({"share": [1, -1, 1, 1]}, "share must be 0 or more"),
        ({"d_um": [45, 0, 10, 5]}, "d_um must be above 0"),
        ({"rho_s": 0.9}, "rho_s must be above"),
        ({"temperature_c": 60.0}, "temperature_c must be 0 to 40"),
        ({"y": 1.0}, "y must be"),
    ],
)
def test_what_cannot_be_is_refused(change, says):
    with pytest.raises(ValueError, match=says):
        settling.time_to_loss(**{**GRIND, "sg": 1.45, "y": 0.1, "depth_mm": 100, **change})
