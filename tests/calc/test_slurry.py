"""Density, making up, topping up, mixing, thinning. Single values: tests/test_reference.py."""

from decimal import ROUND_HALF_DOWN, ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.calc.slurry import (
    decant,
    dry_from_volume,
    dry_g_per_l,
    make_up,
    make_up_moist,
    mean_density,
    mix,
    rho_s_from_dry,
    sg_after_water,
    sg_from,
    side_bucket,
    side_bucket_thicker,
    slurry,
    thicken_powder,
    thin,
    thin_by_mass,
    top_up,
    volume_from_dry,
    volume_from_mass,
    with_liquor,
)
from tests.calc.reference import table

SGS = st.floats(1.05, 2.0)
RHOS = st.floats(2.2, 4.5)
LITRES = st.floats(0.1, 200)
# two SG, the second higher
RISING = st.tuples(st.floats(1.05, 1.9), st.floats(0.002, 0.2)).map(lambda pair: (pair[0], sum(pair)))


def near(value):
    return pytest.approx(value, rel=1e-9, abs=1e-9)


# --- printed tables


@pytest.mark.parametrize("row", table("a_brongniart_g2.6"), ids=lambda row: f"SG {row['SG']}")
def test_dry_grams_in_a_litre_are_those_of_a_printed_handbook(row):
    # slurry_checks.json, table a_brongniart_g2.6: a handbook for potters, halves rounded either way
    ours = Decimal(repr(round(dry_g_per_l(litre_mass_g=1000 * row["SG"], rho_s=2.6), 6)))
    rounded = {int(ours.quantize(Decimal(1), rounding=way)) for way in (ROUND_HALF_UP, ROUND_HALF_DOWN)}
    assert row["published_g_per_L"] in rounded


@pytest.mark.parametrize("row", table("a_sg_table"), ids=lambda row: f"{row['SG']}/{row['rho_s']}")
def test_the_grid_of_sg_and_particle_density(row):
    # slurry_checks.json, table a_sg_table: arithmetic by a script
    s = slurry(sg=row["SG"], rho_s=row["rho_s"])
    found = (s.phi, s.w, s.dry_kg_per_l, s.pct_water_on_dry)
    wanted = (row["phi"], row["w"], row["dry_kg_per_L"], row["water_per_100_dry"])
    assert found == pytest.approx(wanted, rel=1e-5)


# --- laws


@given(sg=SGS, rho_s=RHOS)
def test_every_way_of_saying_how_much_powder_leads_back_to_the_sg(sg, rho_s):
    s = slurry(sg=sg, rho_s=rho_s)
    ways = [
        sg_from(rho_s=rho_s, w=s.w),
        sg_from(rho_s=rho_s, phi=s.phi),
        sg_from(rho_s=rho_s, dry_kg_per_l=s.dry_kg_per_l),
        sg_from(rho_s=rho_s, water_per_dry=s.water_per_dry),
    ]
    assert [way.sg for way in ways] == [near(sg)] * 4


@given(sg=SGS, rho_s=RHOS, rho_w=st.floats(0.99, 1.0))
def test_powder_and_water_weigh_what_the_slurry_weighs_and_fill_what_it_fills(sg, rho_s, rho_w):
    s = slurry(sg=sg, rho_s=rho_s, rho_w=rho_w)
    assert s.dry_kg_per_l + s.water_kg_per_l == near(s.rho)
    assert s.dry_kg_per_l / rho_s + s.water_kg_per_l / rho_w == near(1)


@given(masses=st.lists(st.floats(0.1, 100), min_size=1, max_size=8), rho=RHOS)
def test_powders_of_one_density_have_that_density_together(masses, rho):
    assert mean_density(masses=masses, densities=[rho] * len(masses)) == near(rho)


