"""How far a bucket goes: coat, area, pieces. Dry glaze per area in g/cm2."""

import math
from dataclasses import dataclass

from studio.calc.arguments import not_negative, positive
from studio.calc.slurry import slurry


@dataclass(frozen=True)
class Coverage:
    """What one litre covers, and what one square centimetre takes."""

    m2_per_l: float
    ml_per_cm2: float


@dataclass(frozen=True)
class Pieces:
    """Slurry that one piece takes, and how many whole pieces there are in a bucket."""

    ml_per_piece: float
    pieces: int


@dataclass(frozen=True)
class DragOut:
    """Dry glaze and slurry a dipped piece took, and its coat."""

    dry_g: float
    coat_g_per_cm2: float
    slurry_ml: float


def coverage(*, coat_g_per_cm2: float, sg: float, rho_s: float, rho_w: float = 1.0) -> Coverage:
    """Area that a litre at ``sg`` covers with ``coat_g_per_cm2``, above 0. Derived: dry over coat."""
    positive(coat_g_per_cm2=coat_g_per_cm2)
    dry_g_per_ml = slurry(sg=sg, rho_s=rho_s, rho_w=rho_w).dry_kg_per_l
    ml_per_cm2 = coat_g_per_cm2 / dry_g_per_ml
    return Coverage(m2_per_l=0.1 / ml_per_cm2, ml_per_cm2=ml_per_cm2)


def cylinder_area_cm2(*, diameter_cm: float, height_cm: float, wall_cm: float) -> float:
    """Glazed area of a mug: outside wall, inside wall and inside floor; foot and rim not counted.

    ``wall_cm`` under half the diameter and under the height. ValueError otherwise. Derived.
    """
    positive(diameter_cm=diameter_cm, height_cm=height_cm, wall_cm=wall_cm)
    inside_cm = diameter_cm - 2 * wall_cm
    positive(inside_cm=inside_cm, inside_height_cm=height_cm - wall_cm)
    return math.pi * (diameter_cm * height_cm + inside_cm * (height_cm - wall_cm) + inside_cm**2 / 4)


def pieces(
    *,
    volume_l: float,
    keep_l: float,
    area_cm2: float,
    coat_g_per_cm2: float,
    extra_ml: float,
    sg: float,
    rho_s: float,
    rho_w: float = 1.0,
) -> Pieces:
    """How many pieces a bucket glazes before it is too low to dip in.

    ``keep_l`` must stay for depth; ``extra_ml`` is what a piece carries away besides its coat. Amounts 0
    or more, area and coat above 0. ValueError otherwise. Derived.
    """
    not_negative(volume_l=volume_l, keep_l=keep_l, extra_ml=extra_ml)
    positive(area_cm2=area_cm2)
    per_cm2 = coverage(coat_g_per_cm2=coat_g_per_cm2, sg=sg, rho_s=rho_s, rho_w=rho_w).ml_per_cm2
    ml_per_piece = area_cm2 * per_cm2 + extra_ml
    free_ml = 1000 * max(0.0, volume_l - keep_l)
    return Pieces(ml_per_piece=ml_per_piece, pieces=int(free_ml / ml_per_piece))


def drag_out(*, gain_g: float, area_cm2: float, sg: float, rho_s: float, rho_w: float = 1.0) -> DragOut:
    """Coat from the weight a piece gained, weighed at once after the dip: later it has lost water.

    ``gain_g`` 0 or more, ``area_cm2`` above 0. ValueError otherwise. Derived.
    """
    not_negative(gain_g=gain_g)
    positive(area_cm2=area_cm2)
    s = slurry(sg=sg, rho_s=rho_s, rho_w=rho_w)
    dry_g = gain_g * s.w
    return DragOut(dry_g=dry_g, coat_g_per_cm2=dry_g / area_cm2, slurry_ml=gain_g / s.rho)
