"""Quality charts: every case of spc_checks.json, the published examples by name, wrong arguments, laws.

Marks of the sources as in the quality charts reference: [O] opened, [S] read in independent public
test suites that name the page, [M] from memory, [D] a choice of ours.
"""

import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.calc import spc
from studio.front.check_values import run_case
from studio.front.checks import CHECKS
from tests.calc.reference import REFERENCE

CASES = json.loads((REFERENCE / "spc_checks.json").read_text(encoding="utf-8"))["cases"]
FLOW = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
EWMA = [52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, *FLOW]
SHIFTED = [
    324.925, 324.675, 324.725, 324.350, 325.350, 325.225, 324.125, 324.525, 325.225, 324.600, 324.625,
    325.150, 328.325, 327.250, 327.825, 328.500, 326.675, 327.775, 326.875, 328.350,
]  # fmt: skip
DIAMETERS = [
    78.4, 80.1, 84.4, 79.1, 80.4, 83.5, 73.8, 83.5, 75.0, 76.8, 70.5, 80.3, 82.4, 79.4, 86.4, 90.5, 77.7,
    82.5, 79.9, 83.2,
]  # fmt: skip
VALUES = st.lists(st.floats(1.2, 1.8), min_size=2, max_size=30)


def test_all_cases_of_the_file_agree_and_every_function_of_it_is_known():
    assert len(CASES) == 23
    assert {case["fn"] for case in CASES} <= set(CHECKS)
    assert [case["id"] for case in CASES if run_case(case, table=CHECKS).problems] == []


# --- published examples


def test_individuals_of_the_nist_handbook_6_3_2_2_flow_rate():
    """[S] pmc322: mean 50.81, mean range 1.8778, limits 55.8041 and 45.8159; range limit 6.1347 [C]."""
    chart = spc.individuals_chart(x=FLOW)
    assert chart.mean == pytest.approx(50.81, abs=5e-5)
    assert chart.mr_bar == pytest.approx(1.8778, abs=5e-5)
    assert (chart.ucl, chart.lcl) == (pytest.approx(55.8041, abs=5e-5), pytest.approx(45.8159, abs=5e-5))
    assert chart.mr_ucl == pytest.approx(6.1347, abs=5e-5)
    assert chart.out == []
    assert chart.ucl != pytest.approx(56.91, abs=0.5)  # the ordinary standard deviation would give that


def test_ewma_of_the_nist_handbook_6_3_2_4():
    """[S] pmc324: twenty data make twenty-one printed values, the first of which is the start."""
    printed = [
        50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05,
        49.38, 49.92, 50.73, 51.23, 51.94, 51.99,
    ]  # fmt: skip
    chart = spc.ewma_chart(x=EWMA, lam=0.3, target=50, sigma=2.0539, limits="steady")
    assert [round(z, 2) for z in chart.z] == [pytest.approx(z, abs=0.0051) for z in printed]
    assert (chart.ucl, chart.lcl) == (pytest.approx(52.5884, abs=1e-3), pytest.approx(47.4115, abs=1e-3))
    assert chart.out == []


def test_cusum_of_the_nist_handbook_6_3_2_3():
    """[S] pmc323: the first signal is at point 14."""
    found = spc.cusum(x=SHIFTED, target=325, k=0.3175, h=4.1959)
    assert [round(value, 2) for value in found.s_hi[12:]] == [
        pytest.approx(value, abs=0.011) for value in (3.01, 4.94, 7.45, 10.63, 11.99, 14.44, 16.00, 19.04)
    ]
    assert found.first_signal == 14


def test_twenty_jet_engine_diameters_hit_no_rule():
    """[O] a statistical package's sample library; mean 80.39, mean range 5.3263, limits 66.22, 94.56 [C]."""
    chart = spc.individuals_chart(x=DIAMETERS)
    assert chart.mean == pytest.approx(80.39, abs=0.005)
    assert chart.mr_bar == pytest.approx(5.3263, abs=5e-5)
    assert (chart.lcl, chart.ucl) == (pytest.approx(66.22, abs=0.005), pytest.approx(94.56, abs=0.005))
    hits = spc.run_rules(z=[(x - chart.mean) / chart.sigma for x in DIAMETERS])
    assert not {"W1/N1", "W2/N5", "W3/N6", "W4(8)"} & set(hits)


