"""Shares and totals of recipe lines. Base sums for itself; additions stand on top of it."""

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from studio.calc.apportion import largest_remainder

STEP = Decimal("0.0001")  # parts are kept to four places
HUNDRED = Decimal(100)


class TooSmall(ValueError):
    """A line that would round to nothing; ``index`` counts from 0 over base, then additions."""

    def __init__(self, index: int) -> None:
        super().__init__(f"line {index} rounds to 0 when the base is brought to 100")
        self.index = index


def percent_of_base(*, parts: Decimal, base_total: Decimal) -> Decimal:
    """``parts`` (0 or more) in percent of ``base_total`` (above 0), four places, halves up."""
    if base_total <= 0:
        raise ValueError(f"base_total must be above 0, got {base_total}")
    return _rounded(Fraction(parts) * 100 / Fraction(base_total), STEP)


def normalised(
    *, base: Sequence[Decimal], additions: Sequence[Decimal]
) -> tuple[list[Decimal], list[Decimal]]:
    """Base parts that sum to exactly 100, and additions in percent of the base.

    Every part above 0 with up to four places. Base parts keep their proportions to within one step of
    0.0001 (largest remainder, so that the sum is exact); each addition is rounded by itself. Raises
    ``TooSmall`` when a line would become 0, ValueError when the base is empty.
    """
    total = sum(base, Decimal(0))
    new_base = largest_remainder(shares=list(base), total=HUNDRED, step=STEP)
    on_top = [percent_of_base(parts=parts, base_total=total) for parts in additions]
    for index, part in enumerate([*new_base, *on_top]):
        if part <= 0:
            raise TooSmall(index)
    return new_base, on_top


def _rounded(value: Fraction, step: Decimal) -> Decimal:
    steps = (value / Fraction(step) * 2 + 1) // 2  # halves up: values here are never negative
    return (step * int(steps)).quantize(step, rounding=ROUND_HALF_UP)
