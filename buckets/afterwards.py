"""What will be so after an act: litres, depth and SG, from kept facts and what went in since."""

from dataclasses import dataclass
from decimal import Decimal

from buckets.advice import newest_reading
from buckets.calc.changes import Change, sg_after
from buckets.models import Care, Fill, Reading
from buckets.operations.standing import STANDS
from studio.quantities import rounded
from studio.room.policy import Policy


@dataclass(frozen=True, kw_only=True)
class Afterwards:
    """The bucket once an act is done. ``sg`` None: not known before it is measured. ``over``: "brim",
    "limit" or nothing; ``limit_l`` is what the studio fills it to."""

    volume_l: Decimal
    depth_cm: float
    sg: Decimal | None
    from_sg: Decimal | None
    limit_l: Decimal
    brim_l: Decimal
    over: str
    inside: bool | None


@dataclass(frozen=True)
class _Event:
    at: tuple[object, int]
    change: Change | None  # None: a use
    litres: float
    known: bool


def predicted_sg(fill: Fill) -> Decimal | None:
    """The SG as it should stand now: the newest reading, and since then what went in and was used.

    None without a reading, after a thaw, or when something went in whose weight nobody knows. Masses and
    volumes add up; what is used takes glaze as it was then. Two queries.
    """
    reading = newest_reading(fill)
    if reading is None or reading.sg is None:
        return None
    events = _since(fill, reading)
    if not all(event.known for event in events):
        return None
    volume_l, sg = float(fill.volume_l) - sum(event.litres for event in events), float(reading.sg)
    for event in events:
        if event.change is not None and volume_l >= 0:
            after = sg_after(volume_l=volume_l, sg=sg, change=event.change)
            if after is None or after < 1:
                return None
            sg = after
        volume_l += event.litres
    return rounded(sg, 4)


def _since(fill: Fill, reading: Reading) -> list[_Event]:
    """What changed the bucket after the reading, in the order it happened."""
    found = [
        _care(row)
        for row in fill.care.filter(STANDS, at__gte=reading.at, kind__in=_CHANGING).order_by("at", "id")
    ]
    for use in fill.uses.filter(STANDS, at__gte=reading.at).order_by("at", "id"):
        found.append(_Event((use.at, use.pk), None, -float(use.volume_l), known=True))
    return sorted(found, key=lambda event: event.at[0])  # type: ignore[arg-type, return-value]


_CHANGING = (*Care.CHANGES, Care.Kind.SPLIT, Care.Kind.MOVED)


def _care(row: Care) -> _Event:
    litres = row.change_l if row.change_l is not None else row.volume_l or Decimal(0)
    grams = row.change_g
    if grams is None and row.kind == Care.Kind.WATER_IN:
        grams = 1000 * litres  # entries of water from before changes were kept
    taken = row.kind in (Care.Kind.SPLIT, Care.Kind.MOVED)  # stirred glaze leaves as it is
    known = row.kind != Care.Kind.THAWED and (grams is not None or taken)
    change = None if taken or grams is None else Change(float(litres), float(grams))
    return _Event((row.at, row.pk), change, float(litres), known)


def afterwards(fill: Fill, change: Change, rules: Policy, *, from_sg: Decimal | None) -> Afterwards:
    """The bucket after ``change``; ``from_sg`` is how it stands before, None when that is not known."""
    volume_l = max(fill.volume_l + rounded(change.litres, 3), Decimal(0))
    sg = None
    if from_sg is not None:
        sg = sg_after(volume_l=float(fill.volume_l), sg=float(from_sg), change=change)
    brim_l = rounded(fill.vessel.brim_l(), 3)
    limit_l = rounded(fill.vessel.limit_l(rules.fill_limit_pct), 3)
    shown = None if sg is None or sg < 1 else rounded(sg, 4)
    return Afterwards(
        volume_l=volume_l,
        depth_cm=fill.vessel.depth_of_cm(min(float(volume_l), float(brim_l))),
        sg=shown,
        from_sg=from_sg,
        limit_l=limit_l,
        brim_l=brim_l,
        over="brim" if volume_l > brim_l else "limit" if volume_l > limit_l and change.litres > 0 else "",
        inside=_inside(fill, shown),
    )


def _inside(fill: Fill, sg: Decimal | None) -> bool | None:
    if sg is None or fill.target_sg is None or fill.half_window is None:
        return None
    return abs(sg - fill.target_sg) <= fill.half_window
