"""The data sheets of a lot, for its page in the store."""

from typing import Any

from django import template

from safety.sheets import asides_of_material, standing_of_lot
from studio.materials.models import Lot

register = template.Library()


@register.inclusion_tag("safety/_sheets_of_lot.html")
def sheets_of_lot(lot: Lot) -> dict[str, Any]:
    """Which sheets cover it, and what is to be said beside them: one query."""
    rows: list[Any] = standing_of_lot(lot)
    covering = [row for row in rows if row.covers_it]
    return {
        "lot": lot,
        "covering": covering,
        "others": rows,
        "asides": asides_of_material(covering or rows, [lot]),
    }
