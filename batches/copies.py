"""A recipe as it stands: out of a version for planning, into a batch as its full copy, and back again."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.db.models import IntegerField

from batches.models import Batch
from studio.materials.models import Material
from studio.prepared import Prepared
from studio.recipes.models import Line, Version


@dataclass(frozen=True)
class LineFacts:
    """One recipe line with what its material is known to be."""

    position: int
    kind: str
    material_id: int
    name: str
    parts: Decimal
    role: str
    hazard_words: str

    @property
    def colourant(self) -> bool:
        return self.role == Material.Role.COLOURANT

    @property
    def opacifier(self) -> bool:
        return self.role == Material.Role.OPACIFIER

    @property
    def additive(self) -> bool:
        return self.role == Material.Role.ADDITIVE


@dataclass(frozen=True, kw_only=True)
class RecipeFacts:
    """What planning needs of a recipe. ``particle_density`` in g/mL."""

    name: str
    particle_density: Decimal
    target_sg: Decimal
    soluble: bool
    lines: tuple[LineFacts, ...]

    @property
    def all_to_base(self) -> Fraction:
        """Grams of everything for one gram of base."""
        base = sum((Fraction(x.parts) for x in self.lines if x.kind == Line.Kind.BASE), Fraction(0))
        return sum((Fraction(x.parts) for x in self.lines), Fraction(0)) / base


def facts_of(version: Version) -> RecipeFacts:
    """A version with its materials as they are today: one query."""
    return RecipeFacts(
        name=version.recipe.name,
        particle_density=version.particle_density,
        target_sg=version.target_sg,
        soluble=version.soluble,
        lines=tuple(LineFacts(*row) for row in LINES.rows(version=version.pk)),
    )


LINES = Prepared(
    lambda version: (
        Line.objects.filter(version=version)
        .order_by("position")
        .values_list(
            "position",
            "kind",
            "material",
            "material__name",
            "parts",
            "material__role",
            "material__hazard_words",
        )
    ),
    version=IntegerField(),
)


def facts_in(batch: Batch) -> RecipeFacts:
    """The recipe as the batch copied it: no query, and no later edit shows."""
    copied = batch.copy
    return RecipeFacts(
        name=copied["name"],
        particle_density=batch.particle_density,
        target_sg=Decimal(copied["target_sg"]),
        soluble=copied["soluble"],
        lines=tuple(
            LineFacts(
                position=line["position"],
                kind=line["kind"],
                material_id=line["material"],
                name=line["name"],
                parts=Decimal(line["parts"]),
                role=line["role"],
                hazard_words=line["hazard_words"],
            )
            for line in copied["lines"]
        ),
    )


def copy_of(version: Version) -> dict[str, Any]:
    """Everything a batch keeps of the version it is made from: numbers as text, exact."""
    recipe = version.recipe
    return {
        "name": recipe.name,
        "look": recipe.look,
        "cone": recipe.cone,
        "atmosphere": recipe.atmosphere,
        "colour": recipe.colour,
        "note": recipe.note,
        "settles_min": None if recipe.settles_min is None else f"{recipe.settles_min:f}",
        "version": version.number,
        "typed_as": version.typed_as,
        "target_sg": f"{version.target_sg:f}",
        "half_window": f"{version.half_window:f}",
        "sieve_mesh": version.sieve_mesh,
        "particle_density": f"{version.particle_density:f}",
        "soluble": version.soluble,
        "lines": [_copied(line) for line in version.lines.select_related("material")],
    }


def _copied(line: Line) -> dict[str, Any]:
    return {
        "position": line.position,
        "kind": line.kind,
        "material": line.material_id,
        "name": line.material.name,
        "typed_name": line.typed_name,
        "typed": line.typed,
        "parts": f"{line.parts:f}",
        "role": line.material.role,
        "density": f"{line.material.density:f}",
        "soluble": line.material.soluble,
        "hazard_words": line.material.hazard_words,
    }
