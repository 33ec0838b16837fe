"""The binder of the demo studio: invented suppliers' sheets, what is in each material, the lots covered."""

from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from functools import partial

from safety.calc.hazards import Hazards
from safety.documents import document, write
from safety.models import Sheet
from safety.operations.sheets import TypedConstituent, cover_lot, file_sheet
from safety.substances import table as substances
from studio.front.demo.cast import Cast, Event, table
from studio.front.demo.papers import pdf
from studio.materials.models import Lot

HEADS = {4: "First aid", 6: "Accidental release", 7: "Handling and storage", 8: "Exposure and protection"}
HARMLESS = Hazards(stated="not hazardous")
EMERGENCY = "+00 555 0100, day and night (invented)"


def events(cast: Cast) -> Iterator[Event]:
    rows = table("sheets")
    for row in rows:
        yield cast.at(row["filed_on"], "09:20"), partial(_file, cast, row)
    filed = {row["material"]: row["filed_on"] for row in reversed(rows)}
    for lot in table("lots"):
        since = filed.get(lot["material"])
        if since and lot["received_on"] >= since:
            yield cast.at(lot["received_on"], "10:40"), partial(_cover, cast, lot)


def _file(cast: Cast, row: dict[str, str]) -> None:
    material = cast.material(row["material"])
    sections = {int(said["section"]): said["text"] for said in _words(row["words"])}
    constituents = [_constituent(said) for said in table("constituents") if said["material"] == material.name]
    at = cast.at(row["filed_on"], "09:20")
    paper = document(pdf(f"{row['product']} (invented)", _paper(row, sections)))
    write(paper)  # whether or not the demo is kept: the same file each time, so nothing piles up
    file_sheet(
        material=material,
        kind=row["kind"],
        product=row["product"],
        supplier=row["supplier"],
        emergency_phone=EMERGENCY,
        language="English",
        rule_set="CLP",
        version=row["version"],
        issued_on=_day(cast, row["issued_on"]),
        revised_on=_day(cast, row["revised_on"]),
        review_on=_day(cast, row["review_on"]),
        hazards=HARMLESS if row["kind"] == Sheet.Kind.LETTER else _whole(constituents),
        ph=Decimal(row["ph"]) if row["ph"] else None,
        sections=sections,
        constituents=constituents,
        lots=list(Lot.objects.filter(material=material, received_on__lte=at.date())),
        document=paper,
        note=row["note"],
        by=cast.person("Bram"),
        at=at,
    )


def _words(key: str) -> list[dict[str, str]]:
    return [said for said in table("sheet_words") if said["words"] == key]


def _paper(row: dict[str, str], sections: dict[int, str]) -> list[str]:
    head = f"{row['supplier']}. Everything on this sheet is invented; do not rely on it."
    return [head, *(f"{number}. {HEADS[number]}. {text}" for number, text in sections.items())]


def _constituent(said: dict[str, str]) -> TypedConstituent:
    rows = [row for row in substances() if row.material == said["classes_of"]]
    return TypedConstituent(
        name=said["name"],
        cas=said["cas"],
        low_pct=Decimal(said["low_pct"]) if said["low_pct"] else None,
        high_pct=Decimal(said["high_pct"]),
        fine_pct=Decimal(said["fine_pct"]) if said["fine_pct"] else None,
        hazards=(rows[0].hazards if rows else HARMLESS).by("invented sheet", said["mark"]),
    )


def _whole(constituents: list[TypedConstituent]) -> Hazards:
    """Of the product as a whole: the classes of its chief substance, where that is nearly all of it."""
    chief = max(constituents, key=lambda one: one.high_pct, default=None)
    if chief is None or chief.high_pct < 90 or not chief.hazards.classes:
        return Hazards(stated="not stated") if any(one.hazards.classes for one in constituents) else HARMLESS
    return Hazards(stated="classes", classes=chief.hazards.classes)


def _day(cast: Cast, told: str) -> date | None:
    return cast.day(told) if told else None


def _cover(cast: Cast, row: dict[str, str]) -> None:
    lot = cast.lot(row["lot"])
    sheet = Sheet.objects.filter(material=lot.material_id, replaced_by=None).first()
    if sheet is not None and not sheet.covers.filter(lot=lot).exists():
        cover_lot(sheet=sheet, lot=lot, by=cast.person("Bram"), at=cast.at(row["received_on"], "10:40"))
