"""What a bucket holds, as a mixture to classify: its recipe versions by dry mass, and what went in since.

Powder and additives count by their grams against the dry glaze that was there, by the reading before them.
What was found or came together as reclaim is unknown, and said to be.
"""

from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal
from itertools import groupby
from operator import attrgetter
from typing import Any

from django.db.models import F, OuterRef, Subquery, Sum

from buckets.happenings import STANDS
from buckets.lineage import dry_in_g, made_of
from buckets.models import Care, Fill, Parent, Reading
from buckets.operations.additives import FROM_SHEET
from safety.mixes import Mix, digest, of_amounts
from safety.models import Classification, Label
from safety.operations.classifying import kept
from studio.materials.names import folded, ids_by_name
from studio.people.models import Member

FOUND = "found in the bucket, its history is not known"
RECLAIM = "reclaim: what came together from sieves, sinks and bucket ends"
BEFORE = "in it from the bucket before, how much is not known"
AGAINST_WHAT = "how much dry glaze was there is not known"

Key = tuple[int, int, str]
Amounts = dict[Key, Decimal]


def mix_of(fill: Fill) -> Mix:
    """What is in a fill as it stands now."""
    return mixes_of([fill.pk])[fill.pk]


def classified(fill: Fill, *, why: str, by: Member | None, at: datetime | None = None) -> Classification:
    """What is in a fill by the studio's law, kept on file: part of the act that prints its label."""
    mix = mix_of(fill)
    alone = mix.versions.get(fill.version_id or 0) == 1 and len(mix.parts) == 1
    what = str(fill.version) if alone else f"{fill.glaze}, fill {fill.number}"
    return kept(mix=mix, what=what, why=why, by=by, at=at)


def mixes_of(fills: Iterable[int]) -> dict[int, Mix]:
    """What is in each fill, by its id: at most three queries for any number of fills and any history."""
    ids = list(fills)
    poured_g = Parent.objects.filter(fill=OuterRef("pk")).order_by().values("fill").annotate(g=Sum("dry_g"))
    rows = Fill.objects.filter(pk__in=ids).select_related("version__recipe")
    brought = _went_in(ids)
    names = ids_by_name() if any(went.additive for came in brought.values() for went in came) else {}
    return {
        fill.pk: _mix(fill, brought.get(fill.pk, []), names)
        for fill in rows.annotate(poured_g=Subquery(poured_g.values("g")))
    }


def changed_since_printed(in_force: Iterable[Label]) -> list[Label]:
    """Of the labels in force those whose bucket holds another mixture now: something went in since."""
    labels = [
        label
        for label in in_force
        if label.on_kind == Fill._meta.label_lower and label.purpose == Label.Purpose.BUCKET
    ]
    mixes = mixes_of(label.on_id for label in labels)
    return [
        label
        for label in labels
        if label.classification is not None
        and label.on_id in mixes
        and digest(mixes[label.on_id]) != label.classification.mix_digest
    ]


# --- inside


def _went_in(fills: list[int]) -> dict[int, list[Any]]:
    """Powder and additives that went into each fill, in their order: each a ``Care`` with ``lots`` (material
    and grams, of powder out of lots), and of the readings before it the last SG and the last litres.
    """
    before = Reading.objects.filter(
        fill=OuterRef("fill"), replaced_by=None, sg__isnull=False, at__lte=OuterRef("at")
    ).order_by("-at", "-id")
    rows: Any = Care.objects.filter(
        STANDS, fill__in=fills, kind__in=(Care.Kind.POWDER_IN, Care.Kind.ADDITIVE_IN)
    ).annotate(
        of_lot=F("powder__movement__material"),
        lot_g=F("powder__movement__mass_g"),
        sg_before=Subquery(before.values("sg")[:1]),
        litres_before=Subquery(before.filter(volume_l__gt=0).values("volume_l")[:1]),
    )
    found: dict[int, list[Any]] = {}
    for _, lines in groupby(rows.order_by("at", "id", "powder__id"), key=attrgetter("pk")):
        care, *others = lines
        care.lots = [(row.of_lot, abs(row.lot_g)) for row in (care, *others) if row.of_lot is not None]
        found.setdefault(care.fill_id, []).append(care)
    return found


def _mix(fill: Any, brought: list[Any], names: dict[str, int]) -> Mix:
    amounts = _as_poured(fill)
    for care in brought:
        _add(amounts, fill, care, names)
    for entry in fill.contents:
        if FROM_SHEET in str(entry.get("words", "")) and entry.get("added") != fill.pk:
            amounts.setdefault((2, 0, f"{entry['material']}, {BEFORE}"), Decimal(0))
    return of_amounts(amounts)


def _as_poured(fill: Fill) -> Amounts:
    """Shares of versions as poured; what has no recipe on record is unknown."""
    amounts: Amounts = {}
    for line in made_of(fill):
        if line["version"] is not None:
            key: Key = (0, line["version"], "")
        else:
            key = (2, 0, RECLAIM if fill.reclaim else f"{fill.glaze}, {FOUND}"[:200])
        amounts[key] = amounts.get(key, Decimal(0)) + Decimal(line["share"])
    if fill.history_unknown and all(kind == 0 for kind, _, _ in amounts):
        amounts[2, 0, FOUND] = Decimal(0)
    return amounts


def _add(amounts: Amounts, fill: Any, care: Any, names: dict[str, int]) -> None:
    """Put into ``amounts`` what one act of care brought, against all that is in them already."""
    brought = _brought(fill, care, names)
    grams = sum(brought.values(), Decimal(0))
    ratio = _against_dry(fill, care, grams)
    whole = sum(amounts.values(), Decimal(0))
    for key, its in brought.items():
        if ratio is None and key not in amounts:
            said = (2, 0, f"{care.additive or 'powder'}, put in; {AGAINST_WHAT}"[:200])
            amounts.setdefault(said, Decimal(0))
        elif ratio is not None:
            amounts[key] = amounts.get(key, Decimal(0)) + whole * ratio * its / grams


def _brought(fill: Fill, care: Any, names: dict[str, int]) -> Amounts:
    """Grams of each thing that went in."""
    if care.kind == Care.Kind.ADDITIVE_IN:
        grams = care.mass_g if care.mass_g is not None else (care.volume_l or 0) * (care.stock_g_per_l or 0)
        return {_additive(care.additive, names): Decimal(grams)}
    if care.lots:
        brought: Amounts = {}
        for material, grams in care.lots:
            key: Key = (1, material, "")
            brought[key] = brought.get(key, Decimal(0)) + grams
        return brought
    made_up: Key = (0, fill.version_id, "") if fill.version_id else (2, 0, "powder made up before")
    return {made_up: care.mass_g or Decimal(0)}


def _additive(said: str, names: dict[str, int]) -> Key:
    """The material an additive is, by the name of its product or its own; else something unknown."""
    product = said.partition(": ")[2] or said
    material = names.get(folded(product))
    return (1, material, "") if material else (2, 0, f"{said}, put into the bucket")


def _against_dry(fill: Any, care: Any, grams: Decimal) -> Decimal | None:
    """Grams that went in per gram of dry glaze that was there; None: that is not known."""
    if not grams:
        return Decimal(0)
    if care.dose_pct:
        return care.dose_pct / 100
    if care.litres_before and fill.particle_density:
        dry_g = dry_in_g(care.litres_before, care.sg_before, fill.particle_density)
    else:
        dry_g = fill.poured_g
    return grams / dry_g if dry_g else None
