"""Questions asked of the shelf. None sums history: what a fill holds is kept beside it."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce

from batches.models import Batch
from buckets.advice import to_target
from buckets.calc.dip import DipCheck, Facts, SgReading, dip_check
from buckets.models import Care, Fill, Reading
from buckets.operations.standing import STANDS
from safety.models import Label
from studio.room.models import Vessel
from studio.room.policy import Policy

__all__ = [
    "OnShelf",
    "dip_check_of",
    "empty_vessels",
    "fill_in",
    "open_fills",
    "shelf_fills",
    "shown_reading",
    "to_target",
    "with_standing",
]

U_UNKNOWN = 0.005  # an SG typed without scale and glass counts as +-0.01; common practice, no source


@dataclass(frozen=True, kw_only=True)
class OnShelf:
    """One vessel in service, and the fill in it if there is one."""

    vessel: Vessel
    fill: Fill | None


def open_fills() -> QuerySet[Fill]:
    """Every fill in a vessel, ``with_standing``."""
    return with_standing(Fill.objects.filter(emptied_at=None))


def with_standing(fills: QuerySet[Fill]) -> QuerySet[Fill]:
    """Fills with their readings, who stirred them and ``watered_at``: one query.

    ``watered_at`` is when water last went in since the reading that counts; None: not since.
    """
    water = Care.objects.filter(
        STANDS, fill=OuterRef("pk"), kind=Care.Kind.WATER_IN, at__gte=OuterRef("measured_at")
    ).order_by("-at")
    return (
        fills.select_related("vessel", "check_reading", "member_reading", "stirred_by")
        .annotate(measured_at=Coalesce("check_reading__at", "member_reading__at"))
        .annotate(watered_at=Subquery(water.values("at")[:1]))
    )


def shelf_fills() -> list[OnShelf]:
    """Every vessel in service by code with its fill: two queries, however many there are."""
    fills = {fill.vessel_id: fill for fill in open_fills()}
    return [
        OnShelf(vessel=vessel, fill=fills.get(vessel.pk))
        for vessel in Vessel.objects.filter(state=Vessel.State.IN_SERVICE)
    ]


def empty_vessels() -> QuerySet[Vessel]:
    """Vessels in service with nothing in them."""
    full = Fill.objects.filter(emptied_at=None)
    return Vessel.objects.filter(state=Vessel.State.IN_SERVICE).exclude(pk__in=full.values("vessel"))


def fill_in(code: str) -> Fill | None:
    """The fill in a vessel by its code, with all that its page says first; None when it is empty.

    ``making`` is the number of the batch being made in that vessel now, or None; ``label_serial``,
    ``label_state`` and ``label_at`` (applied, else printed) tell of the label in force.
    """
    making = Batch.objects.filter(
        vessel=OuterRef("vessel"), state__in=(Batch.State.WEIGHING, Batch.State.PAUSED, Batch.State.WET)
    )
    label = Label.objects.filter(
        on_kind=Fill._meta.label_lower, on_id=OuterRef("pk"), purpose=Label.Purpose.BUCKET
    ).exclude(state=Label.State.VOID)
    return (
        open_fills()
        .select_related(
            "recipe",
            "version",
            "check_reading__by",
            "check_reading__glass",
            "check_reading__scale",
            "member_reading__by",
            "member_reading__glass",
            "member_reading__scale",
        )
        .annotate(
            making=Subquery(making.values("number")[:1]),
            label_serial=Subquery(label.values("serial")[:1]),
            label_state=Subquery(label.values("state")[:1]),
            label_at=Subquery(label.annotate(since=Coalesce("applied_at", "printed_at")).values("since")[:1]),
        )
        .filter(vessel__code=code)
        .first()
    )


def dip_check_of(fill: Fill, now: datetime, policy: Policy) -> DipCheck:
    """May one dip into this fill at ``now``? Computed from what the fill carries, never stored."""
    settles = fill.settles_min if fill.settles_min else policy.settles_min
    facts = Facts(
        state=fill.state,  # type: ignore[arg-type]
        held_reason=fill.held_reason if fill.held else None,
        technician=_as_read(fill.check_reading),
        member=_as_read(fill.member_reading),
        target=_number(fill.target_sg),
        half_window=_number(fill.half_window),
        technician_valid_days=float(policy.reading_valid_days),
        member_valid_days=float(policy.member_reading_valid_days),
        stirred_at=fill.stirred_at,
        settles_min=float(settles),
        volume_l=float(fill.volume_l),
        watered_at=watered_at(fill),
    )
    return dip_check(facts=facts, now=now)


def watered_at(fill: Fill) -> datetime | None:
    """When water last went in since the reading that counts: as the query brought it, or asked now."""
    if not hasattr(fill, "watered_at"):
        reading = fill.check_reading or fill.member_reading
        water = fill.care.filter(STANDS, kind=Care.Kind.WATER_IN).order_by("-at")
        newest = water.filter(at__gte=reading.at).first() if reading else None
        fill.watered_at = newest.at if newest else None  # type: ignore[attr-defined]
    return fill.watered_at  # type: ignore[attr-defined]


def shown_reading(fill: Fill, check: DipCheck) -> Reading | None:
    """The row behind the reading a dip check rests on."""
    return fill.member_reading if check.by == "member" else fill.check_reading


def _as_read(reading: Reading | None) -> SgReading | None:
    if reading is None or reading.sg is None:
        return None
    u = U_UNKNOWN if reading.u_sg is None else float(reading.u_sg)
    return SgReading(sg=float(reading.sg), u=u, at=reading.at)


def _number(value: Decimal | None) -> float | None:
    return None if value is None else float(value)
