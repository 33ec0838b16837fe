"""Rockpool of "demo_studio.md" 2 with sheets for its materials; suppliers and figures of the sheets invented.

Classes of copper carbonate: CLP Annex VI, 029-020-00-8 (mixtures_checks.json L03), M-factors from memory;
of quartz: substances.csv.
"""

from decimal import Decimal

from buckets.models import Fill
from studio.recipes.models import Line, Version
from studio.recipes.operations.recipes import TypedLine
from tests.buckets.rows import in_use
from tests.factories import MaterialFactory, VersionFactory
from tests.safety.sheet_rows import classed, constituent, filed, quartz

D = Decimal
# material, kind, parts, density of its particles (reference table, frits 2.50)
LINES = (
    ("Soda feldspar", "base", "33", "2.605"),
    ("Frit L", "base", "24", "2.50"),
    ("Strontium carbonate", "base", "8", "3.70"),
    ("Wollastonite", "base", "8", "2.90"),
    ("Kaolin", "base", "9", "2.59"),
    ("Silica", "base", "18", "2.648"),
    ("Copper carbonate", "addition", "2.5", "4.0"),
    ("Rutile, milled", "addition", "4", "4.23"),
    ("Bentonite", "addition", "2", "2.4"),
)


def version() -> Version:
    """The recipe, approved, each material with a current sheet."""
    lines = [
        TypedLine(
            kind=Line.Kind(kind),
            material=MaterialFactory(name=name, density=density, hazard_words=""),
            typed_name=name,
            parts=D(parts),
            typed=parts,
        )
        for name, kind, parts, density in LINES
    ]
    row = VersionFactory(name="Rockpool", lines=lines, target_sg="1.42", half_window=D("0.015"))
    for name in ("Frit L", "Strontium carbonate", "Wollastonite", "Rutile, milled"):
        filed(name)
    filed("Silica", quartz("98", fine="20"))
    filed("Soda feldspar", quartz("5"))  # no figure for the fine fraction: all of it counts, assumed
    filed("Kaolin", quartz("2", fine="1"))
    filed("Bentonite", quartz("4", fine="2"))
    copper = classed(
        "Acute Tox. 4 (oral)", "Acute Tox. 4 (inhalation)", "Eye Irrit. 2",
        "Aquatic Acute 1", "Aquatic Chronic 1", m_acute=10, m_chronic=10,
    )  # fmt: skip
    filed("Copper carbonate", constituent("copper(II) carbonate hydroxide", "100", copper, cas="12069-69-1"))
    return row


def bucket() -> Fill:
    """8 L of it in a 20 L pail, in use."""
    return in_use("B05", recipe=version().recipe)
