"""Depth and litres. Single values: tests/test_reference.py."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.room.calc.vessels import (
    brim_l,
    depth_of_volume_cm,
    fill_limit_l,
    share_of_brim_pct,
    surface_per_cm,
    volume_at_depth_l,
)
from tests.calc.reference import table

SIZES = st.fixed_dictionaries(
    {"bottom_cm": st.floats(5, 60), "top_cm": st.floats(5, 60), "height_cm": st.floats(5, 90)}
)
P20 = {"bottom_cm": 25.6, "top_cm": 28.8, "height_cm": 35.0}  # demo studio, invented


@pytest.mark.parametrize("row", table("g_pails"), ids=lambda row: f"{row['pail'][:9]} {row['depth_cm']} cm")
def test_the_table_of_pails(row):
    # slurry_checks.json, table g_pails: arithmetic by a script, sizes illustrative
    sizes = {"bottom_cm": row["D_bottom_cm"], "top_cm": row["D_top_cm"], "height_cm": row["H_cm"]}
    assert volume_at_depth_l(depth_cm=row["depth_cm"], **sizes) == pytest.approx(row["V_L"], rel=1e-5)
    assert surface_per_cm(depth_cm=row["depth_cm"], **sizes) == pytest.approx(row["L_per_cm"], rel=1e-5)


@given(sizes=SIZES, share=st.floats(0, 1))
def test_depth_and_litres_undo_each_other(sizes, share):
    depth = sizes["height_cm"] * share
    litres = volume_at_depth_l(depth_cm=depth, **sizes)
    assert depth_of_volume_cm(volume_l=litres, **sizes) == pytest.approx(depth, abs=1e-6)


@given(sizes=SIZES, share=st.floats(0.1, 1), offset=st.floats(-0.2, 0.5))
def test_they_do_with_an_offset_too(sizes, share, offset):
    litres = offset + (brim_l(**sizes)) * share
    if litres > max(offset, 0):
        depth = depth_of_volume_cm(volume_l=litres, offset_l=offset, **sizes)
        assert volume_at_depth_l(depth_cm=depth, offset_l=offset, **sizes) == pytest.approx(litres, abs=1e-6)


@given(sizes=SIZES, share=st.floats(0, 0.99))
def test_more_depth_is_more_litres_by_the_surface(sizes, share):
    depth, step = sizes["height_cm"] * share, sizes["height_cm"] * 1e-5
    here = volume_at_depth_l(depth_cm=depth, **sizes)
    there = volume_at_depth_l(depth_cm=depth + step, **sizes)
    middle = surface_per_cm(depth_cm=depth + step / 2, **sizes)
    assert (there - here) / step == pytest.approx(middle, rel=1e-5)


@given(width=st.floats(5, 60), height=st.floats(5, 90), lean=st.floats(-1e-7, 1e-7))
def test_a_wall_that_hardly_leans_is_a_straight_one(width, height, lean):
    sizes = {"bottom_cm": width, "top_cm": width + lean, "height_cm": height}
    straight = math.pi * width**2 / 4 * height / 1000
    assert brim_l(**sizes) == pytest.approx(straight, rel=1e-6)
    assert depth_of_volume_cm(volume_l=straight / 2, **sizes) == pytest.approx(height / 2, rel=1e-5)


@given(sizes=SIZES, limit=st.floats(0, 100))
def test_the_fill_limit_is_that_share_of_the_brim(sizes, limit):
    litres = fill_limit_l(limit_pct=limit, **sizes)
    assert share_of_brim_pct(volume_l=litres, **sizes) == pytest.approx(limit, abs=1e-9)


def test_an_empty_bucket_holds_what_stands_under_its_floor_and_never_less_than_nothing():
    assert volume_at_depth_l(depth_cm=0, offset_l=0.3, **P20) == pytest.approx(0.3)
    assert volume_at_depth_l(depth_cm=0, offset_l=-0.3, **P20) == 0
    assert depth_of_volume_cm(volume_l=0.2, offset_l=0.3, **P20) == 0


def test_the_brim_itself_is_the_whole_height():
    assert depth_of_volume_cm(volume_l=brim_l(**P20), **P20) == pytest.approx(35.0)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: volume_at_depth_l(depth_cm=35.1, **P20), "depth_cm must be 0 to 35, got 35.1"),
        (lambda: volume_at_depth_l(depth_cm=-1, **P20), "depth_cm must be 0 to 35, got -1"),
        (lambda: depth_of_volume_cm(volume_l=21, **P20), "volume_l must be 0 to 20.3.*got 21"),
        (lambda: brim_l(bottom_cm=0, top_cm=10, height_cm=10), "bottom_cm must be above 0, got 0"),
        (lambda: fill_limit_l(limit_pct=101, **P20), "limit_pct must be 0 to 100, got 101"),
        (lambda: volume_at_depth_l(depth_cm=1, offset_l=float("nan"), **P20), "offset_l must be a finite"),
    ],
)
def test_a_size_that_cannot_be_is_refused_with_its_name_what_was_wanted_and_what_came(call, words):
    with pytest.raises(ValueError, match=words):
        call()
