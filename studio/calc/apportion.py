"""Splitting a total into parts that a scale can show, without losing or gaining a division."""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction


def round_to_step(*, amount: Decimal | Fraction, step: Decimal) -> Decimal:
    """The multiple of ``step`` (above 0) nearest to ``amount`` (0 or more), halves up."""
    if not (step.is_finite() and step > 0):
        raise ValueError(f"step must be above 0, got {step}")
    if amount < 0:
        raise ValueError(f"amount must be 0 or more, got {amount}")
    above, below = amount.as_integer_ratio()
    step_above, step_below = step.as_integer_ratio()
    twice, one = 2 * above * step_below, below * step_above  # whole numbers: exact and quick
    return step * ((twice + one) // (2 * one))


def largest_remainder(
    *, shares: Sequence[Decimal | Fraction], total: Decimal | Fraction, step: Decimal
) -> list[Decimal]:
    """Parts in the proportion of ``shares``, each a multiple of ``step``, together exactly the total.

    The total itself is rounded to ``step``, halves up. Each part is within one step of its exact share;
    the steps left over go to the largest remainders, in a tie to the larger part, then to the earlier
    one. ``shares`` 0 or more in any sum above 0, ``total`` 0 or more, ``step`` above 0. ValueError
    otherwise. Method: largest remainder (common practice, no source).
    """
    if not shares:
        raise ValueError("shares must hold at least one share, got none")
    exact = [Fraction(share) for share in shares]
    whole = sum(exact)
    if min(exact) < 0 or whole == 0:
        raise ValueError("shares must be 0 or more and not all 0")
    steps = int(round_to_step(amount=total, step=step) / step)
    ideal = [steps * share / whole for share in exact]
    parts = [int(part) for part in ideal]
    order = sorted(range(len(parts)), key=lambda i: (parts[i] - ideal[i], -exact[i], i))
    for i in order[: steps - sum(parts)]:
        parts[i] += 1
    return [step * part for part in parts]
