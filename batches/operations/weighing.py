"""Weighing a batch: begin, one line after another, take a wrong record back."""

from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.utils import timezone

from batches import planning, standing
from batches.errors import BatchNot, LineDone, OtherMaterial, OutOfBand, OverTheScale, WaterFirst
from batches.models import Batch, Line, Weighing
from safety.gates import Gate, gate_of, refuse_at
from studio.errors import Refused
from studio.materials.models import Lot, Material
from studio.materials.operations import stock
from studio.materials.queries import reserved_for
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.room.models import Scale


def locked(batch: Batch) -> Batch:
    """The batch as it stands now, locked until the act is done."""
    return Batch.objects.select_for_update().get(pk=batch.pk)


@act("weighing began", about="batch")
def start_weighing(
    *,
    batch: Batch,
    old_volume_l: Decimal | None = None,
    old_sg: Decimal | None = None,
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Batch:
    """Restate lines, water and reservations for the bucket as it is now, once; then they are frozen.

    ``old_volume_l`` and ``old_sg`` are what the bucket holds (litres, SG), measured again; None when
    the batch goes into an empty bucket. Refused unless planned and not held.
    """
    batch = locked(batch)
    refuse_unless(by, rights.WEIGH)
    if batch.state != Batch.State.PLANNED or batch.held:
        raise BatchNot(batch, "only a planned batch can begin weighing")
    plan = planning.restated(batch, old_volume_l=old_volume_l, old_sg=old_sg)
    _restate_lines(batch, plan, by, at)
    for name in ("base_g", "dry_g", "water_l", "first_water_l", "to_volume_l"):
        setattr(batch, name, getattr(plan, name))
    batch.old_volume_l, batch.old_sg = old_volume_l or Decimal(0), old_sg
    batch.state, batch.frozen_at = Batch.State.WEIGHING, at or timezone.now()
    batch.save()
    return batch


def _restate_lines(batch: Batch, plan: "planning.Plan", by: Member, at: datetime | None) -> None:
    promised = reserved_for(f"batch {batch.number}")
    rows = {line.position: line for line in batch.lines.select_for_update()}
    for planned in sorted(plan.lines, key=lambda p: p.material_id):
        line = rows[planned.position]
        line.target_g, line.band_g = planned.target_g, planned.band_g
        line.scale_id, line.loads = planned.scale_id, planned.loads
        line.save(update_fields=["target_g", "band_g", "scale", "loads"])
        more = planned.target_g - promised.get((line.material_id, str(line.position)), Decimal(0))
        if more:
            stock.reserve(
                material=line.material,
                mass_g=more,
                what=f"batch {batch.number}",
                line=str(line.position),
                by=by,
                at=at,
            )


@act("weighed", about="line")
def weigh_line(
    *,
    line: Line,
    lot: Lot,
    net_g: Decimal,
    part: bool = False,
    scale: Scale | None = None,
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Weighing:
    """One pot of powder into the bucket: ``net_g`` grams from ``lot``.

    The line is done when the sum lies in its band. ``part`` says more is to come (one load of
    several, or a lot that ends): then the sum may still be under. Over the band is always refused.
    The ledger falls by what was weighed, the reservation by the target. What is hazardous asks for a
    person signed off for it, and for a current sheet or a technician's word that it may go without.
    """
    batch = locked(line.batch)
    line = Line.objects.select_for_update().select_related("material").get(pk=line.pk)
    line.batch = batch
    refuse_unless(by, rights.WEIGH)
    _refuse_weighing(batch, line, lot, net_g, scale or line.scale)
    refuse_at(_gate(line, at), by)
    total = line.weighed_g + net_g
    low, high = line.target_g - line.band_g, line.target_g + line.band_g
    if total > high or (total < low and not part):
        raise OutOfBand(line, total, may_continue=total < low)
    what = f"batch {batch.number}, line {line.position}"
    movement = stock.issue(lot=lot, mass_g=net_g, what=what, by=by, at=at)
    weighing = Weighing.objects.create(
        line=line,
        lot=lot,
        net_g=net_g,
        scale=scale or line.scale,
        movement=movement,
        raw=raw,
        by=by,
        at=at or timezone.now(),
    )
    line.weighed_g, line.done_at = total, (at or timezone.now()) if total >= low else None
    line.save(update_fields=["weighed_g", "done_at"])
    _settle_reservation(line, by, at)
    if not batch.lines.filter(done_at=None).exists():
        batch.state = Batch.State.WET
        batch.save(update_fields=["state"])
    return weighing


def _refuse_weighing(batch: Batch, line: Line, lot: Lot, net_g: Decimal, scale: Scale | None) -> None:
    if batch.state != Batch.State.WEIGHING or batch.held:
        raise BatchNot(batch, "a line can be weighed only while weighing")
    if line.done_at:
        raise LineDone(line)
    if net_g <= 0:
        raise Refused("A weight is more than nought.", field="net_g")
    if lot.material_id != line.material_id:
        raise OtherMaterial(line, lot)
    if scale is not None and net_g > scale.capacity_g:
        raise OverTheScale(scale)
    if not standing.water_is_in(batch):
        raise WaterFirst(batch)


def _gate(line: Line, at: datetime | None) -> Gate:
    """Read with the material locked, as filing a sheet of it does: it cannot change under the scoop."""
    material = Material.objects.select_for_update().get(pk=line.material_id)
    return gate_of(material, what=str(line.batch), today=timezone.localdate(at))


def _settle_reservation(line: Line, by: Member, at: datetime | None) -> None:
    """The promise left for a line: its target less what is in, and nothing once it is done."""
    what = f"batch {line.batch.number}"
    promised = reserved_for(what).get((line.material_id, str(line.position)), Decimal(0))
    left = Decimal(0) if line.done_at else max(line.target_g - line.weighed_g, Decimal(0))
    if left != promised:
        stock.reserve(
            material=line.material, mass_g=left - promised, what=what, line=str(line.position), by=by, at=at
        )


@act("weighing taken back", about="weighing")
def take_back_weighing(
    *, weighing: Weighing, reason: str, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Weighing:
    """The record was wrong (other lot, other number): a second row takes it back, mass and money too.

    For wrong records only; powder that is in the bucket stays there. Refused once the batch is poured.
    """
    batch = locked(weighing.line.batch)
    line = Line.objects.select_for_update().select_related("material").get(pk=weighing.line_id)
    line.batch = batch
    refuse_unless(by, rights.WEIGH)
    if batch.state not in (Batch.State.WEIGHING, Batch.State.WET) or batch.held:
        raise BatchNot(batch, "a weighing can be taken back only before the batch is poured")
    if weighing.reverses_id or Weighing.objects.filter(reverses=weighing).exists():
        raise Refused("This weighing was already taken back.")
    movement = stock.take_back(movement=weighing.movement, reason=reason, by=by, at=at)
    row = Weighing.objects.create(
        line=line,
        lot=weighing.lot,
        net_g=-weighing.net_g,
        scale=weighing.scale,
        movement=movement,
        raw=reason,
        reverses=weighing,
        by=by,
        at=at or timezone.now(),
    )
    line.weighed_g -= weighing.net_g
    if line.weighed_g < line.target_g - line.band_g:  # a small pot less may leave it in its band
        line.done_at = None
    line.save(update_fields=["weighed_g", "done_at"])
    _settle_reservation(line, by, at)
    if batch.state == Batch.State.WET and line.done_at is None:
        batch.state = Batch.State.WEIGHING
        batch.save(update_fields=["state"])
    return row
