"""Questions asked of the shelf. None sums history: what a fill holds is kept beside it."""

from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal
from typing import Any, NamedTuple

from django.db.models import CharField, Exists, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce

from batches.models import Batch
from buckets.advice import to_target
from buckets.calc.dip import DipCheck, Facts, FlowReading, SgReading, dip_check
from buckets.calc.dip_facts import CHANGED as SAID
from buckets.calc.dip_facts import THICKENS, THINS
from buckets.coating import with_tile
from buckets.models import Care, Cup, Density, Fill, Reading
from buckets.operations.standing import STANDS
from buckets.repeats import counting, standing_first
from safety.hazards import newer_than_label
from safety.models import Label, LeachTest
from studio.prepared import Prepared
from studio.room.models import Vessel
from studio.room.policy import Policy

__all__ = [
    "FillRow",
    "OnShelf",
    "VesselRow",
    "change_of",
    "depth_in",
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
# What a dip check needs of a reading, and of the one it repeats, with which it counts as a mean.
READ = ("sg", "u_sg", "at", "volume_l")
REPEATED = ("repeats__sg", "repeats__u_sg", "repeats__replaced_by")
FLOW = ("seconds", "cup_id", "at")
NO_FLOW = (None, None, None)
CHANGED = ("change", "changed_at", "thinned_at", "thickened_at")
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
    seen_at: datetime | None


class FillRow(NamedTuple):
    """What the shelf reads of a fill, its readings and what changed it: plain values, no rows behind them."""

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
    unexplained_id: int | None
    check_sg: Decimal | None
    check_u: Decimal | None
    check_at: datetime | None
    check_l: Decimal | None
    check_first_sg: Decimal | None
    check_first_u: Decimal | None
    check_first_gone: int | None
    member_sg: Decimal | None
    member_u: Decimal | None
    member_at: datetime | None
    member_l: Decimal | None
    member_first_sg: Decimal | None
    member_first_u: Decimal | None
    member_first_gone: int | None
    flow_s: Decimal | None
    flow_cup: int | None
    flow_at: datetime | None
    reference_s: Decimal | None
    reference_cup: int | None
    change: str | None
    changed_at: datetime | None
    thinned_at: datetime | None
    thickened_at: datetime | None


class Changed(NamedTuple):
    """What was done to a fill since the reading that counts; nothing: all None."""

    change: str | None
    at: datetime | None
    thinned_at: datetime | None
    thickened_at: datetime | None

    @property
    def said(self) -> str:
        """``Water went in``; empty when nothing was done."""
        return SAID[self.change] if self.change else ""


class OnShelf(NamedTuple):
    """One vessel in service, and the fill in it if there is one."""

    vessel: VesselRow
    fill: FillRow | None


def open_fills() -> QuerySet[Fill]:
    """Every fill in a vessel, ``with_standing``."""
    return with_standing(Fill.objects.filter(emptied_at=None))


def with_standing(fills: QuerySet[Fill]) -> QuerySet[Fill]:
    """Fills with their readings and flows, who stirred them and what ``changed`` them: one query.

    Of what was done since the reading that counts: ``change`` and ``changed_at`` of the newest, and when
    something last thinned or thickened it; None: not since.
    """
    joined = ("vessel", "stirred_by", "flow", "flow_reference", *READINGS)
    joined += tuple(f"{reading}__repeats__replaced_by" for reading in READINGS)
    fills = fills.select_related(*joined).annotate(
        measured_at=Coalesce("check_reading__at", "member_reading__at")
    )
    since = {"fill": OuterRef("pk"), "at__gte": OuterRef("measured_at")}
    return fills.annotate(
        change=_newest(Care.CHANGES, "kind", since),
        changed_at=_newest(Care.CHANGES, "at", since),
        thinned_at=_newest(THINS, "at", since),
        thickened_at=_newest(THICKENS, "at", since),
    )


def _newest(kinds: Iterable[str], column: str, where: dict[str, Any]) -> Subquery:
    done = Care.objects.filter(STANDS, kind__in=sorted(kinds), **where).order_by("-at", "-id")
    return Subquery(done.values(column)[:1])


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
    plain = (name for name in FillRow._fields[:15])
    read = (f"{reading}__{name}" for reading in READINGS for name in READ + REPEATED)
    flow = (f"flow__{name}" for name in FLOW)
    return (
        open_fills()
        .order_by()
        .values_list(*plain, *read, *flow, "flow_reference__seconds", "flow_reference__cup_id", *CHANGED)
    )


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

    ``flow_spoilt`` says that it was changed after its flow was timed; ``density_u`` is the standard
    uncertainty of its particle density where that was measured, else None;
    ``making`` is the number of the batch being made in that vessel now, or None; ``label_serial``,
    ``label_state`` and ``label_at`` (applied, else printed) tell of the label in force, ``label_says`` is
    its content, ``label_outdated`` that its hazards were worked out anew since; ``changed_since_label``:
    powder or additive went in after it, ``leached_since_label``: a leach test was recorded after it.
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
    measured = Density.objects.filter(reverses=None, reversed_by=None, fill=OuterRef("pk"))
    measured = measured.order_by("-at", "-id")
    readings = (f"{reading}__{row}" for reading in READINGS for row in ("by", "glass", "scale", "hydrometer"))
    return (
        with_tile(open_fills())
        .select_related("recipe", "version", "flow__cup", *readings)
        .annotate(
            density_u=Subquery(measured.values("u")[:1]),
            making=Subquery(making.values("number")[:1]),
            flow_spoilt=Exists(
                Care.objects.filter(
                    STANDS, fill=OuterRef("pk"), kind__in=Care.CHANGES, at__gt=OuterRef("flow__at")
                )
            ),
            has_cups=Exists(Cup.objects.filter(fill=OuterRef("pk"), gone_at=None)),
            label_serial=Subquery(label.values("serial")[:1]),
            label_state=Subquery(label.values("state")[:1]),
            label_at=Subquery(label.annotate(since=Coalesce("applied_at", "printed_at")).values("since")[:1]),
            label_says=Subquery(label.values("content")[:1]),
            label_outdated=Exists(label.filter(Exists(newer_than_label()))),
            label_printed_at=Subquery(label.values("printed_at")[:1]),
        )
        .annotate(
            changed_since_label=Exists(
                Care.objects.filter(
                    STANDS,
                    fill=OuterRef("pk"),
                    kind__in=(Care.Kind.POWDER_IN, Care.Kind.ADDITIVE_IN, Care.Kind.TOPPED_UP),
                    at__gt=OuterRef("label_printed_at"),
                )
            ),
            leached_since_label=Exists(
                LeachTest.objects.filter(version=OuterRef("version"), at__gt=OuterRef("label_printed_at"))
            ),
        )
        .filter(vessel__code=code)
        .order_by("pk")[:1]
    )


FILL_IN = Prepared(_fill_in, code=CharField())


def dip_check_of(fill: Fill, now: datetime, policy: Policy) -> DipCheck:
    """May one dip into this fill at ``now``? Computed from what the fill carries, never stored."""
    technician, member = (
        None if reading is None else _as_read(*_read_of(reading), within=policy.repeatability)
        for reading in (fill.check_reading, fill.member_reading)
    )
    flow, reference = fill.flow, fill.flow_reference
    flows = _as_flow(
        *((flow.seconds, flow.cup_id, flow.at) if flow else NO_FLOW),
        *((reference.seconds, reference.cup_id) if reference else NO_FLOW[:2]),
    )
    depth_cm = depth_in(fill.vessel, fill.volume_l)
    return _check(fill, technician, member, flows, change_of(fill), depth_cm, now, policy)


def dip_check_of_row(fill: FillRow, depth_cm: float | None, now: datetime, policy: Policy) -> DipCheck:
    """The same for a fill as the shelf reads it."""
    within = policy.repeatability
    check = (fill.check_sg, fill.check_u, fill.check_at, fill.check_l)
    first = (fill.check_first_sg, fill.check_first_u, fill.check_first_gone)
    technician = _as_read(*check, *first, within=within)
    theirs = (fill.member_sg, fill.member_u, fill.member_at, fill.member_l)
    first = (fill.member_first_sg, fill.member_first_u, fill.member_first_gone)
    member = _as_read(*theirs, *first, within=within)
    flow = _as_flow(fill.flow_s, fill.flow_cup, fill.flow_at, fill.reference_s, fill.reference_cup)
    done = Changed(fill.change, fill.changed_at, fill.thinned_at, fill.thickened_at)
    return _check(fill, technician, member, flow, done, depth_cm, now, policy)


def _check(
    fill: Fill | FillRow,
    technician: SgReading | None,
    member: SgReading | None,
    flow: FlowReading | None,
    done: Changed,
    depth_cm: float | None,
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
        heavy_use_l=float(policy.heavy_use_l),
        heavy_use_valid_days=float(policy.heavy_use_valid_days),
        stirred_at=fill.stirred_at,
        settles_min=float(fill.settles_min or policy.settles_min),
        volume_l=float(fill.volume_l),
        depth_cm=depth_cm,
        keep_depth_cm=float(policy.keep_depth_cm),
        unexplained=fill.unexplained_id is not None,
        flow=flow,
        flow_within_pct=float(policy.flow_within_pct),
        change=done.change,  # type: ignore[arg-type]
        changed_at=done.at,
        thinned_at=done.thinned_at,
        thickened_at=done.thickened_at,
    )
    return dip_check(facts=facts, now=now)


def change_of(fill: Fill) -> Changed:
    """What was done since the reading that counts: as the query brought it, or asked now."""
    if not hasattr(fill, "changed_at"):
        asked = with_standing(Fill.objects.filter(pk=fill.pk)).values_list(*CHANGED).get()
        for name, value in zip(CHANGED, asked, strict=True):
            setattr(fill, name, value)
    return Changed(*(getattr(fill, name) for name in CHANGED))


def depth_in(vessel: Vessel, volume_l: Decimal) -> float:
    """Depth in cm of these litres; what is over the brim on paper stands at the brim."""
    return vessel.depth_of_cm(min(float(volume_l), vessel.brim_l()))


def shown_reading(fill: Fill, check: DipCheck) -> Reading | None:
    """The row behind the reading a dip check rests on."""
    return fill.member_reading if check.by == "member" else fill.check_reading


def _read_of(reading: Reading) -> tuple[Any, ...]:
    """The columns of ``READ`` and ``REPEATED``; the one repeated only if it stands."""
    first = standing_first(reading)
    repeated = (first.sg, first.u_sg, None) if first else (None, None, None)
    return (*(getattr(reading, name) for name in READ), *repeated)


def _as_read(
    sg: Decimal | None,
    u_sg: Decimal | None,
    at: datetime | None,
    volume_l: Decimal | None,
    first_sg: Decimal | None,
    first_u: Decimal | None,
    first_gone: int | None,
    *,
    within: Decimal,
) -> SgReading | None:
    """A reading as the dip check takes it: its mean with a standing one it repeats, where they agree."""
    if sg is None or at is None:
        return None
    counts = counting(sg, u_sg, None if first_gone else first_sg, first_u, within)
    u = U_UNKNOWN if counts.u_sg is None else float(counts.u_sg)
    return SgReading(sg=float(counts.sg), u=u, at=at, volume_l=_number(volume_l))


def _as_flow(
    seconds: Decimal | None,
    cup: int | None,
    at: datetime | None,
    reference_s: Decimal | None,
    reference_cup: int | None,
) -> FlowReading | None:
    """Seconds beside the reference; None without one, or when it was another cup: they say nothing then."""
    if seconds is None or at is None or not reference_s or cup != reference_cup:
        return None
    return FlowReading(seconds=float(seconds), reference_s=float(reference_s), at=at)


def _number(value: Decimal | None) -> float | None:
    return None if value is None else float(value)
