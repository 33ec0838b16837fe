"""How far a batch has come, in numbers: computed from its few rows, never stored."""

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Exists, OuterRef

from batches.models import Batch, Step
from studio.calc.slurry import sg_after_water, thin
from studio.errors import Refused
from studio.quantities import rounded
from studio.room import policy
from studio.room.models import Vessel

FIRST_SHARE = Decimal("0.85")  # of the water to the target, then measure again; common practice, no source


@dataclass(frozen=True, kw_only=True)
class Standing:
    """Litres, grams and SG of a batch as recorded so far. None: not known yet."""

    weighed_g: Decimal
    water_l: Decimal
    slurry_g: Decimal
    volume_l: Decimal | None
    sg: Decimal | None
    gross_g: Decimal | None
    weighed_gross_g: Decimal | None
    yield_pct: Decimal | None
    reading: Step | None
    reading_volume_l: Decimal | None
    residual_sg: Decimal | None


@dataclass(frozen=True, kw_only=True)
class ToTarget:
    """What the last reading asks for: litres of water, all and the first share; or thicker instead."""

    water_l: Decimal
    first_l: Decimal
    after_first_sg: Decimal
    volume_l: Decimal


def steps_of(batch: Batch) -> list[Step]:
    """Steps that stand: neither taken back nor taking back, oldest first. One query."""
    rows = list(batch.steps.select_related("by"))
    taken_back = {row.reverses_id for row in rows if row.reverses_id}
    return [row for row in rows if not row.reverses_id and row.pk not in taken_back]


def of_kind(steps: list[Step], kind: str) -> list[Step]:
    """Those of one kind, oldest first."""
    return [step for step in steps if step.kind == kind]


# For a query of batches: whether water is in, by a step that stands.
WATER_IN = Exists(
    Step.objects.filter(
        batch=OuterRef("pk"), kind=Step.Kind.WATER, reverses=None, reversed_by=None
    ).order_by()
)


def water_is_in(batch: Batch) -> bool:
    """Whether the first water was recorded."""
    return Batch.objects.filter(WATER_IN, pk=batch.pk).exists()


def standing(batch: Batch, steps: list[Step] | None = None, lines=None) -> Standing:
    """The numbers of a batch now, old glaze of the bucket included (its water density is 1)."""
    steps = steps_of(batch) if steps is None else steps
    lines = list(batch.lines.all()) if lines is None else lines
    weighed_g = sum((line.weighed_g for line in lines), Decimal(0))
    water_l = sum((step.water_l for step in of_kind(steps, Step.Kind.WATER)), Decimal(0))
    old_g = batch.old_volume_l * (batch.old_sg or Decimal(0)) * 1000
    slurry_g = old_g + weighed_g + water_l * 1000
    volume_l = _volume(batch, weighed_g, water_l)
    sg = rounded(slurry_g / 1000 / volume_l, 4) if volume_l else None
    readings = of_kind(steps, Step.Kind.READING)
    gross = of_kind(steps, Step.Kind.GROSS)
    reading = readings[-1] if readings else None
    empty_g = batch.vessel.empty_g if batch.vessel else None
    net_g = gross[-1].gross_g - empty_g if gross and empty_g is not None else None
    return Standing(
        weighed_g=weighed_g,
        water_l=water_l,
        slurry_g=rounded(slurry_g, 3),
        volume_l=volume_l,
        sg=sg,
        gross_g=rounded(empty_g + slurry_g, 0) if empty_g is not None else None,
        weighed_gross_g=gross[-1].gross_g if gross else None,
        yield_pct=rounded(100 * net_g / slurry_g, 1) if net_g and slurry_g else None,
        reading=reading,
        reading_volume_l=(reading.volume_l or volume_l) if reading else None,
        residual_sg=_residual(steps, reading, sg, volume_l),
    )


def _volume(batch: Batch, weighed_g: Decimal, water_l: Decimal) -> Decimal | None:
    """Volumes are additive: old glaze + powder over its particle density + water, litres."""
    volume = batch.old_volume_l + weighed_g / 1000 / batch.particle_density + water_l
    return rounded(volume, 3) if volume > 0 else None


def _residual(steps, reading, sg, volume_l) -> Decimal | None:
    """Reading minus prediction, unless water went in after it was taken."""
    if reading is None or sg is None or any(s.pk > reading.pk and s.kind == Step.Kind.WATER for s in steps):
        return None
    return reading.sg - sg


def to_target(batch: Batch, now: Standing) -> ToTarget | None:
    """Water from the last reading to the target; None without a reading or when it is not too thick."""
    if now.reading is None or not now.reading_volume_l or now.reading.sg <= batch.to_sg:
        return None
    volume, sg = float(now.reading_volume_l), float(now.reading.sg)
    whole = thin(volume_l=volume, sg=sg, to_sg=float(batch.to_sg))
    first = rounded(Decimal(repr(whole.water_l)) * FIRST_SHARE, 3)
    after = sg_after_water(volume_l=volume, sg=sg, water_l=float(first))
    return ToTarget(
        water_l=rounded(whole.water_l, 3),
        first_l=first,
        after_first_sg=rounded(after, 4),
        volume_l=rounded(whole.volume_l, 2),
    )


def room_left_l(batch: Batch) -> float | None:
    """Litres that still fit under the fill limit of the vessel, by what is recorded; None without one."""
    if batch.vessel is None:
        return None
    limit = batch.vessel.brim_l() * float(policy.in_force().fill_limit_pct) / 100
    return limit - float(standing(batch).volume_l or 0)


def litres_at(vessel: Vessel | None, depth_cm: Decimal) -> Decimal:
    """Litres at a depth in cm, or a refusal in words."""
    if vessel is None:
        raise Refused(
            "This batch has no bucket yet, so a depth says nothing. Type the litres.", field="depth_cm"
        )
    if not 0 <= depth_cm <= vessel.height_cm:
        raise Refused(f"{vessel.code} is {vessel.height_cm.normalize():f} cm deep inside.", field="depth_cm")
    return rounded(vessel.volume_at_l(float(depth_cm)), 3)
