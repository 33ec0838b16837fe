"""Laws of shares and densities."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.calc.slurry.density import mean_density
from studio.materials.models import Material
from studio.recipes.calc.cones import CONES, cone_order
from studio.recipes.calc.proportions import STEP, TooSmall, normalised, percent_of_base
from studio.recipes.models import Line
from studio.recipes.operations.lines import TypedLine, density_of

parts = st.decimals("1", "5000", places=4)  # 20 such lines are never too small to keep


@given(st.lists(parts, min_size=1, max_size=20), st.lists(parts, max_size=6))
def test_normalising_keeps_the_proportions_and_sums_to_exactly_100(base, additions):
    new_base, on_top = normalised(base=base, additions=additions)
    assert sum(new_base) == 100
    for old, new in zip(base, new_base, strict=True):
        assert abs(new - 100 * old / sum(base)) < STEP
    for old, new in zip(additions, on_top, strict=True):
        assert abs(new - 100 * old / sum(base)) <= STEP / 2


@given(st.lists(parts, min_size=1, max_size=20))
def test_normalising_twice_changes_nothing_more(base):
    once, _ = normalised(base=base, additions=[])
    twice, _ = normalised(base=once, additions=[])
    assert once == twice


def test_normalising_a_base_of_98_7():
    # 98.7 is the total of "edge_cases.md" case 60; shares worked out by hand.
    new_base, on_top = normalised(base=[Decimal("49.35"), Decimal("49.35")], additions=[Decimal("9.87")])
    assert new_base == [50, 50]
    assert on_top == [10]


def test_a_line_that_would_vanish_is_named():
    with pytest.raises(TooSmall) as small:
        normalised(base=[Decimal(1_000_000), Decimal("0.1")], additions=[])
    assert small.value.index == 1


def test_percent_needs_a_base():
    assert percent_of_base(parts=Decimal(1), base_total=Decimal(3)) == Decimal("33.3333")
    with pytest.raises(ValueError, match="above 0"):
        percent_of_base(parts=Decimal(1), base_total=Decimal(0))


densities = st.decimals("1.1", "8", places=3)


@given(st.lists(st.tuples(parts, densities), min_size=1, max_size=20))
def test_particle_density_lies_between_the_least_and_the_greatest(pairs):
    lines = [
        TypedLine(kind=Line.Kind.BASE, material=Material(density=d), typed_name="x", parts=p, typed=str(p))
        for p, d in pairs
    ]
    low, high = min(d for _, d in pairs), max(d for _, d in pairs)
    assert low <= density_of(lines) <= high
    exact = mean_density(masses=[float(p) for p, _ in pairs], densities=[float(d) for _, d in pairs])
    assert abs(float(density_of(lines)) - exact) <= 0.0005 + 1e-9


def test_cones_are_a_closed_list_in_order():
    assert len(CONES) == 32
    assert CONES[0] == "022"
    assert CONES[-1] == "10"
    assert cone_order("06") < cone_order("01") < cone_order("1") < cone_order("6")
    with pytest.raises(ValueError, match="tuple"):
        cone_order("6.5")