@given(dry_kg=st.floats(0.01, 100), sg=SGS, rho_s=RHOS)
def test_litres_from_dry_and_dry_from_litres_undo_each_other(dry_kg, sg, rho_s):
    litres = volume_from_dry(dry_kg=dry_kg, sg=sg, rho_s=rho_s)
    assert dry_from_volume(volume_l=litres, sg=sg, rho_s=rho_s) == near(dry_kg)


@given(sg=SGS, rho_s=RHOS)
def test_drying_a_litre_gives_the_particle_density_back(sg, rho_s):
    s = slurry(sg=sg, rho_s=rho_s)
    assert rho_s_from_dry(rho=s.rho, dry_kg_per_l=s.dry_kg_per_l) == pytest.approx(rho_s, rel=1e-7)


@given(volume_l=LITRES, sg=SGS, rho_s=RHOS)
def test_topping_up_an_empty_bucket_is_making_up(volume_l, sg, rho_s):
    found = top_up(volume_l=0, sg=1, to_volume_l=volume_l, to_sg=sg, rho_s_added=rho_s)
    made = make_up(volume_l=volume_l, sg=sg, rho_s=rho_s)
    assert (found.status, found.powder_kg, found.water_l) == ("ok", near(made.dry_kg), near(made.water_l))


def arrives(v1, sg1, v2, sg2, rho_s, *, out=0.0, powder=0.0, water=0.0):
    """Slurry ``out``, powder and water in (water out: negative) make ``v2`` litres at ``sg2``."""
    volume = v1 - out + powder / rho_s + water
    mass = (v1 - out) * sg1 + powder + water
    return (volume, mass / volume) == (pytest.approx(v2, rel=1e-7), pytest.approx(sg2, rel=1e-7))


@given(v1=LITRES, sg1=SGS, sg2=SGS, rho_s=RHOS, factor=st.floats(1.0001, 5))
def test_from_the_least_volume_on_a_top_up_can_be_done_and_arrives(v1, sg1, sg2, rho_s, factor):
    least = top_up(volume_l=v1, sg=sg1, to_volume_l=v1, to_sg=sg2, rho_s_added=rho_s).min_volume_l
    v2 = least * factor
    found = top_up(volume_l=v1, sg=sg1, to_volume_l=v2, to_sg=sg2, rho_s_added=rho_s)
    assert found.status == "ok"
    assert min(found.powder_kg, found.water_l) >= 0
    assert arrives(v1, sg1, v2, sg2, rho_s, powder=found.powder_kg, water=found.water_l)


@given(v1=LITRES, sg1=SGS, sg2=SGS, rho_s=RHOS, factor=st.floats(0.01, 0.9999))
def test_under_the_least_volume_it_cannot_and_taking_slurry_out_first_arrives(v1, sg1, sg2, rho_s, factor):
    least = top_up(volume_l=v1, sg=sg1, to_volume_l=v1, to_sg=sg2, rho_s_added=rho_s).min_volume_l
    v2 = least * factor
    found = top_up(volume_l=v1, sg=sg1, to_volume_l=v2, to_sg=sg2, rho_s_added=rho_s)
    assert found.status == ("too_much_water" if sg2 > sg1 else "too_much_solids")
    assert 0 < found.remove_slurry_first_l < v1
    assert (found.then_powder_kg is None) is (sg2 <= sg1)
    assert arrives(
        v1,
        sg1,
        v2,
        sg2,
        rho_s,
        out=found.remove_slurry_first_l,
        powder=found.then_powder_kg or 0,
        water=found.then_water_l or 0,
    )


@given(v1=LITRES, sgs=RISING, rho_s=RHOS, share=st.floats(0.01, 0.99))
def test_between_all_decanting_and_all_powder_a_mixture_of_both_arrives(v1, sgs, rho_s, share):
    sg1, sg2 = sgs
    decanted = decant(volume_l=v1, sg=sg1, to_sg=sg2, rho_s=rho_s, phi_bed=0.5).volume_l
    thickened = thicken_powder(volume_l=v1, sg=sg1, to_sg=sg2, rho_s=rho_s).volume_l
    v2 = decanted + share * (thickened - decanted)
    found = top_up(volume_l=v1, sg=sg1, to_volume_l=v2, to_sg=sg2, rho_s_added=rho_s)
    assert found.decant_instead_l > 0
    assert arrives(v1, sg1, v2, sg2, rho_s, powder=found.powder_kg, water=-found.decant_instead_l)