def test_rule_one_alone_alarms_once_in_370_points():
    """Rule 1 alone one in 370.4 [C]: twice the tail of the normal beyond 3."""
    assert 1 / math.erfc(3 / math.sqrt(2)) == pytest.approx(370.4, abs=0.05)


def test_water_for_twenty_litres_from_1_52_to_1_45():
    """Quality charts reference 5 [C]: 3.11 L."""
    assert spc.unlogged_water(volume_l=20, sg_before=1.52, sg_after=1.45) == pytest.approx(3.11, abs=0.005)


# --- rules of our own


def test_limits_lock_at_twelve_points_so_that_a_drift_stays_in_sight():
    steady = [1.45, 1.451, 1.449, 1.45, 1.452, 1.45, 1.449, 1.451, 1.45, 1.45, 1.449, 1.451]
    locked = spc.chart_status(x=steady)
    assert (locked.status, locked.run_rules_enabled) == ("locked", True)
    later = spc.chart_status(x=[*steady, 1.47, 1.48, 1.49])
    assert (later.ucl, later.lcl, later.n) == (locked.ucl, locked.lcl, 15)


@pytest.mark.parametrize(
    ("count", "status"), [(0, "window only"), (4, "window only"), (5, "trial"), (11, "trial"), (12, "locked")]
)
def test_how_many_points_allow_what(count, status):  # [D] quality charts reference 8
    assert spc.status_of(count) == status
    found = spc.chart_status(x=[1.45 + 0.001 * (i % 3) for i in range(count)])
    assert found.status == status
    assert (found.ucl is None) == (status == "window only")


def test_a_point_on_the_centre_line_ends_a_run():
    assert "W4(8)" in spc.run_rules(z=[0.5] * 8)
    assert "W4(8)" not in spc.run_rules(z=[0.5] * 4 + [0.0] + [0.5] * 4)


@pytest.mark.parametrize(
    ("in_window", "in_control", "advice"),
    [(True, True, "use"), (True, False, "find_cause"), (False, True, "adjust"), (False, False, "remeasure")],
)
def test_window_and_limits_together_say_what_to_do(in_window, in_control, advice):
    """Quality charts reference 6; Wheeler [M]."""
    assert spc.window_and_limits(in_window=in_window, in_control=in_control) == advice


# --- wrong arguments

NAN, INF = math.nan, math.inf
WRONG = [
    (spc.individuals_chart, {"x": []}),
    (spc.individuals_chart, {"x": [1.45]}),
    (spc.individuals_chart, {"x": [1.45, NAN]}),
    (spc.individuals_chart, {"x": [1.45, INF]}),
    (spc.ewma_chart, {"x": FLOW, "lam": 0, "target": 50, "sigma": 1}),
    (spc.ewma_chart, {"x": FLOW, "lam": 1.1, "target": 50, "sigma": 1}),
    (spc.ewma_chart, {"x": FLOW, "lam": 0.3, "target": 50, "sigma": -1}),
    (spc.ewma_chart, {"x": FLOW, "lam": 0.3, "target": NAN, "sigma": 1}),
    (spc.ewma_chart, {"x": FLOW, "lam": 0.3, "target": 50, "sigma": 1, "limits": "about"}),
    (spc.ewma_chart, {"x": [NAN], "lam": 0.3, "target": 50, "sigma": 1}),
    (spc.ewma_limits, {"lam": 0.3, "target": 50, "sigma": 1, "k": -1, "n": 3}),
    (spc.ewma_limits, {"lam": 0.3, "target": 50, "sigma": 1, "k": 3, "n": -1}),
    (
        spc.ewma_irregular,
        {"days": [0, -1], "deviation": [0, 0], "sigma": 1, "lam": 0.3, "lam_days": 7},
    ),
    (spc.ewma_irregular, {"days": [0], "deviation": [0, 0], "sigma": 1, "lam": 0.3, "lam_days": 7}),
    (spc.ewma_irregular, {"days": [0], "deviation": [0], "sigma": 1, "lam": 1, "lam_days": 7}),
    (spc.ewma_irregular, {"days": [0], "deviation": [0], "sigma": 1, "lam": 0.3, "lam_days": 0}),
    (spc.cusum, {"x": FLOW, "target": 50, "k": -1, "h": 4}),
    (spc.cusum, {"x": FLOW, "target": 50, "k": 1, "h": 0}),
    (spc.cusum, {"x": [NAN], "target": 50, "k": 1, "h": 4}),
    (spc.run_rules, {"z": [NAN]}),
    (spc.run_rules, {"z": [INF]}),
    (spc.segmented_chart, {"x": FLOW, "segment_starts": []}),
    (spc.segmented_chart, {"x": FLOW, "segment_starts": [2]}),
    (spc.segmented_chart, {"x": FLOW, "segment_starts": [1, 1]}),
    (spc.segmented_chart, {"x": FLOW, "segment_starts": [1, 11]}),
    (spc.segmented_chart, {"x": [1.4, 1.5], "segment_starts": [1, 2]}),
    (spc.unlogged_water, {"volume_l": -1, "sg_before": 1.5, "sg_after": 1.4}),
    (spc.unlogged_water, {"volume_l": 1, "sg_before": 0, "sg_after": 1.4}),
    (spc.resolution_check, {"x": FLOW, "resolution": 0}),
    (spc.resolution_check, {"x": [1.0], "resolution": 0.1}),
    (spc.chart_status, {"x": [1.45, 1.45, NAN, 1.45, 1.45]}),
]
FIT = {
    "window": [1.44, 1.48],
    "volume_ml": 100,
    "tolerance_ml": {"A": 0.5},
    "scale_division_g": [1],
    "sg": 1.45,
}


