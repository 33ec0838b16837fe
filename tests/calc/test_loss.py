"""Water lost against glaze used: slurry_checks.json section h, the demo studio's table, laws."""

import json
import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buckets.calc import loss
from buckets.calc.loss import Step, loss_over, split_loss
from studio.front.check_values import run_case
from studio.front.checks import CHECKS
from tests.calc.reference import REFERENCE

CASES = json.loads((REFERENCE / "slurry_checks.json").read_text(encoding="utf-8"))["cases"]
SECTION = [case for case in CASES if case["section"] == "h"]

# demo_studio.md, "What a correct program must compute from these rows": levels (L) and SG by week, water
B06 = [(9.87, 1.452), (9.12, 1.463), (8.43, 1.479), (7.74, 1.498), (6.84, 1.519), (6.22, 1.541)]
B08 = [(28.59, 1.402), (26.22, 1.403), (23.40, 1.407), (21.00, 1.408), (18.63, 1.400), (16.41, 1.402)]


def steps(levels, water=None):
    """Step by step; ``water`` litres just after the reading of that number, from 0."""
    return [
        Step(v_1, s_1, v_2, s_2, added_l=(water or {}).get(n, 0.0))
        for n, ((v_1, s_1), (v_2, s_2)) in enumerate(pairwise(levels))
    ]


def test_all_cases_of_the_section_agree():
    assert len(SECTION) == 5
    assert [case["id"] for case in SECTION if run_case(case, table=CHECKS).problems] == []


@pytest.mark.parametrize(
    ("bucket", "found", "used", "lost"),
    [
        ("B01", [Step(11.82, 1.453, 10.40, 1.455)], 1.37, 0.05),
        ("B02", [Step(6.84, 1.467, 5.44, 1.485)], 1.16, 0.23),
        ("B04", [Step(10.81, 1.442, 11.05, 1.408)], 0.64, -0.87),
        ("B06", steps(B06), 2.24, 1.41),
        ("B08", steps(B08, {3: 0.6}), 12.16, 0.62),
    ],
)
def test_the_demo_studios_table_comes_out(bucket, found, used, lost):
    """demo_studio.md, U and E to 0.02 L. Over weeks it is the sum of the weeks."""
    total = loss_over(found)
    assert total.used_l == pytest.approx(used, abs=0.02)
    assert total.water_lost_l == pytest.approx(lost, abs=0.02)


def test_a_top_up_is_accounted_for():
    """demo_studio.md B11: 5.2 kg and 5.1 L after the reading make 12.15 L; U 1.22, E 0.06."""
    density = 5.2 / (12.15 - 5.11 - 5.1)  # what the table's 12.15 L says of Oat Husk's powder: 2.68
    found = split_loss(
        volume_1_l=5.11, sg_1=1.482, volume_2_l=10.87, sg_2=1.474, powder_kg=5.2, water_l=5.1, rho_s=density
    )
    assert found.used_l == pytest.approx(1.22, abs=0.02)
    assert found.water_lost_l == pytest.approx(0.06, abs=0.02)


def test_the_uncertainty_of_a_step_is_that_of_moving_each_reading_a_little():
    """First order: each slope against a difference of the function itself (h1)."""
    start, u_volume, u_sg = (15.0, 1.45, 12.0, 1.48), 0.12, 0.0044
    found = loss_over([Step(*start)], u_volume_l=u_volume, u_sg=u_sg)

    def moved(n, by):
        return loss_over([Step(*(value + (by if i == n else 0) for i, value in enumerate(start)))])

    used = lost = 0.0
    for n, u in enumerate((u_volume, u_sg, u_volume, u_sg)):
        up, down = moved(n, 1e-5), moved(n, -1e-5)
        used += ((up.used_l - down.used_l) / 2e-5 * u) ** 2
        lost += ((up.water_lost_l - down.water_lost_l) / 2e-5 * u) ** 2
    assert found.u_used_l == pytest.approx(math.sqrt(used), rel=1e-5)
    assert found.u_water_lost_l == pytest.approx(math.sqrt(lost), rel=1e-5)


