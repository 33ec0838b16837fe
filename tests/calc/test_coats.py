"""Coats on bisque. Single values: tests/test_reference.py, section j and 3a to 3e."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buckets.calc import casting
from buckets.calc.coats import (
    coat_after,
    coat_from_two_tiles,
    coat_k,
    coat_water,
    dip_seconds,
    k_at_sg,
    second_coat,
    seconds_over,
)
from buckets.calc.over import second_coat_unlike, seconds_over_unlike

KS = st.floats(1e-4, 1e-2)
SECONDS = st.floats(0.2, 30)
COATS = st.floats(0.02, 0.3)
FILMS = st.floats(0, 0.02)
SGS = st.floats(1.2, 1.7)
PEAT = {"rho_s": 2.722}  # Peat Pool, "demo_studio.md" 2


@given(k=KS, short=SECONDS, more=st.floats(0, 30), film=FILMS)
def test_a_longer_dip_is_never_thinner(k, short, more, film):
    thin = coat_after(k=k, t_s=short, film_g_per_cm2=film)
    assert coat_after(k=k, t_s=short + more, film_g_per_cm2=film) >= thin


@given(k=KS, t_s=SECONDS, film=FILMS)
def test_the_seconds_for_a_coat_give_that_coat(k, t_s, film):
    coat = coat_after(k=k, t_s=t_s, film_g_per_cm2=film)
    assert dip_seconds(k=k, coat_g_per_cm2=coat, film_g_per_cm2=film) == pytest.approx(t_s)
    assert coat_k(t_s=t_s, coat_g_per_cm2=coat, film_g_per_cm2=film) == pytest.approx(k)


@given(k=KS, film=FILMS, t1=st.floats(1, 4), factor=st.floats(1.5, 6))
def test_two_tiles_give_back_the_k_and_the_film_they_were_made_with(k, film, t1, factor):
    m1, m2 = (coat_after(k=k, t_s=t, film_g_per_cm2=film) for t in (t1, t1 * factor))
    found = coat_from_two_tiles(t1_s=t1, m1=m1, t2_s=t1 * factor, m2=m2)
    assert found.k == pytest.approx(k, rel=1e-5)
    assert found.film_g_per_cm2 == pytest.approx(film, abs=1e-8)


@given(k=KS, sgs=st.lists(SGS, min_size=2, max_size=5))
def test_a_thicker_slurry_never_grows_slower(k, sgs):
    grown = [k_at_sg(k=k, sg_cal=1.45, sg_new=sg, rho_s=2.6, phi_coat=0.5).k for sg in sorted(sgs)]
    assert all(one <= other for one, other in pairwise(grown))


@given(k=KS, under=COATS, add=COATS)
def test_over_a_coat_it_never_takes_fewer_seconds_than_on_bare_bisque(k, under, add):
    bare = dip_seconds(k=k, coat_g_per_cm2=add)
    assert seconds_over(k=k, under_g_per_cm2=under, add_g_per_cm2=add) >= bare
    assert seconds_over(k=k, under_g_per_cm2=0, add_g_per_cm2=add) == pytest.approx(bare)


@given(k=KS, t1=SECONDS, t2=SECONDS)
def test_seconds_over_its_own_kind_undo_the_second_coat(k, t1, t2):
    two = second_coat(k=k, t1_s=t1, t2_s=t2)
    back = seconds_over(k=k, under_g_per_cm2=two.first_g_per_cm2, add_g_per_cm2=two.second_g_per_cm2)
    assert back == pytest.approx(t2, rel=1e-6, abs=1e-9)


@given(k=KS, m1=COATS, t_s=SECONDS, sg=st.floats(1.3, 1.6))
def test_over_a_glaze_just_like_it_the_two_ways_of_reckoning_agree(k, m1, t_s, sg):
    alike = {"m1": m1, "k1": k, "rho_s1": 2.6, "sg1": sg, "k2": k, "rho_s2": 2.6, "sg2": sg}
    unlike = second_coat_unlike(**alike, t_s=t_s).second_g_per_cm2
    t1 = dip_seconds(k=k, coat_g_per_cm2=m1)
    assert unlike == pytest.approx(second_coat(k=k, t1_s=t1, t2_s=t_s).second_g_per_cm2, rel=1e-6)
    assert seconds_over_unlike(**alike, m2=unlike) == pytest.approx(t_s, rel=1e-6)


@given(coat=COATS, sg=st.floats(1.25, 1.7))
def test_the_water_of_a_coat_is_the_water_of_the_slurry_it_was_made_from(coat, sg):
    water = coat_water(coat_g_per_cm2=coat, sg=sg, rho_s=2.6)
    assert water.water_ml_per_cm2 == pytest.approx(water.slurry_ml_per_cm2 - coat / 2.6)


@given(wall=st.floats(1e-17, 1e-13))
def test_a_wall_that_holds_water_back_never_makes_a_coat_grow_faster(wall):
    of_coat = {"k_cake_m2": 2.5e-16, "pressure_pa": 290_000, "mu_mpas": 1.0, "phi": 0.28, "phi_coat": 0.5}
    with_wall = casting.casting_k(**of_coat, k_wall_m2=wall, wall_porosity=0.2)
    assert with_wall.k_m2_per_s <= casting.casting_k(**of_coat).k_m2_per_s
    assert 0 < with_wall.share_of_resistance_in_coat < 1


def test_the_tile_of_peat_pool_at_a_gravity_a_little_higher():
    """Scenario B step 4 of "day_in_the_room.md"."""
    k = coat_k(t_s=3, coat_g_per_cm2=0.085)
    now = k_at_sg(k=k, sg_cal=1.46, sg_new=1.47, **PEAT).k
    assert (round(k, 6), round(now, 6)) == (0.002408, 0.002524)
    assert dip_seconds(k=now, coat_g_per_cm2=0.085) == pytest.approx(2.86, abs=0.005)


def test_a_thin_cup_over_a_fresh_coat_of_its_own_kind():
    """Scenario B step 6: K at 1.38 and 5.8 s."""
    k = k_at_sg(k=coat_k(t_s=3, coat_g_per_cm2=0.085), sg_cal=1.46, sg_new=1.38, **PEAT).k
    assert round(k, 6) == 0.001659
    assert seconds_over(k=k, under_g_per_cm2=0.085, add_g_per_cm2=0.045) == pytest.approx(5.8, abs=0.05)


def test_a_thinner_coat_than_the_tiles_is_a_shorter_dip():
    """Scenario F step 1: tile 0.080 in 3 s, 0.070 needs 2.30 s."""
    k = coat_k(t_s=3, coat_g_per_cm2=0.080)
    assert dip_seconds(k=k, coat_g_per_cm2=0.070) == pytest.approx(2.30, abs=0.005)


@pytest.mark.parametrize(
    ("tile", "wanted", "seconds", "raw_mm", "rho_s"),
    [
        (0.080, 0.080, 3.0, 0.59, 2.731),  # Gannet White
        (0.078, 0.070, 2.4, 0.53, 2.649),  # Linseed
        (0.072, 0.075, 3.3, 0.55, 2.725),  # Rockpool
        (0.080, 0.070, 2.3, 0.52, 2.667),  # Slate Hour
        (0.066, 0.060, 2.5, 0.46, 2.612),  # Plain Clear Six
    ],
)
def test_the_tiles_of_the_demo_studio_give_its_seconds_and_thickness(tile, wanted, seconds, raw_mm, rho_s):
    """demo_studio.md 2: every tile 3 s at its target."""
    k = coat_k(t_s=3, coat_g_per_cm2=tile)
    assert round(dip_seconds(k=k, coat_g_per_cm2=wanted), 1) == seconds
    assert round(coat_water(coat_g_per_cm2=wanted, sg=1.4, rho_s=rho_s).thickness_mm, 2) == raw_mm


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: coat_k(t_s=0, coat_g_per_cm2=0.08), "t_s must be above 0"),
        (
            lambda: coat_k(t_s=3, coat_g_per_cm2=0.02, film_g_per_cm2=0.02),
            "coat_g_per_cm2 must be above 0.02",
        ),
        (lambda: coat_from_two_tiles(t1_s=3, m1=0.08, t2_s=3, m2=0.08), "must differ"),
        (lambda: coat_from_two_tiles(t1_s=3, m1=0.08, t2_s=6, m2=0.07), "thicker coat"),
        (lambda: coat_from_two_tiles(t1_s=2, m1=0.02, t2_s=4, m2=0.2), "film must be 0 or more"),
        (lambda: k_at_sg(k=0.002, sg_cal=1.45, sg_new=1.81, rho_s=2.6), "as much powder as the coat"),
        (lambda: k_at_sg(k=0.002, sg_cal=1.0, sg_new=1.4, rho_s=2.6), "sg must be above 1"),
        (lambda: dip_seconds(k=float("nan"), coat_g_per_cm2=0.08), "k must be above 0"),
        (lambda: coat_water(coat_g_per_cm2=0.08, sg=1.45, rho_s=2.6, calcined_fraction=1.1), "0 to 1"),
        (lambda: casting.kozeny_um2(d_um=0.3, porosity=1), "porosity must be below 1"),
        (lambda: casting.suction_pa(pore_radius_um=-1), "pore_radius_um must be above 0"),
        (
            lambda: casting.casting_k(
                k_cake_m2=1e-16, pressure_pa=1, mu_mpas=1, phi=0.3, phi_coat=0.5, k_wall_m2=1e-15
            ),
            "go together",
        ),
    ],
)
def test_a_coat_that_cannot_be_is_refused(call, words):
    with pytest.raises(ValueError, match=words):
        call()
