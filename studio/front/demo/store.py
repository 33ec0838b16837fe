"""Materials and lots: what came, what was used without a record, what stands in quarantine."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import timedelta
from decimal import Decimal
from functools import partial

from studio.front.demo.cast import Cast, Event, table
from studio.materials.models import Lot, Material
from studio.materials.operations.materials import add_material
from studio.materials.operations.stock import correct_stock, receive_lot, use_up_lot

BEGINNING = "2023-10-09"
FIRST_COUNT, SECOND_COUNT = "2026-02-02", "2026-03-31"
EMPTY = "2025-12-09"  # before the next lot of that material came
ROLES = {
    "colourant": Material.Role.COLOURANT,
    "opacifier": Material.Role.OPACIFIER,
    "additive": Material.Role.ADDITIVE,
}
SUSPENDERS = {"Bentonite"}  # a clay by its class, an additive by what it is weighed for
SOLUBLE = {"Wood ash, washed", "Magnesium sulfate heptahydrate", "Sodium silicate solution"}
QUARANTINED = {
    "PF-12": "lot tile firing",  # its day is told in the note
    "CR-02": "no safety data sheet on record: not weighed until it is here",
    "MN-01": "the day to review its safety data sheet is past: not weighed until that is done",
}
NOTES = {"WX-06": "counted in litres, booked as kg", "WA-05": "no paper came with it"}
TILE_DAY = "2026-04-11"


def events(cast: Cast) -> Iterator[Event]:
    rows = table("lots")
    for row in {row["material"]: row for row in rows}.values():
        yield cast.at(BEGINNING, "10:00"), partial(_material, cast, row)
    for row in rows:
        yield cast.at(row["received_on"], "10:15"), partial(_receive, cast, row)
        day = _counted_on(row)
        yield cast.at(day, "18:00"), partial(_count, cast, row, day)


def _counted_on(row: dict[str, str]) -> str:
    if row["state"] == "empty":
        return EMPTY
    return FIRST_COUNT if row["received_on"] < FIRST_COUNT else SECOND_COUNT


def _material(cast: Cast, row: dict[str, str]) -> None:
    name = row["material"]
    role = Material.Role.ADDITIVE if name in SUSPENDERS else ROLES.get(row["class"], Material.Role.PLAIN)
    add_material(
        name=name,
        role=role,
        soluble=name in SOLUBLE,
        hazard_words=row["words"],
        by=cast.person("Bram"),
        at=cast.at(BEGINNING, "10:00"),
    )


def _receive(cast: Cast, row: dict[str, str]) -> None:
    code = row["lot"]
    why = QUARANTINED.get(code)
    if code == "PF-12":
        day = cast.day(TILE_DAY)
        why = f"{why} on {day.day} {day:%B}"
    receive_lot(
        material=cast.material(row["material"]),
        code=code,
        mass_g=_grams(row["received_kg"]),
        price_per_kg=Decimal(row["price_per_kg"]),
        supplier=row["supplier"],
        received_on=cast.day(row["received_on"]),
        state=Lot.State.QUARANTINE if why else Lot.State.RELEASED,
        note="; ".join(part for part in (row["pack"], why, NOTES.get(code)) if part),
        by=cast.person("Bram"),
        at=cast.at(row["received_on"], "10:15"),
    )


def _count(cast: Cast, row: dict[str, str], day: str) -> None:
    """What is not there any more, and went into no batch on record, leaves the ledger with the count."""
    lot, at = cast.lot(row["lot"]), cast.at(day, "18:00")
    left = _grams(row["on_hand_kg"]) + (_weighed()[lot.code] if day != SECOND_COUNT else Decimal(0))
    if left != lot.on_hand_g:
        reason = "counted; used without a record"
        correct_stock(lot=lot, to_g=left, reason=reason, by=cast.person("Bram"), at=at)
    if row["state"] == "empty":
        later = at + timedelta(minutes=1)
        use_up_lot(lot=cast.lot(lot.code), reason="the last bag is empty", by=cast.person("Bram"), at=later)


def _weighed() -> defaultdict[str, Decimal]:
    """Grams by lot that go into the batches on record, all of them after the first count."""
    sums: defaultdict[str, Decimal] = defaultdict(Decimal)
    for row in table("batch_lines"):
        sums[row["lot"]] += Decimal(row["weighed_g"])
    return sums


def _grams(kg: str) -> Decimal:
    return Decimal(kg) * 1000
