"""Scenario A of "day_in_the_room.md" as far as a test needs it, through the acts: Gannet White in B02."""

from decimal import Decimal

from batches.models import Batch, Line
from batches.operations import weighing, wet
from batches.operations.requests import approve_request, ask_for_glaze
from buckets.models import Fill
from buckets.operations.fills import take_over_bucket
from buckets.operations.labels import print_bucket_label
from buckets.operations.pouring import begin_batch, pour_batch
from studio.materials.models import Lot
from studio.recipes.models import Version
from studio.room.models import Vessel
from tests.batches import glazes
from tests.factories import let_through

D = Decimal

# what scenario A4 weighs, by line
WEIGHED = ("1442", "1831", "1113", "1115", "1047", "656")


def b02(version: Version | None = None, *, litres: str = "4.2", sg: str = "1.52") -> Fill:
    """B02 with old Gannet White in it, labelled; in use only when a test releases it."""
    bram, _ = glazes.people()
    version = version or glazes.gannet_white()
    fill = take_over_bucket(
        vessel=glazes.room(), recipe=version.recipe, volume_l=D(litres), sg=D(sg), by=bram
    )
    print_bucket_label(fill=fill, by=bram)
    return fill


def planned(fill: Fill, *, litres: str = "15") -> Batch:
    """The batch that brings B02 to 15 L, approved."""
    bram, tamsin = glazes.people()
    asked = ask_for_glaze(
        version=fill.version,
        wish="bring to",
        litres=D(litres),
        vessel=fill.vessel,
        old_volume_l=fill.volume_l,
        old_sg=fill.check_reading.sg,
        by=bram,
    )
    return approve_request(request=asked, by=tamsin)


def begun(fill: Fill) -> Batch:
    """Begun with 4.2 L at 1.52, as measured in A1 and A2."""
    bram, _ = glazes.people()
    return begin_batch(
        batch=planned(fill), fill=fill, depth_cm=D("8.0"), volume_l=D("4.2"), sg=D("1.52"), by=bram
    )


def measured(fill: Fill) -> Batch:
    """First water, every line, and the reading of A8: 1.451 at 15.15 L."""
    bram, _ = glazes.people()
    batch = begun(fill)
    let_through(batch)
    wet.add_water(batch=batch, water_l=D("7.183"), by=bram)
    for line, net_g in zip(batch.lines.all(), WEIGHED, strict=True):
        weighing.weigh_line(line=line, lot=_lot(line), net_g=D(net_g), by=bram)
    wet.add_water(batch=batch, water_l=D("1.1"), by=bram)
    wet.record_batch_reading(
        batch=batch, sg=D("1.451"), u_sg=D("0.00425"), depth_cm=D("26.8"), volume_l=D("15.15"), by=bram
    )
    return Batch.objects.get(pk=batch.pk)


def poured(fill: Fill, vessel: Vessel | None = None) -> Fill:
    bram, _ = glazes.people()
    return pour_batch(batch=measured(fill), vessel=vessel or fill.vessel, by=bram)


def _lot(line: Line) -> Lot:
    return Lot.objects.filter(material=line.material, state=Lot.State.RELEASED).first()
