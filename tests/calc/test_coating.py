"""Coverage. Single values: tests/test_reference.py, section n."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.calc.coating import coverage, cylinder_area_cm2, drag_out, pieces

COATS = st.floats(0.02, 0.3)
SGS = st.floats(1.1, 1.9)


@given(coat=COATS, sg=SGS, area=st.floats(10, 5000))
def test_the_coat_found_by_weighing_a_piece_is_the_one_it_was_given(coat, sg, area):
    ml = area * coverage(coat_g_per_cm2=coat, sg=sg, rho_s=2.6).ml_per_cm2
    found = drag_out(gain_g=ml * sg, area_cm2=area, sg=sg, rho_s=2.6)
    assert (found.coat_g_per_cm2, found.slurry_ml) == (pytest.approx(coat), pytest.approx(ml))


@given(volume=st.floats(0, 60), keep=st.floats(0, 20), area=st.floats(50, 3000), coat=COATS, sg=SGS)
def test_the_pieces_counted_fit_and_one_more_does_not(volume, keep, area, coat, sg):
    found = pieces(
        volume_l=volume, keep_l=keep, area_cm2=area, coat_g_per_cm2=coat, extra_ml=4, sg=sg, rho_s=2.6
    )
    free_ml = 1000 * max(0, volume - keep)
    assert found.pieces * found.ml_per_piece <= free_ml * (1 + 1e-9)
    assert (found.pieces + 1) * found.ml_per_piece > free_ml * (1 - 1e-9)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: cylinder_area_cm2(diameter_cm=8, height_cm=9, wall_cm=4), "inside_cm must be above 0"),
        (
            lambda: cylinder_area_cm2(diameter_cm=8, height_cm=0.4, wall_cm=0.5),
            "inside_height_cm must be above",
        ),
        (lambda: coverage(coat_g_per_cm2=0, sg=1.45, rho_s=2.6), "coat_g_per_cm2 must be above 0, got 0"),
        (lambda: drag_out(gain_g=-1, area_cm2=1, sg=1.45, rho_s=2.6), "gain_g must be 0 or more, got -1"),
    ],
)
def test_a_size_that_cannot_be_is_refused(call, words):
    with pytest.raises(ValueError, match=words):
        call()
