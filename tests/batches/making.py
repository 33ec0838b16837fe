"""Batches in every state, made through the acts."""

from decimal import Decimal

from batches.models import Batch, Line, Step
from batches.operations import weighing, wet
from batches.operations.requests import approve_request, ask_for_glaze
from studio.materials.models import Lot
from tests import factories
from tests.batches import glazes


def planned(version=None, *, dry_g: str = "4000", **wish) -> Batch:
    """A planned batch of Oat Husk for a clean bucket: asked for by Bram, approved by Tamsin."""
    maker, approver = glazes.people()
    glazes.scales()
    asked = ask_for_glaze(
        version=version or glazes.oat_husk(), wish="dry base", dry_g=Decimal(dry_g), by=maker, **wish
    )
    return approve_request(request=asked, by=approver)


def weighing_batch(*, let_through: bool = True, **more) -> Batch:
    """The same, begun, with its first water in; what has no sheet is let through unless told otherwise."""
    batch = planned(**more)
    bram = glazes.people()[0]
    if let_through:
        factories.let_through(batch)
    batch = weighing.start_weighing(batch=batch, by=bram)
    wet.add_water(batch=batch, water_l=batch.first_water_l, by=bram)
    return batch


def lot_of(line: Line) -> Lot:
    """The oldest released lot of a line's material."""
    return Lot.objects.filter(material=line.material, state=Lot.State.RELEASED).first()


def weigh_exactly(line: Line):
    """The whole target of a line in one pot."""
    return weighing.weigh_line(line=line, lot=lot_of(line), net_g=line.target_g, by=glazes.people()[0])


def wet_batch(**more) -> Batch:
    """Everything in, every line on its target."""
    batch = weighing_batch(**more)
    for line in batch.lines.all():
        weigh_exactly(line)
    return Batch.objects.get(pk=batch.pk)


def measured_batch(sg: str = "1.49", volume_l: str = "5.1", **more) -> Batch:
    """In the wet with one reading."""
    batch = wet_batch(**more)
    wet.record_batch_reading(
        batch=batch,
        sg=Decimal(sg),
        u_sg=Decimal("0.00441"),
        volume_l=Decimal(volume_l),
        by=glazes.people()[0],
    )
    return batch


def steps(batch: Batch, kind: str) -> list[Step]:
    return [step for step in batch.steps.all() if step.kind == kind]
