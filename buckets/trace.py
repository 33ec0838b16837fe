"""From a bucket back to the lots in it, and from a lot forward to the buckets it is in.

Fills descend from batches and from other fills, however often they were merged, split or moved. The whole
descent is one question to the database, whatever its depth; shares are worked out here, by dry mass.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from django.db.models import QuerySet, Sum
from django.db.models.expressions import RawSQL

from batches.models import Batch, Line, Weighing
from buckets.models import Care, Fill, Parent, Powder
from studio.materials.models import Lot, Material, Movement

MOST = 2000  # fills of one descent; a room has a few hundred in its life
NOUGHT, ONE = Decimal(0), Decimal(1)

# Tables have fixed names; the one value is bound.
TABLES = {
    "parents": Parent._meta.db_table,
    "weighings": Weighing._meta.db_table,
    "lines": Line._meta.db_table,
    "powder": Powder._meta.db_table,
    "care": Care._meta.db_table,
    "movements": Movement._meta.db_table,
    "most": MOST,
}
BACKWARD = """
WITH RECURSIVE up(id) AS (
  SELECT CAST(%s AS bigint)
  UNION
  SELECT p.parent_fill_id FROM {parents} p JOIN up ON p.fill_id = up.id WHERE p.parent_fill_id IS NOT NULL
) SELECT id FROM up LIMIT {most}
""".format(**TABLES)  # noqa: S608 - fixed names of tables
FORWARD = """
WITH RECURSIVE down(id) AS (
  SELECT p.fill_id FROM {parents} p WHERE p.batch_id IN (
    SELECT l.batch_id FROM {weighings} w JOIN {lines} l ON w.line_id = l.id WHERE w.lot_id IN ({{lots}}))
  UNION
  SELECT c.fill_id FROM {powder} o JOIN {movements} m ON o.movement_id = m.id
    JOIN {care} c ON o.care_id = c.id WHERE m.lot_id IN ({{lots}})
  UNION
  SELECT p.fill_id FROM {parents} p JOIN down ON p.parent_fill_id = down.id
) SELECT id FROM down LIMIT {most}
""".format(**TABLES)  # noqa: S608 - as above


@dataclass
class LotShare:
    """A lot in a fill: its share of the dry mass by batches (0 to 1), and powder stirred in."""

    lot: Lot
    share: Decimal = NOUGHT
    powder_g: Decimal = NOUGHT
    batches: list[str] = field(default_factory=list)

    @property
    def share_pct(self) -> Decimal:
        """Percent of the dry mass."""
        return 100 * self.share


@dataclass(frozen=True)
class Ancestor:
    """A batch or a fill that is in a fill, with its share of the dry mass."""

    share: Decimal
    batch: Batch | None = None
    fill: Fill | None = None

    @property
    def share_pct(self) -> Decimal:
        """Percent of the dry mass."""
        return 100 * self.share


@dataclass(frozen=True)
class Origins:
    """Where a fill came from, the largest share first; ``unknown`` is the share without a batch."""

    fill: Fill
    fills: list[Ancestor]
    batches: list[Ancestor]
    lots: list[LotShare]
    unknown: Decimal

    @property
    def unknown_pct(self) -> Decimal:
        """Percent of the dry mass."""
        return 100 * self.unknown


@dataclass(frozen=True)
class Reached:
    """A fill that a lot came into, with the lot's share of its dry mass."""

    fill: Fill
    share: Decimal
    powder_g: Decimal
    batches: list[str]

    @property
    def share_pct(self) -> Decimal:
        """Percent of the dry mass."""
        return 100 * self.share


@dataclass(frozen=True)
class Spread:
    """Where a lot went: batches, and the fills, newest first."""

    lot: Lot
    batches: list[Batch]
    fills: list[Reached]

    @property
    def open(self) -> list[Reached]:
        """In a bucket still."""
        return [one for one in self.fills if one.fill.emptied_at is None]

    @property
    def emptied(self) -> list[Reached]:
        """In a bucket before."""
        return [one for one in self.fills if one.fill.emptied_at is not None]


