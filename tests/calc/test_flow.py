"""Flow cups. Check values: slurry_checks.json section k; ranges: the table of slurry.md k."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.calc.flow import CUPS, dispersed_viscosity, seconds_through, through_cup

# cup: viscosity at the ends of its range (slurry.md k, by script there)
ENDS = {
    "ISO2431-3": (6.62333, 42.3),
    "ISO2431-4": (34.4333, 135),
    "ISO2431-5": (91.0667, 325.8),
    "ISO2431-6": (188, 684.3),
    "DIN53211-4": (96.17, 682.487),
    "D1200-1": (9.8, 31.85),
    "D1200-2": (31.68, 118.08),
    "D1200-3": (31.0002, 215.8),
    "D1200-4": (59.7135, 367.714),
    "D1200-5": (217.8, 1185.8),
}


def test_every_cup_of_the_three_standards_is_known():
    assert set(CUPS) == set(ENDS)


@pytest.mark.parametrize("cup", sorted(ENDS))
def test_the_ends_of_each_range_are_inside_and_a_second_beyond_is_not(cup):
    low, high = CUPS[cup].t_min_s, CUPS[cup].t_max_s
    for seconds, nu in zip((low, high), ENDS[cup], strict=True):
        there = through_cup(cup=cup, seconds=seconds)
        assert there.in_range
        assert there.viscosity_mm2_s == pytest.approx(nu, rel=1e-5)
    assert not through_cup(cup=cup, seconds=low - 1).in_range
    assert not through_cup(cup=cup, seconds=high + 1).in_range


@given(cup=st.sampled_from(sorted(ENDS)), share=st.floats(0, 1))
def test_seconds_there_and_back_are_the_same(cup, share):
    seconds = CUPS[cup].t_min_s + share * (CUPS[cup].t_max_s - CUPS[cup].t_min_s)
    nu = through_cup(cup=cup, seconds=seconds).viscosity_mm2_s
    assert seconds_through(cup=cup, viscosity_mm2_s=nu).seconds == pytest.approx(seconds, rel=1e-9)


@given(cup=st.sampled_from(sorted(ENDS)), seconds=st.floats(1, 500), more=st.floats(0.1, 100))
def test_slower_always_means_thicker(cup, seconds, more):
    quick, slow = (through_cup(cup=cup, seconds=s).viscosity_mm2_s for s in (seconds, seconds + more))
    assert slow > quick


def test_a_dispersed_glaze_is_thinner_than_any_iso_cup_can_tell():
    # k10, and the text of k: 23 s in the 3 mm cup, 12.7 s in the 4 mm cup, both out of range
    nu = dispersed_viscosity(sg=1.45, rho_s=2.6).viscosity_mm2_s
    assert nu == pytest.approx(1.78021, rel=1e-5)
    three, four = (seconds_through(cup=cup, viscosity_mm2_s=nu) for cup in ("ISO2431-3", "ISO2431-4"))
    assert three.seconds == pytest.approx(23.3, abs=0.5)
    assert four.seconds == pytest.approx(12.7, abs=0.1)
    assert not three.in_range
    assert not four.in_range


@given(sg=st.floats(1.01, 1.7), more=st.floats(0.01, 0.2))
def test_denser_is_thicker(sg, more):
    thin, thick = (dispersed_viscosity(sg=x, rho_s=2.6).mu_mpas for x in (sg, sg + more))
    assert thick > thin


@pytest.mark.parametrize("seconds", [0, -1, float("nan"), float("inf")])
def test_seconds_that_cannot_be_are_refused(seconds):
    with pytest.raises(ValueError, match="seconds must be above 0"):
        through_cup(cup="ISO2431-4", seconds=seconds)


def test_grains_without_room_to_flow_are_refused():
    with pytest.raises(ValueError, match="the grains fill"):
        dispersed_viscosity(sg=2.0, rho_s=2.6)
