"""Questions asked of the shelf. None sums history: what a fill holds is kept beside it."""

from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal
from typing import Any, NamedTuple

from django.db.models import CharField, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce

from batches.models import Batch
from buckets.advice import to_target
from buckets.calc.dip import DipCheck, Facts, SgReading, dip_check
from buckets.models import Care, Fill, Reading
from buckets.operations.standing import STANDS
from safety.models import Label
from studio.prepared import Prepared
from studio.room.models import Vessel
from studio.room.policy import Policy

__all__ = [
    "FillRow",
    "OnShelf",
    "VesselRow",
    "dip_check_of",
    "dip_check_of_row",
    "empty_vessels",
    "fill_in",
    "materials_in",
    "open_fills",
    "shelf_fills",
    "shown_reading",
    "to_target",
    "with_standing",
]

READINGS = ("check_reading", "member_reading")
U_UNKNOWN = 0.005  # an SG typed without scale and glass counts as +-0.01; common practice, no source


class VesselRow(NamedTuple):
    """What the shelf reads of a vessel: lengths in cm, ``offset_l`` in litres."""

    id: int
    code: str
    place: str
    bottom_cm: Decimal
    top_cm: Decimal
    height_cm: Decimal
    offset_l: Decimal


class FillRow(NamedTuple):
    """What the shelf reads of a fill, its readings and its water: plain values, no rows behind them."""

    id: int
    vessel_id: int
    glaze: str
    look: str
    cone: str
    atmosphere: str
    colour: str
    target_sg: Decimal | None
    half_window: Decimal | None
    settles_min: Decimal | None
    state: str
    held_at: datetime | None
    volume_l: Decimal
    stirred_at: datetime | None
    check_sg: Decimal | None
    check_u: Decimal | None
    check_at: datetime | None
    member_sg: Decimal | None
    member_u: Decimal | None
    member_at: datetime | None
    watered_at: datetime | None


class OnShelf(NamedTuple):
    """One vessel in service, and the fill in it if there is one."""

    vessel: VesselRow
    fill: FillRow | None


def open_fills() -> QuerySet[Fill]:
    """Every fill in a vessel, ``with_standing``."""
    return with_standing(Fill.objects.filter(emptied_at=None))


def with_standing(fills: QuerySet[Fill]) -> QuerySet[Fill]:
    """Fills with their readings, who stirred them and ``watered_at``: one query.

    ``watered_at`` is when the bucket was last changed since the reading that counts (water, powder, an
    additive, a thaw …); None: not since.
    """
    water = Care.objects.filter(
        STANDS, fill=OuterRef("pk"), kind__in=Care.CHANGES, at__gte=OuterRef("measured_at")
    ).order_by("-at")
    return (
        fills.select_related("vessel", "check_reading", "member_reading", "stirred_by")
        .annotate(measured_at=Coalesce("check_reading__at", "member_reading__at"))
        .annotate(watered_at=Subquery(water.values("at")[:1]))
    )


def shelf_fills() -> list[OnShelf]:
    """Every vessel in service by code with its fill: two queries, and only the columns a list shows."""
    fills = {row.vessel_id: row for row in (FillRow(*row) for row in LISTED_FILLS.rows())}
    vessels = (VesselRow(*row) for row in LISTED_VESSELS.rows())
    return [OnShelf(vessel, fills.get(vessel.id)) for vessel in vessels]


def materials_in(fills: Iterable[int]) -> dict[int, str]:
    """Names of the materials in each of these fills, in one text."""
    rows = Fill.objects.filter(pk__in=list(fills)).values_list("pk", "contents")
    return {pk: " ".join(str(entry.get("material", "")) for entry in contents) for pk, contents in rows}


def _listed_fills() -> QuerySet[Any]:
    plain = (name for name in FillRow._fields[:14])
    read = (f"{reading}__{name}" for reading in READINGS for name in ("sg", "u_sg", "at"))
    return open_fills().order_by().values_list(*plain, *read, "watered_at")


LISTED_VESSELS = Prepared(
    lambda: (
        Vessel.objects.filter(state=Vessel.State.IN_SERVICE).order_by("code").values_list(*VesselRow._fields)
    )
)
LISTED_FILLS = Prepared(_listed_fills)


