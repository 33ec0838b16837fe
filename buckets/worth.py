"""What a fill still holds and what that is worth: shown before it is emptied, written when it is."""

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Sum

from batches.models import Line
from buckets.afterwards import predicted_sg
from buckets.calc.worth import NOUGHT, Part, worth
from buckets.models import Care, Fill, Parent
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
    """Dry mass and cost of everything that went into a fill; None when a part's mass is not known.

    A query for each generation of fills it came of, and three besides.
    """
    return _Origins(fill).parts_of(fill.pk)


class _Origins:
    """Everything a fill came of, fetched a generation at a time, with what batches and powder cost."""

    def __init__(self, fill: Fill) -> None:
        self.parents: dict[int, list[Parent]] = {}
        generation = {fill.pk}
        while generation:
            rows = list(Parent.objects.filter(fill__in=generation).order_by("id"))
            self.parents |= {pk: [row for row in rows if row.fill_id == pk] for pk in generation}
            generation = {row.parent_fill_id for row in rows if row.parent_fill_id} - set(self.parents)
        batches = {row.batch_id for rows in self.parents.values() for row in rows if row.batch_id}
        lines = Line.objects.filter(batch__in=batches).order_by().values_list("batch")
        self.weighed_g = dict(lines.annotate(grams=Sum("weighed_g")))
        self.cost = dict(lines.annotate(cost=Sum("weighings__movement__cost")))
        powder = Care.objects.filter(STANDS, kind=Care.Kind.POWDER_IN, fill__in=self.parents)
        self.powder = list(powder.annotate(cost=Sum("powder__movement__cost")).order_by("id"))

    def parts_of(self, pk: int) -> list[Part] | None:
        """What went into the fill with this number."""
        parts: list[Part] = []
        for parent in self.parents[pk]:
            if parent.dry_g is None:
                return None
            if parent.batch_id is not None:
                parts.append(self._of_batch(parent.batch_id, parent.dry_g))
            elif parent.parent_fill_id is not None:
                parts += self._of_fill(parent.parent_fill_id, parent.dry_g)
            else:
                parts.append(Part(parent.dry_g, None))
        return parts + self._of_powder(pk)

    def _of_batch(self, pk: int, dry_g: Decimal) -> Part:
        """That part of a batch, at what its powders left the store with."""
        weighed, cost = self.weighed_g.get(pk) or NOUGHT, self.cost.get(pk)
        if cost is None or weighed <= 0:
            return Part(dry_g, None)
        return Part(dry_g, -cost / weighed * dry_g)

    def _of_fill(self, pk: int, dry_g: Decimal) -> list[Part]:
        """That part of another fill, in what of it has a known cost and what has not."""
        parts = self.parts_of(pk)
        found = worth(dry_g=dry_g, parts=parts) if parts is not None else None
        if found is None or found.value is None:
            return [Part(dry_g, None)]
        known_g = dry_g * found.known_share
        return [Part(known_g, found.value), Part(dry_g - known_g, None)]

    def _of_powder(self, pk: int) -> list[Part]:
        """Powder stirred in since: out of lots at its cost, made up before without one."""
        rows = [row for row in self.powder if row.fill_id == pk]
        return [Part(row.mass_g or NOUGHT, None if row.cost is None else -row.cost) for row in rows]
