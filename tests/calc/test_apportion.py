"""Splitting a total to the division of a scale."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from studio.calc.apportion import largest_remainder, round_to_step

STEPS = st.sampled_from([Decimal("0.01"), Decimal("0.1"), Decimal("0.5"), Decimal(1), Decimal(5)])
SHARES = st.lists(st.decimals(min_value=0, max_value=1000, places=3), min_size=1, max_size=12)
TOTALS = st.decimals(min_value=0, max_value=50000, places=4)


@pytest.mark.parametrize(
    ("shares", "total", "step", "parts"),
    [
        # chemistry_checks.json b5 to b8, derived there
        (["33.33", "24.24", "17.17", "25.26"], "1000", "1", ["333", "242", "172", "253"]),
        (["1", "1", "1"], "100", "1", ["34", "33", "33"]),
        (["2184.3", "1638.2", "1092.1", "546.1"], "5460.7", "5", ["2185", "1640", "1090", "545"]),
        (
            ["728.1", "546.1", "364.05", "182.03", "3.64"],
            "1823.92",
            "0.1",
            ["728.1", "546.1", "364.1", "182.0", "3.6"],
        ),
    ],
)
def test_parts_are_those_worked_out_elsewhere(shares, total, step, parts):
    found = largest_remainder(shares=[Decimal(s) for s in shares], total=Decimal(total), step=Decimal(step))
    assert found == [Decimal(part) for part in parts]


@given(shares=SHARES, total=TOTALS, step=STEPS)
def test_parts_sum_to_the_rounded_total_and_each_is_within_a_step_of_its_share(shares, total, step):
    assume(sum(shares) > 0)
    parts = largest_remainder(shares=shares, total=total, step=step)
    whole = round_to_step(amount=total, step=step)
    assert sum(parts) == whole
    assert all(part % step == 0 for part in parts)
    for part, share in zip(parts, shares, strict=True):
        assert abs(Fraction(part) - Fraction(whole) * Fraction(share) / Fraction(sum(shares))) < Fraction(
            step
        )


def test_in_a_tie_the_larger_part_is_rounded_up_wherever_it_stands():
    # chemistry_checks.json b6 names the rule; halves of 0.5 and 1.5 by hand
    for shares, parts in (([1, 3], [0, 2]), ([3, 1], [2, 0])):
        found = largest_remainder(shares=[Decimal(s) for s in shares], total=Decimal(2), step=Decimal(1))
        assert found == parts


@given(shares=SHARES, total=TOTALS, step=STEPS, factor=st.integers(2, 1000))
def test_parts_do_not_depend_on_what_the_shares_sum_to(shares, total, step, factor):
    assume(sum(shares) > 0)
    scaled = [share * factor for share in shares]
    assert largest_remainder(shares=scaled, total=total, step=step) == largest_remainder(
        shares=shares, total=total, step=step
    )


@given(shares=SHARES, total=TOTALS, step=STEPS)
def test_a_larger_share_never_gets_less(shares, total, step):
    assume(sum(shares) > 0)
    parts = largest_remainder(shares=shares, total=total, step=step)
    pairs = sorted(zip(shares, parts, strict=True))
    assert [part for _, part in pairs] == sorted(parts)


@given(amount=TOTALS, step=STEPS)
def test_rounding_goes_to_the_nearest_step_and_halves_go_up(amount, step):
    found = round_to_step(amount=amount, step=step)
    assert found % step == 0
    assert -step / 2 <= amount - found < step / 2  # never exactly half a step below the amount


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: largest_remainder(shares=[], total=Decimal(1), step=Decimal(1)), "at least one share"),
        (lambda: largest_remainder(shares=[Decimal(0)], total=Decimal(1), step=Decimal(1)), "not all 0"),
        (lambda: largest_remainder(shares=[Decimal(-1)], total=Decimal(1), step=Decimal(1)), "0 or more"),
        (lambda: round_to_step(amount=Decimal(1), step=Decimal(0)), "step must be above 0, got 0"),
        (lambda: round_to_step(amount=Decimal(-1), step=Decimal(1)), "amount must be 0 or more, got -1"),
    ],
)
def test_what_cannot_be_split_is_refused(call, words):
    with pytest.raises(ValueError, match=words):
        call()