def empty_vessels() -> QuerySet[Vessel]:
    """Vessels in service with nothing in them."""
    full = Fill.objects.filter(emptied_at=None)
    return Vessel.objects.filter(state=Vessel.State.IN_SERVICE).exclude(pk__in=full.values("vessel"))


def fill_in(code: str) -> Fill | None:
    """The fill in a vessel by its code, with all that its page says first; None when it is empty.

    ``making`` is the number of the batch being made in that vessel now, or None; ``label_serial``,
    ``label_state`` and ``label_at`` (applied, else printed) tell of the label in force.
    """
    found = FILL_IN.rows(code=code)
    return found[0] if found else None


def _fill_in(code: str) -> QuerySet[Fill]:
    making = Batch.objects.filter(
        vessel=OuterRef("vessel"), state__in=(Batch.State.WEIGHING, Batch.State.PAUSED, Batch.State.WET)
    ).order_by("-pk")
    label = Label.objects.filter(
        on_kind=Fill._meta.label_lower, on_id=OuterRef("pk"), purpose=Label.Purpose.BUCKET
    ).exclude(state=Label.State.VOID)
    readings = (f"{reading}__{row}" for reading in READINGS for row in ("by", "glass", "scale"))
    return (
        open_fills()
        .select_related("recipe", "version", *readings)
        .annotate(
            making=Subquery(making.values("number")[:1]),
            label_serial=Subquery(label.values("serial")[:1]),
            label_state=Subquery(label.values("state")[:1]),
            label_at=Subquery(label.annotate(since=Coalesce("applied_at", "printed_at")).values("since")[:1]),
        )
        .filter(vessel__code=code)
        .order_by("pk")[:1]
    )


FILL_IN = Prepared(_fill_in, code=CharField())


def dip_check_of(fill: Fill, now: datetime, policy: Policy) -> DipCheck:
    """May one dip into this fill at ``now``? Computed from what the fill carries, never stored."""
    technician, member = (
        None if reading is None else _as_read(reading.sg, reading.u_sg, reading.at)
        for reading in (fill.check_reading, fill.member_reading)
    )
    return _check(fill, technician, member, watered_at(fill), now, policy)


def dip_check_of_row(fill: FillRow, now: datetime, policy: Policy) -> DipCheck:
    """The same for a fill as the shelf reads it."""
    technician = _as_read(fill.check_sg, fill.check_u, fill.check_at)
    member = _as_read(fill.member_sg, fill.member_u, fill.member_at)
    return _check(fill, technician, member, fill.watered_at, now, policy)


def _check(
    fill: Fill | FillRow,
    technician: SgReading | None,
    member: SgReading | None,
    water: datetime | None,
    now: datetime,
    policy: Policy,
) -> DipCheck:
    facts = Facts(
        state=fill.state,  # type: ignore[arg-type]
        held_reason="held" if fill.held_at else None,
        technician=technician,
        member=member,
        target=_number(fill.target_sg),
        half_window=_number(fill.half_window),
        technician_valid_days=float(policy.reading_valid_days),
        member_valid_days=float(policy.member_reading_valid_days),
        stirred_at=fill.stirred_at,
        settles_min=float(fill.settles_min or policy.settles_min),
        volume_l=float(fill.volume_l),
        watered_at=water,
    )
    return dip_check(facts=facts, now=now)


def watered_at(fill: Fill) -> datetime | None:
    """When it was last changed since the reading that counts: as the query brought it, or asked now."""
    if not hasattr(fill, "watered_at"):
        reading = fill.check_reading or fill.member_reading
        water = fill.care.filter(STANDS, kind__in=Care.CHANGES).order_by("-at")
        newest = water.filter(at__gte=reading.at).first() if reading else None
        fill.watered_at = newest.at if newest else None  # type: ignore[attr-defined]
    return fill.watered_at  # type: ignore[attr-defined]


def shown_reading(fill: Fill, check: DipCheck) -> Reading | None:
    """The row behind the reading a dip check rests on."""
    return fill.member_reading if check.by == "member" else fill.check_reading


def _as_read(sg: Decimal | None, u_sg: Decimal | None, at: datetime | None) -> SgReading | None:
    if sg is None or at is None:
        return None
    return SgReading(sg=float(sg), u=U_UNKNOWN if u_sg is None else float(u_sg), at=at)


def _number(value: Decimal | None) -> float | None:
    return None if value is None else float(value)
