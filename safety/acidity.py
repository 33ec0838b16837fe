"""What is on file of how acid or alkaline a mixture and its materials are, and what follows from it.

A mixture of pH at most 2 or at least 11.5 counts as corrosive unless shown otherwise (CLP 3.2.3.1.2 [O]). Of
a material in its bag the sheet may say its pH; of a glaze in a bucket nobody has measured it, and it is not
guessed. What is strongly acid or alkaline does not add up with the rest (Table 3.2.4 [O]).
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from safety.calc.skin_eye import is_extreme
from studio import words

NEUTRAL = Decimal(7)


@dataclass(frozen=True, kw_only=True)
class Told:
    """What one sheet says: ``corrosive``, whether it classes the product so itself."""

    material: str
    sheet: str
    ph: Decimal
    corrosive: bool = False

    @property
    def sentence(self) -> str:
        """ "Soda ash: S012 gives pH 11.6" """
        return f"{self.material}: {self.sheet} gives pH {words.number(self.ph, 1, least=0)}"


@dataclass(frozen=True, kw_only=True)
class Acidity:
    """``told``: what sheets say of what is in it; ``alone``: it is one material and nothing else."""

    told: tuple[Told, ...] = ()
    alone: bool = False

    @property
    def ph(self) -> Decimal | None:
        """The pH of the mixture, of several the farthest from neutral; None: not known."""
        known = [one.ph for one in self.told] if self.alone else []
        return max(known, key=lambda ph: abs(ph - NEUTRAL), default=None)

    @property
    def extreme(self) -> tuple[Told, ...]:
        """What is so acid or alkaline that its harm does not add up with the rest."""
        return tuple(one for one in self.told if is_extreme(one.ph))

    @property
    def assumed(self) -> list[str]:
        """What rests on a pH that was not measured in this mixture, or goes beyond a sheet."""
        if not self.alone:
            return [
                f"{one.sentence}. The pH of the mixture is not known, so harm to skin and eyes is not added "
                "up: 1 % of what is corrosive is enough."
                for one in self.extreme
            ]
        return [
            f"{one.sentence} and no class as corrosive: it counts as corrosive until shown otherwise."
            for one in self.extreme
            if not one.corrosive
        ]

    def as_plain(self) -> dict[str, Any]:
        """As JSON; empty where no sheet says anything."""
        if not self.told:
            return {}
        rows = [
            {"material": one.material, "sheet": one.sheet, "ph": str(one.ph), "corrosive": one.corrosive}
            for one in self.told
        ]
        return {"told": rows, "alone": self.alone}


def from_plain(said: Mapping[str, Any]) -> Acidity:
    """The other way round."""
    rows = tuple(Told(**{**row, "ph": Decimal(row["ph"])}) for row in said.get("told", ()))
    return Acidity(told=rows, alone=said.get("alone", False))


def on_sheets(materials: Iterable[tuple[str, Sequence[Any]]], alone: bool) -> Acidity:
    """From the name and the sheets of each material in a mixture; nothing is asked of the database."""
    told = (
        Told(material=name, sheet=str(sheet), ph=sheet.ph, corrosive=_corrosive(sheet.hazards))
        for name, sheets in materials
        for sheet in sheets
        if sheet.ph is not None
    )
    return Acidity(told=tuple(told), alone=alone)


def _corrosive(hazards: Mapping[str, Any]) -> bool:
    return any(cls.startswith("Skin Corr.") for cls in hazards.get("classes", ()))
