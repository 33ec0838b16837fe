"""What is said of one substance or product: its classes and the figures that go with them.

One shape for a safety data sheet, a harmonised entry and the table of usual classes, so that they can be
laid side by side. Classes are written as the law writes them: "Acute Tox. 4 (oral)", "STOT RE 1".
"""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, replace
from decimal import Decimal
from typing import Any, Literal

Stated = Literal["classes", "not hazardous", "not stated", "unknown"]
Route = Literal["oral", "dermal", "inhal_dust", "inhal_vapour"]
ROUTES: tuple[Route, ...] = ("oral", "dermal", "inhal_dust")


@dataclass(frozen=True, kw_only=True)
class Limit:
    """A specific concentration limit: this class from ``min_pct`` mass percent on."""

    cls: str
    min_pct: Decimal


@dataclass(frozen=True, kw_only=True)
class Hazards:
    """Classes and figures of one substance by one source.

    ``stated``: "classes" where there are some; "not hazardous" where the source says so; "not stated" where
    it is silent; "unknown" where there is no source. The last two are never taken for harmless.
    ``ate``: acute toxicity estimates, mg/kg (oral, dermal) and mg/L (inhal_dust, inhal_vapour).
    ``unknown_acute``: routes without usable information. ``m_acute``, ``m_chronic``: M-factors, or None.
    ``sum_group``: substances of one group are added before a limit ("boron", "crystalline silica").
    ``note1_fraction``: share of the metal the limits count (Note 1). ``repr_effects``: letters of H360 and
    H361. ``stot_se3``: "resp" (H335), "narc" (H336) or both. ``organ``: target organ of STOT, if named.
    ``figures_by``: of several sources, who says a class or figure that not all of them say. ``taken``: why it
    counts as not hazardous where no source states that of it.
    """

    stated: Stated = "unknown"
    classes: tuple[str, ...] = ()
    ate: Mapping[str, Decimal] = field(default_factory=dict)
    unknown_acute: tuple[str, ...] = ()
    m_acute: int | None = None
    m_chronic: int | None = None
    limits: tuple[Limit, ...] = ()
    sum_group: str = ""
    note1_fraction: Decimal | None = None
    repr_effects: str = ""
    carc_inhalation_only: bool = False
    stot_se3: str = ""
    organ: str = ""
    source: str = ""  # where it is written: "sheet S014, section 3", "CLP Annex VI, 029-020-00-8"
    status: str = ""  # mark of the source: [O] opened, [M] from memory, "typed from the sheet"
    figures_by: Mapping[str, str] = field(default_factory=dict)
    taken: str = ""

    @property
    def known(self) -> bool:
        """Whether the source says anything: classes, or that there are none."""
        return self.stated in ("classes", "not hazardous")

    @property
    def figures(self) -> dict[str, Any]:
        """Every class and figure by a name of its own: "Carc. 1B", "ate oral", "limit Carc. 1B"."""
        found: dict[str, Any] = dict.fromkeys(self.classes, True)
        found |= {f"ate {route}": value for route, value in self.ate.items()}
        found |= {f"limit {limit.cls}": limit.min_pct for limit in self.limits}
        names = ("m_acute", "m_chronic", "note1_fraction")
        return found | {name: getattr(self, name) for name in names if getattr(self, name) is not None}

    def said_by(self, figure: str) -> str:
        """The source of one of ``figures``."""
        return self.figures_by.get(figure, self.source)

    def as_plain(self) -> dict[str, Any]:
        """As JSON: numbers as text, nothing that is empty."""
        found = asdict(self)
        found["ate"] = {route: str(value) for route, value in self.ate.items()}
        found["limits"] = [{"cls": limit.cls, "min_pct": str(limit.min_pct)} for limit in self.limits]
        if self.note1_fraction is not None:
            found["note1_fraction"] = str(self.note1_fraction)
        return {name: value for name, value in found.items() if value not in (None, "", [], {}, (), False)}

    @classmethod
    def from_plain(cls, said: Mapping[str, Any]) -> "Hazards":
        """The other way round; a name it does not know is an error."""
        found = dict(said)
        for name in ("classes", "unknown_acute"):
            found[name] = tuple(found.get(name, ()))
        found["ate"] = {route: Decimal(str(value)) for route, value in found.get("ate", {}).items()}
        found["limits"] = tuple(
            Limit(cls=row["cls"], min_pct=Decimal(str(row["min_pct"]))) for row in found.get("limits", ())
        )
        if found.get("note1_fraction") is not None:
            found["note1_fraction"] = Decimal(str(found["note1_fraction"]))
        return cls(**found)

    def by(self, source: str, status: str = "") -> "Hazards":
        """The same, all of it said by ``source``."""
        return replace(self, source=source, status=status or self.status, figures_by={})