@given(v1=LITRES, sgs=RISING, rho_s=RHOS, factor=st.floats(0.01, 0.99))
def test_under_what_decanting_alone_leaves_it_is_not_offered(v1, sgs, rho_s, factor):
    sg1, sg2 = sgs
    decanted = decant(volume_l=v1, sg=sg1, to_sg=sg2, rho_s=rho_s, phi_bed=0.5).volume_l
    found = top_up(volume_l=v1, sg=sg1, to_volume_l=decanted * factor, to_sg=sg2, rho_s_added=rho_s)
    assert found.decant_instead_l is None


def test_a_smaller_volume_of_the_same_sg_needs_slurry_out_and_nothing_in():
    found = top_up(volume_l=10, sg=1.45, to_volume_l=8, to_sg=1.45, rho_s_added=2.6)
    assert found.status == "too_much_solids"
    assert (found.remove_slurry_first_l, found.then_water_l) == (near(2), near(0))


@pytest.mark.parametrize("to_sg", [1.0, 0.9, -2, 2.6, 3.0])
def test_an_impossible_target_is_a_status_that_stands_alone(to_sg):
    found = top_up(volume_l=5, sg=1.4, to_volume_l=9, to_sg=to_sg, rho_s_added=2.6)
    assert found.status == "target_sg_impossible"
    assert {value for name, value in vars(found).items() if name != "status"} == {None}


@given(v=LITRES, sg=SGS, rho_s=RHOS, share=st.floats(0.01, 0.99))
def test_splitting_and_mixing_again_changes_nothing(v, sg, rho_s, share):
    mixed = mix(
        volume_1_l=v * share, sg_1=sg, rho_s_1=rho_s, volume_2_l=v * (1 - share), sg_2=sg, rho_s_2=rho_s
    )
    assert (mixed.volume_l, mixed.sg, mixed.rho_s) == (near(v), near(sg), near(rho_s))
    assert mixed.dry_share_of_first == near(share)


@given(v1=LITRES, sg1=SGS, v2=LITRES, sg2=SGS, rho_1=RHOS, rho_2=RHOS)
def test_it_does_not_matter_which_is_poured_into_which(v1, sg1, v2, sg2, rho_1, rho_2):
    one = mix(volume_1_l=v1, sg_1=sg1, rho_s_1=rho_1, volume_2_l=v2, sg_2=sg2, rho_s_2=rho_2)
    other = mix(volume_1_l=v2, sg_1=sg2, rho_s_1=rho_2, volume_2_l=v1, sg_2=sg1, rho_s_2=rho_1)
    assert (one.sg, one.dry_kg, one.rho_s) == (near(other.sg), near(other.dry_kg), near(other.rho_s))
    assert one.dry_share_of_first == near(1 - other.dry_share_of_first)


@given(v=LITRES, sg=SGS, water=st.floats(0, 50))
def test_mixing_with_water_is_thinning(v, sg, water):
    mixed = mix(volume_1_l=v, sg_1=sg, rho_s_1=2.6, volume_2_l=water, sg_2=1, rho_s_2=2.6)
    assert sg_after_water(volume_l=v, sg=sg, water_l=water) == near(mixed.sg)


@given(v=LITRES, sg=SGS, to_sg=SGS)
def test_thinning_arrives_and_thinning_back_returns(v, sg, to_sg):
    found = thin(volume_l=v, sg=sg, to_sg=to_sg)
    assert found.volume_l == near(v + found.water_l)
    if found.water_l >= 0:
        assert sg_after_water(volume_l=v, sg=sg, water_l=found.water_l) == near(to_sg)
    back = thin(volume_l=found.volume_l, sg=to_sg, to_sg=sg)
    assert (back.volume_l, back.water_l) == (near(v), pytest.approx(-found.water_l, abs=1e-7))


