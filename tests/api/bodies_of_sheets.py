"""Good requests for the acts on data sheets."""

from typing import Any

from studio.materials.operations.stock import receive_lot
from tests import factories

Act = tuple[str, dict[str, Any]]
QUARTZ = {
    "name": "quartz", "cas": "14808-60-7", "low_pct": 10, "high_pct": "20", "fine_pct": "2.5",
    "stated": "classes", "classes": "STOT RE 1", "codes": "H372", "ate_oral": None, "m_acute": None,
    "limits": "STOT RE 2 1", "organ": "lungs",
}  # fmt: skip
SHEET = {
    "kind": "sheet", "product": "Ball clay HV", "supplier": "Tollgate Minerals", "phone": "+44 1200 000000",
    "emergency_phone": "+44 1200 000001, day and night", "language": "English", "law": "EU",
    "issued_on": "2025-03-01", "stated": "classes", "classes": "STOT RE 1", "codes": "H372", "ph": "6.5",
    "section_4": "Rinse eyes with water.", "rows": [QUARTZ],
}  # fmt: skip


def acts() -> dict[str, Act]:
    """A material that gets a sheet, and one whose sheet covers a further lot."""
    fresh, known = factories.MaterialFactory(name="Hill clay"), factories.MaterialFactory(name="Dolomite")
    sheet = factories.SheetFactory(material=known)
    lot = receive_lot(material=known, code="DO-77", mass_g=25000, price_per_kg=1, by=factories.bram())
    return {
        "file_sheet": (f"materials/{fresh.pk}/file-sheet/", SHEET | {"lots": [fresh.lots.get().pk]}),
        "cover_lot": (f"sheets/{sheet.pk}/cover-lot/", {"lot": lot.pk}),
    }