def origins(fill: Fill) -> Origins:
    """Backward: the fills and batches in a fill and the lots weighed for them. Three queries."""
    ids = RawSQL(BACKWARD, [fill.pk])  # noqa: S611 - the statement above, its value bound
    edges = list(_edges(ids))
    of_fill, of_batch, unknown = _shares_back(fill.pk, edges)
    fills = {edge.parent_fill_id: edge.parent_fill for edge in edges if edge.parent_fill_id}
    batches = {edge.batch_id: edge.batch for edge in edges if edge.batch_id}
    lots = _lots_of(batches.values(), of_batch)
    _add_powder(lots, Powder.objects.filter(care__fill__in=ids))
    return Origins(
        fill=fill,
        fills=_by_share(Ancestor(of_fill[pk], fill=row) for pk, row in fills.items()),
        batches=_by_share(Ancestor(of_batch[pk], batch=row) for pk, row in batches.items()),
        lots=sorted(lots.values(), key=lambda row: (-row.share, row.lot.code)),
        unknown=unknown,
    )


def spread(lot: Lot) -> Spread:
    """Forward: the batches a lot was weighed for and every fill they came into. Five queries."""
    edges = list(_edges(fills_with([lot.pk])))
    shares = _shares_in_batches(_weighed(lot), lot.pk)
    powder = _powder_in(lot)
    batches = list(Batch.objects.filter(pk__in=shares).select_related("vessel").order_by("pk"))
    via = _batches_in(edges, {batch.pk: batch.number for batch in batches})
    reached, stirred = _shares_forward(edges, shares), _powder_forward(edges, powder)
    rows = {edge.fill_id: edge.fill for edge in edges}
    fills = [
        Reached(row, reached[pk], stirred[pk], sorted(via[pk]))
        for pk, row in rows.items()
        if reached[pk] or stirred[pk]
    ]
    return Spread(lot, batches, sorted(fills, key=lambda one: -one.fill.pk))


def fills_with(lots: Sequence[int]) -> RawSQL:
    """For a filter: numbers of the fills that any of these lots came into."""
    marks = ", ".join(["%s"] * len(lots)) or "NULL"
    # the statement above with a mark for each value
    return RawSQL(FORWARD.format(lots=marks), [*lots, *lots])  # noqa: S611


# --- inside


def _edges(fills: RawSQL) -> QuerySet[Parent]:
    """Every line of descent of these fills, in order of the fills: a parent is always older."""
    rows = Parent.objects.filter(fill__in=fills).order_by("fill_id", "id")
    return rows.select_related("fill__vessel", "parent_fill__vessel", "batch")


def _shares_back(start: int, edges: list[Parent]) -> tuple[dict[int, Decimal], dict[int, Decimal], Decimal]:
    """Share of each fill and of each batch in the fill ``start``, and the share that came from neither."""
    of_fill: dict[int, Decimal] = defaultdict(lambda: NOUGHT, {start: ONE})
    of_batch: dict[int, Decimal] = defaultdict(lambda: NOUGHT)
    unknown = NOUGHT
    for edge in reversed(edges):
        share = of_fill[edge.fill_id] * (edge.dry_share or NOUGHT)
        if edge.parent_fill_id:
            of_fill[edge.parent_fill_id] += share
        elif edge.batch_id:
            of_batch[edge.batch_id] += share
        else:
            unknown += share
    return of_fill, of_batch, unknown


def _shares_forward(edges: list[Parent], in_batch: dict[int, Decimal]) -> dict[int, Decimal]:
    """Share of the lot in every fill, from its share in each batch."""
    reached: dict[int, Decimal] = defaultdict(lambda: NOUGHT)
    for edge in edges:
        whole = edge.dry_share or NOUGHT
        if edge.batch_id:
            reached[edge.fill_id] += whole * in_batch.get(edge.batch_id, NOUGHT)
        elif edge.parent_fill_id:
            reached[edge.fill_id] += whole * reached[edge.parent_fill_id]
    return reached


