"""Money by moving average: what a withdrawal costs, so that nothing is lost or made by rounding.

Value left + value issued = value bought, always: each issue is rounded to the small unit and taken
from the value, and the last gram takes all that is left.
"""

from decimal import Decimal
from fractions import Fraction

from studio.calc.apportion import round_to_step

SMALL_UNIT = Decimal("0.0001")  # of the studio's currency: a gram of whiting still has a price


def issue_cost(
    *, value: Decimal, on_hand_g: Decimal, issued_g: Decimal, small_unit: Decimal = SMALL_UNIT
) -> Decimal:
    """What ``issued_g`` of a stock of ``on_hand_g`` worth ``value`` costs.

    Rounded to ``small_unit``, halves up; issuing all of it costs exactly ``value``. ``value`` 0 or more
    and a multiple of ``small_unit``, ``issued_g`` 0 to ``on_hand_g``. ValueError otherwise. Source: moving
    average price, common practice.
    """
    _check(value=value, on_hand_g=on_hand_g, issued_g=issued_g)
    if value % small_unit:
        raise ValueError(f"value must be a multiple of {small_unit}, got {value}")
    if issued_g > on_hand_g:
        raise ValueError(f"issued_g must be at most what is on hand, {on_hand_g} g, got {issued_g}")
    if issued_g == on_hand_g:
        return value
    exact = Fraction(value) * Fraction(issued_g) / Fraction(on_hand_g)
    return round_to_step(amount=exact, step=small_unit)


def average_per_kg(*, value: Decimal, on_hand_g: Decimal) -> Decimal | None:
    """The moving average price of a kilogram, unrounded, for showing; None when nothing is on hand."""
    _check(value=value, on_hand_g=on_hand_g)
    return 1000 * value / on_hand_g if on_hand_g else None


def _check(**values: Decimal) -> None:
    for name, value in values.items():
        if not (value.is_finite() and value >= 0):
            raise ValueError(f"{name} must be 0 or more, got {value}")
