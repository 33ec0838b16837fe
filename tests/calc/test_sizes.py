"""How little a very small container bears in the US: 29 CFR 1910.1200(f)(12) (mixtures.md 10, opened)."""

from decimal import Decimal

import pytest

from safety.calc.sizes import us_least

D = Decimal


@pytest.mark.parametrize(
    ("litres", "least"),
    [
        ("0.001", "name"), ("0.003", "name"), ("0.0031", "short"), ("0.05", "short"), ("0.1", "short"),
        ("0.1001", "full"), ("0.5", "full"), ("20", "full"),
    ],
)  # fmt: skip
def test_the_least_a_container_bears_goes_by_what_it_holds_ends_included(litres, least):
    assert us_least(capacity_l=D(litres)) == least


@pytest.mark.parametrize("litres", ["0", "-0.1"])
def test_a_container_that_holds_nothing_is_none(litres):
    with pytest.raises(ValueError, match="more than nothing"):
        us_least(capacity_l=D(litres))
