"""The shelf: fills, what they carry "as it stands" against their history, and where they come from."""

from collections.abc import Iterator
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from django.db import models
from django.db.models import Count, F, OuterRef, Q, Subquery, Sum, Value
from django.db.models.functions import Coalesce

from batches.models import Batch
from buckets.models import Care, Fill, Parent, Reading, Settling, Tile, Use
from buckets.operations.standing import STANDS
from studio.front.proof.problem import Problem, ill_reversed

BEFORE_ALL = datetime(1000, 1, 1, tzinfo=UTC)
NOUGHT = Decimal(0)
CARRIED = ("check_reading_id", "member_reading_id", "stirred_at", "stirred_by_id", "volume_l", "tile_id")


def problems() -> Iterator[Problem]:
    yield from _powder()
    yield from _open_and_emptied()
    yield from _as_it_stands()
    yield from _parents()
    yield from _made_of()
    yield from _corrections()


def _open_and_emptied() -> Iterator[Problem]:
    emptied = Q(state=Fill.State.EMPTIED)
    for fill in _fills().filter((emptied & Q(emptied_at=None)) | (~emptied & Q(emptied_at__isnull=False))):
        yield Problem(_named(fill), f"is {fill.state}, emptied at {fill.emptied_at}.")
    for fill in _fills().filter(Q(held_at=None) & ~Q(held_reason="")):
        yield Problem(_named(fill), f"is not held, but the reason stands: {fill.held_reason}.")
    crowded = Fill.objects.filter(emptied_at=None).order_by().values("vessel__code").annotate(n=Count("pk"))
    for row in crowded.filter(n__gt=1):
        yield Problem(f"vessel {row['vessel__code']}", f"holds {row['n']} fills at once.")


def _as_it_stands() -> Iterator[Problem]:
    """Every fact kept beside the history is the one the newest standing rows of it give."""
    since = {
        "care": _litres_since(Care.objects.all(), Coalesce("change_l", "volume_l")),
        "used": _litres_since(Use.objects.all(), F("volume_l")),
    }
    told = _fills().annotate(**_newest())
    for fill in told.defer("contents").iterator(chunk_size=2000):
        level = fill.level_l or NOUGHT  # type: ignore[attr-defined]
        care, used = (since[name].get(fill.pk) or NOUGHT for name in ("care", "used"))
        fill.told_volume_l = max(level + care - used, NOUGHT)  # type: ignore[attr-defined]
        for name in CARRIED:
            kept, history = getattr(fill, name), getattr(fill, f"told_{name}")
            if kept != history:
                yield Problem(_named(fill), f"carries {name} {kept}, its history says {history}.")
        seen = fill.seen_settles_min  # type: ignore[attr-defined]
        if seen is not None and seen != fill.settles_min:
            yield Problem(_named(fill), f"settles in {fill.settles_min} min, it was seen in {seen} min.")


def _newest() -> dict[str, Subquery]:
    """The newest standing rows of each fill: what it was measured at, how full, stirred when and by whom."""
    readings = _readings_of("pk")
    measured = readings.filter(sg__isnull=False)
    stirred = Care.objects.filter(STANDS, fill=OuterRef("pk"), kind=Care.Kind.STIRRED).order_by("-at", "-id")
    settlings = Settling.objects.filter(STANDS, fill=OuterRef("pk")).order_by("-at", "-id")
    tiles = Tile.objects.filter(STANDS, fill=OuterRef("pk")).order_by("-at", "-id")
    return {
        "told_check_reading_id": Subquery(measured.filter(is_check=True).values("pk")[:1]),
        "told_member_reading_id": Subquery(measured.filter(is_check=False).values("pk")[:1]),
        "told_stirred_at": Subquery(stirred.values("at")[:1]),
        "told_stirred_by_id": Subquery(stirred.values("by")[:1]),
        "told_tile_id": Subquery(tiles.values("pk")[:1]),
        "seen_settles_min": Subquery(settlings.values("settles_min")[:1]),
        "level_l": Subquery(readings.filter(volume_l__isnull=False).values("volume_l")[:1]),
    }


def _readings_of(fill: str) -> models.QuerySet[Reading]:
    return Reading.objects.filter(fill=OuterRef(fill), replaced_by=None).order_by("-at", "-id")


def _litres_since(rows: models.QuerySet[Any], litres: Any) -> dict[int, Decimal]:
    """By fill, the litres of the rows that stand and are later than its last level (all without a level)."""
    level = _readings_of("fill").filter(volume_l__isnull=False)
    later = Q(at__gt=F("level_at")) | Q(at=F("level_at"), entered_at__gte=F("level_entered_at"))
    return dict(
        rows.order_by()
        .filter(STANDS)
        .annotate(level_at=_moment(level, "at"), level_entered_at=_moment(level, "entered_at"))
        .filter(later)
        .values_list("fill")
        .annotate(litres=Sum(litres))
    )


