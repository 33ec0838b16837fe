"""The lines of a recipe version: judged together, written once, never changed."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from studio.calc.slurry.density import mean_density
from studio.errors import Refused
from studio.materials.models import Material
from studio.quantities import rounded
from studio.recipes.calc.notebook import MOST_PARTS
from studio.recipes.models import Line, Version

MOST_LINES = 60


@dataclass(frozen=True, kw_only=True)
class TypedLine:
    """One line as it stood in the notebook. ``kind`` is a ``Line.Kind``; ``parts`` has up to 4 places."""

    kind: str
    material: Material
    typed_name: str
    parts: Decimal
    typed: str


def refuse_bad_lines(lines: Sequence[TypedLine]) -> None:
    """Raise Refused when these lines are no recipe: none in the base, too many, or a part out of range."""
    if not any(line.kind == Line.Kind.BASE for line in lines):
        raise Refused("The base is empty. Type at least one line there.", field="base")
    if len(lines) > MOST_LINES:
        raise Refused(f"A recipe has at most {MOST_LINES} lines; these are {len(lines)}.", field="base")
    for line in lines:
        if not (line.parts.is_finite() and Decimal(0) < line.parts <= MOST_PARTS):
            raise Refused(f"The amount of {line.typed_name} must be more than 0.", field=field_of(line))
        if line.parts != round(line.parts, 4):
            raise Refused(
                f"The amount of {line.typed_name} has more than four decimals.", field=field_of(line)
            )


def field_of(line: TypedLine) -> str:
    """The form field a line was typed in."""
    return "base" if line.kind == Line.Kind.BASE else "on_top"


def density_of(lines: Sequence[TypedLine]) -> Decimal:
    """Harmonic mean particle density over base and additions, g/mL, three places."""
    mean = mean_density(
        masses=[float(line.parts) for line in lines],
        densities=[float(line.material.density) for line in lines],
    )
    return rounded(mean, 3)


def refuse_bad_gravity(lines: Sequence[TypedLine], target_sg: Decimal, half_window: Decimal) -> None:
    """Raise Refused when no slurry of this powder can have the target, or its window reaches water."""
    density = density_of(lines)
    if not target_sg < density:
        raise Refused(
            f"A slurry of this powder stays below its particle density of {density}. "
            "Choose a target specific gravity under that.",
            field="target_sg",
        )
    if half_window <= 0 or target_sg - half_window <= 1:
        raise Refused(
            "The window must be more than 0 and stay above 1, the specific gravity of water.",
            field="half_window",
        )


def write_lines(version: Version, lines: Sequence[TypedLine]) -> None:
    """Write them in order: base first, then what comes on top."""
    in_order = sorted(lines, key=lambda line: line.kind != Line.Kind.BASE)
    Line.objects.bulk_create(
        Line(
            version=version,
            position=position,
            kind=line.kind,
            material=line.material,
            typed_name=line.typed_name[:80],
            parts=line.parts,
            typed=line.typed[:40],
        )
        for position, line in enumerate(in_order, start=1)
    )


def typed_lines(lines: Iterable[Line]) -> list[TypedLine]:
    """Rows as typed lines, in their order."""
    return [
        TypedLine(
            kind=line.kind,
            material=line.material,
            typed_name=line.typed_name,
            parts=line.parts,
            typed=line.typed,
        )
        for line in lines
    ]
