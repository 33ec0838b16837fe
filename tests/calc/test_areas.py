"""Glazed areas of common forms. The mug: tests/test_reference.py, n2."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buckets.calc.areas import bowl_area_cm2, plate_area_cm2, tile_area_cm2

SIZES = st.floats(2, 60)


@given(radius=SIZES)
def test_a_half_ball_with_hardly_a_wall_has_two_half_balls_of_surface(radius):
    found = bowl_area_cm2(diameter_cm=2 * radius, height_cm=radius, wall_cm=1e-9)
    assert found == pytest.approx(4 * math.pi * radius**2)


@given(diameter=SIZES)
def test_a_plate_without_a_rim_is_its_discs(diameter):
    found = plate_area_cm2(diameter_cm=diameter, well_cm=diameter)
    assert found == pytest.approx(2 * math.pi * diameter**2 / 4)


@given(diameter=SIZES, share=st.floats(0.1, 1), rise=st.floats(0, 5))
def test_a_rim_that_rises_never_has_less_surface_than_a_flat_one(diameter, share, rise):
    well = diameter * share
    flat = plate_area_cm2(diameter_cm=diameter, well_cm=well)
    assert flat == pytest.approx(2 * math.pi * diameter**2 / 4)
    assert plate_area_cm2(diameter_cm=diameter, well_cm=well, rise_cm=rise) >= flat - 1e-9


def test_a_tile_is_its_sides_on_each_face():
    assert tile_area_cm2(width_cm=8.2, height_cm=10) == pytest.approx(82)
    assert tile_area_cm2(width_cm=8.2, height_cm=10, faces=2) == pytest.approx(164)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: bowl_area_cm2(diameter_cm=10, height_cm=5, wall_cm=5), "inside_radius_cm must be above 0"),
        (lambda: bowl_area_cm2(diameter_cm=10, height_cm=1, wall_cm=1), "inside_height_cm must be above 0"),
        (lambda: plate_area_cm2(diameter_cm=20, well_cm=21), "diameter_cm must be 21 or more"),
        (lambda: plate_area_cm2(diameter_cm=20, well_cm=18, rise_cm=-1), "rise_cm must be 0 or more"),
        (lambda: tile_area_cm2(width_cm=0, height_cm=4), "width_cm must be above 0"),
        (lambda: tile_area_cm2(width_cm=4, height_cm=4, faces=3), "faces must be 1 to 2"),
    ],
)
def test_a_form_that_cannot_be_is_refused(call, words):
    with pytest.raises(ValueError, match=words):
        call()
