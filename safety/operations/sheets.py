"""Data sheets: filed, said to cover a lot, and let pass by a technician who gives a reason."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from uuid import UUID

from django.utils import timezone

from safety.calc.cas import cas_problem
from safety.calc.hazards import Hazards
from safety.documents import Document, keep
from safety.gates import Gate, gate_of
from safety.models import Acknowledgement, Constituent, Covers, Sheet
from safety.operations.classifying import reclassify
from studio.errors import Refused
from studio.materials.models import Lot, Material
from studio.people import rights
from studio.people.acts import act, take_number
from studio.people.doors import refuse_unless
from studio.people.models import Member

SECTIONS = (2, 4, 6, 7, 8)
MOST_ROWS = 24


@dataclass(frozen=True, kw_only=True)
class TypedConstituent:
    """One row of section 3, mass percent of the material; ``fine_pct``: of crystalline silica, or None."""

    name: str
    cas: str = ""
    low_pct: Decimal | None = None
    high_pct: Decimal
    fine_pct: Decimal | None = None
    hazards: Hazards


@act("sheet filed", about="material")
def file_sheet(
    *,
    material: Material,
    kind: str = Sheet.Kind.SHEET,
    product: str,
    supplier: str = "",
    supplier_address: str = "",
    phone: str = "",
    emergency_phone: str = "",
    language: str = "",
    law: str = Sheet.Law.EU,
    rule_set: str = "",
    version: str = "",
    issued_on: date | None = None,
    revised_on: date | None = None,
    review_on: date | None = None,
    hazards: Hazards,
    ph: Decimal | None = None,
    sections: dict[int, str] | None = None,
    constituents: Sequence[TypedConstituent] = (),
    lots: Sequence[Lot] = (),
    document: Document | None = None,
    note: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Sheet:
    """What a sheet (or a letter, or our table) says of a material, as a new version.

    It replaces the standing one of the same supplier, and whatever stood there from the table. Every mixture
    the material is in is classified anew.
    """
    material = Material.objects.select_for_update().get(pk=material.pk)
    refuse_unless(by, rights.BINDER)
    _refuse(material, kind, supplier, issued_on, revised_on, hazards, constituents, lots)
    standing = list(Sheet.objects.filter(material=material, replaced_by=None).order_by("-number"))
    before = next(
        (
            row
            for row in standing
            if row.supplier.casefold() == supplier.casefold() or row.kind == Sheet.Kind.TABLE
        ),
        None,
    )
    when = {"at": at} if at else {}
    said = {f"section_{n}": text for n, text in (sections or {}).items()}
    sheet = Sheet.objects.create(
        number=take_number("sheet"),
        material=material,
        kind=kind,
        replaces=before,
        product=product,
        supplier=supplier,
        supplier_address=supplier_address,
        phone=phone,
        emergency_phone=emergency_phone,
        language=language,
        law=law,
        rule_set=rule_set,
        version=version,
        issued_on=issued_on,
        revised_on=revised_on,
        review_on=review_on,
        hazards=hazards.as_plain(),
        ph=ph,
        file_digest=str(document or ""),
        file_size=document.size if document else 0,
        note=note,
        by=by,
        raw=raw,
        **said,
        **when,
    )
    for position, row in enumerate(constituents, 1):
        Constituent.objects.create(
            sheet=sheet,
            position=position,
            name=row.name,
            cas=row.cas,
            low_pct=row.low_pct,
            high_pct=row.high_pct,
            fine_pct=row.fine_pct,
            hazards=row.hazards.as_plain(),
            by=by,
            **when,
        )
    for lot in lots:
        Covers.objects.create(sheet=sheet, lot=lot, by=by, **when)
    if document:
        keep(document)
    reclassify(material=material, why=f"{sheet} of {material.name} was filed"[:200], by=by, at=at)
    return sheet


def _refuse(
    material: Material,
    kind: str,
    supplier: str,
    issued_on: date | None,
    revised_on: date | None,
    hazards: Hazards,
    constituents: Sequence[TypedConstituent],
    lots: Sequence[Lot],
) -> None:
    if kind != Sheet.Kind.TABLE and not supplier:
        raise Refused("Whose sheet is it? Write the supplier as printed on it.", field="supplier")
    if kind == Sheet.Kind.LETTER and hazards.classes:
        raise Refused("A letter that names classes is a data sheet. Choose that instead.", field="kind")
    if issued_on and revised_on and revised_on < issued_on:
        raise Refused("It cannot be revised before it was issued.", field="revised_on")
    if len(constituents) > MOST_ROWS:
        raise Refused(f"At most {MOST_ROWS} substances.")
    for row in constituents:
        if problem := cas_problem(row.cas):
            raise Refused(f"{row.name}: {problem}")
        if row.low_pct is not None and row.low_pct > row.high_pct:
            raise Refused(f"{row.name}: the range ends below its beginning.")
        if row.fine_pct is not None and row.fine_pct > row.high_pct:
            raise Refused(f"{row.name}: its fine fraction cannot be more than all of it.")
    # Ranges are counted at their upper end and may pass 100 together; their lower ends may not.
    least = sum((row.high_pct if row.low_pct is None else row.low_pct for row in constituents), Decimal(0))
    if least > Decimal("100.5"):
        raise Refused(f"Together that is {least.normalize():f} % and more: nothing holds more than 100 %.")
    if any(lot.material_id != material.pk for lot in lots):
        raise Refused("A lot of another material cannot be covered by this sheet.", field="lots")


@act("lot covered by its sheet", about="sheet")
def cover_lot(
    *, sheet: Sheet, lot: Lot, by: Member, key: UUID | None = None, at: datetime | None = None, raw: str = ""
) -> Covers:
    """A person looked: the sheet is the one for this lot, too."""
    material = Material.objects.select_for_update().get(pk=sheet.material_id)
    refuse_unless(by, rights.BINDER)
    if lot.material_id != material.pk:
        raise Refused("That lot is of another material.", field="lot")
    if hasattr(Sheet.objects.select_related("replaced_by").get(pk=sheet.pk), "replaced_by"):
        raise Refused("A newer version of this sheet is filed. Cover the lot by that one.")
    if Covers.objects.filter(sheet=sheet, lot=lot).exists():
        raise Refused("This sheet covers that lot already.", field="lot")
    when = {"at": at} if at else {}
    return Covers.objects.create(sheet=sheet, lot=lot, by=by, raw=raw, **when)


@act("weighed without a current sheet", about="material")
def acknowledge(
    *,
    material: Material,
    what: str,
    reason: str,
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Acknowledgement:
    """A technician lets a hazardous material be weighed for ``what`` though its sheet is not current.

    It holds for that batch, until a new sheet of the material is filed. Refused when nothing stops it.
    """
    material = Material.objects.select_for_update().get(pk=material.pk)
    refuse_unless(by, rights.BINDER)
    if not reason.strip():
        raise Refused("Why may it be weighed without a current sheet?", field="reason")
    gate = gate_of(material, what=what, today=timezone.localdate(at))
    if gate.let_through is not None:
        raise Refused(f"{gate.let_through.by} let it through for {what} already: {gate.let_through.reason}")
    if not gate.stopped:
        raise Refused(f"Nothing stops {material.name}: {_free(gate)} Nothing was saved.")
    when = {"at": at} if at else {}
    return Acknowledgement.objects.create(
        material=material, what=what, reason=reason.strip(), by=by, raw=raw, **when
    )


def _free(gate: Gate) -> str:
    return gate.sheet.sentence if gate.hazardous else "it is classified, and has no class by the law here."