def _batches_in(edges: list[Parent], numbers: dict[int, str]) -> dict[int, set[str]]:
    """Numbers of the batches of the lot in every fill, through its parents, too."""
    via: dict[int, set[str]] = defaultdict(set)
    for edge in edges:
        if edge.batch_id in numbers:
            via[edge.fill_id].add(numbers[edge.batch_id])
        elif edge.parent_fill_id:
            via[edge.fill_id] |= via[edge.parent_fill_id]
    return via


def _weighed(lot: Lot) -> list[tuple[int, int, Decimal]]:
    """(batch, lot, grams) of all that was weighed for its batches; what was taken back cancels out."""
    batches = Weighing.objects.filter(lot=lot).order_by().values("line__batch")
    rows = Weighing.objects.filter(line__batch__in=batches).order_by()
    sums = rows.values_list("line__batch", "lot").annotate(sum_g=Sum("net_g"))
    return [(batch, of_lot, grams) for batch, of_lot, grams in sums if grams]


def _powder_in(lot: Lot) -> dict[int, Decimal]:
    """Grams of the lot that were stirred into each fill as powder, and stand."""
    rows = Powder.objects.filter(movement__lot=lot, care__reversed_by=None, care__reverses=None).order_by()
    return {fill: -g for fill, g in rows.values_list("care__fill").annotate(g=Sum("movement__mass_g"))}


def _powder_forward(edges: list[Parent], into: dict[int, Decimal]) -> dict[int, Decimal]:
    """At most so many grams of it in every fill: a fill made of another may hold all of what that held."""
    stirred: dict[int, Decimal] = defaultdict(lambda: NOUGHT, into)
    for edge in edges:
        if edge.parent_fill_id:
            stirred[edge.fill_id] += stirred[edge.parent_fill_id]
    return stirred


def _add_powder(lots: dict[int, LotShare], powder: QuerySet[Powder]) -> None:
    """Add the lots that were stirred in as powder, and stand, to those that came by batches."""
    rows = powder.filter(care__reversed_by=None, care__reverses=None).select_related(
        "movement__lot__material"
    )
    for row in rows:
        lot = row.movement.lot
        share = lots.setdefault(lot.pk, LotShare(lot))
        share.powder_g -= row.movement.mass_g


def _shares_in_batches(weighed: list[tuple[int, int, Decimal]], lot: int) -> dict[int, Decimal]:
    """Share of the lot in the dry mass of each batch it was weighed for."""
    whole: dict[int, Decimal] = defaultdict(lambda: NOUGHT)
    for batch, _, grams in weighed:
        whole[batch] += grams
    return {batch: grams / whole[batch] for batch, of_lot, grams in weighed if of_lot == lot and whole[batch]}


def _lots_of(batches: Iterable[Batch | None], shares: dict[int, Decimal]) -> dict[int, LotShare]:
    """The lots weighed for these batches, each with its share by those of the batches: one query."""
    numbers = {batch.pk: batch.number for batch in batches if batch is not None}
    named = ("lot__code", "lot__state", "lot__material", "lot__material__name")
    rows = Weighing.objects.filter(line__batch__in=numbers).order_by()
    sums = rows.values_list("line__batch", "lot", *named).annotate(sum_g=Sum("net_g"))
    found = [row for row in sums if row[-1]]
    whole: dict[int, Decimal] = defaultdict(lambda: NOUGHT)
    for batch, *_, grams in found:
        whole[batch] += grams
    lots: dict[int, LotShare] = {}
    for batch, pk, code, state, material, name, grams in found:
        lot = Lot(pk=pk, code=code, state=state, material=Material(pk=material, name=name))
        share = lots.setdefault(pk, LotShare(lot))
        share.share += shares[batch] * grams / whole[batch]
        share.batches.append(numbers[batch])
    return lots


def _by_share(found: Iterable[Ancestor]) -> list[Ancestor]:
    return sorted(found, key=lambda one: -one.share)
