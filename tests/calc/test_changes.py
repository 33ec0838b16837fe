"""Litres, grams and SG of what goes in and comes off. Laws, and single values with their source."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buckets.calc.changes import (
    NOTHING,
    Change,
    of_powder,
    of_slurry,
    of_water,
    sg_after,
    share_of_dissolved,
)
from studio.calc import slurry

LITRES = st.floats(0.5, 40)
GRAVITY = st.floats(1.2, 1.8)
POWDER = st.floats(2.2, 4.5)


@given(volume_l=LITRES, sg=GRAVITY, to_sg=st.floats(1.1, 1.9))
def test_the_water_that_thinning_asks_for_brings_it_there(volume_l, sg, to_sg):
    # slurry.md c; negative water is water to take off
    wanted = slurry.thin(volume_l=volume_l, sg=sg, to_sg=to_sg)
    after = sg_after(volume_l=volume_l, sg=sg, change=of_water(litres=wanted.water_l))
    assert after == pytest.approx(to_sg)


@given(volume_l=LITRES, sg=GRAVITY, more=st.floats(0, 0.3), rho_s=POWDER)
def test_the_powder_that_thickening_asks_for_brings_it_there(volume_l, sg, more, rho_s):
    to_sg = sg + more
    if to_sg >= rho_s:
        return
    wanted = slurry.thicken_powder(volume_l=volume_l, sg=sg, to_sg=to_sg, rho_s=rho_s)
    change = of_powder(grams=1000 * wanted.powder_kg, rho_s=rho_s)
    assert sg_after(volume_l=volume_l, sg=sg, change=change) == pytest.approx(to_sg)
    assert volume_l + change.litres == pytest.approx(wanted.volume_l)


@given(volume_l=LITRES, sg=GRAVITY, more_l=LITRES, more_sg=GRAVITY)
def test_pouring_slurry_in_is_mixing(volume_l, sg, more_l, more_sg):
    mixed = slurry.mix(volume_1_l=volume_l, sg_1=sg, rho_s_1=3, volume_2_l=more_l, sg_2=more_sg, rho_s_2=3)
    change = of_slurry(litres=more_l, sg=more_sg)
    assert sg_after(volume_l=volume_l, sg=sg, change=change) == pytest.approx(mixed.sg)


@given(volume_l=LITRES, sg=GRAVITY, one=st.floats(0, 5), other=st.floats(0, 5))
def test_two_changes_are_their_sum_in_either_order(volume_l, sg, one, other):
    first, second = of_water(litres=one), of_powder(grams=1000 * other, rho_s=2.6)
    together = sg_after(volume_l=volume_l, sg=sg, change=first + second)
    half = sg_after(volume_l=volume_l, sg=sg, change=second)
    assert sg_after(volume_l=volume_l + second.litres, sg=half, change=first) == pytest.approx(together)


def test_nothing_changes_nothing_and_all_gone_has_no_gravity():
    assert sg_after(volume_l=5, sg=1.45, change=NOTHING) == 1.45
    assert sg_after(volume_l=5, sg=1.45, change=Change(-5.0, -7250.0)) is None


def test_what_goes_with_decanted_water_is_check_value_c3():
    # slurry_checks.json c3: 1.55556 L off 10 L at 1.38, rho_s 2.6: 20.4007 % of all that is dissolved
    phi = slurry.slurry(sg=1.38, rho_s=2.6).phi
    share = share_of_dissolved(water_off_l=1.55556, volume_l=10, phi=phi)
    assert share == pytest.approx(0.204007, rel=1e-5)
    assert share_of_dissolved(water_off_l=100, volume_l=10, phi=phi) == 1


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: of_water(litres=math.nan),
        lambda: of_powder(grams=-1, rho_s=2.6),
        lambda: of_powder(grams=1, rho_s=0),
        lambda: of_slurry(litres=-1, sg=1.4),
        lambda: of_slurry(litres=1, sg=0),
        lambda: sg_after(volume_l=-1, sg=1.4, change=NOTHING),
        lambda: sg_after(volume_l=1, sg=0, change=NOTHING),
        lambda: share_of_dissolved(water_off_l=1, volume_l=0, phi=0.2),
        lambda: share_of_dissolved(water_off_l=1, volume_l=1, phi=1),
    ],
)
def test_what_makes_no_sense_is_refused(wrong):
    with pytest.raises(ValueError, match="must be"):
        wrong()
