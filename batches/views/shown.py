"""A plan as the pages show it: asking, the request, beginning."""

from decimal import Decimal
from typing import Any

from batches.planning import Plan
from batches.queries import stock_of
from studio.quantities import rounded
from studio.words import signed


def shown(plan: Plan, *, before: dict[int, Decimal] | None = None) -> dict[str, Any]:
    """Context of ``batches/_plan.html``: every line with its stock.

    ``before``, the grams planned earlier by position, is shown in place of the stock.
    """
    standing = stock_of(plan) if before is None else None
    by_material = {row.material_id: row for row in standing.materials} if standing else {}
    return {
        "plan": plan,
        "rows": [
            (line, by_material.get(line.material_id), before.get(line.position) if before else None)
            for line in plan.lines
        ],
        "before": before,
        "rounding": signed(rounded(plan.rounding_g, 1), "g"),
        "stock": standing,
    }
