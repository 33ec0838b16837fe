"""The same glaze with its water: every share smaller, so never stricter. Labels go by the dry glaze."""

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from safety.calc.hazards import Hazards
from safety.calc.mixture import Ingredient, classify
from safety.classifying import Worked
from studio.calc.slurry import slurry
from studio.quantities import rounded
from studio.recipes.models import Version


@dataclass(frozen=True, kw_only=True)
class Wet:
    """``share``: mass of dry glaze in the mass of slurry, 0 to 1, at ``sg``; ``result``: its classes."""

    share: Decimal
    sg: Decimal
    result: dict[str, Any]

    @property
    def pct(self) -> Decimal:
        """Percent of the slurry that is dry glaze."""
        return 100 * self.share


def wet_of(worked: Worked, version: Version) -> Wet | None:
    """The slurry at the version's target; None where no slurry can have that gravity."""
    try:
        found = slurry(sg=float(version.target_sg), rho_s=float(version.particle_density))
    except ValueError:
        return None
    share = rounded(found.w, 6)
    water = Hazards(stated="not hazardous", source="known not to be toxic", status="[M]")
    diluted = [replace(one, pct=one.pct * share) for one in worked.ingredients]
    diluted.append(Ingredient(name="water", cas="7732-18-5", pct=100 * (1 - share), hazards=water))
    result = classify(ingredients=tuple(diluted), rules=worked.rules)
    return Wet(share=share, sg=version.target_sg, result=result.as_plain())
