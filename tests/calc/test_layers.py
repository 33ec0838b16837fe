"""Coats on a wall. Single values: tests/test_reference.py, sections 3a to 3e."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buckets.calc.layers import Coat, coat_water_parts, opposite_face, sequence, will_it_take, zone_stack
from buckets.calc.waiting import coats_left, shown_hours, strict_drying, wait_until_builds_h, waits_before
from studio.room.calc.bodies import absorption_pct, bulk_density, drying_rate_g_per_cm2_h, wall_capacity

ORDER = ("takes_and_dries", "builds_stays_damp", "uncertain", "will_not_build")
AMOUNTS = st.floats(0, 0.3)


@given(capacity=st.floats(0.02, 0.3), pores=AMOUNTS, water=AMOUNTS, more=AMOUNTS, f=st.floats(0.005, 0.1))
def test_more_water_in_the_wall_is_never_a_better_verdict(capacity, pores, water, more, f):
    """With the doubt held fast: a doubt that grows with the water may turn "no" into "too close to call"."""
    facts = {"capacity": capacity, "coat_pores": pores, "filtrate": f, "pore_water": 0.6 * f, "k": 0.0}
    before = will_it_take(**facts, water_present=water)
    after = will_it_take(**facts, water_present=water + more)
    assert ORDER.index(after.verdict) >= ORDER.index(before.verdict)
    assert after.free_ml_per_cm2 <= before.free_ml_per_cm2


@given(capacity=st.floats(0.02, 0.3), pores=AMOUNTS, water=AMOUNTS, more=AMOUNTS, f=st.floats(0.005, 0.1))
def test_more_water_never_turns_a_no_or_a_doubt_into_a_yes(capacity, pores, water, more, f):
    facts = {"capacity": capacity, "coat_pores": pores, "filtrate": f, "pore_water": 0.6 * f}
    before = will_it_take(**facts, water_present=pores + water).verdict
    after = will_it_take(**facts, water_present=pores + water + more).verdict
    if before in ("uncertain", "will_not_build"):
        assert after in ("uncertain", "will_not_build")
    if before == "builds_stays_damp":
        assert after != "takes_and_dries"


@given(capacity=st.floats(0.02, 0.3), pores=AMOUNTS, water=AMOUNTS, f=st.floats(0.005, 0.1))
def test_after_the_wait_there_is_room_for_the_next_coat(capacity, pores, water, f):
    facts = {"capacity": capacity, "coat_pores": pores, "filtrate": f}
    wait = wait_until_builds_h(**facts, water_present=water, rate_g_per_cm2_h=0.02, margin=1)
    left = max(0.0, water - 0.02 * wait)
    now = will_it_take(**facts, water_present=left, pore_water=0.0)
    # a wall that is dry by then may still be too small for so much: no wait helps
    assert now.ratio_build >= 1 - 1e-9 or left == 0
    assert wait >= wait_until_builds_h(**facts, water_present=water, rate_g_per_cm2_h=0.03, margin=1)


@given(hours=st.floats(0, 100), more=st.floats(0, 100))
def test_a_wait_is_never_said_shorter_than_it_is(hours, more):
    assert shown_hours(hours) >= hours - 1e-6
    assert shown_hours(hours + more) >= shown_hours(hours)
    assert shown_hours(hours) - hours < 1


@given(
    coats=st.lists(st.floats(0.02, 0.1), min_size=1, max_size=5),
    gap=st.floats(0, 3),
    capacity=st.floats(0.02, 0.2),
)
def test_each_further_coat_alike_stays_wet_at_least_as_long(coats, gap, capacity):
    """The practice fact: every added coat takes longer (common practice, no source)."""
    alike = [coats[0]] * len(coats)
    wet = strict_drying(
        waters_ml_per_cm2=alike, capacity=capacity, rate_g_per_cm2_h=0.0152, gap_h=gap
    ).surface_wet_h
    assert list(wet) == pytest.approx(sorted(wet), abs=1e-9)


@pytest.mark.parametrize(
    ("hours", "said"),
    [(0, 0), (0.01, 0.5), (0.42, 0.5), (0.5, 0.5), (1.48, 1.5), (2.31, 2.5), (3, 3), (3.01, 4), (4.2, 5)],
)
def test_hours_are_rounded_up_as_they_are_said(hours, said):
    """0.42, 1.48 and 3.01 with their roundings: scenarios F step 4 and B step 6."""
    assert shown_hours(hours) == said


PEAT = {"rho_s": 2.722}
WALL_B = wall_capacity(wall_mm=5, absorption=0.11, bulk_density=1.90, sides=2).capacity_ml_per_cm2


def test_a_second_coat_at_once_on_a_five_millimetre_wall_will_not_build():
    """Scenario B step 6 of "day_in_the_room.md"."""
    assert pytest.approx(0.05225) == WALL_B
    coats = [Coat(m=0.085, sg=1.470, **PEAT), Coat(m=0.045, sg=1.38, **PEAT)]
    first, second = sequence(coats=coats, capacity=WALL_B, rate_g_per_cm2_h=0.018, wait_after_h=[0, 0])
    assert (first.verdict, second.verdict) == ("uncertain", "will_not_build")
    assert (round(first.ratio_build, 2), round(first.ratio_dry, 2)) == (1.01, 0.63)
    assert round(first.damp_h, 2) == 1.72
    assert (round(second.ratio_build, 2), round(second.largest_coat_g_per_cm2, 4)) == (0.01, 0.0003)
    least, advised = (
        waits_before(coats=coats, capacity=WALL_B, rate_g_per_cm2_h=0.018, margin=margin)[0]
        for margin in (1.0, 1.3)
    )
    assert (round(least, 2), round(advised, 2), shown_hours(advised)) == (2.31, 3.01, 4)


SLATE = Coat(m=0.070, sg=1.46, rho_s=2.667)
FOG = Coat(m=0.045, sg=1.40, rho_s=2.692)
POOL = Coat(m=0.035, sg=1.38, rho_s=2.725)
PLATTER = wall_capacity(wall_mm=8, absorption=0.11, bulk_density=1.88, sides=2).capacity_ml_per_cm2


def test_the_platter_s_zones_have_their_thickness_and_water():
    """The table of scenario F."""
    one, two, three = (zone_stack(coats=[SLATE, FOG, POOL][:n]) for n in (1, 2, 3))
    assert [round(stack.raw_mm, 3) for stack in (one, two, three)] == [0.525, 0.859, 1.116]
    assert [round(stack.fired_mm, 3) for stack in (one, two, three)] == [0.252, 0.414, 0.540]
    assert [round(water, 5) for water in three.water_ml_per_cm2] == [0.06887, 0.05399, 0.04546]


def test_three_coats_without_a_pause_end_with_one_that_will_not_build():
    """Scenario F steps 2 and 3."""
    assert pytest.approx(0.08272) == PLATTER
    after = sequence(
        coats=[SLATE, FOG, POOL], capacity=PLATTER, rate_g_per_cm2_h=0.020, wait_after_h=[0, 0, 0]
    )
    assert [one.verdict for one in after] == ["builds_stays_damp", "uncertain", "will_not_build"]
    assert [round(one.ratio_build, 2) for one in after] == [1.94, 1.08, 0.09]
    assert round(after[0].ratio_dry, 2) == 1.20
    assert round(after[2].largest_coat_g_per_cm2, 4) == 0.0030


def test_waits_with_a_margin_let_all_three_coats_build_each_damp_longer_than_the_last():
    """Scenario F step 4: the waits are kept as they are said, half hours rounded up."""
    coats = [SLATE, FOG, POOL]
    first = waits_before(coats=coats, capacity=PLATTER, rate_g_per_cm2_h=0.020)[0]
    assert (round(first, 2), shown_hours(first)) == (0.42, 0.5)
    facts = {"coats": coats, "capacity": PLATTER, "rate_g_per_cm2_h": 0.020}
    after = sequence(**facts, wait_after_h=[0.5, 1.5, 0])
    assert [round(one.ratio_build, 2) for one in after] == [1.94, 1.34, 1.31]
    assert [round(one.damp_h, 2) for one in after] == [0.00, 1.51, 2.28]
    assert round(after[2].all_dry_h, 2) == 6.42
    # before the third: what is in the wall after half an hour's wait and the second coat
    parts = [coat_water_parts(m=c.m, sg=c.sg, rho_s=c.rho_s) for c in coats]
    water = parts[0].water_ml_per_cm2 - 0.5 * 0.020 + parts[1].water_ml_per_cm2
    second = wait_until_builds_h(
        capacity=PLATTER,
        coat_pores=parts[0].pore_water_ml_per_cm2 + parts[1].pore_water_ml_per_cm2,
        water_present=water,
        filtrate=parts[2].filtrate_ml_per_cm2,
        rate_g_per_cm2_h=0.020,
    )
    assert (round(second, 2), shown_hours(second)) == (1.48, 1.5)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: zone_stack(coats=[]), "at least one coat"),
        (
            lambda: wall_capacity(wall_mm=5, absorption=12, bulk_density=1.9, sides=2),
            "absorption must be 0 to 1",
        ),
        (lambda: wall_capacity(wall_mm=5, absorption=0.6, bulk_density=1.9, sides=2), "must be below 1"),
        (
            lambda: wall_capacity(wall_mm=0, absorption=0.1, bulk_density=1.9, sides=2),
            "wall_mm must be above",
        ),
        (lambda: wall_capacity(wall_mm=5, absorption=0.1, bulk_density=1.9, sides=3), "sides must be 1 to 2"),
        (lambda: absorption_pct(dry_g=100, soaked_g=100), "soaked_g must be above 100"),
        (lambda: bulk_density(dry_g=100, soaked_g=112, hung_g=100), "dry_g must be above 100"),
        (lambda: drying_rate_g_per_cm2_h(m1_g=5, m2_g=6, area_cm2=1, hours=1), "m1_g must be above 6"),
        (lambda: coats_left(capacity_ml_per_cm2=0.1, water_per_coat_ml_per_cm2=0), "must be above 0"),
        (
            lambda: sequence(coats=[SLATE], capacity=0.1, rate_g_per_cm2_h=0.02, wait_after_h=[]),
            "must pair up, got 1 and 0",
        ),
        (
            lambda: strict_drying(waters_ml_per_cm2=[], capacity=0.1, rate_g_per_cm2_h=0.1, gap_h=0),
            "at least one coat",
        ),
        (
            lambda: opposite_face(
                wall_mm=5,
                absorption=0.1,
                bulk_density=1.9,
                filtrate_first_face=0,
                filtrate_second_face=1,
            ),
            "filtrate_first_face must be above 0",
        ),
        (lambda: shown_hours(-1), "hours must be 0 or more"),
    ],
)
def test_a_wall_that_cannot_be_is_refused(call, words):
    with pytest.raises(ValueError, match=words):
        call()


def test_absorption_and_density_from_three_weighings_of_one_piece():
    """Formulas of ASTM C373, from memory; figures by hand: 100 g dry, 11 g of water in, 52.6 mL outside."""
    assert absorption_pct(dry_g=100, soaked_g=111) == pytest.approx(11)
    assert bulk_density(dry_g=100, soaked_g=111, hung_g=58.4) == pytest.approx(100 / 52.6)