@given(v=LITRES, sg=SGS, to_sg=SGS, rho_s=RHOS)
def test_thinning_by_mass_is_thinning_by_volume(v, sg, to_sg, rho_s):
    by_mass = thin_by_mass(slurry_kg=v * sg, sg=sg, to_sg=to_sg, rho_s=rho_s)
    assert by_mass.water_kg == pytest.approx(thin(volume_l=v, sg=sg, to_sg=to_sg).water_l, abs=1e-7)


@given(v=LITRES, sgs=RISING, rho_s=RHOS)
def test_powder_that_thickens_is_a_top_up_without_water(v, sgs, rho_s):
    low, high = sgs
    found = thicken_powder(volume_l=v, sg=low, to_sg=high, rho_s=rho_s)
    same = top_up(volume_l=v, sg=low, to_volume_l=found.volume_l, to_sg=high, rho_s_added=rho_s)
    assert same.powder_kg == pytest.approx(found.powder_kg, rel=1e-6, abs=1e-6)
    assert same.water_l == pytest.approx(0, abs=1e-6)


@given(v=LITRES, sgs=RISING, rho_s=RHOS)
def test_decanting_is_thinning_backwards(v, sgs, rho_s):
    low, high = sgs
    found = decant(volume_l=v, sg=low, to_sg=high, rho_s=rho_s, phi_bed=0.45)
    assert found.decant_l == near(-thin(volume_l=v, sg=low, to_sg=high).water_l)
    assert found.feasible is (found.decant_l <= found.clear_water_available_l)


@given(v=LITRES, sgs=RISING)
def test_a_side_bucket_holds_what_was_wanted(v, sgs):
    target, stock = sgs
    found = side_bucket(volume_l=v, sg_stock=stock, sg_target=target)
    assert found.status == "ok"
    assert found.stock_l + found.water_l == near(v)
    assert (found.stock_l * stock + found.water_l) / v == near(target)


@given(v=LITRES, sgs=RISING, rho_s=RHOS)
def test_a_thicker_side_bucket_holds_what_was_wanted(v, sgs, rho_s):
    stock, target = sgs
    assert side_bucket(volume_l=v, sg_stock=stock, sg_target=target).status == "needs_powder"
    found = side_bucket_thicker(volume_l=v, sg_stock=stock, sg_target=target, rho_s=rho_s)
    assert found.stock_l + found.powder_kg / rho_s == near(v)
    assert (found.stock_l * stock + found.powder_kg) / v == near(target)


@given(v=LITRES, sg=SGS, rho_s=RHOS)
def test_dry_powders_are_damp_powders_without_moisture(v, sg, rho_s):
    plain = make_up(volume_l=v, sg=sg, rho_s=rho_s)
    damp = make_up_moist(volume_l=v, sg=sg, rho_s=rho_s, dry_parts=[3, 1], moisture_pct=[0, 0])
    assert damp.weigh_kg == damp.dry_kg == (near(plain.dry_kg * 3 / 4), near(plain.dry_kg / 4))
    assert damp.water_to_add_kg == near(plain.water_kg)


@given(sg=SGS, rho_s=RHOS)
def test_a_liquor_no_denser_than_water_makes_no_error(sg, rho_s):
    assert with_liquor(sg=sg, rho_s=rho_s, rho_liquor=1.0).error_pct == near(0)


@given(litres=LITRES, sg=SGS)
def test_litres_from_weight_undo_weight_from_litres(litres, sg):
    assert volume_from_mass(slurry_kg=litres * sg, sg=sg) == near(litres)


# --- what is refused

