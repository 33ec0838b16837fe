"""Overshoot, loads and what a scale can weigh: section l."""

from decimal import Decimal
from typing import Any

from batches.calc import overshoot, tolerance
from studio.front.checks.answers import Answer, answered


def loads(*, amount_g: float, capacity_g: float, container_g: float, d_g: float) -> dict[str, Any]:
    """Two questions of one line: how many loads, and what reading so many costs."""
    found = tolerance.loads(
        target_g=Decimal(str(amount_g)),
        capacity_g=Decimal(str(capacity_g)),
        division_g=Decimal(str(d_g)),
        container_g=Decimal(str(container_g)),
    )
    cost = overshoot.load_rounding(amount_g=amount_g, loads=found.count, division_g=d_g)
    return {"n": found.count, "each_g": sum(found.each_g) / found.count, **vars(cost)}


CHECKS: dict[str, Answer] = {
    "overshoot": answered(
        overshoot.restore,
        arguments={
            "batch": "batch_g",
            "weighed": "weighed_g",
            "max_batch": "max_batch_g",
            "stock": "stock_g",
        },
        outputs={"new_batch": "new_batch_g", "add": "add_g"},
    ),
    "accept_error": answered(overshoot.accept_error, arguments={"batch": "batch_g", "over": "over_g"}),
    "loads": loads,
    "rounding": answered(overshoot.recipe_rounding, arguments={"batch": "batch_g", "d_g": "division_g"}),
    "min_weighable": answered(
        overshoot.smallest_for_error_g, arguments={"d_g": "division_g"}, outputs="m_min_g"
    ),
}
