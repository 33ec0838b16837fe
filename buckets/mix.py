"""What a bucket holds, as a mixture to classify: its recipe versions by dry mass, and what went in since.

Powder and additives count by their grams against the dry glaze that was there, by the reading before them.
What was found or came together as reclaim is unknown, and said to be.
"""

from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal

from django.db.models import Prefetch

from buckets.happenings import STANDS
from buckets.lineage import dry_in_g, made_of
from buckets.models import Care, Fill, Parent, Powder, Reading
from buckets.operations.additives import FROM_SHEET
from safety.mixes import Mix, digest, of_amounts
from safety.models import Classification, Label
from safety.operations.classifying import kept
from studio.materials.names import KnownNames, known_names
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
    """What is in each fill, by its id: at most seven queries for any number of fills."""
    rows = (
        Fill.objects.filter(pk__in=list(fills))
        .select_related("version__recipe")
        .prefetch_related(*_went_in())
    )
    names: KnownNames | None = None
    found = {}
    for fill in rows:
        if names is None and any(care.additive for care in fill.care.all()):
            names = known_names()
        found[fill.pk] = _mix(fill, names)
    return found


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


def _went_in() -> tuple[Prefetch, ...]:
    care = Care.objects.filter(STANDS, kind__in=(Care.Kind.POWDER_IN, Care.Kind.ADDITIVE_IN))
    return (
        Prefetch("care", queryset=care.order_by("at", "id")),
        Prefetch("care__powder", queryset=Powder.objects.select_related("movement")),
        Prefetch(
            "readings",
            queryset=Reading.objects.filter(replaced_by=None, sg__isnull=False).order_by("at", "id"),
        ),
        Prefetch("parents", queryset=Parent.objects.order_by("id")),
    )


def _mix(fill: Fill, names: KnownNames | None) -> Mix:
    amounts = _as_poured(fill)
    for care in fill.care.all():
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


def _add(amounts: Amounts, fill: Fill, care: Care, names: KnownNames | None) -> None:
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


def _brought(fill: Fill, care: Care, names: KnownNames | None) -> Amounts:
    """Grams of each thing that went in."""
    if care.kind == Care.Kind.ADDITIVE_IN:
        grams = care.mass_g if care.mass_g is not None else (care.volume_l or 0) * (care.stock_g_per_l or 0)
        return {_additive(care.additive, names): Decimal(grams)}
    rows = [row.movement for row in care.powder.all()]
    if rows:
        brought: Amounts = {}
        for row in rows:
            key: Key = (1, row.material_id, "")
            brought[key] = brought.get(key, Decimal(0)) + abs(row.mass_g)
        return brought
    made_up: Key = (0, fill.version_id, "") if fill.version_id else (2, 0, "powder made up before")
    return {made_up: care.mass_g or Decimal(0)}


def _additive(said: str, names: KnownNames | None) -> Key:
    """The material an additive is, by the name of its product or its own; else something unknown."""
    product = said.partition(": ")[2] or said
    material = names.find(product) if names else None
    return (1, material.pk, "") if material else (2, 0, f"{said}, put into the bucket")


def _against_dry(fill: Fill, care: Care, grams: Decimal) -> Decimal | None:
    """Grams that went in per gram of dry glaze that was there; None: that is not known."""
    if not grams:
        return Decimal(0)
    if care.dose_pct:
        return care.dose_pct / 100
    before = [reading for reading in fill.readings.all() if reading.at <= care.at]
    level = next((reading.volume_l for reading in reversed(before) if reading.volume_l), None)
    if before and level and fill.particle_density:
        dry_g = dry_in_g(level, before[-1].sg, fill.particle_density)
    else:
        dry_g = sum((parent.dry_g or Decimal(0) for parent in fill.parents.all()), Decimal(0))
    return grams / dry_g if dry_g else None
