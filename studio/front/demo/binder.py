"""The binder of the demo studio: invented suppliers' sheets, what is in each material, the lots covered."""

from collections.abc import Callable, Iterator
from datetime import date
from decimal import Decimal
from functools import partial
from typing import Any

from safety.air_limits import eu_limit
from safety.calc.composition import Held, by_fine_fraction, is_crystalline_silica
from safety.calc.hazards import Hazards
from safety.calc.limits import H_OF
from safety.calc.mixture import Ingredient, Mixture, classify
from safety.documents import document, write
from safety.labelling.hazard_part import sentence
from safety.models import Sheet
from safety.operations.sheets import TypedConstituent, cover_lot, file_sheet
from safety.statements import statement
from safety.substances import table as substances
from studio.front.demo.cast import Cast, Event, table
from studio.front.demo.papers import pdf
from studio.materials.models import Lot

HEADS = {
    2: "Hazards",
    4: "First aid",
    6: "Accidental release",
    7: "Handling and storage",
    8: "Exposure and protection",
}
HARMLESS = Hazards(stated="not hazardous")
SUPPLIERS = {
    "Tollgate Minerals": ("4 Quarry Row, Tollgate (invented)", "+00 555 0110"),
    "Northmoor Clay Supply": ("Claypit Lane 17, Northmoor (invented)", "+00 555 0120"),
    "Ebb & Furrow Raw Materials": ("Wharf 3, Ebbmouth (invented)", "+00 555 0130"),
}
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
    material, said = cast.material(row["material"]), told(row, cast.day)
    paper = document(pdf(f"{row['product']} (invented)", _paper(row, said["sections"])))
    write(paper)  # whether or not the demo is kept: the same file each time, so nothing piles up
    file_sheet(
        material=material,
        lots=list(Lot.objects.filter(material=material, received_on__lte=cast.day(row["filed_on"]))),
        document=paper,
        by=cast.person("Bram"),
        at=cast.at(row["filed_on"], "09:20"),
        **said,
    )


def told(row: dict[str, str], day: Callable[[str], date]) -> dict[str, Any]:
    """What a row of ``sheets.csv`` says of its sheet, as ``file_sheet`` takes it. ``day`` moves its days."""
    name = row["material"]
    constituents = [_constituent(said) for said in table("constituents") if said["material"] == name]
    found = _by_rules(constituents)
    sections = {int(said["section"]): said["text"] for said in _words(row["words"])}
    if row["kind"] != Sheet.Kind.LETTER:
        sections[2] = _section_2(found)
    address, phone = SUPPLIERS[row["supplier"]]
    return {
        "kind": row["kind"],
        "product": row["product"],
        "supplier": row["supplier"],
        "supplier_address": address,
        "phone": phone,
        "emergency_phone": EMERGENCY,
        "language": "English",
        "rule_set": "CLP",
        "version": row["version"],
        **{name: day(row[name]) if row[name] else None for name in ("issued_on", "revised_on", "review_on")},
        "hazards": Hazards(stated="classes", classes=found.classes) if found.classes else HARMLESS,
        "ph": Decimal(row["ph"]) if row["ph"] else None,
        "sections": sections,
        "constituents": constituents,
        "note": row["note"],
    }


def _words(key: str) -> list[dict[str, str]]:
    return [said for said in table("sheet_words") if said["words"] == key]


def _paper(row: dict[str, str], sections: dict[int, str]) -> list[str]:
    head = f"{row['supplier']}. Everything on this sheet is invented; do not rely on it."
    return [head, *(f"{number}. {HEADS[number]}. {text}" for number, text in sorted(sections.items()))]


def _constituent(said: dict[str, str]) -> TypedConstituent:
    return TypedConstituent(
        name=said["name"],
        cas=said["cas"],
        low_pct=Decimal(said["low_pct"]) if said["low_pct"] else None,
        high_pct=Decimal(said["high_pct"]),
        fine_pct=Decimal(said["fine_pct"]) if said["fine_pct"] else None,
        hazards=_said_of(said["classes_of"]).by("", said["mark"]),
    )


def _said_of(classes_of: str) -> Hazards:
    """Classes of a row of our table, or as they are written there; nothing written: not hazardous."""
    if not classes_of:
        return HARMLESS
    rows = [row for row in substances() if row.material == classes_of]
    if rows:
        return rows[0].hazards
    classes = tuple(cls.strip() for cls in classes_of.split(";"))
    if strange := [cls for cls in classes if cls not in H_OF]:
        raise ValueError(f"neither a row of the table nor a class: {strange}")
    return Hazards(stated="classes", classes=classes)


def _by_rules(constituents: list[TypedConstituent]) -> Mixture:
    """What the rules make of section 3: the invented suppliers wrote their section 2 by them.

    Silica counts by its fine fraction; where they name none, they counted none. The first substance takes
    what the others leave: ranges end above 100 % together.
    """
    shares = [one.high_pct for one in constituents]
    if shares:
        shares[0] = min(shares[0], 100 - sum(shares[1:], Decimal(0)))
    portions = [
        portion
        for one, pct in zip(constituents, shares, strict=True)
        for portion in _portions(Held(name=one.name, cas=one.cas, pct=pct, hazards=one.hazards), one.fine_pct)
    ]
    ingredients = [
        Ingredient(
            name=f"{one.name} {one.part}",
            cas=one.cas,
            pct=one.pct,
            hazards=one.hazards,
            eu_air_limit=eu_limit(one.cas),
        )
        for one in portions
    ]
    return classify(ingredients=ingredients, rules="CLP")


def _portions(held: Held, fine_pct: Decimal | None) -> list[Held]:
    if is_crystalline_silica(held.cas, held.hazards):
        return by_fine_fraction(held, fine_pct or Decimal(0))
    return [held]


def _section_2(found: Mixture) -> str:
    """The label elements in words, as a sheet's section 2 has them."""
    label = found.label
    codes = (*label.h_codes, *label.euh, *label.p_codes)
    plain = found.as_plain()
    statements = [f"{code} {sentence(statement(code).text, code, plain)}" for code in codes]
    if not found.classes:
        return " ".join(("Not classified as hazardous.", *statements))
    said = (f"{'; '.join(found.classes)}.", f"Signal word: {label.signal_word or 'none'}.")
    return " ".join((*said, *statements))


def _cover(cast: Cast, row: dict[str, str]) -> None:
    lot = cast.lot(row["lot"])
    sheet = Sheet.objects.filter(material=lot.material_id, replaced_by=None).first()
    if sheet is not None and not sheet.covers.filter(lot=lot).exists():
        cover_lot(sheet=sheet, lot=lot, by=cast.person("Bram"), at=cast.at(row["received_on"], "10:40"))
