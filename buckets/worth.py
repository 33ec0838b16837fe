"""What a fill still holds and what that is worth: shown before it is emptied, written when it is."""

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Sum

from batches.models import Batch
from buckets.afterwards import predicted_sg
from buckets.calc.worth import NOUGHT, Part, worth
from buckets.models import Care, Fill
from buckets.operations.changing import dry_kg_in
from buckets.operations.standing import STANDS
from studio.quantities import rounded


@dataclass(frozen=True, kw_only=True)
class Left:
    """Litres, dry grams and worth of what is in a fill; None where it is not known.

    ``known_share`` (0 to 1): of the dry mass, that its cost is known for.
    """

    volume_l: Decimal
    dry_g: Decimal | None
    value: Decimal | None
    known_share: Decimal


def left_in(fill: Fill) -> Left:
    """What the fill holds by its litres and the SG as it should stand now, at the cost of its parents."""
    dry_kg = dry_kg_in(fill, predicted_sg(fill))
    parts = parts_of(fill)
    if dry_kg is None or parts is None:
        dry_g = None if dry_kg is None else rounded(1000 * dry_kg, 3)
        return Left(volume_l=fill.volume_l, dry_g=dry_g, value=None, known_share=NOUGHT)
    dry_g = rounded(1000 * dry_kg, 3)
    found = worth(dry_g=dry_g, parts=parts)
    return Left(
        volume_l=fill.volume_l,
        dry_g=dry_g,
        value=None if found.value is None else rounded(found.value, 4),
        known_share=rounded(found.known_share, 4),
    )


def parts_of(fill: Fill) -> list[Part] | None:
    """Dry mass and cost of everything that went into a fill; None when a part's mass is not known."""
    parts: list[Part] = []
    for parent in fill.parents.select_related("batch", "parent_fill").order_by("id"):
        if parent.dry_g is None:
            return None
        if parent.batch is not None:
            parts.append(_of_batch(parent.batch, parent.dry_g))
        elif parent.parent_fill is not None:
            parts += _of_fill(parent.parent_fill, parent.dry_g)
        else:
            parts.append(Part(parent.dry_g, None))
    return parts + _of_powder(fill)


def _of_batch(batch: Batch, dry_g: Decimal) -> Part:
    """That part of a batch, at what its powders left the store with."""
    weighed = batch.lines.aggregate(grams=Sum("weighed_g"))["grams"] or NOUGHT
    cost = batch.lines.aggregate(cost=Sum("weighings__movement__cost"))["cost"]
    if cost is None or weighed <= 0:
        return Part(dry_g, None)
    return Part(dry_g, -cost / weighed * dry_g)


def _of_fill(parent: Fill, dry_g: Decimal) -> list[Part]:
    """That part of another fill, in what of it has a known cost and what has not."""
    parts = parts_of(parent)
    found = worth(dry_g=dry_g, parts=parts) if parts is not None else None
    if found is None or found.value is None:
        return [Part(dry_g, None)]
    known_g = dry_g * found.known_share
    return [Part(known_g, found.value), Part(dry_g - known_g, None)]


def _of_powder(fill: Fill) -> list[Part]:
    """Powder stirred in since: out of lots at its cost, made up before without one."""
    rows = fill.care.filter(STANDS, kind=Care.Kind.POWDER_IN).annotate(cost=Sum("powder__movement__cost"))
    return [
        Part(row.mass_g or NOUGHT, None if row.cost is None else -row.cost) for row in rows.order_by("id")
    ]