@pytest.mark.parametrize(("function", "arguments"), WRONG)
def test_arguments_out_of_range_are_refused(function, arguments):
    with pytest.raises(ValueError, match=r"must|wanted|gravities|exact|segments|days"):
        function(**arguments)


@pytest.mark.parametrize(
    "wrong",
    [
        {"window": [1.48, 1.44]},
        {"window": [1.45, 1.45]},
        {"volume_ml": 0},
        {"tolerance_ml": {"A": -0.1}},
        {"scale_division_g": [0]},
        {"sg": 0},
        {"sg": NAN},
    ],
)
def test_instruments_that_cannot_be_are_refused(wrong):
    with pytest.raises(ValueError, match="must be"):
        spc.measurement_fit(**{**FIT, **wrong})


# --- laws


@given(x=VALUES, shift=st.floats(-0.2, 0.2))
def test_shifting_all_values_shifts_the_limits_and_leaves_sigma(x, shift):
    one, other = spc.individuals_chart(x=x), spc.individuals_chart(x=[value + shift for value in x])
    assert other.sigma == pytest.approx(one.sigma, abs=1e-9)
    assert other.ucl == pytest.approx(one.ucl + shift, abs=1e-9)


@given(x=VALUES)
def test_one_segment_is_the_plain_chart(x):
    plain, one = spc.individuals_chart(x=x), spc.segmented_chart(x=x, segment_starts=[1])
    assert one.limits == [pytest.approx(plain.lcl), pytest.approx(plain.ucl)]


@given(z=st.lists(st.floats(-4, 4), max_size=30))
def test_rules_see_the_same_from_below_as_from_above(z):
    assert spc.run_rules(z=z) == spc.run_rules(z=[-value for value in z])


@given(x=st.lists(st.floats(48, 52), min_size=1, max_size=20))
def test_even_spacing_makes_the_uneven_ewma_the_plain_one(x):
    plain = spc.ewma_chart(x=x, lam=0.3, target=50, sigma=1)
    days = [7.0 * i for i in range(len(x))]
    uneven = spc.ewma_irregular(
        days=days, deviation=[value - 50 for value in x], sigma=1, lam=0.3, lam_days=7
    )
    assert [z + 50 for z in uneven.z] == pytest.approx(plain.z)


@given(
    volume=st.floats(1, 20),
    before=st.floats(1.3, 1.7),
    water=st.floats(0.01, 5),
)
def test_the_water_that_went_in_is_found_again(volume, before, water):
    after = (volume * before + water) / (volume + water)
    found = spc.unlogged_water(volume_l=volume, sg_before=before, sg_after=after)
    assert found == pytest.approx(water, rel=1e-6)


@given(sg=st.floats(1.01, 2), more=st.floats(0, 0.5))
def test_an_sg_that_did_not_fall_names_no_water(sg, more):
    assert spc.unlogged_water(volume_l=10, sg_before=sg, sg_after=sg + more) is None
