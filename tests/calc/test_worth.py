"""What is left of a mixture is worth its share of what the mixture cost."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buckets.calc.worth import Part, worth

D = Decimal
GRAMS = st.decimals(1, 20000, places=0)
COST = st.decimals(0, 100, places=2)
PARTS = st.lists(st.builds(Part, dry_g=GRAMS, cost=st.none() | COST), min_size=1, max_size=5)


def test_scenario_e6_writes_8_10_credits_off():
    # day_in_the_room.md E6: 5.623 kg dry, 8.10 L at 1.00 a litre
    found = worth(dry_g=D(5623), parts=[Part(D(11246), D("16.20"))])
    assert found.value == D("8.10")
    assert found.known_share == 1


@given(parts=PARTS)
def test_a_full_bucket_is_worth_what_is_known_to_have_gone_in(parts):
    whole = sum(part.dry_g for part in parts)
    known = [part for part in parts if part.cost is not None]
    found = worth(dry_g=whole, parts=parts)
    if not known:
        assert (found.value, found.known_share) == (None, 0)
    else:
        assert found.value == pytest.approx(sum(part.cost for part in known), abs=D("0.000001"))
        assert found.known_share == pytest.approx(sum(part.dry_g for part in known) / whole, abs=D("1e-9"))


@given(parts=PARTS, one=GRAMS, other=GRAMS)
def test_worth_goes_with_the_dry_mass(parts, one, other):
    if all(part.cost is None for part in parts):
        return
    both = worth(dry_g=one + other, parts=parts).value
    apart = worth(dry_g=one, parts=parts).value + worth(dry_g=other, parts=parts).value
    assert both == pytest.approx(apart, abs=D("0.000001"))


@pytest.mark.parametrize(("dry", "part"), [(D(-1), D(5)), (D(1), D(-5))])
def test_less_than_nothing_is_refused(dry, part):
    with pytest.raises(ValueError, match="negative"):
        worth(dry_g=dry, parts=[Part(part, D(1))])


def test_nothing_known_and_nothing_in_it_is_worth_nothing_known():
    assert worth(dry_g=D(5), parts=[]).value is None
    assert worth(dry_g=D(5), parts=[Part(D(0), D(1))]).value is None
