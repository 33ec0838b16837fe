"""Scenario E: Linseed in B04 out of two batches, Rockpool in B05, one lot of frit in both; through the acts.

Figures of "day_in_the_room.md" E and of the past batches in "demo_studio.md" 5. Times are moved: the report
comes now, everything else lies as far before it as it does there.
"""

from datetime import UTC, datetime
from decimal import Decimal

from django.utils import timezone

from batches.models import Batch
from batches.operations import weighing, wet
from buckets.models import Fill, Tile
from buckets.operations import care, pouring
from buckets.operations.holding import release_fill
from studio.materials.models import Lot, Material
from studio.materials.operations.stock import receive_lot
from studio.recipes.models import Line, Version
from studio.recipes.operations.recipes import TypedLine
from tests import factories

D = Decimal
REPORTED = datetime(2026, 4, 10, 18, 40, tzinfo=UTC)
LINSEED_LOTS = ("PF-11", "FL-07", "WH-09", "KA-14", "SI-21", "RI-10")
ROCKPOOL = (
    ("Soda feldspar", "base", "33", "2.605", "SF-08"),
    ("Frit L", "base", "24", "2.50", "FL-07"),
    ("Strontium carbonate", "base", "8", "3.70", "SR-02"),
    ("Wollastonite", "base", "8", "2.92", "WO-06"),
    ("Kaolin", "base", "9", "2.59", "KA-14"),
    ("Silica", "base", "18", "2.648", "SI-21"),
    ("Copper carbonate", "addition", "2.5", "4.0", "CU-05"),
    ("Rutile, milled", "addition", "4", "4.2", "RU-04"),
    ("Bentonite", "addition", "2", "2.5", "BE-05"),
)
SLATE_HOUR = (
    ("Potash feldspar", "base", "24", "2.56"),
    ("Frit A", "base", "16", "2.50"),
    ("Wollastonite", "base", "18", "2.92"),
    ("Talc", "base", "10", "2.75"),
    ("Kaolin", "base", "26", "2.59"),
    ("Silica", "base", "6", "2.648"),
    ("Cobalt carbonate", "addition", "0.75", "4.13"),
    ("Red iron oxide", "addition", "1.5", "5.25"),
)
USES = (  # when, pieces, by
    ("04-04 11:10", 2, "Marek"),
    ("04-07 08:30", 1, "Wren"),
    ("04-07 19:05", 3, "Ilse"),
    ("04-08 12:20", 2, "Yusuf"),
    ("04-09 20:45", 2, "Ilse"),
)
TILE = "04-07 09:00"


def moved(said: str, now: datetime) -> datetime:
    """A moment of the scenario, as far before ``now`` as it is there before the report."""
    there = datetime.strptime(f"2026-{said}", "%Y-%m-%d %H:%M").replace(tzinfo=UTC)
    return now - (REPORTED - there)


def lot(code: str, material: Material) -> Lot:
    """25 kg of it, released; the same code, the same lot."""
    return Lot.objects.filter(code=code).first() or receive_lot(
        material=material,
        code=code,
        mass_g=D(25000),
        price_per_kg=D(1),
        state="released",
        by=factories.bram(),
    )


def recipe(name: str, rows: tuple, **more) -> Version:
    lines = [
        TypedLine(
            kind=Line.Kind(kind),
            material=factories.MaterialFactory(name=material, density=density),
            typed_name=material,
            parts=D(parts),
            typed=parts,
        )
        for material, kind, parts, density, *_ in rows
    ]
    return factories.VersionFactory(name=name, lines=lines, **more)


def made(version: Version, lots: tuple[str, ...], vessel: str, **wish) -> Batch:
    """A batch of it, weighed from these lots line by line, measured; not poured."""
    request = factories.RequestFactory(version=version, vessel=factories.VesselFactory(code=vessel), **wish)
    batch = factories.BatchFactory(request=request, state="planned")
    fill = Fill.objects.filter(vessel__code=vessel, emptied_at=None).first()
    if fill is None:
        pouring.begin_batch(batch=batch, by=factories.bram())
    else:
        old = {"volume_l": fill.volume_l, "sg": fill.check_reading.sg}
        pouring.begin_batch(batch=batch, fill=fill, **old, by=factories.bram())
    batch.refresh_from_db()
    factories.let_through(batch)
    wet.add_water(batch=batch, water_l=batch.first_water_l, by=factories.bram())
    for line, code in zip(batch.lines.all(), lots, strict=True):
        weighing.weigh_line(line=line, lot=lot(code, line.material), net_g=line.target_g, by=factories.bram())
    wet.sieve_batch(batch=batch, mesh=version.sieve_mesh, by=factories.bram())
    left = batch.water_l - batch.first_water_l
    wet.add_water(batch=batch, water_l=left, by=factories.bram())
    litres = batch.to_volume_l
    wet.record_batch_reading(
        batch=batch, sg=batch.to_sg, u_sg=D("0.004"), volume_l=litres, by=factories.bram()
    )
    return batch


def poured(batch: Batch, at: datetime) -> Fill:
    fill = pouring.pour_batch(batch=batch, vessel=batch.vessel, by=factories.bram(), at=at)
    return release_fill(fill=fill, by=factories.bram(), at=at)


def room(now: datetime | None = None) -> dict[str, Fill]:
    """Linseed in B04 of two batches, Rockpool in B05; the tile and the five uses of B04."""
    now = now or timezone.now()
    linseed = factories.VersionFactory(name="Linseed")
    made_first = made(linseed, LINSEED_LOTS, "B04", dry_g="5000")
    first = poured(made_first, moved("02-03 10:00", now))
    rockpool = recipe("Rockpool", ROCKPOOL, target_sg="1.42", half_window=D("0.015"))
    lots = tuple(row[4] for row in ROCKPOOL)
    other = poured(made(rockpool, lots, "B05", dry_g="6000"), moved("02-17 10:00", now))
    asked = {
        "wish": "bring to",
        "litres": D(13),
        "old_volume_l": first.volume_l,
        "old_sg": D("1.43"),
        "dry_g": None,
    }
    batch = made(linseed, LINSEED_LOTS, "B04", **asked)
    fill = poured(batch, moved("03-02 10:00", now))
    at = moved(TILE, now)
    Tile.objects.create(
        fill=fill, sg=D("1.43"), seconds=D(3), coat_g_per_cm2=D("0.078"), by=factories.bram(), at=at
    )
    Fill.objects.filter(pk=fill.pk).update(tile=Tile.objects.get())
    for when, pieces, who in USES:
        care.log_use(
            fill=fill, volume_l=D("0.2"), pieces=pieces, by=factories.person(who), at=moved(when, now)
        )
    return {"B04": Fill.objects.get(pk=fill.pk), "first": Fill.objects.get(pk=first.pk), "B05": other}


def slate_hour() -> Version:
    return recipe("Slate Hour", SLATE_HOUR, target_sg="1.46", sieve_mesh=120)
