"""Guards of the formulas: what was wanted and what came, in one ValueError.

A number that is not finite is never in range.
"""

import math


def positive(**values: float) -> None:
    """Refuse any value that is not above 0."""
    for name, value in values.items():
        if not (math.isfinite(value) and value > 0):
            raise ValueError(f"{name} must be above 0, got {value}")


def not_negative(**values: float) -> None:
    """Refuse any value below 0."""
    for name, value in values.items():
        if not (math.isfinite(value) and value >= 0):
            raise ValueError(f"{name} must be 0 or more, got {value}")


def finite(**values: float) -> None:
    """Refuse infinities and what is not a number."""
    for name, value in values.items():
        if not math.isfinite(value):
            raise ValueError(f"{name} must be a finite number, got {value}")


def above(low: float, **values: float) -> None:
    """Refuse any value at or under ``low``."""
    for name, value in values.items():
        if not (math.isfinite(value) and value > low):
            raise ValueError(f"{name} must be above {low:g}, got {value}")


def at_least(low: float, **values: float) -> None:
    """Refuse any value under ``low``."""
    for name, value in values.items():
        if not (math.isfinite(value) and value >= low):
            raise ValueError(f"{name} must be {low:g} or more, got {value}")


def between(low: float, high: float, **values: float) -> None:
    """Refuse any value outside ``low`` to ``high``, both allowed."""
    for name, value in values.items():
        if not (math.isfinite(value) and low <= value <= high):
            raise ValueError(f"{name} must be {low:g} to {high:g}, got {value}")
