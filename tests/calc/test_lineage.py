"""Shares of parents by dry mass."""

from decimal import Decimal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from buckets.calc.lineage import dry_shares, version_shares

GRAMS = st.decimals(min_value=0, max_value=50000, places=3)
PARENTS = st.dictionaries(st.text("abcdef", min_size=1), GRAMS, min_size=1, max_size=6)


@given(parents=PARENTS)
def test_shares_sum_to_one_and_follow_the_dry_mass(parents):
    assume(sum(parents.values()) > 0)
    shares = dry_shares(dry_g=parents)
    assert sum(shares.values()) == 1
    total = sum(parents.values())
    for name, grams in parents.items():
        assert abs(shares[name] - grams / total) <= Decimal("0.000001")


@given(parents=PARENTS)
def test_parents_of_one_version_make_a_fill_of_that_version_alone(parents):
    assume(sum(parents.values()) > 0)
    mixed = {name: (grams, {"v3": Decimal(1)}) for name, grams in parents.items()}
    assert version_shares(parents=mixed) == {"v3": 1}


@given(a=GRAMS, b=GRAMS, c=GRAMS)
def test_mixing_in_two_steps_gives_the_shares_of_mixing_at_once(a, b, c):
    assume(a + b > 0)
    assume(c > 0)
    first = version_shares(parents={"x": (a, {"v1": Decimal(1)}), "y": (b, {"v2": Decimal(1)})})
    then = version_shares(parents={"xy": (a + b, first), "z": (c, {"found": Decimal(1)})})
    at_once = dry_shares(dry_g={"v1": a, "v2": b, "found": c})
    for name, share in at_once.items():
        assert abs(then[name] - share) <= Decimal("0.000003")


def test_what_was_found_keeps_its_place():
    shares = version_shares(
        parents={
            "old": (Decimal(1000), {"history unknown": Decimal(1)}),
            "new": (Decimal(3000), {"v2": Decimal(1)}),
        }
    )
    assert shares == {"history unknown": Decimal("0.25"), "v2": Decimal("0.75")}


def test_a_fill_without_any_powder_has_no_shares():
    with pytest.raises(ValueError, match="not all 0"):
        dry_shares(dry_g={"water": Decimal(0)})
    with pytest.raises(ValueError, match="shares of a parent"):
        version_shares(parents={"x": (Decimal(1), {})})