NAN, INF = float("nan"), float("inf")


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: slurry(sg=1.0, rho_s=2.6), "sg must be above 1 and below 2.6.*got 1.0"),
        (lambda: slurry(sg=2.6, rho_s=2.6), "sg must be above 1 and below 2.6"),
        (lambda: slurry(sg=NAN, rho_s=2.6), "sg must be above 1"),
        (lambda: slurry(sg=1.4, rho_s=1.0), "rho_s must be above 1, got 1.0"),
        (lambda: slurry(sg=1.4, rho_s=2.6, rho_w=0), "rho_w must be above 0, got 0"),
        (lambda: mean_density(masses=[1], densities=[2, 3]), "must pair up, got 1 and 2"),
        (lambda: mean_density(masses=[0, 0], densities=[2, 3]), "total_mass must be above 0"),
        (lambda: mean_density(masses=[1, -1], densities=[2, 3]), r"masses\[1\] must be 0 or more, got -1"),
        (lambda: mean_density(masses=[1], densities=[0]), r"densities\[0\] must be above 0"),
        (lambda: sg_from(rho_s=2.6), "one of w, phi, dry_kg_per_l, water_per_dry is wanted, got 0"),
        (lambda: sg_from(rho_s=2.6, w=0.5, phi=0.2), "is wanted, got 2"),
        (lambda: sg_from(rho_s=2.6, w=1.2), "w must be 0 to 1"),
        (lambda: make_up(volume_l=0, sg=1.4, rho_s=2.6), "volume_l must be above 0"),
        (lambda: make_up(volume_l=INF, sg=1.4, rho_s=2.6), "volume_l must be above 0, got inf"),
        (
            lambda: make_up_moist(volume_l=1, sg=1.4, rho_s=2.6, dry_parts=[1], moisture_pct=[100]),
            "moisture_pct.* must be 0 to",
        ),
        (lambda: top_up(volume_l=-1, sg=1.4, to_volume_l=5, to_sg=1.4, rho_s_added=2.6), "volume_l"),
        (
            lambda: top_up(volume_l=1, sg=0.9, to_volume_l=5, to_sg=1.4, rho_s_added=2.6),
            "sg must be 1 or more",
        ),
        (lambda: top_up(volume_l=1, sg=1.4, to_volume_l=0, to_sg=1.4, rho_s_added=2.6), "to_volume_l"),
        (lambda: top_up(volume_l=1, sg=1.4, to_volume_l=5, to_sg=NAN, rho_s_added=2.6), "to_sg"),
        (lambda: thin(volume_l=1, sg=1.4, to_sg=1.0), "to_sg must be above 1, got 1.0"),
        (lambda: thicken_powder(volume_l=1, sg=1.5, to_sg=1.4, rho_s=2.6), "sg must be 1 to 1.4, got 1.5"),
        (lambda: decant(volume_l=1, sg=1.5, to_sg=1.4, rho_s=2.6, phi_bed=0.4), "to_sg must be 1.5 or more"),
        (lambda: decant(volume_l=1, sg=1.4, to_sg=1.5, rho_s=2.6, phi_bed=0), "phi_bed must be above 0"),
        (lambda: with_liquor(sg=1.4, rho_s=2.6, rho_liquor=1.4), "rho_liquor must be 1 to under 1.4"),
        (lambda: side_bucket(volume_l=1, sg_stock=1.0, sg_target=1.4), "sg_stock must be above 1"),
        (lambda: sg_after_water(volume_l=0, sg=1.4, water_l=1), "volume_l must be above 0"),
        (lambda: dry_g_per_l(litre_mass_g=900, rho_s=2.6), "litre_mass_g must be 1000 to 2600, got 900"),
        (
            lambda: mix(volume_1_l=1, sg_1=1, rho_s_1=2.6, volume_2_l=1, sg_2=1, rho_s_2=2.6),
            "dry_kg must be above 0",
        ),
    ],
)
def test_a_value_out_of_range_is_refused_with_its_name_what_was_wanted_and_what_came(call, words):
    with pytest.raises(ValueError, match=words):
        call()
