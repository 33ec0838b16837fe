"""The history of a fill in the order it happened, as ``buckets.calc.history`` reads it."""

from collections.abc import Iterable, Iterator
from datetime import datetime
from decimal import Decimal
from heapq import merge
from itertools import groupby
from operator import itemgetter
from typing import Any

from django.db.models import Exists, F, OuterRef, Q, QuerySet, Sum
from django.db.models.functions import Coalesce
from django.db.models.lookups import Exact

from buckets.calc.history import Did, Read, Told, tell
from buckets.models import Care, Explanation, Interval, Reading, Use

# Neither a correction nor corrected. Asked in a roundabout way: SQLite takes a unique column that is empty
# for a rare find and would read every row there is by that index, instead of the rows of one fill.
STANDS = Q(Exact(Coalesce(F("reverses"), 0), 0), reversed_by=None)

# The readings that intervals join: a technician's that stand. One that repeats another of the same stir
# says nothing new of the bucket, unless that other one is gone.
FIRST_OF_STIR = Q(repeats=None) | Q(repeats__replaced_by__isnull=False)
JOINS = Q(is_check=True, sg__isnull=False, replaced_by=None) & FIRST_OF_STIR

BEGINS = {*Care.CHANGES, Care.Kind.SIEVED}
AS_IT_WAS = (Care.Kind.SPLIT, Care.Kind.MOVED)  # glaze went out stirred, so its SG stays

READING = ("id", "at", "entered_at", "sg", "volume_l", "is_check", "repeats_id", "repeats__replaced_by__id")
CARE = ("id", "at", "entered_at", "kind", "volume_l", "change_l", "change_g", "additive")
USE = ("id", "at", "entered_at", "volume_l")
BY_TIME = ("at", "entered_at", "id")


def _read(row: tuple[Any, ...]) -> Read:
    pk, at, entered_at, sg, volume_l, is_check, repeats, repeated_gone = row
    joins = is_check and sg is not None and (repeats is None or repeated_gone is not None)
    return Read(pk, at, entered_at, sg, volume_l, joins)


def _care(row: tuple[Any, ...]) -> Did:
    pk, at, entered_at, kind, volume_l, change_l, change_g, additive = row
    litres = change_l if change_l is not None else volume_l
    litres = Decimal("0.000") if litres is None else litres
    grams = _grams(kind, litres, change_g)
    known = kind != Care.Kind.THAWED and (grams is not None or kind in AS_IT_WAS)
    return Did(pk, at, entered_at, additive or kind, litres, grams, kind in BEGINS, known)


def _grams(kind: str, litres: Decimal, change_g: Decimal | None) -> Decimal | None:
    if kind in AS_IT_WAS:
        return None
    if change_g is None and kind == Care.Kind.WATER_IN:
        return 1000 * litres  # entries of water from before changes were kept
    if change_g is None and kind in (Care.Kind.SIEVED, Care.Kind.STIRRED):
        return Decimal("0.000")
    return change_g


def _use(row: tuple[Any, ...]) -> Did:
    pk, at, entered_at, volume_l = row
    return Did(pk, at, entered_at, "used", -volume_l, use=True)


def readings(rows: QuerySet[Reading]) -> QuerySet[Any, Any]:
    """What stands of readings that measured SG or level."""
    measured = Q(sg__isnull=False) | Q(volume_l__isnull=False)
    return rows.filter(measured, replaced_by=None).order_by(*BY_TIME).values_list(*READING)


def care(rows: QuerySet[Care]) -> QuerySet[Any, Any]:
    """What stands of care, but for stirs: they change nothing."""
    return rows.filter(STANDS).exclude(kind=Care.Kind.STIRRED).order_by(*BY_TIME).values_list(*CARE)


def uses(rows: QuerySet[Use]) -> QuerySet[Any, Any]:
    """What stands of uses."""
    return rows.filter(STANDS).order_by(*BY_TIME).values_list(*USE)


def happened(fill: int, since: datetime | None, until: datetime | None) -> list[Read | Did]:
    """What happened to a fill between two moments, both included, in order; None: no end on that side."""
    span = Q(fill=fill)
    if since is not None:
        span &= Q(at__gte=since)
    if until is not None:
        span &= Q(at__lte=until)
    told: list[Read | Did] = [_read(row) for row in readings(Reading.objects.filter(span))]
    told += [_care(row) for row in care(Care.objects.filter(span))]
    told += [_use(row) for row in uses(Use.objects.filter(span))]
    return sorted(told, key=lambda one: one.place)


def litres_at(fill: int, reading: Reading) -> Decimal | None:
    """Litres in the bucket when ``reading`` was taken: the newest level up to it, changed by all since."""
    up_to = Q(fill=fill) & (Q(at__lt=reading.at) | Q(at=reading.at, entered_at__lte=reading.entered_at))
    levels = Reading.objects.filter(up_to, volume_l__isnull=False, replaced_by=None)
    level = levels.order_by("-at", "-entered_at", "-id").first()
    if level is None or level.pk == reading.pk:
        return level.volume_l if level else None
    before = Q(at__lt=reading.at) | Q(at=reading.at, entered_at__lt=reading.entered_at)
    since = Q(at__gt=level.at) | Q(at=level.at, entered_at__gte=level.entered_at)
    span = Q(fill=fill) & before & since
    done = Care.objects.filter(STANDS, span).aggregate(litres=Sum(Coalesce("change_l", "volume_l")))
    used = Use.objects.filter(STANDS, span).aggregate(litres=Sum("volume_l"))
    assert level.volume_l is not None  # noqa: S101 - filtered for it
    return level.volume_l + (done["litres"] or 0) - (used["litres"] or 0)


def told_anew() -> Iterator[tuple[int, Told]]:
    """Every fill that was measured or cared for, told from the first row of its history on: three queries."""
    rows = (
        ((fill, _read(tuple(row))) for fill, *row in _by_fill(readings(Reading.objects.all()))),
        ((fill, _care(tuple(row))) for fill, *row in _by_fill(care(Care.objects.all()))),
        ((fill, _use(tuple(row))) for fill, *row in _by_fill(uses(Use.objects.all()))),
    )
    in_order: Iterable[tuple[int, Read | Did]] = merge(*rows, key=lambda pair: (pair[0], pair[1].place))
    for fill, its in groupby(in_order, key=itemgetter(0)):
        yield fill, tell((one for _, one in its), volume_l=None)


def _by_fill(rows: QuerySet[Any, Any]) -> Iterator[tuple[Any, ...]]:
    columns = {"Reading": READING, "Care": CARE, "Use": USE}[rows.model.__name__]
    return rows.order_by("fill_id", *BY_TIME).values_list("fill_id", *columns).iterator(chunk_size=5000)


def explained(rows: QuerySet[Interval]) -> QuerySet[Interval]:
    """Intervals with ``explained``: whether a person said why the reading was not as expected."""
    return rows.annotate(explained=Exists(Explanation.objects.filter(reading=OuterRef("reading"))))
