"""The worst case of a foreign glaze, for one fill and one recipe on record."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from buckets.calc.foreign import WorstCase, shifted_pct, worst_case
from buckets.models import Fill
from studio.errors import Refused
from studio.materials.models import Material
from studio.recipes.models import Line, Recipe, Version

COLOURS = (Material.Role.COLOURANT, Material.Role.OPACIFIER)


@dataclass(frozen=True)
class Shift:
    """A material's percent of the dry glaze before and with the foreign glaze in it."""

    name: str
    before_pct: float
    after_pct: float


@dataclass(frozen=True)
class Found:
    """The worst case with what it moves."""

    case: WorstCase
    recipe: Recipe
    share_pct: float
    shifts: list[Shift]
    known: bool


def worst_in(
    fill: Fill,
    recipe: Recipe,
    *,
    foreign_l: Decimal,
    foreign_sg: Decimal | None,
    volume_l: Decimal,
    sg: Decimal,
) -> Found:
    """What ``foreign_l`` of ``recipe`` come to in the fill; without ``foreign_sg`` at its target.

    Colourants and opacifiers, and additions on top of a base, as percent of all dry matter before and
    after; ``known`` False: the fill has no version on record, so only the foreign ones are known.
    Refused for numbers that no slurry of these powders has.
    """
    version = recipe.current
    if version is None:
        raise Refused("This recipe has no version in force.", field="recipe")
    if fill.particle_density is None:
        raise Refused(
            "The particle density of this fill is not on record, so its dry mass can’t be worked out. "
            "Measure it first.",
            field="volume_l",
        )
    try:
        case = worst_case(
            foreign_l=float(foreign_l),
            foreign_sg=float(foreign_sg if foreign_sg is not None else version.target_sg),
            foreign_rho_s=float(version.particle_density),
            volume_l=float(volume_l),
            sg=float(sg),
            rho_s=float(fill.particle_density),
        )
    except ValueError as error:
        raise Refused(
            "No slurry of these two powders has such a specific gravity. Read it again.", field="sg"
        ) from error
    here, there, shown = _percents(fill.version_id, version)
    shifts = shifted_pct(share=case.share, here_pct=here, foreign_pct=there)
    rows = [Shift(name, *shifts[name]) for name in shown]
    return Found(case, recipe, 100 * case.share, rows, fill.version_id is not None)


def worst_of(form: Any, fill: Fill) -> Found | None:
    """The same for a good form; a refusal goes beside its field."""
    said = {name: value for name, value in form.cleaned_data.items() if name != "key"}
    try:
        return worst_in(fill, said.pop("recipe"), **said)
    except Refused as refusal:
        form.add_error(refusal.field, refusal.sentence)
        return None


def _percents(here: int | None, foreign: Version) -> tuple[dict[str, float], dict[str, float], list[str]]:
    """Percent of all dry matter by material, here and in the foreign version, and which of them colour."""
    lines = Line.objects.filter(version__in=[pk for pk in (here, foreign.pk) if pk]).select_related(
        "material"
    )
    by_version: dict[int, dict[str, float]] = {}
    shown: dict[str, None] = {}
    for line in lines.order_by("version", "position"):
        parts = by_version.setdefault(line.version_id, {})
        parts[line.material.name] = parts.get(line.material.name, 0.0) + float(line.parts)
        if line.kind == Line.Kind.ADDITION or line.material.role in COLOURS:
            shown[line.material.name] = None
    mine, theirs = (_of_hundred(by_version.get(pk or 0, {})) for pk in (here, foreign.pk))
    return mine, theirs, list(shown)


def _of_hundred(parts: dict[str, float]) -> dict[str, float]:
    whole = sum(parts.values())
    return {name: 100 * part / whole for name, part in parts.items()}
