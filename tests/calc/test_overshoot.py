"""Too much of a line. Single values: tests/test_reference.py, section l."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from batches.calc.overshoot import (
    accept_error,
    load_rounding,
    recipe_rounding,
    restore,
    smallest_for_error_g,
)

PARTS = st.lists(st.floats(1, 60), min_size=2, max_size=6)
BATCH = st.floats(200, 20_000)
PANS = st.lists(st.one_of(st.none(), st.floats(0, 9000)), min_size=6, max_size=6)


def recipe_of(parts: list[float]) -> dict[str, float]:
    return {f"line {number}": part for number, part in enumerate(parts)}


@given(
    parts=PARTS, batch=BATCH, pan=st.lists(st.one_of(st.none(), st.floats(0, 9000)), min_size=6, max_size=6)
)
def test_afterwards_every_line_has_its_share_and_nothing_was_taken_out(parts, batch, pan):
    recipe = recipe_of(parts)
    weighed = dict(zip(recipe, pan, strict=False))
    found = restore(recipe=recipe, batch_g=batch, weighed_g=weighed)
    after = {name: (weighed[name] or 0) + found.add_g[name] for name in recipe}
    assert found.new_batch_g >= batch
    assert sum(after.values()) == pytest.approx(found.new_batch_g)
    for name, part in recipe.items():
        assert found.add_g[name] >= 0
        assert after[name] / found.new_batch_g == pytest.approx(part / sum(parts), rel=1e-6)


@given(parts=PARTS, batch=BATCH, over=st.floats(0, 500))
def test_an_accepted_error_moves_every_share_as_said(parts, batch, over):
    recipe = recipe_of(parts)
    found = accept_error(recipe=recipe, batch_g=batch, ingredient="line 0", over_g=over)
    share = {name: part / sum(parts) for name, part in recipe.items()}
    assert found.new_pct_of_batch - 100 * share["line 0"] == pytest.approx(found.shift_pct_points, abs=1e-9)
    others = sum(100 * part * found.others_scaled_by for name, part in share.items() if name != "line 0")
    assert others + found.new_pct_of_batch == pytest.approx(100)


def test_of_an_ingredient_that_is_short_it_is_said():
    asked = {"recipe": {"a": 50, "b": 50}, "batch_g": 1000, "weighed_g": {"a": 600, "b": None}}
    assert restore(**asked, stock_g={"b": 599}).status == "short_of_stock"
    assert restore(**asked, stock_g={"b": 600}).status == "ok"
    assert restore(**asked, stock_g={"b": 599}, max_batch_g=1199).status == "exceeds_max_batch"


@given(batch=st.floats(300, 3000))
def test_no_rounding_of_lines_goes_beyond_its_bound(batch):
    recipe = {"a": 50.0, "b": 30.0, "c": 20.0}
    bound = recipe_rounding(recipe=recipe, batch_g=batch, division_g=1)
    rounded = {name: float(round(part / 100 * batch)) for name, part in recipe.items()}
    whole = sum(rounded.values())
    assert abs(whole - batch) <= bound.batch_bound_g
    for name, part in recipe.items():
        # the bound is of first order; half a division in a thousand divisions is the rest
        assert abs(100 * rounded[name] / whole - part) <= bound.bound_pct_points[name] * (1 + 3 / batch)


def test_more_loads_cost_more():
    one, four = (load_rounding(amount_g=2000, loads=n, division_g=1) for n in (1, 4))
    assert (four.rounding_bound_g, four.rounding_u_g) == (4 * one.rounding_bound_g, 2 * one.rounding_u_g)


def test_half_a_division_is_the_error_asked_for():
    least = smallest_for_error_g(division_g=0.1, rel=0.005)
    assert 0.05 / least == pytest.approx(0.005)


GOOD = {"recipe": {"a": 50, "b": 50}, "batch_g": 1000, "weighed_g": {"a": 100}}


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"recipe": {}}, "recipe"),
        ({"recipe": {"a": 0, "b": 1}}, "part of a"),
        ({"recipe": {"a": math.nan}}, "part of a"),
        ({"batch_g": 0}, "batch_g"),
        ({"batch_g": math.inf}, "batch_g"),
        ({"weighed_g": {"c": 1}}, "no c"),
        ({"weighed_g": {"a": -1}}, "weighed_g of a"),
    ],
)
def test_what_cannot_be_is_refused_by_name(wrong, says):
    with pytest.raises(ValueError, match=says):
        restore(**{**GOOD, **wrong})


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: accept_error(recipe={"a": 1}, batch_g=1, ingredient="b", over_g=1), "no b"),
        (lambda: accept_error(recipe={"a": 1}, batch_g=1, ingredient="a", over_g=-1), "over_g"),
        (lambda: load_rounding(amount_g=0, loads=1, division_g=1), "amount_g"),
        (lambda: load_rounding(amount_g=1, loads=0, division_g=1), "loads"),
        (lambda: recipe_rounding(recipe={"a": 1}, batch_g=1, division_g=0), "division_g"),
        (lambda: smallest_for_error_g(division_g=1, rel=0), "rel"),
        (lambda: smallest_for_error_g(division_g=-1, rel=0.01), "division_g"),
    ],
)
def test_what_makes_no_sense_is_refused_by_name(call, says):
    with pytest.raises(ValueError, match=says):
        call()
