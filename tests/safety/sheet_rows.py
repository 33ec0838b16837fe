"""Sheets for tests, filed by the act. Suppliers invented; classes as a supplier types them."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

from django.utils import timezone

from safety.calc.hazards import Hazards
from safety.models import Sheet
from safety.operations.sheets import TypedConstituent, file_sheet
from studio.materials.models import Material
from tests.factories import MaterialFactory, bram

D = Decimal
HARMLESS = Hazards(stated="not hazardous")
LUNGS = Hazards(stated="classes", classes=("STOT RE 1",), organ="lungs")


def classed(*classes: str, **more: Any) -> Hazards:
    """What a sheet says of a substance with these classes."""
    return Hazards(stated="classes", classes=classes, **more)


def constituent(
    name: str, pct: str, hazards: Hazards = HARMLESS, *, cas: str = "", fine: str | None = None
) -> TypedConstituent:
    return TypedConstituent(
        name=name,
        cas=cas,
        low_pct=None,
        high_pct=D(pct),
        fine_pct=None if fine is None else D(fine),
        hazards=hazards,
    )


def quartz(pct: str, *, fine: str | None = None) -> TypedConstituent:
    """Crystalline silica, STOT RE 1 in its fine fraction (substances.csv)."""
    return constituent("quartz", pct, LUNGS, cas="14808-60-7", fine=fine)


def filed(
    material: Material | str,
    *constituents: TypedConstituent,
    hazards: Hazards = HARMLESS,
    supplier: str = "Tollgate Minerals",
    **more: Any,
) -> Sheet:
    """A sheet of a material (or by its name), filed by Bram; it replaces that supplier's last one."""
    row = MaterialFactory(name=material) if isinstance(material, str) else material
    said = {
        "kind": Sheet.Kind.SHEET,
        "product": row.name,
        "issued_on": timezone.localdate() - timedelta(days=200),
        "sections": {},
        "lots": list(row.lots.all()),
    }
    return file_sheet(
        material=row,
        supplier=supplier,
        hazards=hazards,
        constituents=list(constituents),
        by=bram(),
        **{**said, "document": None, **more},
    )


def linseed_filed(*, fine: str | None = "2") -> None:
    """Harmless sheets for all of Linseed but its silica: 98 % quartz, ``fine`` percent of it fine."""
    for name in ("Potash feldspar", "Frit L", "Whiting", "Kaolin", "Red iron oxide"):
        filed(name)
    filed("Silica", quartz("98", fine=fine))