def _moment(rows: models.QuerySet[Any], name: str) -> Coalesce:
    return Coalesce(Subquery(rows.values(name)[:1]), Value(BEFORE_ALL, output_field=models.DateTimeField()))


def _parents() -> Iterator[Problem]:
    sums = _fills().annotate(n=Count("parents"), share=Sum("parents__dry_share"))
    for fill in sums.filter(Q(n=0) | Q(share=None) | ~Q(share=Decimal(1))):
        share = fill.share  # type: ignore[attr-defined]
        yield Problem(_named(fill), f"has parents whose shares of the dry mass add up to {share}.")
    parents = Parent.objects.select_related("fill__vessel")
    twice = Q(batch__isnull=False, parent_fill__isnull=False)
    for parent in parents.filter(twice | Q(parent_fill__gte=F("fill"))):
        yield Problem(
            _named(parent.fill), "has a parent that cannot be one: itself, a later fill, or two at once."
        )
    unpoured = ~Q(batch__state__in=(Batch.State.TESTING, Batch.State.RELEASED, Batch.State.REJECTED))
    for parent in parents.filter(batch__isnull=False).filter(unpoured):
        yield Problem(_named(parent.fill), f"was poured from {parent.batch}, which is {parent.batch.state}.")
    poured = (
        Parent.objects.filter(batch__isnull=False).order_by().values("batch__number").annotate(n=Count("pk"))
    )
    for row in poured.filter(n__gt=1):
        yield Problem(f"batch {row['batch__number']}", f"was poured into {row['n']} fills.")
    found = Count("parents", filter=Q(parents__batch=None, parents__parent_fill=None))
    unknown = Count("parents", filter=Q(parents__parent_fill__history_unknown=True))
    origins = _fills().annotate(found=found, unknown=unknown)
    known = Q(found=0, unknown=0)
    for fill in origins.filter((Q(history_unknown=True) & known) | (Q(history_unknown=False) & ~known)):
        yield Problem(_named(fill), "says otherwise than its parents whether its history is known.")


def _made_of() -> Iterator[Problem]:
    """Shares of recipe versions kept with a fill add up to 1; an old fill may have none kept."""
    for fill in _fills().only("number", "glaze", "vessel__code", "made_of").iterator(chunk_size=2000):
        share = sum((Decimal(line["share"]) for line in fill.made_of), NOUGHT)
        if fill.made_of and share != 1:
            yield Problem(_named(fill), f"is made of versions whose shares add up to {share}.")


def _powder() -> Iterator[Problem]:
    """Powder out of lots weighs what its movements say, and its reversal took all of them back."""
    rows = Care.objects.filter(powder__isnull=False).annotate(
        grams=Sum("powder__movement__mass_g"), back=Sum("powder__movement__reversed_by__mass_g")
    )
    for row in rows.select_related("reversed_by"):
        if row.mass_g != -row.grams:
            yield Problem(f"care {row.pk}", f"says {row.mass_g} g of powder, its lots lost {-row.grams} g.")
        taken_back = row.mass_g if hasattr(row, "reversed_by") else NOUGHT
        if (row.back or NOUGHT) != taken_back:
            yield Problem(f"care {row.pk}", f"has {row.back} g of its powder back in the lots.")


def _corrections() -> Iterator[Problem]:
    other = Reading.objects.filter(replaces__isnull=False).filter(
        ~Q(fill=F("replaces__fill")) | Q(replaces__replaces__isnull=False, replaces__sg=None)
    )
    for pk, back in other.values_list("pk", "replaces"):
        yield Problem(f"reading {pk}", f"replaces reading {back}, which it cannot.")
    for pk, back in ill_reversed(Care.objects.all(), "fill", "kind").values_list("pk", "reverses"):
        yield Problem(f"care {pk}", f"takes care {back} back, which is of another kind or fill.")
    for pk, back in ill_reversed(Use.objects.all(), "fill", "volume_l").values_list("pk", "reverses"):
        yield Problem(f"use {pk}", f"takes use {back} back, which is of another fill or amount.")
    for pk, back in ill_reversed(Settling.objects.all(), "fill", "kind").values_list("pk", "reverses"):
        yield Problem(f"settling {pk}", f"takes settling {back} back, which is of another kind or fill.")
    for pk, back in ill_reversed(Tile.objects.all(), "fill", "coat_g_per_cm2").values_list("pk", "reverses"):
        yield Problem(f"tile {pk}", f"takes tile {back} back, which is of another fill or coat.")


def _fills() -> models.QuerySet[Fill]:
    return Fill.objects.select_related("vessel").order_by("pk")


def _named(fill: Fill) -> str:
    return f"fill {fill.number} ({fill.glaze} in {fill.vessel.code})"