def test_a_reading_in_the_middle_counts_once():
    """The same way parted in the middle is known hardly worse than in one."""
    whole = loss_over([Step(15, 1.45, 12, 1.48)], u_volume_l=0.12, u_sg=0.0044)
    parted = loss_over(
        [Step(15, 1.45, 13.5, 1.464), Step(13.5, 1.464, 12, 1.48)], u_volume_l=0.12, u_sg=0.0044
    )
    assert parted.used_l == pytest.approx(whole.used_l, abs=0.02)
    assert parted.u_used_l < whole.u_used_l * 1.05


def test_an_open_pail_loses_about_four_millimetres_a_day():
    """Slurry reference h: order of magnitude; 0.2 L a day from an open pail of 28 cm."""
    found = loss.open_surface_evaporation(temperature_c=20, humidity=0.5)
    assert found.mm_per_day == pytest.approx(4, abs=0.5)
    litres = found.mm_per_day / 10 * math.pi * 14**2 / 1000
    assert litres == pytest.approx(0.2, abs=0.05)


STEP = {"volume_1_l": 15, "sg_1": 1.45, "volume_2_l": 12, "sg_2": 1.48, "rho_s": 2.6}


@pytest.mark.parametrize(
    "wrong",
    [
        {"volume_1_l": 0},
        {"volume_1_l": -1},
        {"volume_2_l": math.nan},
        {"sg_1": 1.0},
        {"sg_2": 0.9},
        {"sg_2": math.inf},
        {"rho_s": 0},
        {"rho_w": 0},
        {"powder_kg": -1},
        {"water_l": -0.1},
        {"u_volume_l": -1, "u_sg": 0.1},
    ],
)
def test_steps_that_cannot_be_are_refused(wrong):
    with pytest.raises(ValueError, match="must be"):
        split_loss(**{**STEP, **wrong})


@pytest.mark.parametrize(
    "wrong", [{"temperature_c": 80}, {"humidity": 1.1}, {"humidity": -0.1}, {"air_m_s": -1}]
)
def test_air_that_cannot_be_is_refused(wrong):
    with pytest.raises(ValueError, match="must be"):
        loss.open_surface_evaporation(**{"temperature_c": 20, "humidity": 0.5, **wrong})


def test_no_step_at_all_is_refused():
    with pytest.raises(ValueError, match="at least one"):
        loss_over([])


@given(volume=st.floats(3, 30), sg=st.floats(1.2, 1.8), used=st.floats(0.01, 0.9))
def test_what_only_is_used_is_all_found_as_used(volume, sg, used):
    found = loss_over([Step(volume, sg, volume * (1 - used), sg)])
    assert found.used_l == pytest.approx(volume * used, rel=1e-6)
    assert found.water_lost_l == pytest.approx(0, abs=1e-6)


@given(volume=st.floats(3, 30), sg=st.floats(1.2, 1.6), share=st.floats(0.01, 0.3))
def test_what_only_dries_off_is_all_found_as_lost(volume, sg, share):
    left = volume * (1 - share)
    found = loss_over([Step(volume, sg, left, 1 + (sg - 1) * volume / left)])
    assert found.used_l == pytest.approx(0, abs=1e-6)
    assert found.water_lost_l == pytest.approx(volume * share, rel=1e-6)


@given(
    volume=st.floats(5, 30),
    sg=st.floats(1.25, 1.7),
    left=st.floats(0.3, 0.95),
    thicker=st.floats(0, 0.08),
)
def test_used_and_lost_lie_between_their_bounds_and_add_up(volume, sg, left, thicker):
    found = loss_over([Step(volume, sg, volume * left, sg + thicker)])
    low, high = sorted((found.used_if_evaporated_first_l, found.used_if_used_first_l))
    assert low - 1e-9 <= found.used_l <= high + 1e-9
    assert found.used_l + found.water_lost_l == pytest.approx(volume * (1 - left))
