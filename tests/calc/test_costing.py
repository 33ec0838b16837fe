"""Money by moving average: nothing is lost or made."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.materials.calc.costing import SMALL_UNIT, average_per_kg, issue_cost

MONEY = st.decimals(min_value=0, max_value=10**6, places=4)
GRAMS = st.decimals(min_value="0.001", max_value=10**7, places=3)


def test_the_average_is_over_everything_owned():
    # day_in_the_room C6: 3.912 kg at 1.10 and 25 kg at 1.18 make 1.1692 a kilogram
    value = Decimal("3.912") * Decimal("1.10") + 25 * Decimal("1.18")
    price = average_per_kg(value=value, on_hand_g=Decimal(28912))
    assert price.quantize(Decimal("0.0001")) == Decimal("1.1692")


def test_nothing_on_hand_has_no_price_and_issuing_nothing_of_it_costs_nothing():
    nothing = Decimal(0)
    assert average_per_kg(value=nothing, on_hand_g=nothing) is None
    assert issue_cost(value=nothing, on_hand_g=nothing, issued_g=nothing) == 0


@given(value=MONEY, bought=GRAMS, cuts=st.lists(st.integers(1, 10**6), min_size=1, max_size=20))
def test_value_issued_and_value_left_are_the_value_bought_down_to_the_last_gram(value, bought, cuts):
    left_value, left_g, issued_value = value, bought, Decimal(0)
    for cut in cuts:
        grams = (left_g * cut / 10**7).quantize(Decimal("0.001"))
        cost = issue_cost(value=left_value, on_hand_g=left_g, issued_g=grams)
        assert 0 <= cost <= left_value
        assert cost % SMALL_UNIT == 0
        left_value, left_g, issued_value = left_value - cost, left_g - grams, issued_value + cost
        assert left_value + issued_value == value
    last = issue_cost(value=left_value, on_hand_g=left_g, issued_g=left_g)
    assert last == left_value
    assert issued_value + last == value


@given(value=MONEY, bought=GRAMS, share=st.integers(0, 1000))
def test_an_issue_is_within_half_a_small_unit_of_its_share(value, bought, share):
    grams = (bought * share / 1000).quantize(Decimal("0.001"))
    cost = issue_cost(value=value, on_hand_g=bought, issued_g=min(grams, bought))
    assert abs(cost - value * min(grams, bought) / bought) <= SMALL_UNIT / 2 + Decimal("1e-12")


@pytest.mark.parametrize(
    ("value", "on_hand", "issued", "words"),
    [
        ("1", "10", "10.001", "issued_g must be at most what is on hand, 10 g, got 10.001"),
        ("1", "0", "1", "at most what is on hand"),
        ("-1", "10", "1", "value must be 0 or more, got -1"),
        ("1", "10", "-1", "issued_g must be 0 or more"),
        ("1.00001", "10", "1", "value must be a multiple of 0.0001"),
        ("NaN", "10", "1", "value must be 0 or more"),
    ],
)
def test_an_issue_that_cannot_be_is_refused(value, on_hand, issued, words):
    with pytest.raises(ValueError, match=words):
        issue_cost(value=Decimal(value), on_hand_g=Decimal(on_hand), issued_g=Decimal(issued))
